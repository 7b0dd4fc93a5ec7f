//! The stock read in bulk: whole rows of rays, the outermost end, how much there is.

#![expect(clippy::indexing_slicing, reason = "lanes of a packet are counted by constants")]

use super::band::Band;
use super::block::{BLOCK, Block, SlotsOf};
use super::model::Stock;
use super::nm::float;
use super::op::Interval;
use super::packet::{LANES, SIDE, Slot};
use crate::geom::{Axis, Direction};
use crate::units::NM_PER_MM;
use rayon::prelude::*;

/// The rays of one row of a grid. Kept and filled again, it costs no allocation.
#[derive(Clone, Debug, Default)]
pub struct Row {
    pieces: Vec<Interval>,
    /// For each ray where its pieces end in `pieces`.
    ends: Vec<u32>,
}

impl Row {
    /// Takes all rays out.
    pub fn clear(&mut self) {
        self.pieces.clear();
        self.ends.clear();
    }

    /// Adds the next ray: its pieces, ascending.
    pub fn push(&mut self, ray: impl IntoIterator<Item = Interval>) {
        self.pieces.extend(ray);
        self.close();
    }

    /// Number of rays.
    pub const fn count(&self) -> usize {
        self.ends.len()
    }

    /// The rays in order, each with its pieces ascending.
    pub fn rays(&self) -> impl Iterator<Item = &[Interval]> {
        let mut start = 0;
        self.ends.iter().map(move |end| {
            let range = start..*end as usize;
            start = range.end;
            self.pieces.get(range).unwrap_or_default()
        })
    }

    fn close(&mut self) {
        // A row of more than u32::MAX pieces would take 64 GB; the budget forbids it long before.
        self.ends.push(u32::try_from(self.pieces.len()).unwrap_or(u32::MAX));
    }
}

/// The end of a ray that lies outermost in some direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Outermost {
    /// The end, nm.
    pub end: i32,
    /// Number of the ray along the grid's `u`.
    pub i: u32,
    /// Its row.
    pub j: u32,
}

impl Stock {
    /// Reads row `j` (along v) of the rays along an axis; no rays outside the grid.
    pub fn row(&self, axis: Axis, j: u32, out: &mut Row) {
        out.clear();
        for band in self.along(axis).bands_of_row(j) {
            let first = ((j - band.rows.first) % SIDE * SIDE) as usize;
            for i in band.columns.numbers().step_by(SIDE as usize) {
                let rays = SIDE.min(band.columns.numbers().end - i) as usize;
                let (block, packet, _) = band.place(i, j);
                let Some(block) = band.blocks.get(block) else { continue };
                for lane in first..first + rays {
                    let start = out.pieces.len();
                    out.pieces.extend(block.slots_of(packet).filter_map(|slot| slot.piece(lane)));
                    if let Some(ray) = out.pieces.get_mut(start..).filter(|ray| ray.len() > 1) {
                        ray.sort_unstable_by_key(|p| p.low);
                    }
                    out.close();
                }
            }
        }
    }

    /// The pieces of a ray, in no order; none outside the grid. Quicker than [`Stock::ray`].
    #[inline(always)]
    pub(crate) fn pieces_on(&self, axis: Axis, i: u32, j: u32) -> PiecesOn<'_> {
        let Some(band) = self.along(axis).band_of(i, j) else { return PiecesOn { slots: None, lane: 0 } };
        let (block, packet, lane) = band.place(i, j);
        PiecesOn { slots: band.blocks.get(block).map(|block| block.slots_of(packet)), lane }
    }

    /// The outermost end of all rays along an axis in its sense or against it; of equal ones the first by row, then
    /// along the row. `None` when nothing is left.
    pub fn outermost(&self, toward: Direction) -> Option<Outermost> {
        let bands = self.along(toward.axis).bands.par_iter();
        let found: Vec<Option<Outermost>> = bands.map(|band| outermost_of(band, toward.positive)).collect();
        let first = |a: Outermost, b: Outermost| {
            if before((b.end, b.j, b.i), &a, toward.positive) { b } else { a }
        };
        found.into_iter().flatten().reduce(first)
    }

    /// The volume that [`Stock::volume`] gives, without its bound, mm3: to the bit the same.
    pub fn amount(&self) -> f64 {
        let vectors = self.manner.vectors;
        let of = |band: &Band| *band.length.get_or_init(|| vectors.run(Length(band)));
        let seen = self
            .grids
            .each_ref()
            .map(|grid| float(grid.bands.par_iter().map(of).sum()) * (grid.layout.cell_area() / NM_PER_MM));
        seen.iter().sum::<f64>() / 3.0
    }
}

