//! What is known of rays without looking at them: where their material can be at all, and one stretch without any.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by constants and written so that the compiler makes vectors of them"
)]

use super::nm::{FAR, FILM};
use super::packet::{Cut16, Ints, LANES, least, mask, most, pick};

/// What is known of rays without looking at them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Summary {
    /// No material lies below.
    pub(super) bottom: i32,
    /// No material lies above.
    pub(super) top: i32,
    /// No ray has material between these two.
    pub(super) void_low: i32,
    pub(super) void_high: i32,
}

impl Summary {
    /// Ends between which all material lies; `None` when there is none.
    pub(super) const fn reach(&self) -> Option<(i32, i32)> {
        if self.bottom < self.top { Some((self.bottom, self.top)) } else { None }
    }

    /// True when a cut that stays within `low..high` can meet no material.
    #[inline(always)]
    pub(super) const fn clears(&self, low: i32, high: i32) -> bool {
        (high <= self.bottom) | (self.top <= low) | ((self.void_low <= low) & (high <= self.void_high))
    }
}

/// The summaries of the packets of a block, or of the blocks of a field, structure of arrays; one that lies outside the
/// grid holds nothing.
#[derive(Clone, Debug, PartialEq, Eq)]
#[repr(align(64))]
pub(super) struct Marks {
    pub(super) bottom: [i32; LANES],
    pub(super) top: [i32; LANES],
    pub(super) void_low: [i32; LANES],
    pub(super) void_high: [i32; LANES],
}

impl Marks {
    /// Nothing anywhere.
    pub(super) const EMPTY: Marks =
        Marks { bottom: [FAR; LANES], top: [-FAR; LANES], void_low: [-FAR; LANES], void_high: [FAR; LANES] };

    pub(super) fn of(&self, packet: usize) -> Summary {
        Summary {
            bottom: self.bottom[packet],
            top: self.top[packet],
            void_low: self.void_low[packet],
            void_high: self.void_high[packet],
        }
    }

    /// Takes note of one.
    #[inline(always)]
    pub(super) fn set(&mut self, packet: usize, known: Summary) {
        self.bottom[packet] = known.bottom;
        self.top[packet] = known.top;
        self.void_low[packet] = known.void_low;
        self.void_high[packet] = known.void_high;
    }

    /// Which packets can meet cuts that stay within `low..high`, one for each packet: bit `p` for packet `p`.
    #[inline(always)]
    pub(super) fn met(&self, cut: &Cut16) -> u32 {
        let mut met = [0_i32; LANES];
        for k in 0..LANES {
            let (low, high) = (cut.low[k], cut.high[k]);
            let beside = mask(high <= self.bottom[k]) | mask(self.top[k] <= low);
            let in_void = mask(self.void_low[k] <= low) & mask(high <= self.void_high[k]);
            met[k] = (1 << k) & !(beside | in_void | mask(low >= high));
        }
        let mut bits = 0;
        for k in 0..LANES {
            bits |= met[k];
        }
        bits.cast_unsigned()
    }

    /// Takes into account cuts that wait: what is within `sure` will be gone from all rays of each packet before anything
    /// else is done to it. Tells the packets in which nothing is left below that, and above it.
    #[inline(always)]
    pub(super) fn expect(&mut self, sure: &Cut16) -> [Ints; 2] {
        let mut open = [[0; LANES]; 2];
        for k in 0..LANES {
            // Bounds are right to a nanometre, and overlaps of one more are left.
            let (low, high) = (sure.low[k] + 2 * FILM, sure.high[k] - 2 * FILM);
            let (bottom, top) = (self.bottom[k], self.top[k]);
            let known = mask(low < high);
            let at_bottom = known & mask(low <= bottom);
            let at_top = known & mask(top <= high);
            let all = at_bottom & at_top;
            (open[0][k], open[1][k]) = (at_bottom, at_top);
            let new_bottom = pick(at_bottom & mask(bottom < high), high, bottom);
            let new_top = pick(at_top & mask(low < top), low, top);
            self.bottom[k] = pick(all, FAR, new_bottom);
            self.top[k] = pick(all, -FAR, new_top);
            let (void_low, void_high) = (self.void_low[k], self.void_high[k]);
            let joins = known & mask(low <= void_high) & mask(void_low <= high);
            let least = pick(mask(low < void_low), low, void_low);
            let most = pick(mask(high > void_high), high, void_high);
            // Of two that do not join the wider; halves, so that nothing overflows.
            let wider = known & mask(high / 2 - low / 2 > void_high / 2 - void_low / 2);
            self.void_low[k] = pick(joins, least, pick(wider, low, void_low));
            self.void_high[k] = pick(joins, most, pick(wider, high, void_high));
        }
        open
    }

    #[inline(always)]
    pub(super) fn whole(&self) -> Summary {
        Summary {
            bottom: least(&self.bottom),
            top: most(&self.top),
            void_low: most(&self.void_low),
            void_high: least(&self.void_high),
        }
    }
}
