use super::finished::Finished;
use super::makers::Makers;
use crate::geom::{Axis, Spans, Vec3};
use crate::job::{Drawing, Job};
use crate::motion::Run;
use crate::solid::NominalPart;

/// What every measurement has at hand: the finished part, the part that is asked for, and who cut what.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub(super) job: &'a Job,
    pub(super) drawing: &'a Drawing,
    pub(super) nominal: &'a NominalPart,
    pub(super) finished: &'a dyn Finished,
    pub(super) runs: &'a [Run],
}

impl<'a> Bench<'a> {
    pub(super) const fn makers(&self) -> Makers<'a> {
        Makers { finished: self.finished, runs: self.runs }
    }

    /// The nominal part's pieces on the line parallel to `axis` through a point.
    pub(super) fn nominal_line(&self, axis: Axis, p: &Vec3) -> Spans {
        let (u, v) = axis.others();
        let mut spans = Spans::new();
        self.nominal.spans(axis, u.of(p), v.of(p), &mut spans);
        spans
    }
}