const fn beyond(a: i32, b: i32, positive: bool) -> bool {
    if positive { a > b } else { a < b }
}

/// The pieces of one ray.
pub(crate) struct PiecesOn<'a> {
    /// Those of its packet.
    slots: Option<SlotsOf<'a>>,
    lane: usize,
}

impl Iterator for PiecesOn<'_> {
    type Item = Interval;

    #[inline(always)]
    fn next(&mut self) -> Option<Interval> {
        loop {
            let piece = self.slots.as_mut()?.next()?.piece(self.lane);
            if piece.is_some() {
                return piece;
            }
        }
    }
}

/// Every slot of the packet around a ray. Only this place knows where a band keeps them.
fn slots_of(band: &Band, i: u32, j: u32) -> impl Iterator<Item = &Slot> {
    let (block, packet, _) = band.place(i, j);
    band.blocks.get(block).into_iter().flat_map(move |block| block.slots_of(packet))
}

/// Ends between which all material of the packet around a ray lies, nm, from the material itself; `None` when it has
/// none.
pub(super) fn reach(band: &Band, i: u32, j: u32) -> Option<(i32, i32)> {
    let (mut low, mut high) = ([i32::MAX; LANES], [i32::MIN; LANES]);
    for slot in slots_of(band, i, j) {
        for k in 0..LANES {
            let is_there = slot.low[k] < slot.high[k];
            low[k] = low[k].min(if is_there { slot.low[k] } else { i32::MAX });
            high[k] = high[k].max(if is_there { slot.high[k] } else { i32::MIN });
        }
    }
    let ends = (low.into_iter().fold(i32::MAX, i32::min), high.into_iter().fold(i32::MIN, i32::max));
    (ends.0 < ends.1).then_some(ends)
}

/// Adds up the length of all material of a band, nm; compiled for each width of vectors.
struct Length<'a>(&'a Band);

impl pulp::NullaryFnOnce for Length<'_> {
    type Output = i64;

    #[inline(always)]
    fn call(self) -> i64 {
        let mut sum = 0;
        for slot in self.0.blocks.iter().flat_map(Block::slots) {
            let nm: [u32; LANES] = std::array::from_fn(|k| {
                let is_there = slot.low[k] < slot.high[k];
                if is_there { slot.high[k].wrapping_sub(slot.low[k]).cast_unsigned() } else { 0 }
            });
            // In halves of 16 bits, which sixteen lanes cannot overflow and the compiler makes vectors of.
            let (upper, lower) = nm.iter().fold((0, 0), |(u, l), nm| (u + (nm >> 16), l + (nm & 0xffff)));
            sum += (i64::from(upper) << 16) + i64::from(lower);
        }
        sum
    }
}

fn outermost_of(band: &Band, positive: bool) -> Option<Outermost> {
    let mut best: Option<Outermost> = None;
    let most = |(bottom, top): (i32, i32)| if positive { top } else { bottom };
    let (columns, rows) = (band.columns.numbers(), band.rows.numbers());
    let blocks = rows.clone().step_by(BLOCK as usize).flat_map(|j| {
        let row = columns.clone().step_by(BLOCK as usize);
        row.map(move |i| (i, j))
    });
    for (i, j) in blocks {
        // A summary never claims too little: what it does not put before the best need not be looked at.
        let passed = |best: &Option<Outermost>, reach: (i32, i32), (i, j): (u32, u32)| {
            best.is_some_and(|b| !before((most(reach), j, i), &b, positive))
        };
        if band.block_reach(i, j).is_none_or(|reach| passed(&best, reach, (i, j))) {
            continue;
        }
        let up = (j..rows.end.min(j + BLOCK)).step_by(SIDE as usize);
        let across = (i..columns.end.min(i + BLOCK)).step_by(SIDE as usize);
        for (i, j) in up.flat_map(|j| across.clone().map(move |i| (i, j))) {
            if band.reach(i, j).is_none_or(|reach| passed(&best, reach, (i, j))) {
                continue;
            }
            for slot in slots_of(band, i, j) {
                for (lane, k) in (0..LANES).zip(0..) {
                    let (i, j) = (i + k % SIDE, j + k / SIDE);
                    let end = if positive { slot.high[lane] } else { slot.low[lane] };
                    let is_there = slot.low[lane] < slot.high[lane] && i < columns.end;
                    if is_there && best.is_none_or(|b| before((end, j, i), &b, positive)) {
                        best = Some(Outermost { end, i, j });
                    }
                }
            }
        }
    }
    best
}

