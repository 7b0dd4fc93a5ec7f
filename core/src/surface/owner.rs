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
    last: Option<(CutId, &'a Sweep, Turn)>,
}

/// A frame's axes for quick use: for each setup axis its part axis and sense.
#[derive(Clone, Copy)]
struct Turn {
    axes: [(Axis, f64); 3],
    origin: Vec3,
}

impl Turn {
    fn of(frame: &Frame) -> Self {
        let of = |axis: Axis| (frame.direction(axis).axis, frame.direction(axis).sign());
        Self { axes: [of(Axis::X), of(Axis::Y), of(Axis::Z)], origin: frame.origin }
    }

    /// A point of the part, seen in the setup.
    #[inline]
    fn setup_from_part(&self, p: &Vec3) -> Vec3 {
        let by = p - self.origin;
        let [x, y, z] = self.axes;
        Vec3::new(x.1 * x.0.of(&by), y.1 * y.0.of(&by), z.1 * z.0.of(&by))
    }

    /// A vector of the setup, turned round, seen in the part.
    #[inline]
    fn part_from_setup_turned(&self, v: &Vec3) -> Vec3 {
        let mut out = Vec3::zeros();
        let [x, y, z] = self.axes;
        x.0.set(&mut out, -x.1 * v.x);
        y.0.set(&mut out, -y.1 * v.y);
        z.0.set(&mut out, -z.1 * v.z);
        out
    }
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
        let (sweep, turn) = match self.last {
            Some((known, sweep, turn)) if known == id => (sweep, turn),
            _ => {
                let sweep = self.history.sweep(id)?;
                let turn = Turn::of(self.history.frame(self.history.origin(id)?.setup)?);
                self.last = Some((id, sweep, turn));
                (sweep, turn)
            }
        };
        let out_of_sweep = sweep.normal_at(&turn.setup_from_part(at))?;
        Some(turn.part_from_setup_turned(&out_of_sweep))
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
