//! Ops brought to the packets of a band, in order.
//!
//! | swept volume | rays | lines evaluated |
//! |---|---|---|
//! | prism (same section at every height) | across its height | one per line of the section, for all heights |
//! | any other | any | one per ray of every packet that may lose something, sixteen at once where each has one span |
//!
//! Blocks, then packets, are passed over where their summary shows that the volume cannot meet material there.

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "places are tabled for whole blocks; lanes and packets count to 16"
)]

use super::band::{Band, Stretch};
use super::block::BLOCK;
use super::cover::Fresh;
use super::layout::{GridLayout, RayLine};
use super::nm::{FAR, mm_from_nm, nm_from_mm};
use super::op::{Op, OpMode};
use super::packet::{Cut16, LANES, SIDE};
use super::raymap::RayMap;
use super::swept::{Lanes, ManyRays, Swept};
use super::tally::Tally;
use crate::geom::{Axis, Box3, Frame, Spans, Vec3};
use smallvec::SmallVec;

/// Volumes that reach over more rays than this are narrowed down for each row of blocks.
const WIDE: u32 = 8 * BLOCK;

/// One band at work, with its scratch memory.
pub(super) struct Worker<'a> {
    band: &'a mut Band,
    layout: &'a GridLayout,
    frame: &'a Frame,
    cull: bool,
    along: RayMap,
    /// Part axis along the spindle.
    spindle: Axis,
    us: Places,
    vs: Places,
    mm: Spans,
}

/// Places of rays along one direction of the grid, spread over the lanes of packets, for whole blocks.
struct Places {
    rays: Vec<f64>,
    /// For each packet along this direction the places of its sixteen rays.
    packets: Vec<Lanes>,
    /// For each block along this direction the middles of its sixteen packets.
    middles: Vec<Lanes>,
    /// Rays that there are; the others only fill the last block.
    count: u32,
    /// Half the width of four rays.
    half: f64,
}

impl Places {
    /// `lane` tells which of the four rays (or packets) along this direction a lane (or packet) belongs to.
    fn of(line: &RayLine, own: Stretch, lane: impl Fn(usize) -> usize) -> Self {
        let Stretch { first, count } = own;
        let rays: Vec<f64> = (first..first + count.next_multiple_of(BLOCK)).map(|i| line.at(i)).collect();
        let side = SIDE as usize;
        let spread = |four: &[f64]| -> Lanes { std::array::from_fn(|k| four[lane(k)]) };
        let packets = rays.chunks_exact(side).map(spread).collect();
        let middles: Vec<f64> = rays.chunks_exact(side).map(|c| 0.5 * (c[0] + c[side - 1])).collect();
        let middles = middles.chunks_exact(side).map(spread).collect();
        Self { rays, packets, middles, count, half: 0.5 * line.step() * f64::from(SIDE - 1) }
    }

    /// The sixteen places of a block.
    #[inline(always)]
    fn block(&self, block: u32) -> Lanes {
        let at = (block * BLOCK) as usize;
        std::array::from_fn(|k| self.rays[at + k])
    }
}

/// Where in a grid an op can be: rays `i.0..i.1` of rows `j.0..j.1`, and ends along the rays.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    pub(super) i: (u32, u32),
    pub(super) j: (u32, u32),
    low: i32,
    high: i32,
}

impl Range {
    /// The rays that lie in a box of the part. Rounding may make the ends a nanometre too near; an overlap of a nanometre
    /// is no cut.
    pub(super) fn of(layout: &GridLayout, bounds: &Box3) -> Self {
        let (u, v) = layout.axis.others();
        Self {
            i: layout.u.between(u.of(&bounds.min), u.of(&bounds.max)),
            j: layout.v.between(v.of(&bounds.min), v.of(&bounds.max)),
            low: nm_from_mm(layout.axis.of(&bounds.min)),
            high: nm_from_mm(layout.axis.of(&bounds.max)),
        }
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.i.0 >= self.i.1 || self.j.0 >= self.j.1
    }