/// True when an end (with its row and its number along the row) comes before the best so far.
fn before((end, j, i): (i32, u32, u32), best: &Outermost, positive: bool) -> bool {
    beyond(end, best.end, positive) || (end == best.end && (j, i) < (best.j, best.i))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutter::Body;
    use crate::geom::{Box3, Frame, Path, Vec3};
    use crate::job::RawStock;
    use crate::stock::CutId;
    use crate::sweep::Sweep;

    /// A block with a slanted groove, a ball's furrow, a hole, and what lies under a part of the furrow taken from below, so that
    /// rays hold up to three pieces, some of them none in the first slot of their packet, and the packets at the border are not
    /// full.
    fn cut() -> Stock {
        let block = Box3 { min: Vec3::zeros(), max: Vec3::new(7.3, 5.9, 3.1) };
        let mut stock = Stock::new(&RawStock::Box(block), 0.17).expect("a block");
        assert_eq!(stock.amount().to_bits(), stock.volume().0.to_bits());
        let line = |a: [f64; 3], b: [f64; 3]| Path::Line { from: Vec3::from(a), to: Vec3::from(b) };
        let mill = |r| Body::Frustum { z0: 0.0, z1: 9.0, r0: r, r1: r };
        let sweeps = [
            Sweep::new(mill(0.6), &line([-1.0, 1.0, 2.2], [9.0, 4.0, 1.7])),
            Sweep::new(Body::HalfBall { z0: 0.0, radius: 0.5 }, &line([1.0, 7.0, 1.0], [6.0, -1.0, 1.0])),
            Sweep::new(mill(0.4), &line([2.0, 2.0, 4.0], [2.0, 2.0, -1.0])),
            Sweep::new(
                Body::Frustum { z0: -9.0, z1: 0.0, r0: 0.3, r1: 0.3 },
                &line([3.2, 3.5, 1.2], [3.8, 2.5, 1.2]),
            ),
        ];
        for (sweep, n) in sweeps.into_iter().zip(1..) {
            stock.take_away(&Frame::part(), &[(CutId(n), sweep)]);
            assert_eq!(stock.amount().to_bits(), stock.volume().0.to_bits());
        }
        stock
    }

    #[test]
    fn rows_hold_the_rays_and_the_amount_is_the_volume() {
        let stock = cut();
        let (mut row, mut most, mut none_first) = (Row::default(), 0, 0);
        for axis in Axis::ALL {
            let (columns, rows) = (stock.grid(axis).u.count(), stock.grid(axis).v.count());
            for j in 0..rows {
                stock.row(axis, j, &mut row);
                assert_eq!(row.count(), columns as usize);
                for (ray, i) in row.rays().zip(0..) {
                    assert_eq!(ray, stock.ray(axis, i, j).as_slice(), "{axis:?} {i} {j}");
                    most = most.max(ray.len());
                    let mut pieces: Vec<Interval> = stock.pieces_on(axis, i, j).collect();
                    pieces.sort_by_key(|piece| piece.low);
                    assert_eq!(pieces, ray, "{axis:?} {i} {j}");
                    let band = stock.along(axis).band_of(i, j).unwrap();
                    let (block, packet, lane) = band.place(i, j);
                    let first = band.blocks[block].slots_of(packet).next().unwrap();
                    none_first += usize::from(!ray.is_empty() && !first.holds(lane));
                }
            }
            stock.row(axis, rows, &mut row);
            assert_eq!(row.count(), 0);
        }
        assert!(stock.pieces_on(Axis::Z, u32::MAX, 0).next().is_none());
        assert!(most >= 3 && none_first > 0, "{most} {none_first}");
        assert_eq!(stock.amount().to_bits(), stock.volume().0.to_bits());
    }

    #[test]
    fn the_outermost_end_is_the_first_of_the_farthest() {
        let stock = cut();
        for axis in Axis::ALL {
            for positive in [false, true] {
                let mut want: Option<Outermost> = None;
                for j in 0..stock.grid(axis).v.count() {
                    for i in 0..stock.grid(axis).u.count() {
                        let ray = stock.ray(axis, i, j);
                        let end =
                            if positive { ray.last().map(|p| p.high) } else { ray.first().map(|p| p.low) };
                        if let Some(end) = end
                            && want.is_none_or(|w| beyond(end, w.end, positive))
                        {
                            want = Some(Outermost { end, i, j });
                        }
                    }
                }
                assert_eq!(stock.outermost(Direction::new(axis, positive)), want);
            }
        }
    }
}
