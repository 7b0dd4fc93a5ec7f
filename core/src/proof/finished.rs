use crate::cutting::History;
use crate::geom::Axis;
use crate::inspect::{CutSource, Finished, Matter};
use crate::stock::{CutId, Interval, Stock};
use smallvec::SmallVec;

/// The finished part as it was cut, for the inspection: the grid of the stock, and single lines cut again exactly.
pub(super) struct Cut<'a> {
    pub(super) stock: &'a Stock,
    pub(super) history: &'a History,
}

impl Finished for Cut<'_> {
    fn probe(&self, axis: Axis, u: f64, v: f64) -> Vec<Matter> {
        let pieces = self.history.probe(axis, u, v);
        pieces
            .into_iter()
            .map(|p| Matter { low: p.low, high: p.high, low_by: p.low_by, high_by: p.high_by })
            .collect()
    }

    fn origin(&self, id: CutId) -> Option<CutSource> {
        let origin = self.history.origin(id)?;
        Some(CutSource { setup: origin.setup, move_index: origin.move_index })
    }

    fn counts(&self, axis: Axis) -> (u32, u32) {
        let grid = self.stock.grid(axis);
        (grid.u.count(), grid.v.count())
    }

    fn place(&self, axis: Axis, i: u32, j: u32) -> (f64, f64) {
        let grid = self.stock.grid(axis);
        (grid.u.at(i), grid.v.at(j))
    }

    fn steps(&self, axis: Axis) -> (f64, f64) {
        let grid = self.stock.grid(axis);
        (grid.u.step(), grid.v.step())
    }

    fn ray(&self, axis: Axis, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        self.stock.ray(axis, i, j)
    }
}
