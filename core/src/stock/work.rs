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

use super::across::Group;
use super::band::Band;
use super::block::BLOCK;
use super::gather::Gathered;
use super::layout::GridLayout;
use super::manner::{Manner, Records, Vectors};
use super::marks::{Marks, Summary};
use super::nm::mm_from_nm;
use super::op::{Op, OpMode};
use super::packet::{Cut16, Ints, LANES, Makers, SIDE, whole};
use super::places::{At, Places, Range, with_absent_freed};
use super::raymap::{Ends, RayMap};
use super::swept::{Lanes, ManyRays, Swept};
use super::tally::{Sides, Tallies, UNKNOWN};
use super::told::Told;
use super::upright::Upright;
use super::waiting::Waiting;
use crate::geom::{Axis, Frame, Spans, Vec3};
use smallvec::SmallVec;

/// One band at work, with its scratch memory.
pub(super) struct Worker<'a> {
    pub(super) band: &'a mut Band,
    layout: &'a GridLayout,
    frame: &'a Frame,
    pub(super) cull: bool,
    pub(super) tells: Tells,
    pub(super) vectors: Vectors,
    most_at_work: usize,
    pub(super) along: RayMap,
    /// Part axis along the spindle.
    spindle: Axis,
    /// True when heights of a prism run along u, so that each row is one of its lines.
    pub(super) by_rows: bool,
    pub(super) us: Places,
    pub(super) vs: Places,
    /// What is known of the blocks, field by field of 4 x 4.
    pub(super) fields: Vec<Marks>,
    mm: Spans,
    pub(super) waiting: Waiting,
    pub(super) group: Option<Box<Group>>,
    pub(super) upright: Upright,
    pub(super) gathered: Gathered,
    /// What the ops that are at work met.
    pub(super) tallies: Tallies,
    /// How far to the side the last one met what was counted at once, where something was.
    pub(super) sides: Sides,
    pub(super) has_sides: bool,
    /// What the ops that are done met.
    told: &'a mut Told,
}

/// What is told of what ops meet on the rays of this grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Tells {
    /// Sums and longest pieces.
    pub(super) volumes: bool,
    /// How far to the sides of their paths.
    pub(super) sides: bool,
}

/// An op, prepared for the rays of this grid, and its tally.
pub(super) struct Job<'a, S: Swept + 'a> {
    pub(super) op: &'a Op<S>,
    pub(super) rays: S::Rays<'a>,
    /// The ends that it has on every ray that it meets, where they are all the same.
    pub(super) same: Option<Ends>,
    /// Number of its tally.
    pub(super) tally: usize,
}

impl<'a> Worker<'a> {
    /// A band ready for work in a setup's frame; what each op meets, where it meets something, is told to `told`.
    pub(super) fn new(
        band: &'a mut Band,
        layout: &'a GridLayout,
        frame: &'a Frame,
        manner: Manner,
        told: &'a mut Told,
    ) -> Self {
        let along = RayMap::new(frame, layout.axis);
        let place = |of_v, i| along.setup_place(of_v, if of_v { layout.v.at(i) } else { layout.u.at(i) });
        let us = Places::of(layout.u.step(), band.columns, |k| k % SIDE as usize, |i| place(false, i));
        let vs = Places::of(layout.v.step(), band.rows, |k| k / SIDE as usize, |j| place(true, j));
        let spindle = frame.direction(Axis::Z).axis;
        let by_rows = spindle == layout.axis.others().0;
        if spindle != layout.axis {
            band.cover.turn_to(by_rows, if by_rows { vs.rays.len() } else { us.rays.len() });
        }
        let (bi, bj) = (band.across, (vs.rays.len() as u32) / BLOCK);
        let fields = vec![Marks::EMPTY; (bi.div_ceil(SIDE) * bj.div_ceil(SIDE)) as usize];
        let blocks = band.blocks.len();
        let upright = Upright::over(if spindle == layout.axis { band.blocks.len() } else { 0 });
        let gathered = Gathered::over(blocks);
        let mut worker = Self {
            band,
            layout,
            frame,
            cull: manner.cull,
            tells: Tells {
                volumes: manner.records != Records::Empty,
                sides: manner.records == Records::Whole && spindle == layout.axis,
            },
            vectors: manner.vectors,
            most_at_work: manner.at_work,
            along,
            spindle,
            by_rows,
            us,
            vs,
            fields,
            mm: Spans::new(),
            waiting: Waiting::default(),
            group: None,
            upright,
            gathered,
            tallies: Tallies::with_room(manner.at_work),
            sides: Sides::NONE,
            has_sides: false,
            told,
        };
        (0..blocks).for_each(|block| worker.renew_whole(block));
        worker
    }