    /// The part in a band, rays counted from its first.
    fn in_band(self, band: &Band) -> Self {
        Self { i: band.columns.inside(self.i), j: band.rows.inside(self.j), ..self }
    }
}

/// An op, prepared for the rays of this grid, its tally and where along the rays it can be.
struct Job<'a, 'b, S: Swept + 'a> {
    op: &'a Op<S>,
    rays: S::Rays<'a>,
    tally: &'b mut Tally,
    low: i32,
    high: i32,
}

/// A packet: block along u and v, and its number in the block.
#[derive(Clone, Copy)]
struct At {
    bi: u32,
    bj: u32,
    packet: u32,
}

impl At {
    /// Number of the packet along u and along v.
    #[inline(always)]
    const fn packets(self) -> (usize, usize) {
        let (i, j) = (self.bi * SIDE + self.packet % SIDE, self.bj * SIDE + self.packet / SIDE);
        (i as usize, j as usize)
    }

    /// First ray along u and row of the packet.
    #[inline(always)]
    const fn first(self) -> (u32, u32) {
        (self.bi * BLOCK + self.packet % SIDE * SIDE, self.bj * BLOCK + self.packet / SIDE * SIDE)
    }
}

impl<'a> Worker<'a> {
    /// A band ready for work in a setup's frame.
    pub(super) fn new(band: &'a mut Band, layout: &'a GridLayout, frame: &'a Frame, cull: bool) -> Self {
        let us = Places::of(&layout.u, band.columns, |k| k % SIDE as usize);
        let vs = Places::of(&layout.v, band.rows, |k| k / SIDE as usize);
        let spindle = frame.direction(Axis::Z).axis;
        let along = RayMap::new(frame, layout.axis);
        if spindle != layout.axis {
            let by_rows = spindle == layout.axis.others().0;
            band.cover.turn_to(by_rows, if by_rows { vs.rays.len() } else { us.rays.len() });
        }
        Self { band, layout, frame, cull, along, spindle, us, vs, mm: Spans::new() }
    }

    /// Does one op, which can be only in a part of the grid.
    #[inline(always)]
    pub(super) fn op<S: Swept>(&mut self, op: &Op<S>, range: &Range, tally: &mut Tally) {
        let range = range.in_band(self.band);
        if range.is_empty() {
            return;
        }
        let axis = self.layout.axis;
        let rays = op.sweep.rays(self.along.axis());
        let mut job = Job { op, rays, tally, low: range.low, high: range.high };
        if self.spindle != axis && op.sweep.prism().is_some() {
            self.prism(&mut job, range, self.spindle == axis.others().0);
        } else {
            self.any_shape(&mut job, range);
        }
    }

