//! Moves that wait to be brought to the rays, block by block, while it is known what they will leave void: those of the lower
//! half of a ball on a line.
//!
//! The moves of a tool that goes over a surface come near every packet of rays a dozen times before the last has
//! passed, one after the other. They are collected for each block, and a packet sees those of them that come near it in
//! one visit: it is fetched once, and what is known of it is worked out once. What a move is sure to take from all rays of a
//! packet is taken into account while it waits, so that those behind it are not brought to where nothing will be left. This
//! changes no byte: on every ray the cuts come in the order of the program.

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "lists are tabled for all blocks; jobs are counted by the lists; lanes and packets count to 16"
)]

use super::above::Coming;
use super::block::{BLOCK, Near};
use super::nm::FAR;
use super::op::OpMode;
use super::packet::{Cut16, LANES, Makers, SIDE};
use super::places::{At, Range};
use super::raymap::Bounds;
use super::slopes::Voids;
use super::swept::{ManyRays, Swept};
use super::work::{Job, Worker, fields_of};
use crate::sweep::Around;

/// Moves that wait on a block at most: enough for a row of short moves to pass it, few enough to stay near the processor.
pub(super) const MOST: usize = 16;

/// A move that waits on a block.
#[derive(Clone, Copy, Debug)]
pub(super) struct Waits {
    /// Number of the job.
    pub(super) job: u32,
    /// The packets that it can meet.
    packets: u16,
    /// Where it touches their rays.
    touch: [u8; LANES],
    /// Over material up to here (upwards as the setup sees it, nm) its spans end above all of it.
    pub(super) open: i32,
}

/// Those of a block that come to one of its packets.
#[derive(Clone, Copy)]
pub(super) struct Visit<'a> {
    list: &'a [Waits],
    packet: u32,
    /// Their places in the list, a bit for each.
    bits: u32,
    /// Least of [`Waits::open`].
    pub(super) open: i32,
}

impl<'a> Visit<'a> {
    /// They, in order. Not a filter: whether one comes to a packet cannot be foreseen, and is asked several times.
    #[inline(always)]
    pub(super) const fn each(self) -> Visits<'a> {
        Visits { list: self.list, bits: self.bits }
    }

    /// Where one of them touches the rays of the packet.
    #[inline(always)]
    pub(super) const fn touch(self, one: &Waits) -> u8 {
        one.touch[self.packet as usize]
    }
}

/// See [`Visit::each`].
pub(super) struct Visits<'a> {
    list: &'a [Waits],
    bits: u32,
}

impl<'a> Iterator for Visits<'a> {
    type Item = &'a Waits;

    #[inline(always)]
    fn next(&mut self) -> Option<&'a Waits> {
        if self.bits == 0 {
            return None;
        }
        let n = self.bits.trailing_zeros() as usize;
        self.bits &= self.bits - 1;
        Some(&self.list[n])
    }
}

/// For each packet of a block the places in a list of those that come to it, a bit for each.
#[inline(always)]
fn by_packet(list: &[Waits]) -> [u32; LANES] {
    let mut bits = [0; LANES];
    for (n, one) in list.iter().enumerate() {
        let packets = u32::from(one.packets);
        for (p, bits) in bits.iter_mut().enumerate() {
            *bits |= (packets >> p & 1) << n;
        }
    }
    bits
}

/// What waits, block by block.
#[derive(Clone, Debug)]
pub(super) struct Gathered {
    lists: Vec<Vec<Waits>>,
    /// Blocks on which something waits, and perhaps some on which nothing does any more.
    busy: Vec<u32>,
    is_busy: Vec<bool>,
    /// Between which ends what waits on each block stays, packet by packet; on level rays.
    within: Vec<Cut16>,
    /// What is void on each block, where that is known.
    voids: Vec<Option<Box<Voids>>>,
    /// Room for what those that wait take from a packet.
    cuts: [Cut16; MOST],
    pub(super) coming: Coming,
}

impl Gathered {
    /// For so many blocks.
    pub(super) fn over(blocks: usize) -> Self {
        Self {
            lists: vec![Vec::new(); blocks],
            busy: Vec::new(),
            is_busy: vec![false; blocks],
            within: vec![Cut16::NONE; blocks],
            voids: Vec::new(),
            cuts: [Cut16::NONE; MOST],
            coming: Coming::EMPTY,
        }
    }

    /// Lets a move wait, and tells how many do.
    #[inline(always)]
    fn add(&mut self, block: usize, waits: Waits) -> usize {
        if !self.is_busy[block] {
            self.is_busy[block] = true;
            self.busy.push(block as u32);
        }
        let list = &mut self.lists[block];
        list.push(waits);
        list.len()
    }

