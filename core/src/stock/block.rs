//! Blocks of 16 x 16 rays: up to 4 x 4 packets with the chains of their slots.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes and packets are counted by constants and written so that the compiler makes vectors of them; slot \
              numbers come from the arena that they index"
)]

use super::marks::{Marks, Summary};
use super::nm::{FAR, FILM, NOISE};
use super::op::{CutId, Interval};
use super::packet::{
    Cut16, Ints, LANES, Makers, SIDE, Slot, Upper, and, any, common, least, lt, mask, most, pick, subtract,
};
use smallvec::SmallVec;

/// Rays of a block along each of the two directions of its grid.
pub(super) const BLOCK: u32 = SIDE * SIDE;

/// What a cut adds to those before it that it joins on to, on each ray: at their lower and at their upper end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Added {
    pub(super) below: Cut16,
    pub(super) above: Cut16,
}

/// The slots of a packet that hold material near several cuts, all of which stay between two ends.
#[derive(Clone, Debug)]
pub(super) struct Near {
    ends: (i32, i32),
    slots: SmallVec<[usize; 8]>,
}

impl Near {
    /// Between those ends; the slots are not yet known.
    #[inline(always)]
    pub(super) fn between(ends: (i32, i32)) -> Self {
        Self { ends, slots: SmallVec::new() }
    }
}

/// How much of a piece lies in an interval; nothing when either is crossed.
#[inline(always)]
const fn overlap(interval: (i32, i32), piece: (i32, i32)) -> i32 {
    let low = if interval.0 > piece.0 { interval.0 } else { piece.0 };
    let high = if interval.1 < piece.1 { interval.1 } else { piece.1 };
    high.wrapping_sub(low) & mask(high > low)
}

pub(super) const END: u16 = u16::MAX;

/// 16 x 16 rays, fewer at the border of the grid. The first slot of the packet in row `r` and column `c` of the block is
/// slot `r * across + c`; further slots are chained behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Block {
    pub(super) marks: Marks,
    slots: Vec<Slot>,
    next: Vec<u16>,
    /// True when something was cut since this was last asked.
    changed: bool,
    /// True when something was cut since the slots were last tightened.
    loose: bool,
    /// Packets along u, and in all.
    across: u8,
    packets: u8,
}

impl Block {
    /// An empty block of so many packets along u and v (at most four each).
    pub(super) fn new(across: u32, up: u32) -> Self {
        let count = (across * up) as usize;
        Self {
            marks: Marks::EMPTY,
            slots: vec![Slot::EMPTY; count],
            next: vec![END; count],
            changed: false,
            loose: false,
            across: u8::try_from(across).unwrap_or(4),
            packets: u8::try_from(count).unwrap_or(16),
        }
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        size_of::<Self>()
            + self.slots.capacity() * size_of::<Slot>()
            + self.next.capacity() * size_of::<u16>()
    }

    /// All slots, those of the packets first.
    pub(super) fn slots(&self) -> &[Slot] {
        &self.slots
    }

    /// For each slot which one follows, or [`END`].
    pub(super) fn next(&self) -> &[u16] {
        &self.next
    }

    /// True when something was cut since this was last asked, or since the slots were replaced.
    pub(super) fn take_changed(&mut self) -> bool {
        std::mem::take(&mut self.changed)
    }

    /// Other slots in place of its own; where `next` is empty none follows another.
    pub(super) fn replace(&mut self, slots: impl Iterator<Item = Slot>, next: &[u16]) {
        self.slots.clear();
        self.slots.extend(slots);
        self.next.clear();
        self.next.extend_from_slice(next);
        self.next.resize(self.slots.len(), END);
        (self.changed, self.loose) = (false, false);
        self.summarize();
    }

    #[inline(always)]
    fn first(&self, packet: usize) -> usize {
        packet / SIDE as usize * usize::from(self.across) + packet % SIDE as usize
    }

    /// Puts an interval on all rays of an empty packet; the caller calls [`Block::summarize`] when all are there.
    pub(super) fn fill(&mut self, packet: usize, piece: Interval) {
        let first = self.first(packet);
        self.slots[first] = Slot {
            low: [piece.low; LANES],
            high: [piece.high; LANES],
            low_by: [piece.low_by.0; LANES],
            high_by: [piece.high_by.0; LANES],
        };
    }

