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
use super::layout::GridLayout;
use super::manner::Manner;
use super::model::of_axis;
use super::nm::{FAR, mm_from_nm, nm_from_mm};
use super::op::{Op, OpMode};
use super::packet::{Cut16, LANES, Makers, SIDE};
use super::raymap::{Ends, RayMap};
use super::swept::{Lanes, ManyRays, Swept};
use super::tally::{Sum, Tally};
use super::upright::Upright;
use super::waiting::Waiting;
use crate::geom::{Axis, Box3, Frame, Spans, Vec3};
use smallvec::SmallVec;

/// One band at work, with its scratch memory.
pub(super) struct Worker<'a> {
    pub(super) band: &'a mut Band,
    layout: &'a GridLayout,
    frame: &'a Frame,
    pub(super) cull: bool,
    at_work: usize,
    pub(super) along: RayMap,
    /// Part axis along the spindle.
    spindle: Axis,
    /// True when heights of a prism run along u, so that each row is one of its lines.
    pub(super) by_rows: bool,
    pub(super) us: Places,
    pub(super) vs: Places,
    mm: Spans,
    pub(super) waiting: Waiting,
    pub(super) upright: Upright,
    /// Numbers and tallies of the ops that are at work.
    pub(super) tallies: Vec<(u32, Tally)>,
    /// What is told of the ops that are done.
    sums: Vec<(u32, Sum)>,
}

/// Places of rays along one direction of the grid, as the setup coordinate that belongs to it, spread over the lanes of
/// packets, for whole blocks.
pub(super) struct Places {
    pub(super) rays: Vec<f64>,
    /// For each packet along this direction the places of its sixteen rays.
    pub(super) packets: Vec<Lanes>,
    /// For each block along this direction the middles of its sixteen packets.
    middles: Vec<Lanes>,
    /// For each four blocks along this direction, a field, the middles of its sixteen blocks.
    fields: Vec<Lanes>,
    /// Rays that there are; the others only fill the last block.
    pub(super) count: u32,
    /// Half the width of the four rays of a packet, and of the sixteen of a block.
    half: f64,
    half_block: f64,
}

impl Places {
    /// `lane` tells which of the four rays (or packets) along this direction a lane (or packet) belongs to.
    fn of(step: f64, own: Stretch, lane: impl Fn(usize) -> usize, place: impl Fn(u32) -> f64) -> Self {
        let Stretch { first, count } = own;
        let rays: Vec<f64> = (first..first + count.next_multiple_of(BLOCK)).map(place).collect();
        let side = SIDE as usize;
        let spread = |four: &[f64]| -> Lanes { std::array::from_fn(|k| four[lane(k)]) };
        let packets = rays.chunks_exact(side).map(spread).collect();
        let middle = |own: &[f64]| 0.5 * (own[0] + own[own.len() - 1]);
        let middles: Vec<f64> = rays.chunks_exact(side).map(middle).collect();
        let mut blocks: Vec<f64> = rays.chunks_exact(BLOCK as usize).map(middle).collect();
        let (packets, middles) = (packets, middles.chunks_exact(side).map(spread).collect());
        blocks.resize(blocks.len().next_multiple_of(side), f64::NAN);
        let fields = blocks.chunks_exact(side).map(spread).collect();
        let half = |rays: u32| 0.5 * step * f64::from(rays - 1);
        Self { rays, packets, middles, fields, count, half: half(SIDE), half_block: half(BLOCK) }
    }

