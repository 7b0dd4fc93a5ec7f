//! Several cuts that come to a packet in one visit.

#![expect(
    clippy::indexing_slicing,
    reason = "lanes are counted by a constant; slot numbers come from the arena that they index"
)]

use super::super::nm::FILM;
use super::super::packet::{Cut16, Ints, LANES, Makers, and, any, common, lt, mask, pick, subtract};
use super::{Block, END};
use smallvec::SmallVec;

/// What a cut adds to those before it that it joins on to, on each ray: at their lower and at their upper end.
#[derive(Clone, Copy, Debug)]
pub(in crate::stock) struct Added {
    pub(in crate::stock) below: Cut16,
    pub(in crate::stock) above: Cut16,
}

/// The slots of a packet that hold material near several cuts, all of which stay between two ends.
#[derive(Clone, Debug)]
pub(in crate::stock) struct Near {
    ends: (i32, i32),
    slots: SmallVec<[usize; 8]>,
}

impl Near {
    /// Between those ends; the slots are not yet known.
    #[inline(always)]
    pub(in crate::stock) fn between(ends: (i32, i32)) -> Self {
        Self { ends, slots: SmallVec::new() }
    }
}

/// How much of a piece lies in an interval; nothing when either is crossed.
#[inline(always)]
pub(in crate::stock) const fn overlap(interval: (i32, i32), piece: (i32, i32)) -> i32 {
    let low = if interval.0 > piece.0 { interval.0 } else { piece.0 };
    let high = if interval.1 < piece.1 { interval.1 } else { piece.1 };
    high.wrapping_sub(low) & mask(high > low)
}

impl Block {
    /// [`Block::cut`], one of several cuts that stay within what slots were sought for.
    #[inline(always)]
    pub(in crate::stock) fn cut_near(
        &mut self,
        packet: usize,
        near: &mut Near,
        cut: &Cut16,
        by: &Makers,
    ) -> Option<[i32; LANES]> {
        let mut length = [0; LANES];
        let (mut met, mut parted) = (false, false);
        for s in &near.slots {
            let slot = &mut self.slots[*s];
            let here = common(slot, cut);
            if any(&here) {
                met = true;
                for k in 0..LANES {
                    length[k] += here[k];
                }
                if let Some(upper) = subtract(slot, cut, &here, by) {
                    self.put_upper(packet, cut, by, &upper);
                    parted = true;
                }
            }
        }
        if parted {
            // Some pieces may now lie in other slots.
            self.seek(packet, near);
        }
        self.even[packet] = 0;
        self.changed |= met;
        self.loose |= met;
        met.then_some(length)
    }

    /// Seeks the slots of a packet that hold material near several cuts.
    #[inline(always)]
    pub(in crate::stock) fn seek(&self, packet: usize, near: &mut Near) {
        near.slots.clear();
        let mut s = self.first(packet);
        loop {
            let slot = &self.slots[s];
            if any(&and(&lt(&slot.low, &[near.ends.1; LANES]), &lt(&[near.ends.0; LANES], &slot.high))) {
                near.slots.push(s);
            }
            match self.next[s] {
                END => return,
                next => s = next as usize,
            }
        }
    }

    /// The one piece of each ray of a packet that a cut can meet, crossed where it can meet none, and a mask of the rays that have
    /// more.
    #[inline(always)]
    pub(in crate::stock) fn pieces_near(&self, packet: usize, cut: &Cut16) -> (Cut16, Ints) {
        let (mut pieces, mut several, mut seen) = (Cut16::NONE, [0; LANES], [0; LANES]);
        for slot in self.slots_of(packet) {
            for k in 0..LANES {
                let near = mask(slot.low[k] < cut.high[k]) & mask(cut.low[k] < slot.high[k]);
                pieces.low[k] = pick(near, slot.low[k], pieces.low[k]);
                pieces.high[k] = pick(near, slot.high[k], pieces.high[k]);
                several[k] |= near & seen[k];
                seen[k] |= near;
            }
        }
        (pieces, several)
    }

    /// How much each of several cuts in a row would meet on the rays of a packet, when each but the first joins on to those
    /// before it: only what it adds to them, `below` and `above`, can be met. `all` is what they cut together. Adds it up in
    /// `met`, cut by cut.
    ///
    /// False when it cannot be told so: a piece of material ends so near to one of them that rounding decides.
    #[inline(always)]
    pub(in crate::stock) fn meet(
        &self,
        packet: usize,
        all: &Cut16,
        added: &[Added],
        met: &mut [Ints],
    ) -> bool {
        for slot in self.slots_of(packet) {
            let near = and(&lt(&slot.low, &all.high), &lt(&all.low, &slot.high));
            let added = if any(&near) { added } else { &[] };
            let mut doubtful = [0; LANES];
            for (cut, met) in added.iter().zip(met.iter_mut()) {
                for k in 0..LANES {
                    let below = overlap((slot.low[k], slot.high[k]), (cut.below.low[k], cut.below.high[k]));
                    let above = overlap((slot.low[k], slot.high[k]), (cut.above.low[k], cut.above.high[k]));
                    doubtful[k] |=
                        mask(below > 0) & mask(below <= FILM) | mask(above > 0) & mask(above <= FILM);
                    met[k] += below + above;
                }
            }
            if any(&doubtful) && !added.iter().all(|cut| cut.below.is_plain(slot) && cut.above.is_plain(slot))
            {
                return false;
            }
        }
        true
    }
}