    /// Puts an interval on a ray; the caller sees to it that it meets no other, and calls [`Block::summarize`] when
    /// all are there.
    pub(super) fn put(&mut self, packet: usize, lane: usize, piece: Interval) {
        let mut s = self.first(packet);
        loop {
            let slot = &mut self.slots[s];
            if !slot.holds(lane) {
                slot.low[lane] = piece.low;
                slot.high[lane] = piece.high;
                slot.low_by[lane] = piece.low_by.0;
                slot.high_by[lane] = piece.high_by.0;
                return;
            }
            s = self.following(s);
        }
    }

    /// The slot behind a slot; made if there is none.
    fn following(&mut self, s: usize) -> usize {
        if self.next[s] == END {
            // A ray with more than 4,000 pieces would need this; the last slots are then shared by none.
            self.next[s] = u16::try_from(self.slots.len()).unwrap_or(END);
            self.slots.reserve_exact(1);
            self.next.reserve_exact(1);
            self.slots.push(Slot::EMPTY);
            self.next.push(END);
        }
        self.next[s] as usize
    }

    /// Gives back slots that cutting has left without need, where they are an eighth of all or more: each ray's intervals then
    /// lie in the first slots of its packet's chain.
    pub(super) fn tighten(&mut self) {
        let own = usize::from(self.packets);
        if !std::mem::take(&mut self.loose) || self.slots.len() <= own {
            return;
        }
        let (across, side) = (usize::from(self.across), SIDE as usize);
        let packets = (0..own).map(|first| (first / across * side + first % across, first));
        let needed: usize = packets.clone().map(|(packet, _)| self.needs(packet)).sum();
        if (self.slots.len() - needed) * 8 < self.slots.len() {
            return;
        }
        let mut tight = Self::new(u32::from(self.across), u32::from(self.packets / self.across));
        tight.slots.reserve_exact(needed - own);
        tight.next.reserve_exact(needed - own);
        for (packet, first) in packets {
            tight.slots[first] = self.slots[first].clone();
            let mut s = self.next[first];
            while s != END {
                let slot = &self.slots[s as usize];
                for lane in 0..LANES {
                    if let Some(piece) = slot.piece(lane) {
                        tight.put(packet, lane, piece);
                    }
                }
                s = self.next[s as usize];
            }
        }
        (self.slots, self.next) = (tight.slots, tight.next);
    }

    /// Slots that a packet cannot do without.
    fn needs(&self, packet: usize) -> usize {
        let mut pieces = [0; LANES];
        self.each_slot(packet, |slot| {
            for k in 0..LANES {
                pieces[k] -= mask(slot.low[k] < slot.high[k]);
            }
        });
        usize::try_from(most(&pieces)).unwrap_or(0).max(1)
    }

    /// The intervals of a ray, ascending.
    pub(super) fn ray(&self, packet: usize, lane: usize) -> SmallVec<[Interval; 4]> {
        let mut pieces = SmallVec::new();
        self.each_slot(packet, |slot| pieces.extend(slot.piece(lane)));
        pieces.sort_unstable_by_key(|p: &Interval| p.low);
        pieces
    }

    /// Length of material on each ray of a packet, nm.
    pub(super) fn lengths(&self, packet: usize) -> [i64; LANES] {
        let mut lengths = [0; LANES];
        self.each_slot(packet, |slot| {
            for k in 0..LANES {
                lengths[k] += if slot.holds(k) { i64::from(slot.high[k] - slot.low[k]) } else { 0 };
            }
        });
        lengths
    }

    /// The slot of a packet that has but one.
    #[inline(always)]
    pub(super) fn only_slot(&self, packet: usize) -> Option<&Slot> {
        let first = self.first(packet);
        (self.next[first] == END).then(|| &self.slots[first])
    }

    /// Changes it, as [`Block::cut`] does; the caller calls [`Block::renew`] afterwards.
    #[inline(always)]
    pub(super) fn put_only_slot(&mut self, packet: usize, put: impl FnOnce(&mut Slot)) {
        let first = self.first(packet);
        put(&mut self.slots[first]);
        (self.changed, self.loose) = (true, true);
    }

