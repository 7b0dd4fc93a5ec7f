//! Blocks of 16 x 16 rays: up to 4 x 4 packets with the chains of their slots.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes and packets are counted by constants and written so that the compiler makes vectors of them; slot \
              numbers come from the arena that they index"
)]

mod several;

pub(super) use several::{Added, Near, overlap};

use super::marks::{Marks, Summary};
use super::nm::{FAR, NOISE};
use super::op::{CutId, Interval};
use super::packet::{
    ALL, Cut16, Ints, LANES, Makers, SIDE, Slot, Upper, bits, common, least, mask, most, pick, subtract,
    whole,
};
use smallvec::SmallVec;

/// Rays of a block along each of the two directions of its grid.
pub(super) const BLOCK: u32 = SIDE * SIDE;

pub(super) const END: u16 = u16::MAX;

/// 16 x 16 rays, fewer at the border of the grid. The first slot of the packet in row `r` and column `c` of the block is
/// slot `r * across + c`; further slots are chained behind it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Block {
    pub(super) marks: Marks,
    /// Rays of each packet, a bit for each, that are known to hold one piece and no other, from the bottom to the top of its marks.
    even: [u32; LANES],
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

/// The slots of a packet, one behind the other: a loop over it is compiled for the vectors of the function that it stands
/// in, which one in a closure would not be.
pub(super) struct SlotsOf<'a> {
    block: &'a Block,
    /// Number of the next slot, or [`END`].
    next: usize,
}

impl<'a> Iterator for SlotsOf<'a> {
    type Item = &'a Slot;

    #[inline(always)]
    fn next(&mut self) -> Option<&'a Slot> {
        if self.next == usize::from(END) {
            return None;
        }
        let slot = &self.block.slots[self.next];
        self.next = usize::from(self.block.next[self.next]);
        Some(slot)
    }
}

impl Block {
    /// An empty block of so many packets along u and v (at most four each).
    pub(super) fn new(across: u32, up: u32) -> Self {
        let count = (across * up) as usize;
        Self {
            marks: Marks::EMPTY,
            even: [0; LANES],
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
        for slot in self.slots_of(packet) {
            for k in 0..LANES {
                pieces[k] -= mask(slot.low[k] < slot.high[k]);
            }
        }
        usize::try_from(most(&pieces)).unwrap_or(0).max(1)
    }

    /// The intervals of a ray, ascending.
    pub(super) fn ray(&self, packet: usize, lane: usize) -> SmallVec<[Interval; 4]> {
        let mut pieces: SmallVec<_> = self.slots_of(packet).filter_map(|slot| slot.piece(lane)).collect();
        pieces.sort_unstable_by_key(|p: &Interval| p.low);
        pieces
    }

    /// Length of material on each ray of a packet, nm.
    pub(super) fn lengths(&self, packet: usize) -> [i64; LANES] {
        let mut lengths = [0; LANES];
        for slot in self.slots_of(packet) {
            for k in 0..LANES {
                lengths[k] += if slot.holds(k) { i64::from(slot.high[k] - slot.low[k]) } else { 0 };
            }
        }
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
        self.even[packet] = 0;
        (self.changed, self.loose) = (true, true);
    }

    /// Every slot of a packet.
    #[inline(always)]
    pub(super) fn slots_of(&self, packet: usize) -> SlotsOf<'_> {
        SlotsOf { block: self, next: self.first(packet) }
    }

    /// Calls `see(lane, low, high)` for every piece of material inside a cut, changing nothing.
    pub(super) fn look(&self, packet: usize, cut: &Cut16, mut see: impl FnMut(usize, i32, i32)) {
        for slot in self.slots_of(packet) {
            let length = common(slot, cut);
            for k in 0..LANES {
                if length[k] > 0 {
                    let low = slot.low[k].max(cut.low[k]);
                    see(k, low, low + length[k]);
                }
            }
        }
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
        self.even[packet] = 0;
        self.changed |= met;
        self.loose |= met;
        met.then_some(length)
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

    /// The same of cuts that wait, on all packets at once: see [`Marks::expect`].
    #[inline(always)]
    pub(super) fn expect_of_all(&mut self, sure: &Cut16) -> [Ints; 2] {
        self.even = [0; LANES];
        self.marks.expect(sure)
    }

    /// How much a cut between two ends will meet, nm, on rays of which that is known without looking, and those rays of each packet, a
    /// bit for each. Of packets with different lengths those with the least: at a wall that is what level moves cut, and what
    /// stands outside of it, which they do not come to, is higher.
    #[inline(always)]
    pub(super) fn even_length(&self, (low, high): (i32, i32)) -> (i32, [u32; LANES]) {
        let (mut lengths, mut known) = ([0; LANES], [0; LANES]);
        for k in 0..LANES {
            let (bottom, top) = (self.marks.bottom[k], self.marks.top[k]);
            let (low, high) = (if low > bottom { low } else { bottom }, if high < top { high } else { top });
            lengths[k] = high.wrapping_sub(low) & mask(high - NOISE > low);
            known[k] = pick(mask(lengths[k] > 0) & mask(self.even[k] != 0), lengths[k], i32::MAX);
        }
        let length = least(&known);
        let length = if length < i32::MAX { length } else { 0 };
        let mut even = [0; LANES];
        for k in 0..LANES {
            even[k] = self.even[k] & mask(lengths[k] == length).cast_unsigned();
        }
        (length, even)
    }

    /// True when all rays of a packet are known to be alike.
    #[inline(always)]
    pub(super) const fn is_even(&self, packet: usize) -> bool {
        self.even[packet] == ALL
    }

    /// After the same cut of all rays of a packet that was even, and whose marks are as they are to stay: they are alike still, so
    /// that one tells whether they reach from the bottom to the top.
    #[inline(always)]
    pub(super) fn note_still_even(&mut self, packet: usize) {
        let (bottom, top) = (self.marks.bottom[packet], self.marks.top[packet]);
        let is_so = self.only_slot(packet).is_some_and(|slot| slot.low[0] == bottom && slot.high[0] == top);
        self.even[packet] = if is_so { ALL } else { 0 };
    }

    /// Takes note of which rays of a packet, whose marks are as they are to stay, are alike.
    #[inline(always)]
    pub(super) fn note_even(&mut self, packet: usize) {
        let (bottom, top) = (self.marks.bottom[packet], self.marks.top[packet]);
        let mut even = [0; LANES];
        if let Some(slot) = self.only_slot(packet) {
            for k in 0..LANES {
                even[k] = mask(slot.low[k] == bottom) & mask(slot.high[k] == top);
            }
        }
        self.even[packet] = bits(&whole(even));
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
            for slot in self.slots_of(packet) {
                bottom = bottom.min(least(&slot.low));
                top = top.max(most(&slot.high));
            }
            self.marks.bottom[packet] = bottom;
            self.marks.top[packet] = top;
            let empty = bottom >= top;
            self.marks.void_low[packet] = if empty { -FAR } else { FAR };
            self.marks.void_high[packet] = if empty { FAR } else { -FAR };
            self.note_even(packet);
        }
    }
}
