use super::band::Band;
use super::error::StockError;
use super::grid::Grid;
use super::layout::GridLayout;
use super::manner::{Manner, Records, Vectors};
use super::nm::{REACH, mm_from_nm};
use super::op::{CutId, Interval, Op, OpMode};
use super::places::{Range, Reach};
use super::room::Room;
use super::spacing;
use super::swept::Swept;
use super::told::{Met, Told};
use crate::geom::{Axis, Box3, Frame};
use crate::job::RawStock;
use crate::solid::RawSolid;
use crate::sweep::Sweep;
use rayon::prelude::*;
use smallvec::SmallVec;

/// The stock in the part frame: three grids of rays with exact ends.
///
/// Ends are whole nanometres counted from the part's zero, which is the origin of every grid. Stock may reach
/// 2.1 m from it along each axis.
#[derive(Clone, Debug)]
pub struct Stock {
    pub(super) grids: [Grid; 3],
    raw_bounds: Box3,
    spacing: f64,
    /// Most bytes that it may take while it is cut.
    limit: u64,
    pub(super) manner: Manner,
}

impl Stock {
    /// Raw stock with rays at most `spacing` (mm) apart: along each axis the spacing is made a little smaller so that
    /// whole cells fill the stock's box.
    ///
    /// # Errors
    /// When the raw stock is empty, too far from the part's zero, not closed, or the spacing too fine for the
    /// memory limit (2 GB).
    pub fn new(raw: &RawStock, spacing: f64) -> Result<Self, StockError> {
        Self::worked(raw, spacing, Manner::best())
    }

    /// The same stock, to be cut with given vector instructions: for measuring what other processors would take. No byte of
    /// any result changes.
    #[must_use]
    pub const fn with_vectors(mut self, vectors: Vectors) -> Self {
        self.manner.vectors = vectors;
        self
    }

    /// The vector instructions it is worked on with.
    pub(crate) const fn vectors(&self) -> Vectors {
        self.manner.vectors
    }

    /// The same stock, which tells only some of what ops meet in it: for measuring what that costs.
    #[must_use]
    pub const fn with_records(mut self, records: Records) -> Self {
        self.manner.records = records;
        self
    }

    /// The same, to be worked on in a given manner.
    pub(super) fn worked(raw: &RawStock, spacing: f64, manner: Manner) -> Result<Self, StockError> {
        let solid = RawSolid::new(raw).map_err(StockError::Mesh)?;
        Self::inside(&solid, solid.bounds(), spacing, manner)
    }

    /// The raw stock inside a box, with rays at most `spacing` (mm) apart over that box alone: as fine as one likes where
    /// one likes. The box's own sides are ends of the raw stock.
    ///
    /// # Errors
    /// When the box holds nothing of the raw stock's box, or the spacing is too fine for the memory limit (2 GB).
    pub(crate) fn lens(raw: &RawSolid, inside: &Box3, spacing: f64) -> Result<Self, StockError> {
        let bounds = raw.bounds().common(inside);
        if bounds.is_empty() {
            return Err(StockError::Empty);
        }
        Self::inside(raw, &bounds, spacing, Manner::best())
    }

    fn inside(solid: &RawSolid, bounds: &Box3, spacing: f64, manner: Manner) -> Result<Self, StockError> {
        let bounds = *bounds;
        let reach = mm_from_nm(REACH);
        if bounds.is_empty() || !(bounds.size().min() >= 1e-3 && spacing > 0.0) {
            return Err(StockError::Empty);
        }
        if !(bounds.min.min() >= -reach && bounds.max.max() <= reach && bounds.size().max() <= reach) {
            return Err(StockError::TooFar { reach });
        }
        spacing::affordable(&bounds, spacing)?;
        let grids = Axis::ALL.map(|axis| {
            Grid::of(GridLayout::over(axis, &bounds, spacing), manner.band_size, (solid, &bounds))
        });
        Ok(Self { grids, raw_bounds: bounds, spacing, limit: spacing::LIMIT, manner })
    }

    /// A spacing for raw stock, mm: 0.1 mm where the grids then take at most 512 MB, otherwise the finest that does;
    /// for stock thinner than 10 mm a hundredth of its shortest edge, down to 0.01 mm.
    pub fn choose_spacing(raw: &RawStock) -> f64 {
        spacing::choose(&crate::solid::raw_bounds(raw))
    }

    /// Distance between neighbouring rays that was asked for, mm; no grid is coarser.
    pub const fn spacing(&self) -> f64 {
        self.spacing
    }

    /// Box of the raw stock, mm.
    pub const fn raw_bounds(&self) -> &Box3 {
        &self.raw_bounds
    }

    /// Where the rays along an axis lie.
    pub const fn grid(&self, axis: Axis) -> &GridLayout {
        &self.along(axis).layout
    }

    /// Material on ray `i` (along u) of row `j` (along v): ascending intervals; empty outside the grid.
    pub fn ray(&self, axis: Axis, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        self.along(axis).ray(i, j)
    }

    /// Memory held, bytes.
    pub fn bytes(&self) -> usize {
        self.grids.iter().flat_map(|g| &g.bands).map(Band::bytes).sum()
    }

    pub(super) const fn along(&self, axis: Axis) -> &Grid {
        of_axis(&self.grids, axis)
    }

    /// The same stock, which may take only so many bytes while it is cut.
    pub(crate) const fn limited(mut self, bytes: u64) -> Self {
        self.limit = bytes;
        self
    }

