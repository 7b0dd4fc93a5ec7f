//! Distances between tool bodies and solids that hold the part.
//!
//! *Invariant*: a distance is never more than the truth, and never less by more than [`RESOLUTION`].

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

/// Lowest height, highest height and largest radius of a body, above its tip.
pub(crate) fn extent(body: &Body) -> (f64, f64, f64) {
    match *body {
        Body::Frustum { z0, z1, r0, r1 } => (z0, z1, r0.max(r1)),
        Body::HalfBall { z0, radius } => (z0, z0 + radius, radius),
        Body::RoundedDisc { z0, radius, corner } => (z0, z0 + corner, radius),
    }
}

/// A point inside a body, above its tip.
fn middle(body: &Body) -> Vec3 {
    let (low, high, _) = extent(body);
    Vec3::new(0.0, 0.0, 0.5 * (low + high))
}

/// The smallest box that holds a body led along a straight line.
fn swept_box(body: &Body, from: Vec3, to: Vec3) -> Box3 {
    around(body, &Box3::between(from, to))
}

/// The smallest box that holds a body whose tip is anywhere in a box.
pub(crate) fn around(body: &Body, tips: &Box3) -> Box3 {
    let (low, high, radius) = extent(body);
    Box3 { min: tips.min + Vec3::new(-radius, -radius, low), max: tips.max + Vec3::new(radius, radius, high) }
}

/// Distance between two boxes, 0 when they meet.
pub(crate) fn between_boxes(a: &Box3, b: &Box3) -> f64 {
    let gap = (b.min - a.max).sup(&(a.min - b.max)).sup(&Vec3::zeros());
    gap.norm()
}
