//! Packets of 4 x 4 rays: one interval for each ray, and the subtraction of one interval from each.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by constants and written so that the compiler makes vectors of them"
)]

use super::nm::{FAR, FILM, NOISE};
use super::op::{CutId, Interval};

/// Rays of a packet along each of the two directions of its grid.
pub(super) const SIDE: u32 = 4;
/// Rays of a packet; also the packets of a block.
pub(super) const LANES: usize = 16;
/// All rays of a packet, a bit for each.
pub(super) const ALL: u32 = (1 << LANES) - 1;

/// One interval for each ray of a packet, structure of arrays. An empty lane reaches from `FAR` to `-FAR`.
#[derive(Clone, Debug, PartialEq, Eq)]
#[repr(align(64))]
pub(super) struct Slot {
    pub(super) low: [i32; LANES],
    pub(super) high: [i32; LANES],
    pub(super) low_by: [u32; LANES],
    pub(super) high_by: [u32; LANES],
}

impl Slot {
    /// No interval on any ray.
    pub(super) const EMPTY: Slot =
        Slot { low: [FAR; LANES], high: [-FAR; LANES], low_by: [0; LANES], high_by: [0; LANES] };

    /// True when a lane holds an interval.
    pub(super) const fn holds(&self, lane: usize) -> bool {
        self.low[lane] < self.high[lane]
    }
}

impl Slot {
    /// The interval that a lane holds, if any.
    #[inline(always)]
    pub(super) fn piece(&self, lane: usize) -> Option<Interval> {
        self.holds(lane).then(|| Interval {
            low: self.low[lane],
            high: self.high[lane],
            low_by: CutId(self.low_by[lane]),
            high_by: CutId(self.high_by[lane]),
        })
    }
}

/// One whole number for each lane.
pub(super) type Ints = [i32; LANES];

/// What `f` makes of two numbers, lane by lane.
#[inline(always)]
pub(super) fn each(a: &Ints, b: &Ints, f: impl Fn(i32, i32) -> i32) -> Ints {
    let mut out = [0; LANES];
    for k in 0..LANES {
        out[k] = f(a[k], b[k]);
    }
    out
}

/// Mask of the lanes where `a <= b`.
#[inline(always)]
pub(super) fn le(a: &Ints, b: &Ints) -> Ints {
    each(a, b, |a, b| mask(a <= b))
}

/// Mask of the lanes where `a < b`.
#[inline(always)]
pub(super) fn lt(a: &Ints, b: &Ints) -> Ints {
    each(a, b, |a, b| mask(a < b))
}

/// Lane by lane `a` and `b`.
#[inline(always)]
pub(super) fn and(a: &Ints, b: &Ints) -> Ints {
    each(a, b, |a, b| a & b)
}

/// The lanes of a mask, a bit for each.
#[inline(always)]
pub(super) fn bits(mask: &Ints) -> u32 {
    let mut bits = 0;
    for (k, lane) in mask.iter().enumerate() {
        bits |= lane & (1 << k);
    }
    bits.cast_unsigned()
}

/// The mask of lanes given by bits.
#[inline(always)]
pub(super) fn rays(bits: u32) -> Ints {
    std::array::from_fn(|k| mask(bits & (1 << k) != 0))
}

/// `a` in the lanes of the mask, `b` in the others.
#[inline(always)]
pub(super) fn choose(mask: &Ints, a: &Ints, b: &Ints) -> Ints {
    let mut out = [0; LANES];
    for k in 0..LANES {
        out[k] = pick(mask[k], a[k], b[k]);
    }
    out
}

/// The same value, kept as whole arrays: without this the compiler follows single lanes through everything that is
/// inlined, takes the arrays apart and works on them in crumbs.
///
/// What is stored over what it was chosen from needs it too (or must be a least and a greatest instead of a choice): otherwise only the
/// lanes that change would be stored. That is slow in itself with AVX2, and with any vectors a processor that reads all lanes next
/// has to wait for it.
#[inline(always)]
pub(super) fn whole<T>(value: T) -> T {
    std::hint::black_box(value)
}

/// True when some lane of a mask is set.
#[inline(always)]
pub(super) fn any(mask: &Ints) -> bool {
    let mut bits = 0;
    for k in 0..LANES {
        bits |= mask[k];
    }
    bits != 0
}

/// What a cut takes from the rays of a packet: `low[k]..high[k]` of ray `k`; nothing where `low >= high`.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub(super) struct Cut16 {
    pub(super) low: [i32; LANES],
    pub(super) high: [i32; LANES],
}

impl Cut16 {
    /// Nothing taken anywhere.
    pub(super) const NONE: Cut16 = Cut16 { low: [FAR; LANES], high: [-FAR; LANES] };

    /// Everything taken everywhere.
    pub(super) const ALL: Cut16 = Cut16 { low: [-FAR; LANES], high: [FAR; LANES] };

    /// The ends on one ray.
    pub(super) const fn of(&self, lane: usize) -> (i32, i32) {
        (self.low[lane], self.high[lane])
    }

    /// From the lower to the higher of both.
    #[inline(always)]
    pub(super) fn widen(&mut self, other: &Cut16) {
        for k in 0..LANES {
            self.low[k] = if other.low[k] < self.low[k] { other.low[k] } else { self.low[k] };
            self.high[k] = if other.high[k] > self.high[k] { other.high[k] } else { self.high[k] };
        }
    }

