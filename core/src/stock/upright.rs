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
use super::packet::{Cut16, Ints, LANES, Makers, and, any, choose, each, lt, whole};
use super::swept::Swept;
use super::work::{At, Job, Worker, with_absent_freed};
use smallvec::SmallVec;

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
        let (mut met, mut void) = (false, (FAR, -FAR));
        for run in list.chunk_by(|a, b| jobs[a.0 as usize].same == jobs[b.0 as usize].same) {
            let Some(ends) = run.first().and_then(|(n, _)| jobs[*n as usize].same) else { continue };
            // Rays that have been taken, or are none, and which job was the first to take each.
            let (mut taken, mut by) = (absent, [0; LANES]);
            let mut firsts: SmallVec<[(usize, Ints); MOST]> = SmallVec::new();
            for (n, packets) in run {
                if packets >> at.packet & 1 == 0 {
                    continue;
                }
                let job = &jobs[*n as usize];
                let inside = self.along.met(&job.rays, &self.us.packets[i], &self.vs.packets[j]);
                let first = each(&inside, &taken, |inside, taken| inside & !taken);
                let id = job.op.id.0.cast_signed();
                by = choose(&first, &[id; LANES], &by);
                firsts.push((*n as usize, first));
                taken = whole(each(&taken, &inside, |a, b| a | b));
                if !any(&each(&taken, &taken, |a, _| !a)) {
                    // Nothing is left for those that follow.
                    if ends.1.saturating_sub(ends.0) > void.1.saturating_sub(void.0) {
                        void = ends;
                    }
                    break;
                }
            }
            let cut = whole(Cut16 {
                low: choose(&taken, &[ends.0; LANES], &[FAR; LANES]),
                high: choose(&taken, &[ends.1; LANES], &[-FAR; LANES]),
            });
            let by = by.map(i32::cast_unsigned);
            let Some(length) = self.band.blocks[block].cut(packet, &cut, &Makers { low: by, high: by })
            else {
                continue;
            };
            met = true;
            for (n, first) in &firsts {
                let own = and(&length, first);
                let Some(job) = jobs.get(*n).filter(|_| any(&own)) else { continue };
                let beside = self.beside(job, at);
                let tally = &mut self.tallies[job.tally].1;
                tally.count(&own);
                if let Some(beside) = beside {
                    tally.count_beside(&own, &beside);
                }
            }
        }
        self.band.blocks[block].renew(packet, void, met);
    }
}