    /// Any volume, block by block.
    #[inline(always)]
    fn any_shape<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, range: Range) {
        let mut columns = range.i.0 / BLOCK..range.i.1.div_ceil(BLOCK);
        for bj in range.j.0 / BLOCK..range.j.1.div_ceil(BLOCK) {
            if self.cull && range.i.1 - range.i.0 > WIDE {
                columns = self.columns_of_row(job, range, bj);
            }
            for bi in columns.clone() {
                let block = (bj * self.band.across + bi) as usize;
                if self.cull && self.band.blocks[block].whole.clears(job.low, job.high) {
                    continue;
                }
                self.any_block(job, bi, bj);
            }
        }
    }

    /// The blocks of a row that the volume can meet.
    fn columns_of_row<S: Swept>(&self, job: &Job<'_, '_, S>, range: Range, bj: u32) -> std::ops::Range<u32> {
        let first = (bj * BLOCK) as usize;
        let (low, high) = (self.vs.rays[first], self.vs.rays[first + BLOCK as usize - 1]);
        let (from, to) = self.along.narrow(&job.rays, (low, high));
        // Half a ray's distance more covers all rounding.
        let met = self.layout.u.between(from - self.us.half, to + self.us.half);
        let (start, end) = self.band.columns.inside(met);
        let (start, end) = (start.max(range.i.0), end.min(range.i.1));
        if start < end { start / BLOCK..end.div_ceil(BLOCK) } else { 0..0 }
    }

    #[inline(always)]
    fn any_block<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, bi: u32, bj: u32) {
        let block = (bj * self.band.across + bi) as usize;
        let mut met = if self.cull {
            let (u, v) = (&self.us.middles[bi as usize], &self.vs.middles[bj as usize]);
            let reach = self.along.reach(&job.rays, u, v, (self.us.half, self.vs.half));
            self.band.blocks[block].marks.met(&reach)
        } else {
            self.present(bi, bj)
        };
        if met == 0 {
            return;
        }
        while met != 0 {
            let at = At { bi, bj, packet: met.trailing_zeros() };
            met &= met - 1;
            let (i, j) = at.packets();
            if job.rays.single() {
                let cut = self.along.cut(&job.rays, &self.us.packets[i], &self.vs.packets[j]);
                self.apply(job, at, &cut);
            } else {
                let (u, v) = (self.us.packets[i], self.vs.packets[j]);
                for cut in self.layers(job, &u, &v) {
                    self.apply(job, at, &cut);
                }
            }
        }
        self.band.blocks[block].renew_whole();
    }

    /// The packets of a block that there are.
    fn present(&self, bi: u32, bj: u32) -> u32 {
        (0..LANES as u32)
            .filter(|p| {
                let (i, j) = At { bi, bj, packet: *p }.first();
                i < self.us.count && j < self.vs.count
            })
            .fold(0, |bits, p| bits | 1 << p)
    }

    /// The spans of sixteen rays of a volume with several a ray, one layer for each that a ray can have.
    #[inline(always)]
    fn layers<S: Swept>(&mut self, job: &Job<'_, '_, S>, u: &Lanes, v: &Lanes) -> SmallVec<[Cut16; 2]> {
        let mut layers = SmallVec::<[Cut16; 2]>::new();
        for k in 0..LANES {
            self.along.nm_spans(&job.op.sweep, (u[k], v[k]), &mut self.mm, |n, low, high| {
                if layers.len() == n {
                    layers.push(Cut16::NONE);
                }
                if let Some(layer) = layers.get_mut(n) {
                    layer.low[k] = low;
                    layer.high[k] = high;
                }
            });
        }
        layers
    }

    /// Rays across the height of a prism: one line of its section for each row (heights along u) or for each column
    /// (heights along v) serves all its rays.
    #[inline(always)]
    fn prism<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, range: Range, by_rows: bool) {
        let (lines, heights) = if by_rows { (range.j, range.i) } else { (range.i, range.j) };
        // Any height will do.
        let up = if by_rows { &self.us.rays } else { &self.vs.rays };
        let middle = [up[heights.0.midpoint(heights.1 - 1) as usize]; LANES];
        for block in lines.0 / BLOCK..lines.1.div_ceil(BLOCK) {
            if self.cull && self.is_covered(block, lines, heights, (range.low, range.high)) {
                continue;
            }
            let mut layers = SmallVec::<[Cut16; 2]>::new();
            let at = if by_rows { self.vs.block(block) } else { self.us.block(block) };
            let (u, v) = if by_rows { (&middle, &at) } else { (&at, &middle) };
            let mut layer = if job.rays.single() {
                self.along.cut(&job.rays, u, v)
            } else {
                layers = self.layers(job, u, v);
                layers.pop().unwrap_or(Cut16::NONE)
            };
            // Pieces of one ray are apart, so their order does not matter.
            loop {
                self.prism_lines(job, (block, by_rows), heights, &layer);
                match layers.pop() {
                    Some(next) => layer = next,
                    None => break,
                }
            }
        }
    }

    /// True when nothing can be left on a block's lines where an op can be.
    #[inline(always)]
    fn is_covered(&self, block: u32, lines: (u32, u32), heights: (u32, u32), ends: (i32, i32)) -> bool {
        let first = block * BLOCK;
        let lane = |n: u32| n.saturating_sub(first).min(BLOCK).cast_signed();
        let heights = (heights.0.cast_signed(), heights.1.cast_signed());
        self.band.cover.holds(heights, block, (lane(lines.0), lane(lines.1)), ends)
    }

    /// One layer of a block's lines, brought to the blocks along the height.
    #[inline(always)]
    fn prism_lines<S: Swept>(
        &mut self,
        job: &mut Job<'_, '_, S>,
        (block, by_rows): (u32, bool),
        heights: (u32, u32),
        lines: &Cut16,
    ) {
        let all = (heights.0.cast_signed(), heights.1.cast_signed());
        let fresh = self.band.cover.fresh(all, block, lines, self.cull);
        let (whole, new) = fresh.whole();
        if self.cull && new.0 >= new.1 {
            return;
        }
        let side = SIDE as usize;
        let groups = if by_rows { spread(lines, |k| k / side) } else { spread(lines, |k| k % side) };
        for up in blocks_of(if self.cull { new } else { all }) {
            let (bi, bj) = if by_rows { (up, block) } else { (block, up) };
            let at = (bj * self.band.across + bi) as usize;
            let mut met = if self.cull {
                let summary = &self.band.blocks[at];
                if summary.whole.clears(whole.0, whole.1) {
                    continue;
                }
                summary.marks.met(&reach_of(&fresh, up, by_rows))
            } else {
                self.present(bi, bj)
            };
            if met == 0 {
                continue;
            }
            while met != 0 {
                let at = At { bi, bj, packet: met.trailing_zeros() };
                met &= met - 1;
                let (i, j) = at.first();
                let (column, row) = (at.packet as usize % side, at.packet as usize / side);
                let (group, first) = if by_rows { (row, i) } else { (column, j) };
                if heights.0 <= first && first + SIDE <= heights.1 {
                    self.apply(job, at, &groups[group]);
                } else {
                    let cut = limited(&groups[group], heights, first, by_rows);
                    self.apply(job, at, &cut);
                }
            }
            self.band.blocks[at].renew_whole();
        }
        if job.op.mode != OpMode::Look {
            self.band.cover.note(all, block, lines);
        }
    }

    /// Does to one packet what the op says.
    #[inline(always)]
    fn apply<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, at: At, cut: &Cut16) {
        let block = (at.bj * self.band.across + at.bi) as usize;
        if job.op.mode != OpMode::Cut {
            self.look(job, at, cut);
            if job.op.mode == OpMode::Look {
                return;
            }
        }
        let (i, j) = at.first();
        let inner = i + SIDE <= self.us.count && j + SIDE <= self.vs.count;
        let packet = at.packet as usize;
        let length = if inner {
            self.band.blocks[block].cut(packet, cut, job.op.id)
        } else {
            let cut = self.with_absent_freed(at, cut);
            self.band.blocks[block].cut(packet, &cut, job.op.id)
        };
        let Some(length) = length else { return };
        job.tally.count(&length);
        if self.layout.axis == self.spindle
            && let Some(beside) = self.beside(job, at)
        {
            job.tally.count_beside(&length, &beside);
        }
    }

    #[inline(always)]
    fn beside<S: Swept>(&self, job: &Job<'_, '_, S>, at: At) -> Option<Lanes> {
        let (i, j) = at.packets();
        self.along.beside(&job.rays, &self.us.packets[i], &self.vs.packets[j])
    }

    /// Keeps where a cut meets material, for the report.
    #[inline(never)]
    fn look<S: Swept>(&self, job: &mut Job<'_, '_, S>, at: At, cut: &Cut16) {
        let (layout, frame) = (self.layout, self.frame);
        let (first_i, first_j) = at.first();
        let block = &self.band.blocks[(at.bj * self.band.across + at.bi) as usize];
        block.look(at.packet as usize, cut, |lane, low, high| {
            let (i, j) = (first_i + lane as u32 % SIDE, first_j + lane as u32 / SIDE);
            let ray = (self.band.columns.first + i, self.band.rows.first + j);
            let middle = middle_in_setup(layout, frame, ray, (low, high));
            if job.op.mode == OpMode::Look {
                job.tally.look(high - low);
            }
            job.tally.keep(layout.axis, ray, (low, high), job.op.sweep.when(&middle));
        });
    }

    /// Lanes of a packet at the border of the grid that stand for no ray count as taken whole, so that they never
    /// keep a packet from being known as void.
    #[inline(never)]
    fn with_absent_freed(&self, at: At, cut: &Cut16) -> Cut16 {
        let (i, j) = at.first();
        let mut cut = *cut;
        for lane in 0..LANES {
            if i + (lane as u32 % SIDE) >= self.us.count || j + (lane as u32 / SIDE) >= self.vs.count {
                cut.low[lane] = -FAR;
                cut.high[lane] = FAR;
            }
        }
        cut
    }
}

