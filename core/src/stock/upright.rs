//! Level cylinders that wait to be brought to the rays along the spindle.
//!
//! The front of a tool that clears a level passes every packet of rays in a few short moves, each taking some of its
//! rays at the same height. Which op is the first to come over a ray is settled at once; the packet itself is touched
//! when the ops at work are finished, once for all of them. A packet whose rays are all taken counts as cut from
//! then on, so that what follows is not brought to it. This changes no byte: on every ray the cuts come in the order of
//! the program, and of those with the same ends only the first meets anything.
//!
//! What an op meets is mostly known when it comes, too: a packet that level moves have cut before holds one piece on each ray
//! that is still to be taken, and all of them are alike ([`Block::even_length`](super::block::Block::even_length)). Then it is
//! counted at once, while the op is at hand; where it is not known, when the packet is touched.

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "blocks are tabled; jobs and cuts are counted by their lists; lanes and packets count to 16"
)]

use super::nm::FAR;
use super::packet::{ALL, Cut16, LANES, Makers, SIDE, and, bits, choose, lt, rays, whole};
use super::places::{At, with_absent_freed};
use super::raymap::Ends;
use super::swept::{Masks, Swept};
use super::work::{Job, Worker};

/// No cut.
const NONE: u32 = u32::MAX;

/// What waits on a block.
#[derive(Clone, Copy, Debug)]
struct Open {
    waits: bool,
    /// Ends of all ops that wait.
    ends: Ends,
    /// What they meet on rays of which that is known, and those rays of each packet, as
    /// [`Block::even_length`](super::block::Block::even_length) told when the first came.
    length: i32,
    even: [u32; LANES],
    /// Rays of each packet that are taken, or are none; packets of which all are.
    taken: [u32; LANES],
    closed: u32,
    /// For each packet its last cut.
    last: [u32; LANES],
}

impl Open {
    const NOTHING: Open = Open {
        waits: false,
        ends: (0, 0),
        length: 0,
        even: [0; LANES],
        taken: [0; LANES],
        closed: 0,
        last: [NONE; LANES],
    };
}

/// The rays of a packet that an op is the first to take.
#[derive(Clone, Copy, Debug)]
struct First {
    /// Mark for the ends that it makes.
    id: u32,
    rays: u32,
    /// The cut of the same packet before it.
    before: u32,
    /// The job, where it is counted when the packet is touched; otherwise [`NONE`].
    late: u32,
}

/// What an op is the first to take from a block.
struct Taken {
    /// Rays of each packet, and the packets of which all rays are known to be alike.
    rays: [u32; LANES],
    even: u32,
    /// How many rays those are in all.
    count: u32,
    /// Packets of which nothing is left then.
    closed: u32,
}

/// Everything that waits in a band.
#[derive(Clone, Debug, Default)]
pub(super) struct Upright {
    blocks: Vec<Open>,
    cuts: Vec<First>,
    /// Blocks on which something waits.
    busy: Vec<usize>,
}

impl Upright {
    /// For so many blocks.
    pub(super) fn over(blocks: usize) -> Self {
        Self { blocks: vec![Open::NOTHING; blocks], ..Self::default() }
    }

    /// True when something waits on a block.
    #[inline(always)]
    pub(super) fn waits(&self, block: usize) -> bool {
        self.blocks.get(block).is_some_and(|open| open.waits)
    }

    /// Lets an op (its mark, the number of the job) take from some packets of a block what is left of the rays that it meets.
    #[inline(always)]
    fn take(&mut self, block: usize, mut packets: u32, met: &[u32; LANES], (id, job): (u32, u32)) -> Taken {
        let mut taken = Taken { rays: [0; LANES], even: 0, count: 0, closed: 0 };
        let open = &mut self.blocks[block];
        while packets != 0 {
            let packet = packets.trailing_zeros() as usize;
            packets &= packets - 1;
            let rays = met[packet] & !open.taken[packet];
            if rays == 0 {
                continue;
            }
            open.taken[packet] |= rays;
            let is_even = rays & !open.even[packet] == 0;
            taken.rays[packet] = rays;
            taken.even |= u32::from(is_even) << packet;
            taken.count += if is_even { rays.count_ones() } else { 0 };
            taken.closed |= u32::from(open.taken[packet] == ALL) << packet;
            let late = if is_even { NONE } else { job };
            let cut = First { id, rays, before: open.last[packet], late };
            open.last[packet] = self.cuts.len() as u32;
            self.cuts.push(cut);
        }
        open.closed |= taken.closed;
        taken
    }

