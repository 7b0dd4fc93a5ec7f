//! An arc about Z without rise, for any body: the section at each height is a disc led along an arc, and along Z it
//! is the body's profile at the distance from the arc.

use super::merge;
use super::sector::Sector;
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Spans, Vec3};

/// A level arc with its directions worked out.
#[derive(Clone, Copy, Debug)]
pub(super) struct LevelArc {
    center: Vec3,
    radius: f64,
    sector: Sector,
}

impl LevelArc {
    /// The way in which the arc is run does not matter to what it sweeps.
    pub(super) fn new(arc: &Arc) -> Self {
        let start = if arc.sweep < 0.0 { arc.start_angle + arc.sweep } else { arc.start_angle };
        Self { center: arc.center, radius: arc.radius, sector: Sector::new(start, arc.sweep.abs()) }
    }

    pub(super) fn spans(&self, body: &Body, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        let c = &self.center;
        match axis {
            Axis::Z => {
                let d = self.sector.distance_to_arc(self.radius, (u - c.x, v - c.y));
                if let (Some(low), Some(high)) = (body.lower_at(d), body.upper_at(d)) {
                    merge::push(out, c.z + low, c.z + high);
                }
            }
            Axis::X => {
                if let Some(r) = body.radius_at(v - c.z) {
                    self.sector.disc_on_line(self.radius, r, u - c.y, c.x, out);
                }
            }
            Axis::Y => {
                if let Some(r) = body.radius_at(u - c.z) {
                    self.sector.flipped().disc_on_line(self.radius, r, v - c.x, c.y, out);
                }
            }
        }
    }
}
