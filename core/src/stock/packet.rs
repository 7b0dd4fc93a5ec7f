//! Packets of 4 x 4 rays and the subtraction of one interval from each of them.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by constants and written so that the compiler makes vectors of them; slot numbers \
              come from the arena that they index"
)]

use super::nm::{FILM, NOISE};
use super::op::{CutId, Interval};
use smallvec::SmallVec;

/// Rays of a packet along each of the two directions of its grid.
pub(super) const SIDE: u32 = 4;
/// Rays of a packet.
pub(super) const LANES: usize = 16;

/// One interval for each ray of a packet, structure of arrays. An empty lane has `low == high == 0`.
#[derive(Clone, Debug)]
#[repr(align(64))]
pub(super) struct Slot {
    pub(super) low: [i32; LANES],
    pub(super) high: [i32; LANES],
    pub(super) low_by: [u32; LANES],
    pub(super) high_by: [u32; LANES],
}

impl Slot {
    const EMPTY: Slot = Slot { low: [0; LANES], high: [0; LANES], low_by: [0; LANES], high_by: [0; LANES] };
}

/// What a cut takes from the rays of a packet: `low[k]..high[k]` of ray `k`; nothing where `low >= high`.
#[derive(Clone, Debug)]
pub(super) struct Bites16 {
    pub(super) low: [i32; LANES],
    pub(super) high: [i32; LANES],
}

impl Bites16 {
    /// Nothing taken anywhere.
    pub(super) const NONE: Bites16 = Bites16 { low: [i32::MAX; LANES], high: [i32::MIN; LANES] };

    fn least_low(&self) -> i32 {
        self.low.iter().copied().fold(i32::MAX, i32::min)
    }

    fn most_high(&self) -> i32 {
        self.high.iter().copied().fold(i32::MIN, i32::max)
    }
}

/// What is known of a packet without looking at its slots.
#[derive(Clone, Copy, Debug)]
pub(super) struct Summary {
    /// No material of the packet lies below.
    bottom: i32,
    /// No material of the packet lies above.
    top: i32,
    /// No ray of the packet has material between `void_low` and `void_high`.
    void_low: i32,
    void_high: i32,
}

impl Summary {
    /// Ends between which all material of the packet lies; `None` when it has none.
    pub(super) const fn reach(&self) -> Option<(i32, i32)> {
        if self.bottom < self.top { Some((self.bottom, self.top)) } else { None }
    }

    /// True when a cut that stays within `low..high` can meet no material of the packet.
    pub(super) const fn clears(&self, low: i32, high: i32) -> bool {
        high <= self.bottom || self.top <= low || (self.void_low <= low && high <= self.void_high)
    }
}

/// What a cut met.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Met {
    /// Sum over the rays, nm.
    pub(super) sum: i64,
    /// Longest piece, nm.
    pub(super) longest: i32,
}

const END: u32 = u32::MAX;

/// The packets of a band and the arena of their slots. The first slot of packet `p` is slot `p`; further slots
/// are chained behind it.
#[derive(Clone, Debug)]
pub(super) struct Packets {
    summaries: Vec<Summary>,
    slots: Vec<Slot>,
    next: Vec<u32>,
}

impl Packets {
    /// Empty packets.
    pub(super) fn new(count: usize) -> Self {
        let nothing = Summary { bottom: i32::MAX, top: i32::MIN, void_low: 0, void_high: 0 };
        Self { summaries: vec![nothing; count], slots: vec![Slot::EMPTY; count], next: vec![END; count] }
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        self.slots.capacity() * size_of::<Slot>()
            + self.next.capacity() * size_of::<u32>()
            + self.summaries.capacity() * size_of::<Summary>()
    }

    pub(super) fn summary(&self, packet: usize) -> &Summary {
        &self.summaries[packet]
    }

