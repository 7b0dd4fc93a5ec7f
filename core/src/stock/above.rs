//! Moves that come down on rays along the spindle from above all that is left of them: only where they begin matters, and
//! what is left is one interval a ray that is cut off lower and lower.
//!
//! Everything is told as the setup sees it, upwards, whichever way the rays of the part run: whole nanometres of the part,
//! turned over where it hangs upside down. Rounding is the same either way round.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them; ways count what waits"
)]

use super::gather::{MOST, Visit};
use super::nm::{FAR, FILM, NOISE};
use super::packet::{Ints, LANES, Slot, any, choose, mask, most, pick};
use super::places::At;
use super::swept::Swept;
use super::work::{Job, Worker};

/// Room for what moves that wait take from a packet.
#[derive(Clone, Debug)]
pub(super) struct Coming {
    /// Where they begin on each ray; above everything where they pass it.
    lows: [LowerEnds; MOST],
    columns: Columns,
}

#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct LowerEnds(Ints);

impl Coming {
    pub(super) const EMPTY: Self = Self { lows: [LowerEnds([0; LANES]); MOST], columns: Columns::NONE };
}

/// The one interval of each ray of a packet, upwards as the setup sees it, and who made its top.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Columns {
    bottom: Ints,
    top: Ints,
    by: Ints,
}

impl Columns {
    const NONE: Self = Self { bottom: [FAR; LANES], top: [-FAR; LANES], by: [0; LANES] };

    #[inline(always)]
    fn of(slot: &Slot, turned: bool) -> Self {
        let turned = [mask(turned); LANES];
        let (mut down, mut up, mut of_low, mut of_high) = ([0; LANES], [0; LANES], [0; LANES], [0; LANES]);
        for k in 0..LANES {
            (down[k], up[k]) = (-slot.high[k], -slot.low[k]);
            (of_low[k], of_high[k]) = (slot.low_by[k].cast_signed(), slot.high_by[k].cast_signed());
        }
        Self {
            bottom: choose(&turned, &down, &slot.low),
            top: choose(&turned, &up, &slot.high),
            by: choose(&turned, &of_low, &of_high),
        }
    }

    /// Puts them back into the slot.
    #[inline(always)]
    fn put(&self, slot: &mut Slot, turned: bool) {
        let mut by = [0; LANES];
        for k in 0..LANES {
            by[k] = self.by[k].cast_unsigned();
        }
        if turned {
            for k in 0..LANES {
                (slot.low[k], slot.high[k]) = (-self.top[k], -self.bottom[k]);
            }
            slot.low_by = by;
        } else {
            (slot.low, slot.high, slot.high_by) = (self.bottom, self.top, by);
        }
    }

    /// Takes what lies over the lower ends of a cut, and tells how much that is on each ray.
    #[inline(always)]
    fn cut(&mut self, low: &Ints, by: u32) -> Option<Ints> {
        let (bottom, top, old_by) = (self.bottom, self.top, self.by);
        let mut length = [0; LANES];
        for k in 0..LANES {
            let from = if low[k] > bottom[k] { low[k] } else { bottom[k] };
            length[k] = top[k].wrapping_sub(from) & mask(top[k] - NOISE > from);
        }
        if !any(&length) {
            return None;
        }
        for k in 0..LANES {
            let hit = mask(length[k] > 0);
            let stays = mask(low[k] > bottom[k] + FILM);
            let (lower, gone) = (hit & stays, hit & !stays);
            self.top[k] = pick(gone, -FAR, pick(lower, low[k], top[k]));
            self.bottom[k] = pick(gone, FAR, bottom[k]);
            self.by[k] = pick(lower, by.cast_signed(), old_by[k]);
        }
        Some(length)
    }
}

impl Worker<'_> {
    /// Cuts moves that wait from a packet, in order, and tells whether they met something; `None`, with nothing done, where
    /// one of them may end below some of the material or a ray may hold several pieces.
    #[inline(always)]
    pub(super) fn cut_from_above<S: Swept>(
        &mut self,
        jobs: &[Job<'_, S>],
        at: At,
        visit: Visit<'_>,
    ) -> Option<bool> {
        let block = (at.bj * self.band.across + at.bi) as usize;
        let turned = self.along.is_turned();
        let room = &mut self.gathered.coming;
        // Kept in memory, not here, where the compiler would take them apart.
        room.columns = Columns::of(self.band.blocks[block].only_slot(at.packet as usize)?, turned);
        if most(&room.columns.top) > visit.open {
            return None;
        }
        let (i, j) = at.packets();
        let (u, v) = (&self.us.packets[i], &self.vs.packets[j]);
        // They are all worked out first, so that one move's need not be awaited before the next one's are begun.
        for (n, one) in visit.each().enumerate() {
            let rays = &jobs[one.job as usize].rays;
            self.along.lower_ends(rays, (u, v), visit.touch(one), &mut room.lows[n].0);
        }
        let mut met = false;
        for (n, one) in visit.each().enumerate() {
            let job = &jobs[one.job as usize];
            let Some(length) = room.columns.cut(&room.lows[n].0, job.op.id.0) else { continue };
            met = true;
            if !self.tells.volumes {
                continue;
            }
            let tally = self.tallies.by_lanes(job.tally);
            tally.count(&length);
            if self.tells.sides
                && let between = self.along.beside_between(&job.rays, u, v)
                && tally.may_widen(between)
                && let Some(beside) = self.along.beside(&job.rays, u, v)
            {
                tally.count_sides(&length, &beside, between);
            }
        }
        if met {
            self.band.blocks[block].put_only_slot(at.packet as usize, |slot| room.columns.put(slot, turned));
        }
        Some(met)
    }
}
