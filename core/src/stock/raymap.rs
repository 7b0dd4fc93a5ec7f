use super::nm::nm_from_mm;
use super::swept::Swept;
use crate::geom::{Axis, Frame, Spans};
use smallvec::SmallVec;

/// Pieces of a ray, whole nanometres in the part frame, in no order.
pub(super) type NmSpans = SmallVec<[(i32, i32); 4]>;

/// Leads rays of the part along one axis into a setup frame, and spans on them back.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RayMap {
    /// Setup axis that the rays lie along.
    axis: Axis,
    /// Part coordinate = `origin + sign * setup coordinate` along the ray.
    sign: f64,
    origin: f64,
    first: Across,
    second: Across,
}

/// One of the two setup coordinates across a ray.
#[derive(Clone, Copy, Debug)]
struct Across {
    /// Taken from the part ray's second coordinate instead of its first.
    from_v: bool,
    sign: f64,
    origin: f64,
}

impl Across {
    fn of(self, u: f64, v: f64) -> f64 {
        self.sign * (if self.from_v { v } else { u } - self.origin)
    }
}

impl RayMap {
    /// For rays along a part axis.
    pub(crate) fn new(frame: &Frame, part_axis: Axis) -> Self {
        let along = frame.setup_axis(part_axis);
        let (x, y) = along.axis.others();
        let across = |setup: Axis| {
            let part = frame.direction(setup);
            let from_v = part.axis == part_axis.others().1;
            Across { from_v, sign: part.sign(), origin: part.axis.of(&frame.origin) }
        };
        Self {
            axis: along.axis,
            sign: along.sign(),
            origin: part_axis.of(&frame.origin),
            first: across(x),
            second: across(y),
        }
    }

    /// Spans of a swept volume on the part ray through `(u, v)`, mm in the part frame, ascending.
    pub(crate) fn spans<S: Swept>(&self, swept: &S, u: f64, v: f64, out: &mut Spans) {
        swept.spans(self.axis, self.first.of(u, v), self.second.of(u, v), out);
        for span in out.iter_mut() {
            *span = self.part_from_setup(*span);
        }
        if self.sign < 0.0 {
            out.reverse();
        }
    }

    /// The same in whole nanometres; spans shorter than one are dropped.
    pub(super) fn nm_spans<S: Swept>(
        &self,
        swept: &S,
        (u, v): (f64, f64),
        mm: &mut Spans,
        out: &mut NmSpans,
    ) {
        swept.spans(self.axis, self.first.of(u, v), self.second.of(u, v), mm);
        out.clear();
        for span in mm.iter() {
            let (low, high) = self.part_from_setup(*span);
            let (low, high) = (nm_from_mm(low), nm_from_mm(high));
            if low < high {
                out.push((low, high));
            }
        }
    }

    /// A span along the ray, setup to part.
    pub(super) fn part_from_setup(&self, (low, high): (f64, f64)) -> (f64, f64) {
        if self.sign < 0.0 {
            (self.origin - high, self.origin - low)
        } else {
            (self.origin + low, self.origin + high)
        }
    }
}