    /// Every slot of a packet.
    pub(super) fn each_slot(&self, packet: usize, mut see: impl FnMut(&Slot)) {
        let mut s = self.first(packet);
        loop {
            see(&self.slots[s]);
            match self.next[s] {
                END => return,
                next => s = next as usize,
            }
        }
    }

    /// Calls `see(lane, low, high)` for every piece of material inside a cut, changing nothing.
    pub(super) fn look(&self, packet: usize, cut: &Cut16, mut see: impl FnMut(usize, i32, i32)) {
        self.each_slot(packet, |slot| {
            let length = common(slot, cut);
            for k in 0..LANES {
                if length[k] > 0 {
                    let low = slot.low[k].max(cut.low[k]);
                    see(k, low, low + length[k]);
                }
            }
        });
    }

    /// Takes a cut out of a packet, marks the ends that it makes with `by`, and tells how much it met on each ray (nm; of
    /// several pieces of a ray the sum); `None` when that is nothing. The caller calls [`Block::renew`] after the last
    /// cut of the packet.
    #[inline(always)]
    pub(super) fn cut(&mut self, packet: usize, cut: &Cut16, by: &Makers) -> Option<[i32; LANES]> {
        let mut length = [0; LANES];
        let mut s = self.first(packet);
        let mut met = false;
        loop {
            let slot = &mut self.slots[s];
            let here = common(slot, cut);
            let mut bits = 0;
            for k in 0..LANES {
                bits |= here[k];
            }
            if bits != 0 {
                met = true;
                for k in 0..LANES {
                    length[k] += here[k];
                }
                if let Some(upper) = subtract(slot, cut, &here, by) {
                    self.put_upper(packet, cut, by, &upper);
                }
            }
            match self.next[s] {
                END => break,
                next => s = next as usize,
            }
        }
        self.changed |= met;
        self.loose |= met;
        met.then_some(length)
    }

    /// [`Block::cut`], one of several cuts that stay within what slots were sought for.
    #[inline(always)]
    pub(super) fn cut_near(
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
        self.changed |= met;
        self.loose |= met;
        met.then_some(length)
    }