    /// Puts an interval on a ray; the caller sees to it that it meets no other.
    pub(super) fn put(&mut self, packet: usize, lane: usize, piece: Interval) {
        let summary = &mut self.summaries[packet];
        summary.bottom = summary.bottom.min(piece.low);
        summary.top = summary.top.max(piece.high);
        let mut s = packet;
        loop {
            let slot = &mut self.slots[s];
            if slot.low[lane] == slot.high[lane] {
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
            // An arena of more than u32::MAX slots would need 1 TB; the budget forbids it long before.
            self.next[s] = u32::try_from(self.slots.len()).unwrap_or(END);
            self.slots.push(Slot::EMPTY);
            self.next.push(END);
        }
        self.next[s] as usize
    }

    /// The intervals of a ray, ascending.
    pub(super) fn ray(&self, packet: usize, lane: usize) -> SmallVec<[Interval; 4]> {
        let mut pieces = SmallVec::new();
        self.each_slot(packet, |slot| {
            if slot.low[lane] < slot.high[lane] {
                pieces.push(Interval {
                    low: slot.low[lane],
                    high: slot.high[lane],
                    low_by: CutId(slot.low_by[lane]),
                    high_by: CutId(slot.high_by[lane]),
                });
            }
        });
        pieces.sort_unstable_by_key(|p: &Interval| p.low);
        pieces
    }

    /// Length of material on each ray of a packet, nm.
    pub(super) fn lengths(&self, packet: usize) -> [i64; LANES] {
        let mut lengths = [0; LANES];
        self.each_slot(packet, |slot| {
            for k in 0..LANES {
                lengths[k] += i64::from(slot.high[k] - slot.low[k]);
            }
        });
        lengths
    }

    /// Every slot of a packet.
    pub(super) fn each_slot(&self, packet: usize, mut see: impl FnMut(&Slot)) {
        let mut s = packet;
        loop {
            see(&self.slots[s]);
            match self.next[s] {
                END => return,
                next => s = next as usize,
            }
        }
    }

    /// Calls `see(lane, low, high)` for every piece of material inside a cut, changing nothing.
    pub(super) fn look(&self, packet: usize, cut: &Bites16, mut see: impl FnMut(usize, i32, i32)) {
        self.each_slot(packet, |slot| {
            for k in 0..LANES {
                let low = slot.low[k].max(cut.low[k]);
                let high = slot.high[k].min(cut.high[k]);
                if low < high && high - low > NOISE {
                    see(k, low, high);
                }
            }
        });
    }

    /// Takes a cut out of a packet, marks the ends that it makes with `by`, and counts what it met.
    pub(super) fn cut(&mut self, packet: usize, cut: &Bites16, by: CutId, met: &mut Met) {
        let (low, high) = (cut.least_low(), cut.most_high());
        if self.summaries[packet].clears(low, high) {
            return;
        }
        let mut s = packet;
        loop {
            let mut upper = Upper::default();
            subtract(&mut self.slots[s], cut, by, met, &mut upper);
            if upper.any {
                self.put_upper(packet, cut, by, &upper);
            }
            match self.next[s] {
                END => break,
                next => s = next as usize,
            }
        }
        self.widen_void(packet, cut);
    }

    /// Puts the parts above a cut that went through the middle of an interval.
    fn put_upper(&mut self, packet: usize, cut: &Bites16, by: CutId, upper: &Upper) {
        for lane in 0..LANES {
            if upper.high[lane] > cut.high[lane] {
                let piece = Interval {
                    low: cut.high[lane],
                    high: upper.high[lane],
                    low_by: by,
                    high_by: CutId(upper.high_by[lane]),
                };
                self.put(packet, lane, piece);
            }
        }
    }

    /// After a cut: what it took from every ray is void in all of them.
    fn widen_void(&mut self, packet: usize, cut: &Bites16) {
        let common_low = cut.low.iter().copied().fold(i32::MIN, i32::max);
        let common_high = cut.high.iter().copied().fold(i32::MAX, i32::min);
        // A void of a few nanometres is worth nothing, and rounding (`NOISE`) must stay small beside it.
        if common_low >= common_high.saturating_sub(10 * NOISE) {
            return;
        }
        let summary = &mut self.summaries[packet];
        if common_low <= summary.bottom {
            summary.bottom = summary.bottom.max(common_high);
        }
        if summary.top <= common_high {
            summary.top = summary.top.min(common_low);
        }
        let apart = common_high < summary.void_low || summary.void_high < common_low;
        let wider =
            common_high.saturating_sub(common_low) > summary.void_high.saturating_sub(summary.void_low);
        if !apart {
            summary.void_low = summary.void_low.min(common_low);
            summary.void_high = summary.void_high.max(common_high);
        } else if wider {
            summary.void_low = common_low;
            summary.void_high = common_high;
        }
    }
}

/// Intervals that a cut went through the middle of: their upper ends, per lane; `i32::MIN` where there is none.
struct Upper {
    any: bool,
    high: [i32; LANES],
    high_by: [u32; LANES],
}

impl Default for Upper {
    fn default() -> Self {
        Self { any: false, high: [i32::MIN; LANES], high_by: [0; LANES] }
    }
}

/// Subtracts from the intervals of one slot. What stays below a cut stays in the slot; what stays above goes into
/// `upper` when there is something below as well.
fn subtract(slot: &mut Slot, cut: &Bites16, by: CutId, met: &mut Met, upper: &mut Upper) {
    let mut length = [0_i32; LANES];
    let mut any = false;
    for k in 0..LANES {
        let low = slot.low[k].max(cut.low[k]);
        let high = slot.high[k].min(cut.high[k]);
        let overlap = if low < high { high.wrapping_sub(low) } else { 0 };
        length[k] = if overlap > NOISE { overlap } else { 0 };
        any |= overlap > NOISE;
    }
    if !any {
        return;
    }
    for k in 0..LANES {
        met.sum += i64::from(length[k]);
        met.longest = met.longest.max(length[k]);
    }
    for k in 0..LANES {
        let hit = length[k] > 0;
        let (low, high) = (slot.low[k], slot.high[k]);
        let below = hit & (cut.low[k] > low + FILM);
        let above = hit & (cut.high[k] < high - FILM);
        let split = below & above;
        upper.any |= split;
        upper.high[k] = if split { high } else { i32::MIN };
        upper.high_by[k] = slot.high_by[k];
        let only_above = above & !below;
        let gone = hit & !below & !above;
        slot.low[k] = if only_above {
            cut.high[k]
        } else if gone {
            0
        } else {
            low
        };
        slot.high[k] = if below {
            cut.low[k]
        } else if gone {
            0
        } else {
            high
        };
        slot.low_by[k] = if only_above { by.0 } else { slot.low_by[k] };
        slot.high_by[k] = if below { by.0 } else { slot.high_by[k] };
    }
}