    /// Takes note of what is known of a block after its packets have changed.
    #[inline(always)]
    pub(super) fn renew_whole(&mut self, block: usize) {
        let (bi, bj) = (block as u32 % self.band.across, block as u32 / self.band.across);
        let whole = self.band.blocks[block].whole();
        let field = self.field(bi / SIDE, bj / SIDE);
        self.fields[field].set((bj % SIDE * SIDE + bi % SIDE) as usize, whole);
    }

    /// What is known of a block.
    #[inline(always)]
    pub(super) fn whole(&self, bi: u32, bj: u32) -> Summary {
        self.fields[self.field(bi / SIDE, bj / SIDE)].of((bj % SIDE * SIDE + bi % SIDE) as usize)
    }

    #[inline(always)]
    pub(super) const fn field(&self, fi: u32, fj: u32) -> usize {
        (fj * self.band.across.div_ceil(SIDE) + fi) as usize
    }

    /// Which blocks of a field an op, which can be only in a part of the grid, can meet material in.
    #[inline(always)]
    pub(super) fn blocks_met(&self, range: &Range, fi: u32, fj: u32) -> u32 {
        let (columns, rows) = (blocks_of(range.i), blocks_of(range.j));
        let within = |from: u32, to: u32, first: u32| {
            let place = |n: u32| n.saturating_sub(first * SIDE).min(SIDE);
            ((1_u32 << place(to)) - 1) & !((1 << place(from)) - 1)
        };
        let (across, up) = (within(columns.0, columns.1, fi), within(rows.0, rows.1, fj));
        let inside = (0..SIDE).fold(0, |all, row| all | (across * (up >> row & 1)) << (row * SIDE));
        if !self.cull {
            return inside;
        }
        let ends = whole(Cut16 { low: [range.low; LANES], high: [range.high; LANES] });
        inside & self.fields[self.field(fi, fj)].met(&ends)
    }

    /// True when there may be anything left for an op that can be only in a part of the grid.
    #[inline(always)]
    fn is_open(&self, range: &Range) -> bool {
        // Written out, as in `Worker::first_open`.
        for fj in fields_of(range.j) {
            for fi in fields_of(range.i) {
                if self.blocks_met(range, fi, fj) != 0 {
                    return true;
                }
            }
        }
        !self.cull
    }

    /// Ends the work.
    #[inline(always)]
    pub(super) fn end<S: Swept>(mut self, mut jobs: Vec<Job<'_, S>>) {
        self.settle(&mut jobs);
    }

    /// Finishes the ops at work.
    #[inline(always)]
    fn settle<S: Swept>(&mut self, jobs: &mut Vec<Job<'_, S>>) {
        self.finish_waiting();
        self.finish_upright(jobs);
        self.finish_gathered(jobs);
        jobs.clear();
        self.tallies.tell(self.told);
    }

    /// Does one op, given with its number, which can be only in a part of the band, or lets it wait among the `jobs`
    /// at work. With `after` what one before it has taken, from which it goes on, is left out.
    #[inline(always)]
    pub(super) fn op<'b, S: Swept>(
        &mut self,
        jobs: &mut Vec<Job<'b, S>>,
        (number, op): (u32, &'b Op<S>),
        range: &Range,
        after: bool,
    ) {
        if range.is_empty() {
            return;
        }
        let is_prism = self.spindle != self.layout.axis && op.sweep.prism().is_some();
        let open = if is_prism { self.first_open(range) } else { None };
        if if is_prism { open.is_none() } else { !self.is_open(range) } {
            return;
        }
        if self.tallies.ops() >= self.most_at_work {
            self.settle(jobs);
        }
        let rays = op.sweep.rays(self.along.axis(), after);
        let same = self.along.same_ends(&rays);
        let tally = self.tallies.begin(number);
        if let Some(block) = open {
            self.finish_gathered_in(jobs, range);
            self.prism(&Job { op, rays, same, tally }, range, block);
        } else {
            self.finish_waiting();
            // Made where it is to lie: it is large.
            jobs.push(Job { op, rays, same, tally });
            if jobs.last().is_some_and(Job::gathers) {
                self.gather_all(jobs, range);
            } else {
                self.any_shape(jobs, range);
            }
        }
    }