    /// Seeks the slots of a packet that hold material near several cuts.
    #[inline(always)]
    pub(super) fn seek(&self, packet: usize, near: &mut Near) {
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
    pub(super) fn pieces_near(&self, packet: usize, cut: &Cut16) -> (Cut16, Ints) {
        let (mut pieces, mut several, mut seen) = (Cut16::NONE, [0; LANES], [0; LANES]);
        let mut s = self.first(packet);
        loop {
            let slot = &self.slots[s];
            for k in 0..LANES {
                let near = mask(slot.low[k] < cut.high[k]) & mask(cut.low[k] < slot.high[k]);
                pieces.low[k] = pick(near, slot.low[k], pieces.low[k]);
                pieces.high[k] = pick(near, slot.high[k], pieces.high[k]);
                several[k] |= near & seen[k];
                seen[k] |= near;
            }
            match self.next[s] {
                END => return (pieces, several),
                next => s = next as usize,
            }
        }
    }

    /// How much each of several cuts in a row would meet on the rays of a packet, when each but the first joins on to those
    /// before it: only what it adds to them, `below` and `above`, can be met. `all` is what they cut together. Adds it up in
    /// `met`, cut by cut.
    ///
    /// False when it cannot be told so: a piece of material ends so near to one of them that rounding decides.
    #[inline(always)]
    pub(super) fn meet(&self, packet: usize, all: &Cut16, added: &[Added], met: &mut [Ints]) -> bool {
        let mut s = self.first(packet);
        loop {
            let slot = &self.slots[s];
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
            match self.next[s] {
                END => return true,
                next => s = next as usize,
            }
        }
    }

    /// Puts the parts above a cut that went through the middle of an interval.
    #[inline(never)]
    fn put_upper(&mut self, packet: usize, cut: &Cut16, by: &Makers, upper: &Upper) {
        for lane in 0..LANES {
            if upper.high[lane] > -FAR {
                let high_by = CutId(upper.by[lane]);
                let piece = Interval {
                    low: cut.high[lane],
                    high: upper.high[lane],
                    low_by: CutId(by.high[lane]),
                    high_by,
                };
                self.put(packet, lane, piece);
            }
        }
    }

    /// After cuts that took `low..high` (crossed: nothing) from every ray of a packet: what is known of it. `any` tells
    /// whether they met something.
    ///
    /// What was taken from every ray is void in all of them, and so is everything around it up to the next material.
    #[inline(always)]
    pub(super) fn renew(&mut self, packet: usize, (low, high): (i32, i32), any: bool) {
        // A void of a few nanometres is worth nothing, and rounding (`NOISE`) must stay small beside it.
        let common = low < high.saturating_sub(10 * NOISE);
        if !any && !common {
            return;
        }
        let old = self.marks.of(packet);
        let from = if common { (low, high) } else { (old.void_low, old.void_high) };
        // Half of each, so that nothing overflows.
        let at = from.0 / 2 + from.1 / 2;
        let (mut bottoms, mut tops, mut unders, mut overs) =
            ([FAR; LANES], [-FAR; LANES], [-FAR; LANES], [FAR; LANES]);
        let mut s = self.first(packet);
        loop {
            let slot = &self.slots[s];
            for k in 0..LANES {
                let (low, high) = (slot.low[k], slot.high[k]);
                let under = pick(mask(high <= at), high, -FAR);
                let over = pick(mask(low >= at), low, FAR);
                bottoms[k] = if low < bottoms[k] { low } else { bottoms[k] };
                tops[k] = if high > tops[k] { high } else { tops[k] };
                unders[k] = if under > unders[k] { under } else { unders[k] };
                overs[k] = if over < overs[k] { over } else { overs[k] };
            }
            match self.next[s] {
                END => break,
                next => s = next as usize,
            }
        }
        self.marks.bottom[packet] = least(&bottoms);
        self.marks.top[packet] = most(&tops);
        let (void_low, void_high) = (most(&unders), least(&overs));
        // Without a place known to be void there is no void; of two keep the wider.
        let known = from.0 < from.1;
        let wider = void_high.saturating_sub(void_low) >= old.void_high.saturating_sub(old.void_low);
        if known && wider {
            self.marks.void_low[packet] = void_low;
            self.marks.void_high[packet] = void_high;
        }
    }

    /// Of a packet whose rays will all have been cut between two ends before anything else is done to it: what will be
    /// known then.
    #[inline(always)]
    pub(super) fn expect(&mut self, packet: usize, (low, high): (i32, i32)) {
        let marks = &mut self.marks;
        let (bottom, top) = (marks.bottom[packet], marks.top[packet]);
        if low <= bottom && top <= high {
            (marks.bottom[packet], marks.top[packet]) = (FAR, -FAR);
        } else if low < top && top <= high {
            marks.top[packet] = low;
        } else if low <= bottom && bottom < high {
            marks.bottom[packet] = high;
        }
        let void = (marks.void_low[packet], marks.void_high[packet]);
        let joins = void.0 <= high && low <= void.1;
        if joins {
            (marks.void_low[packet], marks.void_high[packet]) = (void.0.min(low), void.1.max(high));
        } else if high.saturating_sub(low) > void.1.saturating_sub(void.0) {
            (marks.void_low[packet], marks.void_high[packet]) = (low, high);
        }
    }

    /// What is known of the whole block, from its packets.
    #[inline(always)]
    pub(super) fn whole(&self) -> Summary {
        self.marks.whole()
    }

    /// What is known of every packet, from the rays themselves; no void is known then.
    pub(super) fn summarize(&mut self) {
        for packet in 0..LANES {
            let column = packet % SIDE as usize;
            if column >= usize::from(self.across) || self.first(packet) >= usize::from(self.packets) {
                continue;
            }
            let (mut bottom, mut top) = (FAR, -FAR);
            self.each_slot(packet, |slot| {
                bottom = bottom.min(least(&slot.low));
                top = top.max(most(&slot.high));
            });
            self.marks.bottom[packet] = bottom;
            self.marks.top[packet] = top;
            let empty = bottom >= top;
            self.marks.void_low[packet] = if empty { -FAR } else { FAR };
            self.marks.void_high[packet] = if empty { FAR } else { -FAR };
        }
    }
}