/// The lines of a block in four groups, each spread over the lanes of a packet.
#[inline(always)]
fn spread(lines: &Cut16, lane: impl Fn(usize) -> usize) -> [Cut16; SIDE as usize] {
    let mut out = [Cut16::NONE; SIDE as usize];
    for (g, cut) in out.iter_mut().enumerate() {
        for k in 0..LANES {
            cut.low[k] = lines.low[g * SIDE as usize + lane(k)];
            cut.high[k] = lines.high[g * SIDE as usize + lane(k)];
        }
    }
    out
}

/// A cut only on rays whose number along the height is in a range; `first` is that of the packet's first.
#[inline(always)]
fn limited(cut: &Cut16, heights: (u32, u32), first: u32, by_rows: bool) -> Cut16 {
    let mut cut = *cut;
    for k in 0..LANES {
        let n = first + if by_rows { k as u32 % SIDE } else { k as u32 / SIDE };
        let inside = heights.0 <= n && n < heights.1;
        cut.low[k] = if inside { cut.low[k] } else { FAR };
        cut.high[k] = if inside { cut.high[k] } else { -FAR };
    }
    cut
}

/// Where a prism's lines hold anything new for each packet of the block that is number `up` along the height.
#[inline(always)]
fn reach_of(fresh: &Fresh, up: u32, by_rows: bool) -> Cut16 {
    let side = SIDE as usize;
    let mut reach = Cut16::NONE;
    for p in 0..LANES {
        let (group, place) = if by_rows { (p / side, p % side) } else { (p % side, p / side) };
        let first = (up * BLOCK + place as u32 * SIDE).cast_signed();
        let new = (first < fresh.to[group]) & (fresh.from[group] < first + SIDE.cast_signed());
        reach.low[p] = if new { fresh.low[group] } else { FAR };
        reach.high[p] = if new { fresh.high[group] } else { -FAR };
    }
    reach
}

/// The blocks that hold rays of these numbers.
#[inline(always)]
fn blocks_of((from, to): (i32, i32)) -> std::ops::Range<u32> {
    if from < to { from.cast_unsigned() / BLOCK..to.cast_unsigned().div_ceil(BLOCK) } else { 0..0 }
}

/// Middle of a piece of material, setup frame, mm.
fn middle_in_setup(layout: &GridLayout, frame: &Frame, ray: (u32, u32), ends: (i32, i32)) -> Vec3 {
    let (u, v) = layout.axis.others();
    let mut p = Vec3::zeros();
    u.set(&mut p, layout.u.at(ray.0));
    v.set(&mut p, layout.v.at(ray.1));
    layout.axis.set(&mut p, 0.5 * (mm_from_nm(ends.0) + mm_from_nm(ends.1)));
    frame.setup_from_part(&p)
}
