use crate::cutting::{CutOrigin, History, Piece};
use crate::geom::{Axis, Direction, Vec3};
use crate::stock::{CutId, Outermost, Row, Stock};

/// The finished part as it was cut: single lines can be asked for anywhere, and the grid of rays is at hand.
///
/// It stands between the inspection and the engine so that the inspection can be tested against a part that is known
/// in closed form.
pub trait Finished: Sync {
    /// Material on the line parallel to `axis` through `(u, v)` of `axis.others()`, ascending; exact but for rounding.
    fn probe(&self, axis: Axis, u: f64, v: f64) -> Vec<Piece>;

    /// Where a cut comes from; `None` for the raw stock's own surface.
    fn origin(&self, id: CutId) -> Option<CutOrigin>;

    /// The first cut that took the material at a point; `None` when it still stands or was never there.
    fn first_through(&self, p: &Vec3) -> Option<CutId>;

    /// Number of rays of the grid along `axis` in each direction of `axis.others()`.
    fn counts(&self, axis: Axis) -> (u32, u32);

    /// Place of a ray of the grid, millimetres.
    fn place(&self, axis: Axis, i: u32, j: u32) -> (f64, f64);

    /// Distance between neighbouring rays in each direction, millimetres.
    fn steps(&self, axis: Axis) -> (f64, f64);

    /// Reads a whole row of the grid: the rays of all `i` at one `j`.
    fn row(&self, axis: Axis, j: u32, out: &mut Row);

    /// The end of a ray of the grid that lies outermost in a direction, the first of equals by row, then along the row;
    /// `None` when nothing is left.
    fn outermost(&self, toward: Direction) -> Option<Outermost>;

    /// The line parallel to `axis` through a point.
    fn line(&self, axis: Axis, p: &Vec3) -> Vec<Piece> {
        let (u, v) = axis.others();
        self.probe(axis, u.of(p), v.of(p))
    }
}

/// The stock as cut, with the history that can cut any line of it again.
#[derive(Clone, Copy, Debug)]
pub struct CutStock<'a> {
    /// The grid of rays.
    pub stock: &'a Stock,
    /// Every cut.
    pub history: &'a History,
}

impl Finished for CutStock<'_> {
    fn probe(&self, axis: Axis, u: f64, v: f64) -> Vec<Piece> {
        self.history.probe(axis, u, v)
    }

    fn origin(&self, id: CutId) -> Option<CutOrigin> {
        self.history.origin(id)
    }

    fn first_through(&self, p: &Vec3) -> Option<CutId> {
        // Material only ever goes: halve the cuts until one is left.
        let stands = |before: u32| {
            let line = self.history.probe_before(Axis::Z, p.x, p.y, CutId(before));
            matter_at(&line, p.z, 0.0).is_some()
        };
        let (mut standing, mut gone) = (CutId::RAW.0 + 1, self.history.next_id().0);
        if !stands(standing) || stands(gone) {
            return None;
        }
        while gone - standing > 1 {
            let middle = standing + (gone - standing) / 2;
            if stands(middle) { standing = middle } else { gone = middle }
        }
        Some(CutId(standing))
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

    fn row(&self, axis: Axis, j: u32, out: &mut Row) {
        self.stock.row(axis, j, out);
    }

    fn outermost(&self, toward: Direction) -> Option<Outermost> {
        self.stock.outermost(toward)
    }
}

/// The air on a line that contains a place: its ends and who left them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Air {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) low_by: CutId,
    pub(super) high_by: CutId,
}

/// The air between two pieces of material that contains `at`, or touches it by less than `slack`; `None` when there is
/// material, or no material on one side.
pub(super) fn air_at(line: &[Piece], at: f64, slack: f64) -> Option<Air> {
    line.iter()
        .zip(line.iter().skip(1))
        .find(|(a, b)| a.high - slack <= at && at <= b.low + slack)
        .map(|(a, b)| Air { low: a.high, high: b.low, low_by: a.high_by, high_by: b.low_by })
}

/// The material that contains `at`, or touches it by less than `slack`.
pub(super) fn matter_at(line: &[Piece], at: f64, slack: f64) -> Option<&Piece> {
    line.iter().find(|m| m.low - slack <= at && at <= m.high + slack)
}