    /// The sixteen places of a block.
    #[inline(always)]
    pub(super) fn block(&self, block: u32) -> Lanes {
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
    /// The rays of the grids along X, Y and Z that lie in a box of the part. Rounding may make the ends a nanometre too
    /// near; an overlap of a nanometre is no cut.
    pub(super) fn of(layouts: &[GridLayout; 3], bounds: &Box3) -> [Self; 3] {
        // Two grids each have their rays at the same places along an axis.
        let [along_x, along_y, along_z] = layouts;
        let places = [&along_z.u, &along_x.u, &along_y.u];
        let [x, y, z] = Axis::ALL.map(|a| of_axis(&places, a).between(a.of(&bounds.min), a.of(&bounds.max)));
        let of = |axis: Axis, i, j| {
            let (low, high) = (nm_from_mm(axis.of(&bounds.min)), nm_from_mm(axis.of(&bounds.max)));
            Self { i, j, low, high }
        };
        [of(Axis::X, y, z), of(Axis::Y, z, x), of(Axis::Z, x, y)]
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
pub(super) struct Job<'a, S: Swept + 'a> {
    pub(super) op: &'a Op<S>,
    pub(super) rays: S::Rays<'a>,
    /// The ends that it has on every ray that it meets, where they are all the same.
    pub(super) same: Option<Ends>,
    /// Number of its tally.
    pub(super) tally: usize,
    pub(super) low: i32,
    pub(super) high: i32,
}

/// A packet: block along u and v, and its number in the block.
#[derive(Clone, Copy)]
pub(super) struct At {
    pub(super) bi: u32,
    pub(super) bj: u32,
    pub(super) packet: u32,
}

impl At {
    /// Number of the packet along u and along v.
    #[inline(always)]
    pub(super) const fn packets(self) -> (usize, usize) {
        let (i, j) = (self.bi * SIDE + self.packet % SIDE, self.bj * SIDE + self.packet / SIDE);
        (i as usize, j as usize)
    }

    /// First ray along u and row of the packet.
    #[inline(always)]
    pub(super) const fn first(self) -> (u32, u32) {
        (self.bi * BLOCK + self.packet % SIDE * SIDE, self.bj * BLOCK + self.packet / SIDE * SIDE)
    }
}

impl<'a> Worker<'a> {
    /// A band ready for work in a setup's frame.
    pub(super) fn new(band: &'a mut Band, layout: &'a GridLayout, frame: &'a Frame, manner: Manner) -> Self {
        let along = RayMap::new(frame, layout.axis);
        let place = |of_v, i| along.setup_place(of_v, if of_v { layout.v.at(i) } else { layout.u.at(i) });
        let us = Places::of(layout.u.step(), band.columns, |k| k % SIDE as usize, |i| place(false, i));
        let vs = Places::of(layout.v.step(), band.rows, |k| k / SIDE as usize, |j| place(true, j));
        let spindle = frame.direction(Axis::Z).axis;
        let by_rows = spindle == layout.axis.others().0;
        if spindle != layout.axis {
            band.cover.turn_to(by_rows, if by_rows { vs.rays.len() } else { us.rays.len() });
        }
        let upright = Upright::over(if spindle == layout.axis { band.blocks.len() } else { 0 });
        Self {
            band,
            layout,
            frame,
            cull: manner.cull,
            at_work: manner.at_work,
            along,
            spindle,
            by_rows,
            us,
            vs,
            mm: Spans::new(),
            waiting: Waiting::default(),
            upright,
            tallies: Vec::with_capacity(manner.at_work),
            sums: Vec::new(),
        }
    }

    /// Ends the work and tells what each op met, where it met something.
    #[inline(always)]
    pub(super) fn sums<S: Swept>(mut self, mut jobs: Vec<Job<'_, S>>) -> Vec<(u32, Sum)> {
        self.settle(&mut jobs);
        self.sums
    }

    /// Finishes the ops at work.
    #[inline(always)]
    fn settle<S: Swept>(&mut self, jobs: &mut Vec<Job<'_, S>>) {
        self.finish_waiting();
        self.finish_upright(jobs);
        jobs.clear();
        for (number, tally) in self.tallies.drain(..) {
            if let Some(sum) = tally.sum() {
                self.sums.push((number, sum));
            }
        }
    }

    /// Does one op, given with its number, which can be only in a part of the grid, or lets it wait among the `jobs`
    /// at work.
    #[inline(always)]
    pub(super) fn op<'b, S: Swept>(
        &mut self,
        jobs: &mut Vec<Job<'b, S>>,
        (number, op): (u32, &'b Op<S>),
        range: &Range,
    ) {
        let range = range.in_band(self.band);
        if range.is_empty() {
            return;
        }
        let axis = self.layout.axis;
        let rays = op.sweep.rays(self.along.axis());
        if self.tallies.len() >= self.at_work {
            self.settle(jobs);
        }
        let same = self.along.same_ends(&rays);
        jobs.push(Job { op, rays, same, tally: self.tallies.len(), low: range.low, high: range.high });
        self.tallies.push((number, Tally::default()));
        match jobs.last() {
            Some(job) if self.spindle != axis && op.sweep.prism().is_some() => {
                self.prism(job, range);
            }
            _ => {
                self.finish_waiting();
                self.any_shape(jobs, range);
            }
        }
    }

    /// Any volume, field by field of 4 x 4 blocks.
    #[inline(always)]
    fn any_shape<S: Swept>(&mut self, jobs: &[Job<'_, S>], range: Range) {
        let Some(job) = jobs.last() else { return };
        let columns = range.i.0 / BLOCK..range.i.1.div_ceil(BLOCK);
        let rows = range.j.0 / BLOCK..range.j.1.div_ceil(BLOCK);
        for fj in rows.start / SIDE..rows.end.div_ceil(SIDE) {
            for fi in columns.start / SIDE..columns.end.div_ceil(SIDE) {
                let mut met = 0_u32;
                for k in 0..LANES as u32 {
                    let (bi, bj) = (fi * SIDE + k % SIDE, fj * SIDE + k / SIDE);
                    if columns.contains(&bi) && rows.contains(&bj) {
                        let known = &self.band.blocks[(bj * self.band.across + bi) as usize].whole;
                        met |= u32::from(!self.cull || !known.clears(job.low, job.high)) << k;
                    }
                }
                if met == 0 {
                    continue;
                }
                let (u, v) = (&self.us.fields[fi as usize], &self.vs.fields[fj as usize]);
                let half = (self.us.half_block, self.vs.half_block);
                let reach = self.along.reach(&job.rays, (u, v), half, job.same);
                while met != 0 {
                    let k = met.trailing_zeros();
                    met &= met - 1;
                    let (bi, bj) = (fi * SIDE + k % SIDE, fj * SIDE + k / SIDE);
                    let known = &self.band.blocks[(bj * self.band.across + bi) as usize].whole;
                    let (low, high) = (reach.low[k as usize], reach.high[k as usize]);
                    if !self.cull || !(low >= high || known.clears(low, high)) {
                        self.any_block(jobs, bi, bj);
                    }
                }
            }
        }
    }

    #[inline(always)]
    fn any_block<S: Swept>(&mut self, jobs: &[Job<'_, S>], bi: u32, bj: u32) {
        let Some(job) = jobs.last() else { return };
        let block = (bj * self.band.across + bi) as usize;
        let mut met = self.packets_met(job, bi, bj);
        if met == 0 {
            return;
        }
        if job.same.is_some() && job.op.mode == OpMode::Cut {
            if self.upright.add(block, jobs.len() - 1, met) {
                self.finish_block(jobs, block);
            }
            return;
        }
        if self.upright.waits(block) {
            self.finish_block(jobs, block);
            met = self.packets_met(job, bi, bj);
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

    /// The packets of a block that a volume can meet material in.
    #[inline(always)]
    fn packets_met<S: Swept>(&self, job: &Job<'_, S>, bi: u32, bj: u32) -> u32 {
        if !self.cull {
            return self.present(bi, bj);
        }
        let (u, v) = (&self.us.middles[bi as usize], &self.vs.middles[bj as usize]);
        let reach = self.along.reach(&job.rays, (u, v), (self.us.half, self.vs.half), job.same);
        self.band.blocks[(bj * self.band.across + bi) as usize].marks.met(&reach)
    }

    /// The packets of a block that there are.
    pub(super) fn present(&self, bi: u32, bj: u32) -> u32 {
        (0..LANES as u32)
            .filter(|p| {
                let (i, j) = At { bi, bj, packet: *p }.first();
                i < self.us.count && j < self.vs.count
            })
            .fold(0, |bits, p| bits | 1 << p)
    }

    /// The spans of sixteen rays of a volume with several a ray, one layer for each that a ray can have.
    #[inline(always)]
    pub(super) fn layers<S: Swept>(
        &mut self,
        job: &Job<'_, S>,
        u: &Lanes,
        v: &Lanes,
    ) -> SmallVec<[Cut16; 2]> {
        let mut layers = SmallVec::<[Cut16; 2]>::new();
        self.along.nm_spans(&job.op.sweep, (u, v), &mut self.mm, |k, n, low, high| {
            if layers.len() == n {
                layers.push(Cut16::NONE);
            }
            if let Some(layer) = layers.get_mut(n) {
                layer.low[k] = low;
                layer.high[k] = high;
            }
        });
        layers
    }

    /// Does to one packet what the op says.
    #[inline(always)]
    pub(super) fn apply<S: Swept>(&mut self, job: &Job<'_, S>, at: At, cut: &Cut16) {
        let block = (at.bj * self.band.across + at.bi) as usize;
        if job.op.mode != OpMode::Cut {
            self.look(job, at, cut);
            if job.op.mode == OpMode::Look {
                return;
            }
        }
        let packet = at.packet as usize;
        let length = self.band.blocks[block].cut(packet, cut, &Makers::all(job.op.id.0));
        let void = with_absent_freed(at, &self.us, &self.vs, cut).common();
        self.band.blocks[block].renew(packet, void, length.is_some());
        let Some(length) = length else { return };
        let beside = if self.layout.axis == self.spindle { self.beside(job, at) } else { None };
        let tally = &mut self.tallies[job.tally].1;
        tally.count(&length);
        if let Some(beside) = beside {
            tally.count_beside(&length, &beside);
        }
    }

    #[inline(always)]
    pub(super) fn beside<S: Swept>(&self, job: &Job<'_, S>, at: At) -> Option<Lanes> {
        let (i, j) = at.packets();
        self.along.beside(&job.rays, &self.us.packets[i], &self.vs.packets[j])
    }

    /// Keeps where a cut meets material, for the report.
    #[inline(never)]
    fn look<S: Swept>(&mut self, job: &Job<'_, S>, at: At, cut: &Cut16) {
        let (layout, frame) = (self.layout, self.frame);
        let (first_i, first_j) = at.first();
        let block = &self.band.blocks[(at.bj * self.band.across + at.bi) as usize];
        let tally = &mut self.tallies[job.tally].1;
        block.look(at.packet as usize, cut, |lane, low, high| {
            let (i, j) = (first_i + lane as u32 % SIDE, first_j + lane as u32 / SIDE);
            let ray = (self.band.columns.first + i, self.band.rows.first + j);
            let middle = middle_in_setup(layout, frame, ray, (low, high));
            if job.op.mode == OpMode::Look {
                tally.look(high - low);
            }
            tally.keep(layout.axis, ray, (low, high), job.op.sweep.when(&middle));
        });
    }
}

/// Lanes of a packet at the border of the grid that stand for no ray count as taken whole, so that they never keep a
/// packet from being known as void.
pub(super) fn with_absent_freed(at: At, us: &Places, vs: &Places, cut: &Cut16) -> Cut16 {
    let (i, j) = at.first();
    let mut cut = *cut;
    if i + SIDE <= us.count && j + SIDE <= vs.count {
        return cut;
    }
    for lane in 0..LANES {
        if i + (lane as u32 % SIDE) >= us.count || j + (lane as u32 / SIDE) >= vs.count {
            cut.low[lane] = -FAR;
            cut.high[lane] = FAR;
        }
    }
    cut
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