    /// The cuts of a packet, latest first.
    #[inline(always)]
    fn cuts(&self, open: &Open, packet: usize) -> impl Iterator<Item = First> {
        let find = |at: u32| self.cuts.get(at as usize).copied();
        std::iter::successors(find(open.last[packet]), move |cut| find(cut.before))
    }
}

impl Worker<'_> {
    /// Lets the last job, a level cylinder with the same ends on every ray, wait on a block.
    #[inline(always)]
    pub(super) fn wait_upright<S: Swept>(&mut self, jobs: &[Job<'_, S>], (bi, bj): (u32, u32), ends: Ends) {
        let Some(job) = jobs.last() else { return };
        let block = (bj * self.band.across + bi) as usize;
        let places = (&self.us.middles[bi as usize], &self.vs.middles[bj as usize]);
        let [some, all] = whole(self.along.near(&job.rays, places, (self.us.half, self.vs.half)));
        let (some, inside) = (bits_of(&some), bits_of(&all));
        let mut left = if self.cull {
            some & self.band.blocks[block].marks.met(&Cut16::with_ends(&[-1; LANES], ends))
        } else {
            self.present(bi, bj)
        };
        if left == 0 {
            return;
        }
        if self.gathered.waits(block) {
            self.finish_gathered_on(jobs, block);
        }
        if self.upright.waits(block) && self.upright.blocks[block].ends != ends {
            self.finish_block(jobs, block);
        }
        if !self.upright.waits(block) {
            let (length, even) =
                if self.tells.volumes { self.band.blocks[block].even_length(ends) } else { (0, [0; LANES]) };
            let (taken, closed) = self.absent(bi, bj);
            self.upright.blocks[block] =
                Open { waits: true, ends, length, even, taken, closed, ..Open::NOTHING };
            self.upright.busy.push(block);
        }
        left &= !self.upright.blocks[block].closed;
        // Which rays are met is worked out for all packets before anything hangs on it: a processor that guessed wrong what comes of
        // one packet need not begin anew with the next.
        let mut met = [ALL; LANES];
        let mut edge = left & !inside;
        while edge != 0 {
            let packet = edge.trailing_zeros();
            edge &= edge - 1;
            let (i, j) = At { bi, bj, packet }.packets();
            let own = self.along.met(&job.rays, &self.us.packets[i], &self.vs.packets[j]);
            met[packet as usize] = bits_of(&whole(own));
        }
        let taken = self.upright.take(block, left, &met, (job.op.id.0, jobs.len() as u32 - 1));
        if taken.closed != 0 {
            let mut closed = taken.closed;
            while closed != 0 {
                self.band.blocks[block].expect(closed.trailing_zeros() as usize, ends);
                closed &= closed - 1;
            }
            self.renew_whole(block);
        }
        let length = self.upright.blocks[block].length;
        if taken.count == 0 || length == 0 {
            return;
        }
        self.tallies.add(job.tally, u64::from(taken.count) * u64::from(length.cast_unsigned()), length);
        if self.tells.sides {
            let mut even = taken.even;
            while even != 0 {
                let packet = even.trailing_zeros();
                even &= even - 1;
                let (i, j) = At { bi, bj, packet }.packets();
                if let Some(beside) = self.along.beside(&job.rays, &self.us.packets[i], &self.vs.packets[j]) {
                    self.has_sides = true;
                    self.sides.add(&rays(taken.rays[packet as usize]), &beside);
                }
            }
        }
    }

    /// The lanes of a block's packets that stand for no ray, and the packets of which none does.
    #[inline(always)]
    fn absent(&self, bi: u32, bj: u32) -> ([u32; LANES], u32) {
        let (last_i, last_j) = At { bi, bj, packet: LANES as u32 - 1 }.first();
        if last_i + SIDE <= self.us.count && last_j + SIDE <= self.vs.count {
            return ([0; LANES], 0);
        }
        let absent = std::array::from_fn(|packet| {
            let at = At { bi, bj, packet: packet as u32 };
            let free = with_absent_freed(at, &self.us, &self.vs, &Cut16::NONE);
            bits(&lt(&free.low, &free.high))
        });
        (absent, !self.present(bi, bj))
    }

    /// Does everything that waits.
    #[inline(always)]
    pub(super) fn finish_upright<S: Swept>(&mut self, jobs: &[Job<'_, S>]) {
        let mut busy = std::mem::take(&mut self.upright.busy);
        for block in busy.drain(..) {
            self.vectors.run(Finish { worker: self, jobs, block });
        }
        self.upright.busy = busy;
        self.upright.cuts.clear();
    }

    /// Does what waits on a block.
    #[inline(always)]
    pub(super) fn finish_block<S: Swept>(&mut self, jobs: &[Job<'_, S>], block: usize) {
        self.upright.busy.retain(|busy| *busy != block);
        self.vectors.run(Finish { worker: self, jobs, block });
    }

    #[inline(always)]
    fn finish_packets<S: Swept>(&mut self, jobs: &[Job<'_, S>], block: usize) {
        let open = self.upright.blocks[block];
        let (bi, bj) = (block as u32 % self.band.across, block as u32 / self.band.across);
        for packet in 0..LANES as u32 {
            if open.last[packet as usize] != NONE {
                self.finish_packet(jobs, At { bi, bj, packet }, &open);
            }
        }
        self.upright.blocks[block].waits = false;
        self.renew_whole(block);
    }

    #[inline(always)]
    fn finish_packet<S: Swept>(&mut self, jobs: &[Job<'_, S>], at: At, open: &Open) {
        let block = (at.bj * self.band.across + at.bi) as usize;
        let packet = at.packet as usize;
        let (mut by, mut is_late) = ([0; LANES], false);
        for first in self.upright.cuts(open, packet) {
            by = choose(&rays(first.rays), &[first.id.cast_signed(); LANES], &by);
            is_late |= first.late != NONE;
        }
        let by = by.map(i32::cast_unsigned);
        let taken = rays(open.taken[packet]);
        let cut = whole(Cut16::with_ends(&taken, open.ends));
        let was_even = self.band.blocks[block].is_even(packet);
        let length = self.band.blocks[block].cut(packet, &cut, &Makers { low: by, high: by });
        // What is known of a packet that is taken whole was told when the last of its rays was.
        if open.taken[packet] != ALL {
            self.band.blocks[block].renew(packet, (FAR, -FAR), length.is_some());
        }
        if !self.tells.volumes {
            return;
        }
        if open.taken[packet] == ALL && was_even {
            self.band.blocks[block].note_still_even(packet);
        } else {
            self.band.blocks[block].note_even(packet);
        }
        let Some(length) = length.filter(|_| is_late) else { return };
        let mut next = open.last[packet];
        while let Some(First { rays: own, late, before, .. }) = self.upright.cuts.get(next as usize).copied()
        {
            if let Some(job) = jobs.get(late as usize) {
                let own = rays(own);
                // Of an op few packets are late: not worth counting lane by lane.
                self.tallies.add_product(job.tally, &length, &and(&own, &[1; LANES]));
                if self.tells.sides {
                    self.count_sides_on(job, at, &and(&length, &own));
                }
            }
            next = before;
        }
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
        self.worker.finish_packets(self.jobs, self.block);
    }
}

/// [`bits`] of masks as wide as the numbers that were compared.
#[inline(always)]
fn bits_of(masks: &Masks) -> u32 {
    let mut bits = 0;
    for (k, lane) in masks.iter().enumerate() {
        bits |= lane & (1 << k);
    }
    bits as u32
}