    /// The same ends on all rays whose span in `low..high` (mm) is not crossed.
    #[inline(always)]
    pub(super) fn where_met(low: &[f64; LANES], high: &[f64; LANES], ends: (i32, i32)) -> Self {
        let mut cut = Self::NONE;
        for k in 0..LANES {
            cut.low[k] = if low[k] <= high[k] { ends.0 } else { FAR };
            cut.high[k] = if low[k] <= high[k] { ends.1 } else { -FAR };
        }
        cut
    }

    /// The same ends in all lanes of a mask.
    #[inline(always)]
    pub(super) fn with_ends(lanes: &Ints, ends: (i32, i32)) -> Self {
        Self {
            low: choose(lanes, &[ends.0; LANES], &[FAR; LANES]),
            high: choose(lanes, &[ends.1; LANES], &[-FAR; LANES]),
        }
    }

    /// True when what it meets of a slot is not so short that rounding decides: nothing, more than that, or all of
    /// itself well inside an interval.
    #[inline(never)]
    pub(super) fn is_plain(&self, slot: &Slot) -> bool {
        (0..LANES).all(|k| {
            let length = self.high[k].min(slot.high[k]).saturating_sub(self.low[k].max(slot.low[k]));
            length <= 0 || length > FILM || (slot.low[k] < self.low[k] && self.high[k] < slot.high[k])
        })
    }

    /// What is taken from every ray; crossed when that is nothing.
    #[inline(always)]
    pub(super) fn common(&self) -> (i32, i32) {
        (most(&self.low), least(&self.high))
    }
}

/// All lanes together, by halves, each step a loop of its own that the compiler can make vectors of.
#[inline(always)]
pub(super) fn halved<T: Copy>(lanes: &[T; LANES], f: impl Fn(T, T) -> T) -> T {
    let (mut eight, mut four) = ([lanes[0]; 8], [lanes[0]; 4]);
    for k in 0..8 {
        eight[k] = f(lanes[k], lanes[k + 8]);
    }
    for k in 0..4 {
        four[k] = f(eight[k], eight[k + 4]);
    }
    f(f(four[0], four[2]), f(four[1], four[3]))
}

#[inline(always)]
pub(super) fn least(values: &Ints) -> i32 {
    halved(values, |a, b| if a < b { a } else { b })
}

#[inline(always)]
pub(super) fn most(values: &Ints) -> i32 {
    halved(values, |a, b| if a > b { a } else { b })
}

/// Who makes the ends of a cut, lane by lane.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub(super) struct Makers {
    pub(super) low: [u32; LANES],
    pub(super) high: [u32; LANES],
}

impl Makers {
    /// The same for all ends.
    #[inline(always)]
    pub(super) const fn all(by: u32) -> Self {
        Self { low: [by; LANES], high: [by; LANES] }
    }
}

/// Upper ends of intervals that a cut went through the middle of; `-FAR` where there is none.
pub(super) struct Upper {
    pub(super) high: [i32; LANES],
    pub(super) by: [u32; LANES],
}

/// Length of what a cut has in common with each interval of a slot; 0 where it is rounding at most.
#[inline(always)]
pub(super) fn common(slot: &Slot, cut: &Cut16) -> [i32; LANES] {
    let mut length = [0_i32; LANES];
    for k in 0..LANES {
        let low = if slot.low[k] > cut.low[k] { slot.low[k] } else { cut.low[k] };
        let high = if slot.high[k] < cut.high[k] { slot.high[k] } else { cut.high[k] };
        length[k] = high.wrapping_sub(low) & mask(high - NOISE > low);
    }
    length
}

/// All bits where true, none where false: choices between lanes are made with it, which compilers turn into vectors more
/// reliably than branches.
#[inline(always)]
pub(super) const fn mask(condition: bool) -> i32 {
    -(condition as i32)
}

/// `a` where the mask is set, otherwise `b`.
#[inline(always)]
pub(super) const fn pick(mask: i32, a: i32, b: i32) -> i32 {
    (a & mask) | (b & !mask)
}

/// Takes a cut out of the intervals of one slot, given the lengths that they have in common. What stays below the cut
/// stays in the slot; what stays above goes into the result when there is something below as well.
#[inline(always)]
pub(super) fn subtract(slot: &mut Slot, cut: &Cut16, length: &[i32; LANES], by: &Makers) -> Option<Upper> {
    let (low, high, low_by, high_by) = (slot.low, slot.high, slot.low_by, slot.high_by);
    let (mut below, mut above) = ([0; LANES], [0; LANES]);
    for k in 0..LANES {
        let hit = mask(length[k] > 0);
        below[k] = hit & mask(cut.low[k] > low[k] + FILM);
        above[k] = hit & mask(cut.high[k] < high[k] - FILM);
    }
    for k in 0..LANES {
        let gone = mask(length[k] > 0) & !below[k] & !above[k];
        let only_above = above[k] & !below[k];
        slot.low[k] = pick(gone, FAR, pick(only_above, cut.high[k], low[k]));
        slot.high[k] = pick(gone, -FAR, pick(below[k], cut.low[k], high[k]));
    }
    for k in 0..LANES {
        let only_above = (above[k] & !below[k]).cast_unsigned();
        let below = below[k].cast_unsigned();
        slot.low_by[k] = (by.high[k] & only_above) | (low_by[k] & !only_above);
        slot.high_by[k] = (by.low[k] & below) | (high_by[k] & !below);
    }
    let mut split = 0;
    for k in 0..LANES {
        split |= below[k] & above[k];
    }
    if split == 0 {
        return None;
    }
    let mut upper = Upper { high: [-FAR; LANES], by: high_by };
    for k in 0..LANES {
        upper.high[k] = pick(below[k] & above[k], high[k], -FAR);
    }
    Some(upper)
}