    /// Any volume but one that gathers, field by field of 4 x 4 blocks.
    #[inline(always)]
    fn any_shape<S: Swept>(&mut self, jobs: &[Job<'_, S>], range: &Range) {
        let Some(job) = jobs.last() else { return };
        for fj in fields_of(range.j) {
            for fi in fields_of(range.i) {
                let mut met = self.blocks_met(range, fi, fj);
                if met == 0 {
                    continue;
                }
                if self.cull {
                    let (places, half) = self.field_places(fi, fj);
                    let reach = self.along.reach(&job.rays, places, half, job.same);
                    met &= self.fields[self.field(fi, fj)].met(&reach);
                }
                while met != 0 {
                    let k = met.trailing_zeros();
                    met &= met - 1;
                    self.any_block(jobs, fi * SIDE + k % SIDE, fj * SIDE + k / SIDE);
                }
            }
        }
        if std::mem::take(&mut self.has_sides) {
            self.tallies.add_sides(job.tally, self.sides.take());
        }
    }

    /// The middles of the blocks of a field, and how far their rays are from them.
    #[inline(always)]
    fn field_places(&self, fi: u32, fj: u32) -> ((&Lanes, &Lanes), (f64, f64)) {
        let places = (&self.us.fields[fi as usize], &self.vs.fields[fj as usize]);
        (places, (self.us.half_block, self.vs.half_block))
    }

    #[inline(always)]
    fn any_block<S: Swept>(&mut self, jobs: &[Job<'_, S>], bi: u32, bj: u32) {
        let Some(job) = jobs.last() else { return };
        let block = (bj * self.band.across + bi) as usize;
        if job.op.mode == OpMode::Cut
            && let Some(ends) = job.same
        {
            self.wait_upright(jobs, (bi, bj), ends);
            return;
        }
        let mut met = self.packets_met(job, bi, bj);
        if met == 0 {
            return;
        }
        if self.gathered.waits(block) {
            self.finish_gathered_on(jobs, block);
            met = self.packets_met(job, bi, bj);
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
        self.renew_whole(block);
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
        if job.op.mode != OpMode::Cut && self.tells.volumes {
            self.look(job, at, cut);
        }
        if job.op.mode == OpMode::Look {
            return;
        }
        let packet = at.packet as usize;
        let length = self.band.blocks[block].cut(packet, cut, &Makers::all(job.op.id.0));
        let void = with_absent_freed(at, &self.us, &self.vs, cut).common();
        self.band.blocks[block].renew(packet, void, length.is_some());
        let Some(length) = length.filter(|_| self.tells.volumes) else { return };
        self.count_on(job, at, &length);
    }

    /// Counts what an op met on the rays of a packet.
    #[inline(always)]
    pub(super) fn count_on<S: Swept>(&mut self, job: &Job<'_, S>, at: At, length: &Ints) {
        self.tallies.by_lanes(job.tally).count(length);
        if self.tells.sides {
            self.count_sides_on(job, at, length);
        }
    }

    /// Counts how far to the sides of its path an op met something on the rays of a packet.
    #[inline(always)]
    pub(super) fn count_sides_on<S: Swept>(&mut self, job: &Job<'_, S>, at: At, length: &Ints) {
        if let Some(beside) = self.beside(job, at) {
            self.tallies.by_lanes(job.tally).count_sides(length, &beside, UNKNOWN);
        }
    }

    /// True when the rays are along the spindle.
    #[inline(always)]
    pub(super) fn is_upright(&self) -> bool {
        self.layout.axis == self.spindle
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
        block.look(at.packet as usize, cut, |lane, low, high| {
            let (i, j) = (first_i + lane as u32 % SIDE, first_j + lane as u32 / SIDE);
            let ray = (self.band.columns.first + i, self.band.rows.first + j);
            let middle = middle_in_setup(layout, frame, ray, (low, high));
            if job.op.mode == OpMode::Look {
                self.tallies.look(job.tally, high - low);
            }
            self.tallies.keep(job.tally, layout.axis, ray, (low, high), job.op.sweep.when(&middle));
        });
    }
}

/// The blocks along one direction, and the fields, that hold rays of these numbers.
#[inline(always)]
const fn blocks_of((from, to): (u32, u32)) -> (u32, u32) {
    (from / BLOCK, to.div_ceil(BLOCK))
}

#[inline(always)]
pub(super) const fn fields_of((from, to): (u32, u32)) -> std::ops::Range<u32> {
    from / (SIDE * BLOCK)..to.div_ceil(SIDE * BLOCK)
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