    /// True when something waits on a block.
    #[inline(always)]
    pub(super) fn waits(&self, block: usize) -> bool {
        self.lists.get(block).is_some_and(|list| !list.is_empty())
    }
}

impl<S: Swept> Job<'_, S> {
    /// True when it may wait here: it tells no places, and while it waits it is known what it will leave void.
    #[inline(always)]
    pub(super) fn gathers(&self) -> bool {
        self.op.mode == OpMode::Cut && self.rays.tells_planes()
    }
}

impl Worker<'_> {
    /// Does everything that waits.
    #[inline(always)]
    pub(super) fn finish_gathered<S: Swept>(&mut self, jobs: &[Job<'_, S>]) {
        while let Some(block) = self.gathered.busy.pop() {
            self.gathered.is_busy[block as usize] = false;
            self.finish_gathered_on(jobs, block as usize);
        }
    }

    /// Does everything that waits in a part of the band.
    #[inline(always)]
    pub(super) fn finish_gathered_in<S: Swept>(&mut self, jobs: &[Job<'_, S>], range: &Range) {
        let inside = |(from, to): (u32, u32), n: u32| from / BLOCK <= n && n < to.div_ceil(BLOCK);
        for n in 0..self.gathered.busy.len() {
            let block = self.gathered.busy[n];
            if inside(range.i, block % self.band.across) && inside(range.j, block / self.band.across) {
                self.finish_gathered_on(jobs, block as usize);
            }
        }
    }

    /// Lets the last job wait on all blocks where it can meet material.
    #[inline(always)]
    pub(super) fn gather_all<S: Swept>(&mut self, jobs: &[Job<'_, S>], range: &Range) {
        self.vectors.run(Gather { worker: self, jobs, range });
    }

    /// The same, field by field of 4 x 4 blocks.
    #[inline(always)]
    fn gather_in_fields<S: Swept>(&mut self, jobs: &[Job<'_, S>], range: &Range) {
        let Some(job) = jobs.last() else { return };
        // One for all of them: it is large.
        let mut bounds = Bounds::NONE;
        for fj in fields_of(range.j) {
            for fi in fields_of(range.i) {
                let mut met = self.blocks_met(range, fi, fj);
                if met == 0 {
                    continue;
                }
                if self.cull {
                    let places = (&self.us.around_fields[fi as usize], &self.vs.around_fields[fj as usize]);
                    let half = (self.us.half_block, self.vs.half_block);
                    if self.along.bounds(&job.rays, places, half, &mut bounds) {
                        met &= self.fields[self.field(fi, fj)].met(&bounds.reach);
                    }
                }
                while met != 0 {
                    let k = met.trailing_zeros();
                    met &= met - 1;
                    self.gather(jobs, (fi * SIDE + k % SIDE, fj * SIDE + k / SIDE), &mut bounds);
                }
            }
        }
    }

    /// Lets the last job wait on a block, where it can meet material, with room for its bounds there.
    #[inline(always)]
    fn gather<S: Swept>(&mut self, jobs: &[Job<'_, S>], (bi, bj): (u32, u32), room: &mut Bounds) {
        let Some(job) = jobs.last() else { return };
        let block = (bj * self.band.across + bi) as usize;
        let half = (self.us.half, self.vs.half);
        let is_bounded = self.cull && self.along.bounds(&job.rays, self.around(bi, bj), half, room);
        let bounds = is_bounded.then_some(&*room);
        if self.upright.waits(block) {
            self.finish_block(jobs, block);
        }
        let packets = match bounds {
            Some(bounds) => self.packets_left(block, bounds),
            None => self.present(bi, bj),
        };
        if packets == 0 {
            return;
        }
        let touch = bounds.map_or([0; LANES], |bounds| bounds.touch);
        let (job_number, packets, open) = (jobs.len() as u32 - 1, packets as u16, self.along.open(&job.rays));
        let waits = Waits { job: job_number, packets, touch, open };
        let count = self.gathered.add(block, waits);
        if !self.is_upright() {
            self.gathered.within[block].widen(bounds.map_or(&Cut16::ALL, |bounds| &bounds.reach));
        }
        if let Some(bounds) = bounds
            && let Some(sure) = self.along.sure(&job.rays, self.around(bi, bj), bounds)
        {
            self.expect(block, bounds, &sure);
        }
        if count >= MOST {
            self.finish_gathered_on(jobs, block);
        } else if count.is_multiple_of(4) {
            // Not each time: it only saves coming here.
            self.renew_whole(block);
        }
    }

    /// The middles of the packets of a block.
    #[inline(always)]
    fn around(&self, bi: u32, bj: u32) -> (&Around<LANES>, &Around<LANES>) {
        (&self.us.around_middles[bi as usize], &self.vs.around_middles[bj as usize])
    }

    /// The packets of a block in which a move may find something, after those that wait.
    #[inline(always)]
    fn packets_left(&self, block: usize, bounds: &Bounds) -> u32 {
        let met = self.band.blocks[block].marks.met(&bounds.reach);
        match self.gathered.voids.get(block) {
            Some(Some(voids)) if met != 0 => met & !voids.hold(&bounds.planes, bounds.half),
            _ => met,
        }
    }

    /// Takes into account what a move that waits will leave void.
    #[inline(always)]
    fn expect(&mut self, block: usize, bounds: &Bounds, sure: &Cut16) {
        let [bottom, top] = self.band.blocks[block].expect_of_all(sure);
        if !self.is_upright() {
            return;
        }
        let open = if self.along.is_turned() { [&top, &bottom] } else { [&bottom, &top] };
        let voids = &mut self.gathered.voids;
        if voids.len() <= block {
            voids.resize_with(block + 1, || None);
        }
        voids[block].get_or_insert_with(|| Box::new(Voids::NONE)).expect(&bounds.planes, bounds.half, open);
    }

    /// Does what waits on a block.
    #[inline(always)]
    pub(super) fn finish_gathered_on<S: Swept>(&mut self, jobs: &[Job<'_, S>], block: usize) {
        self.vectors.run(Finish { worker: self, jobs, block });
    }

    #[inline(always)]
    fn finish_gathered_packets<S: Swept>(&mut self, jobs: &[Job<'_, S>], block: usize) {
        let mut list = std::mem::take(&mut self.gathered.lists[block]);
        let (bi, bj) = (block as u32 % self.band.across, block as u32 / self.band.across);
        let (mut packets, mut open) = (0, FAR);
        for one in &list {
            packets |= u32::from(one.packets);
            open = if one.open < open { one.open } else { open };
        }
        let bits = by_packet(&list);
        while packets != 0 {
            let packet = packets.trailing_zeros();
            packets &= packets - 1;
            let visit = Visit { list: &list, packet, bits: bits[packet as usize], open };
            self.finish_gathered_packet(jobs, At { bi, bj, packet }, visit);
        }
        self.renew_whole(block);
        list.clear();
        self.gathered.lists[block] = list;
        self.gathered.within[block] = Cut16::NONE;
    }

    #[inline(always)]
    fn finish_gathered_packet<S: Swept>(&mut self, jobs: &[Job<'_, S>], at: At, visit: Visit<'_>) {
        let block = (at.bj * self.band.across + at.bi) as usize;
        let packet = at.packet as usize;
        if self.is_upright()
            && let Some(met) = self.cut_from_above(jobs, at, visit)
        {
            self.band.blocks[block].renew(packet, (FAR, -FAR), met);
            return;
        }
        let (i, j) = at.packets();
        let (u, v) = (&self.us.packets[i], &self.vs.packets[j]);
        for (n, one) in visit.each().enumerate() {
            let rays = &jobs[one.job as usize].rays;
            self.gathered.cuts[n] = self.along.touched_cut(rays, u, v, visit.touch(one));
        }
        // They are all worked out first, so that one move's need not be awaited before the next one's are begun.
        let upright = self.is_upright();
        let mut near =
            Near::between(if upright { (-FAR, FAR) } else { self.gathered.within[block].of(packet) });
        self.band.blocks[block].seek(packet, &mut near);
        let mut met = false;
        for (n, one) in visit.each().enumerate() {
            let cut = &self.gathered.cuts[n];
            let job = &jobs[one.job as usize];
            let by = Makers::all(job.op.id.0);
            let Some(length) = self.band.blocks[block].cut_near(packet, &mut near, cut, &by) else {
                continue;
            };
            met = true;
            if self.tells.volumes {
                self.count_on(job, at, &length);
            }
        }
        // What they left void is known already.
        self.band.blocks[block].renew(packet, (FAR, -FAR), met);
    }
}

/// Lets a job wait: a function of its own for each width of vectors, so that others are compiled without it.
struct Gather<'w, 'a, 'j, S: Swept + 'j> {
    worker: &'w mut Worker<'a>,
    jobs: &'w [Job<'j, S>],
    range: &'w Range,
}

impl<'j, S: Swept + 'j> pulp::NullaryFnOnce for Gather<'_, '_, 'j, S> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.worker.gather_in_fields(self.jobs, self.range);
    }
}

/// Does what waits on a block: a function of its own for each width of vectors, since it is needed in several places.
struct Finish<'w, 'a, 'j, S: Swept + 'j> {
    worker: &'w mut Worker<'a>,
    jobs: &'w [Job<'j, S>],
    block: usize,
}

impl<'j, S: Swept + 'j> pulp::NullaryFnOnce for Finish<'_, '_, 'j, S> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.worker.finish_gathered_packets(self.jobs, self.block);
    }
}
