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
use super::packet::{Cut16, LANES, Makers, SIDE, and, any, bits, choose, lt, rays, whole};
use super::places::{At, with_absent_freed};
use super::raymap::Ends;
use super::swept::{Masks, Swept};
use super::work::{Job, Worker};

/// All rays of a packet, a bit for each.
const ALL: u32 = (1 << LANES) - 1;

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
    even: [u16; LANES],
    /// Rays of each packet that are taken, or are none.
    taken: [u32; LANES],
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
            let taken = self.absent(bi, bj);
            let (length, even) =
                if self.tells.volumes { self.band.blocks[block].even_length(ends) } else { (0, [0; LANES]) };
            self.upright.blocks[block] = Open { waits: true, ends, length, even, taken, ..Open::NOTHING };
            self.upright.busy.push(block);
        }
        let mut count = 0;
        let mut closed = false;
        while left != 0 {
            let at = At { bi, bj, packet: left.trailing_zeros() };
            left &= left - 1;
            let packet = at.packet as usize;
            let open = &mut self.upright.blocks[block];
            if open.taken[packet] == ALL {
                continue;
            }
            let (i, j) = at.packets();
            let (u, v) = (&self.us.packets[i], &self.vs.packets[j]);
            let is_inside = inside >> packet & 1 != 0;
            let met = if is_inside { ALL } else { bits_of(&whole(self.along.met(&job.rays, u, v))) };
            let rays = met & !open.taken[packet];
            if rays == 0 {
                continue;
            }
            open.taken[packet] |= rays;
            let mut late = NONE;
            if self.tells.volumes {
                if rays & !u32::from(open.even[packet]) == 0 {
                    count += rays.count_ones();
                    if self.tells.sides
                        && open.length > 0
                        && let Some(beside) = self.along.beside(&job.rays, u, v)
                    {
                        self.has_sides = true;
                        self.sides.add(rays, &beside);
                    }
                } else {
                    late = jobs.len() as u32 - 1;
                }
            }
            let cut = First { id: job.op.id.0, rays, before: open.last[packet], late };
            open.last[packet] = self.upright.cuts.len() as u32;
            if open.taken[packet] == ALL {
                self.band.blocks[block].expect(packet, ends);
                closed = true;
            }
            self.upright.cuts.push(cut);
        }
        if closed {
            self.renew_whole(block);
        }
        let length = self.upright.blocks[block].length;
        if count > 0 && length > 0 {
            self.tallies[job.tally].add(u64::from(count) * u64::from(length.cast_unsigned()), length);
        }
    }

    /// The lanes of a block's packets that stand for no ray.
    #[inline(always)]
    fn absent(&self, bi: u32, bj: u32) -> [u32; LANES] {
        let (last_i, last_j) = At { bi, bj, packet: LANES as u32 - 1 }.first();
        if last_i + SIDE <= self.us.count && last_j + SIDE <= self.vs.count {
            return [0; LANES];
        }
        std::array::from_fn(|packet| {
            let at = At { bi, bj, packet: packet as u32 };
            let free = with_absent_freed(at, &self.us, &self.vs, &Cut16::NONE);
            bits(&lt(&free.low, &free.high))
        })
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
            let own = and(&length, &rays(own));
            if let Some(job) = jobs.get(late as usize).filter(|_| any(&own)) {
                self.count_on(job, at, &own);
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