    /// Runs ops in order, in the frame of their setup, and tells what each met, unless the rays come to hold so many pieces of
    /// material that they take more memory than the limit (2 GB).
    ///
    /// Bands of rows are worked on in parallel; each sees the ops in order, and in which order what they met is added up
    /// changes nothing, so that the number of threads changes nothing either.
    ///
    /// # Errors
    /// [`StockError::Overfull`] when they do; the stock is then worth nothing. Whether they do does not depend on the
    /// number of threads. By then they may have taken a little more: for each thread some 64 MB, or what one op adds.
    pub(crate) fn run<S: Swept>(&mut self, frame: &Frame, ops: &[Op<S>]) -> Result<Met, StockError> {
        self.run_within(frame, ops, self.manner)
    }

    /// Runs ops as [`Stock::run`] does, and tells nothing of what they meet.
    ///
    /// # Errors
    /// As those of [`Stock::run`].
    pub(crate) fn run_untold<S: Swept>(&mut self, frame: &Frame, ops: &[Op<S>]) -> Result<(), StockError> {
        self.run_within(frame, ops, self.untold()).map(drop)
    }

    /// The same. What memory that takes is not limited.
    pub(crate) fn run_again<S: Swept>(&mut self, frame: &Frame, ops: &[Op<S>]) {
        self.run_in(frame, ops, self.untold(), &Room::endless());
    }

    /// Its manner of working, but for telling.
    fn untold(&self) -> Manner {
        Manner { records: Records::Empty, ..self.manner }
    }

    fn run_within<S: Swept>(
        &mut self,
        frame: &Frame,
        ops: &[Op<S>],
        manner: Manner,
    ) -> Result<Met, StockError> {
        let room = Room::of(self.bytes() as u64, self.limit);
        let met = self.run_in(frame, ops, manner, &room);
        if room.is_over() {
            return Err(StockError::Overfull { spacing: self.spacing, limit: self.limit });
        }
        Ok(met)
    }

    /// Takes away what sweeps in the frame of a setup, in order, and marks the ends that each makes. What memory that takes is not
    /// limited.
    pub fn take_away(&mut self, frame: &Frame, sweeps: &[(CutId, Sweep)]) {
        let ops: Vec<Op<&Sweep>> =
            sweeps.iter().map(|(id, sweep)| Op { id: *id, sweep, mode: OpMode::Cut }).collect();
        self.run_again(frame, &ops);
    }

    fn run_in<S: Swept>(&mut self, frame: &Frame, ops: &[Op<S>], manner: Manner, room: &Room) -> Met {
        let layouts = [Axis::X, Axis::Y, Axis::Z].map(|a| *self.grid(a));
        let top = frame.setup_box(&self.raw_bounds).max.z;
        let of = |(n, op): (usize, &Op<S>)| {
            let after = manner.cull && follows(ops, n, top);
            let sweep = &op.sweep;
            let bounds = if after { sweep.fresh_bounds_below(top) } else { sweep.bounds_below(top) };
            Reach { ranges: Range::of(&layouts, &frame.part_box(&bounds)), after }
        };
        let reaches: Vec<Reach> = ops.par_iter().enumerate().with_min_len(256).map(of).collect();
        let mut work: Vec<(GridLayout, &mut Band, Vec<u32>)> = Vec::new();
        for grid in &mut self.grids {
            let lists = bin(grid, &reaches);
            let jobs = grid.bands.iter_mut().zip(lists).filter(|(_, list)| !list.is_empty());
            work.extend(jobs.map(|(band, list)| (grid.layout, band, list)));
        }
        let done: Vec<(Axis, Told)> = work
            .into_par_iter()
            .with_max_len(1)
            .map(|(layout, band, list)| {
                (layout.axis, band.run(&layout, frame, manner, (ops, &reaches, &list), room))
            })
            .collect();
        Met::of(done, ops.len(), layouts)
    }
}

/// Of three for X, Y and Z that of an axis.
pub(super) const fn of_axis<T>(three: &[T; 3], axis: Axis) -> &T {
    let [x, y, z] = three;
    match axis {
        Axis::X => x,
        Axis::Y => y,
        Axis::Z => z,
    }
}

/// Ops that are looked back at: a tool has as many bodies that cut.
const LOOK_BACK: usize = 4;

/// True when an op goes on from one shortly before it, which has taken what is left out then.
fn follows<S: Swept>(ops: &[Op<S>], n: usize, top: f64) -> bool {
    let before = ops.get(n.saturating_sub(LOOK_BACK)..n).unwrap_or_default();
    let takes = before.iter().rev().filter(|op| op.mode != OpMode::Look);
    ops.get(n).is_some_and(|op| takes.map(|before| &before.sweep).any(|before| op.sweep.follows(before, top)))
}

/// For each band of a grid the numbers of the ops that can meet it, in order.
fn bin(grid: &Grid, reaches: &[Reach]) -> Vec<Vec<u32>> {
    let mut lists = vec![Vec::new(); grid.bands.len()];
    for (number, reach) in (0_u32..).zip(reaches) {
        let range = of_axis(&reach.ranges, grid.layout.axis);
        if !range.is_empty() {
            let (from, to) = if grid.by_columns { range.i } else { range.j };
            let (first, last) = ((from / grid.size) as usize, ((to - 1) / grid.size) as usize);
            for list in lists.iter_mut().take(last + 1).skip(first) {
                list.push(number);
            }
        }
    }
    lists
}
