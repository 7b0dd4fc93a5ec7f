//! Level cylinders that wait to be brought to the rays along the spindle.
//!
//! The front of a tool that clears a level passes every packet of rays in a few short moves, each taking some of its
//! rays at the same height. They are collected, block by block, and a packet sees those of them that come near it in
//! one visit; once all of its rays are taken the others need not be looked at. This changes no byte: on every ray
//! the cuts come in the order of the program.

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "lists are tabled for all blocks; jobs are counted by the lists; lanes and packets count to 16"
)]

use super::nm::FAR;
use super::packet::{Cut16, LANES, Makers, any, choose, each, lt, whole};
use super::swept::Swept;
use super::work::{At, Job, Worker, with_absent_freed};

/// Ops that wait on a block at most: those behind the front still seem to meet what those before them have taken, so few.
const MOST: usize = 12;

/// For each block the ops that wait, as numbers of jobs, each with the packets that it can meet.
#[derive(Clone, Debug, Default)]
pub(super) struct Upright {
    lists: Vec<Vec<(u32, u32)>>,
    busy: Vec<usize>,
}

impl Upright {
    /// For so many blocks.
    pub(super) fn over(blocks: usize) -> Self {
        Self { lists: vec![Vec::new(); blocks], busy: Vec::new() }
    }

    /// Lets a job wait; true when the block should now be seen to.
    #[inline(always)]
    pub(super) fn add(&mut self, block: usize, job: usize, packets: u32) -> bool {
        let list = &mut self.lists[block];
        if list.is_empty() {
            self.busy.push(block);
            list.reserve(MOST);
        }
        list.push((job as u32, packets));
        list.len() >= MOST
    }

    /// True when something waits on a block.
    #[inline(always)]
    pub(super) fn waits(&self, block: usize) -> bool {
        self.lists.get(block).is_some_and(|list| !list.is_empty())
    }
}

impl Worker<'_> {
    /// Does everything that waits.
    #[inline(always)]
    pub(super) fn finish_upright<S: Swept>(&mut self, jobs: &[Job<'_, S>]) {
        while let Some(block) = self.upright.busy.last().copied() {
            self.finish_block(jobs, block);
        }
    }

    /// Does what waits on a block.
    #[inline(always)]
    pub(super) fn finish_block<S: Swept>(&mut self, jobs: &[Job<'_, S>], block: usize) {
        self.upright.busy.retain(|b| *b != block);
        let mut list = std::mem::take(&mut self.upright.lists[block]);
        let (bi, bj) = (block as u32 % self.band.across, block as u32 / self.band.across);
        let mut packets = list.iter().fold(0, |all, (_, packets)| all | packets);
        while packets != 0 {
            let at = At { bi, bj, packet: packets.trailing_zeros() };
            packets &= packets - 1;
            self.finish_packet(jobs, at, &list);
        }
        self.band.blocks[block].renew_whole();
        list.clear();
        self.upright.lists[block] = list;
    }

    #[inline(always)]
    fn finish_packet<S: Swept>(&mut self, jobs: &[Job<'_, S>], at: At, list: &[(u32, u32)]) {
        let block = (at.bj * self.band.across + at.bi) as usize;
        let packet = at.packet as usize;
        let (i, j) = at.packets();
        let nothing = with_absent_freed(at, &self.us, &self.vs, &Cut16::NONE);
        let absent = lt(&nothing.low, &nothing.high);
        // Rays that have been taken between these ends, or are none.
        let (mut taken, mut taken_ends, mut is_full) = (absent, (FAR, -FAR), false);
        let (mut met, mut void) = (false, (FAR, -FAR));
        for (n, packets) in list {
            let job = &jobs[*n as usize];
            let Some(ends) = job.same else { continue };
            if ends != taken_ends {
                (taken, taken_ends, is_full) = (absent, ends, false);
            }
            if packets >> at.packet & 1 == 0 || is_full {
                continue;
            }
            let mut cut = self.along.cut(&job.rays, &self.us.packets[i], &self.vs.packets[j], job.same);
            let lanes = whole(each(&lt(&cut.low, &cut.high), &taken, |inside, taken| inside & !taken));
            if !any(&lanes) {
                continue;
            }
            taken = whole(each(&taken, &lanes, |a, b| a | b));
            is_full = !any(&each(&taken, &taken, |a, _| !a));
            if is_full && ends.1.saturating_sub(ends.0) > void.1.saturating_sub(void.0) {
                void = ends;
            }
            cut.low = choose(&lanes, &cut.low, &[FAR; LANES]);
            cut.high = choose(&lanes, &cut.high, &[-FAR; LANES]);
            let cut = whole(cut);
            let Some(length) = self.band.blocks[block].cut(packet, &cut, &Makers::all(job.op.id.0)) else {
                continue;
            };
            met = true;
            let beside = self.beside(job, at);
            let tally = &mut self.tallies[job.tally].1;
            tally.count(&length);
            if let Some(beside) = beside {
                tally.count_beside(&length, &beside);
            }
        }
        self.band.blocks[block].renew(packet, void, met);
    }
}
