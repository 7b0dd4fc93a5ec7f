//! Distances between tool bodies and solids that hold the part.
//!
//! *Invariant*: a distance is never more than the truth, and never less by more than [`RESOLUTION`].

#[cfg(test)]
mod bodies;
mod convex;
mod line;
mod meridian;
mod path;
mod shape;
mod tree;

pub use path::nearest_on_path;
pub use shape::{Nearest, Shape};

use crate::cutter::Body;
use crate::geom::{Box3, Vec3};

/// Largest amount, millimetres, by which a reported distance may be less than the truth: 1 micrometre.
pub const RESOLUTION: f64 = 1.0e-3;

/// A point inside a body, above its tip.
fn middle(body: &Body) -> Vec3 {
    Vec3::new(0.0, 0.0, 0.5 * (body.bottom() + body.top()))
}

/// The smallest box that holds a body led along a straight line.
fn swept_box(body: &Body, from: Vec3, to: Vec3) -> Box3 {
    around(body, &Box3::between(from, to))
}

/// The smallest box that holds a body whose tip is anywhere in a box.
pub(crate) fn around(body: &Body, tips: &Box3) -> Box3 {
    let radius = body.radius();
    Box3 {
        min: tips.min + Vec3::new(-radius, -radius, body.bottom()),
        max: tips.max + Vec3::new(radius, radius, body.top()),
    }
}

/// Distance between two boxes, 0 when they meet.
pub(crate) fn between_boxes(a: &Box3, b: &Box3) -> f64 {
    let gap = (b.min - a.max).sup(&(a.min - b.max)).sup(&Vec3::zeros());
    gap.norm()
}
