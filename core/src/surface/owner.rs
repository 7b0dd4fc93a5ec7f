//! The normal of the surface where a ray ends: asked of the cut that made the end.

use crate::cutting::History;
use crate::geom::{Axis, Frame, Vec3};
use crate::stock::CutId;
use crate::sweep::Sweep;

/// A normal that leans less than this towards the ray that it ends cannot be that end's: the point lies on the edge
/// of two faces, and the other one, nearly square to the ray, is meant. (A face that a ray just grazes, half a nanometre
/// deep on a radius of 100 mm, leans 1e-4.)
const LEAST_LEAN: f64 = 1.0e-5;

/// Asks a history for normals, remembering the cut asked last: neighbours mostly have the same.
pub(super) struct Owners<'a> {
    history: &'a History,
    last: Option<(CutId, &'a Sweep, &'a Frame)>,
}

impl<'a> Owners<'a> {
    pub(super) const fn new(history: &'a History) -> Self {
        Self { history, last: None }
    }

    /// Outward unit normal of the material at a point of a cut's (or the raw stock's) surface, part frame; `None`
    /// where the cut does not tell.
    pub(super) fn normal(&mut self, id: CutId, axis: Axis, at: &Vec3) -> Option<Vec3> {
        if id == CutId::RAW {
            return self.history.raw().normal_at(axis, at);
        }
        let (sweep, frame) = match self.last {
            Some((known, sweep, frame)) if known == id => (sweep, frame),
            _ => {
                let sweep = self.history.sweep(id)?;
                let frame = self.history.frame(self.history.origin(id)?.setup)?;
                self.last = Some((id, sweep, frame));
                (sweep, frame)
            }
        };
        let out_of_sweep = sweep.normal_at(&frame.setup_from_part(at))?;
        Some(-frame.part_from_setup_vector(&out_of_sweep))
    }

    /// The same where a ray ends that runs out of the material in the sense of `axis` (`sense` +1) or against it (-1);
    /// the direction of the ray where the cut tells nothing that fits.
    pub(super) fn normal_of_end(&mut self, id: CutId, axis: Axis, sense: f64, at: &Vec3) -> Vec3 {
        match self.normal(id, axis, at) {
            Some(n) if sense * axis.of(&n) > LEAST_LEAN => n,
            _ => {
                let mut along = Vec3::zeros();
                axis.set(&mut along, sense);
                along
            }
        }
    }
}
