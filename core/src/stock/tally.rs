//! What one op met in one band, while it is counted.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::bites::Pieces;
use super::packet::{Ints, LANES, each, halved, mask, most, whole};
use super::swept::Lanes;
use super::told::Told;
use crate::geom::Axis;

/// Between these are all distances from a path.
pub(super) const UNKNOWN: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// Distances from a path, from and to: crossed, none.
const NOWHERE: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

/// What one op met in one band, while it is counted.
///
/// What level moves are counted by comes first: one line of a processor's nearest memory, of seven, so that those of many tallies
/// do not drive each other out of it.
#[derive(Clone, Debug)]
#[repr(C, align(64))]
pub(super) struct Tally {
    /// Number of the op.
    pub(super) number: u32,
    /// Longest piece and sum of what was added up before it came here, nm.
    longest: i32,
    sum: u64,
    /// True when something was counted lane by lane, when its distances were, and when there are distances or pieces at all.
    by_lanes: bool,
    has_sides: bool,
    has_more: bool,
    /// How far to the sides of the path material was met, mm, from and to, of what was put together before it came here.
    sides: (f64, f64),
    /// How far it is sure, while it is counted lane by lane, that material was met; crossed where that is not known.
    sure: (f64, f64),
    pieces: Option<Box<Pieces>>,
    /// Sums, nm, of two lanes each: two lengths fit into 32 bits, as none is over 2.1 m.
    lanes_sum: [u64; LANES / 2],
    /// Longest pieces, nm.
    lanes_longest: Ints,
    lanes_sides: Sides,
}

impl Tally {
    /// Nothing met by the op of that number.
    pub(super) const fn of(number: u32) -> Self {
        Self {
            number,
            longest: 0,
            sum: 0,
            by_lanes: false,
            has_sides: false,
            has_more: false,
            sides: NOWHERE,
            sure: NOWHERE,
            pieces: None,
            lanes_sum: [0; LANES / 2],
            lanes_longest: [0; LANES],
            lanes_sides: Sides::NONE,
        }
    }

    /// Adds what a cut met on the rays of a packet.
    #[inline(always)]
    pub(super) fn count(&mut self, length: &Ints) {
        self.by_lanes = true;
        for k in 0..LANES / 2 {
            let two = length[k].cast_unsigned() + length[k + LANES / 2].cast_unsigned();
            self.lanes_sum[k] += u64::from(two);
        }
        for k in 0..LANES {
            let longest = self.lanes_longest[k];
            self.lanes_longest[k] = if length[k] > longest { length[k] } else { longest };
        }
    }

    /// Adds where the rays on which a cut met something pass the path: each `beside` it, and all of the packet's between two
    /// distances.
    #[inline(always)]
    pub(super) fn count_sides(&mut self, length: &Ints, beside: &Lanes, (least, most): (f64, f64)) {
        (self.has_sides, self.has_more) = (true, true);
        let Sides { from: own_from, to: own_to } = &mut self.lanes_sides;
        for k in 0..LANES {
            let from = if length[k] > 0 { beside[k] } else { NOWHERE.0 };
            let to = if length[k] > 0 { beside[k] } else { NOWHERE.1 };
            own_from[k] = if from < own_from[k] { from } else { own_from[k] };
            own_to[k] = if to > own_to[k] { to } else { own_to[k] };
        }
        let (from, to) = self.sure;
        self.sure = (if most < from { most } else { from }, if least > to { least } else { to });
    }

    /// False when rays that pass between two distances from the path can tell nothing new of how far to the side it met.
    #[inline(always)]
    pub(super) fn may_widen(&self, (least, most): (f64, f64)) -> bool {
        !(self.sure.0 <= least && most <= self.sure.1)
    }

    /// Adds what was met on several rays: the sum, and the longest piece.
    #[inline(always)]
    pub(super) const fn add(&mut self, sum: u64, longest: i32) {
        self.sum += sum;
        self.longest = if longest > self.longest { longest } else { self.longest };
    }

    /// Adds what was met on so many rays of each of sixteen lines.
    #[inline(always)]
    pub(super) fn add_product(&mut self, lengths: &Ints, rays: &Ints) {
        let longest = most(&each(lengths, rays, |length, rays| length & mask(rays > 0)));
        if longest > 0 {
            // Read once more: otherwise both would be worked on in crumbs.
            let lengths = whole(lengths);
            let of = |k: usize| u64::from(lengths[k].cast_unsigned()) * u64::from(rays[k].cast_unsigned());
            let mut sums = [0; LANES / 4];
            for k in 0..LANES / 4 {
                sums[k] = of(k) + of(k + 4) + of(k + 8) + of(k + 12);
            }
            // As a whole: otherwise the products would be worked out one by one.
            let [a, b, c, d] = whole(sums);
            self.add(a + b + c + d, longest);
        }
    }

    /// Adds how far to the sides of the path something was met.
    #[inline(always)]
    pub(super) const fn add_sides(&mut self, sides: (f64, f64)) {
        self.has_more = true;
        self.sides = wider(self.sides, sides);
    }

    /// Counts a piece that is looked at and left.
    pub(super) fn look(&mut self, length: i32) {
        self.add(u64::from(length.cast_unsigned()), length);
    }

    /// Keeps a piece for the report: `i`, `j` is its ray, `when` as in [`super::Swept::when`].
    pub(super) fn keep(&mut self, axis: Axis, ray: (u32, u32), ends: (i32, i32), when: f64) {
        self.has_more = true;
        self.pieces.get_or_insert_default().keep(axis, ray, ends, when);
    }

    /// Tells all of it, where something was met, and begins anew.
    #[inline(always)]
    pub(super) fn tell(&mut self, told: &mut Told) {
        if self.by_lanes {
            self.sum += self.lanes_sum.iter().sum::<u64>();
            self.longest = self.longest.max(most(&self.lanes_longest));
            (self.lanes_sum, self.lanes_longest, self.by_lanes) = ([0; LANES / 2], [0; LANES], false);
        }
        if self.longest == 0 {
            return;
        }
        told.add(self.number, self.longest, self.sum);
        (self.sum, self.longest) = (0, 0);
        if std::mem::take(&mut self.has_more) {
            self.tell_more(told);
        }
    }

    #[inline(always)]
    fn tell_more(&mut self, told: &mut Told) {
        if self.has_sides {
            self.sides = wider(self.sides, self.lanes_sides.take());
            (self.has_sides, self.sure) = (false, NOWHERE);
        }
        if self.sides.0 <= self.sides.1 {
            told.add_sides(self.number, self.sides);
            self.sides = NOWHERE;
        }
        if let Some(pieces) = self.pieces.take() {
            told.add_pieces(self.number, pieces);
        }
    }
}

/// From the lesser start to the greater end of both.
const fn wider(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (if b.0 < a.0 { b.0 } else { a.0 }, if b.1 > a.1 { b.1 } else { a.1 })
}

/// How far to the sides of the path an op met something, lane by lane.
#[derive(Clone, Debug)]
#[repr(C)]
pub(super) struct Sides {
    from: Lanes,
    to: Lanes,
}

impl Sides {
    pub(super) const NONE: Self = Self { from: [NOWHERE.0; LANES], to: [NOWHERE.1; LANES] };

    /// Adds rays of a packet, a bit for each, that pass the path each `beside` it.
    #[inline(always)]
    pub(super) fn add(&mut self, rays: u32, beside: &Lanes) {
        // Not by comparing with what it was: then only the lanes that change would be stored, for which a processor that reads all of
        // them next has to wait.
        for k in 0..LANES {
            let is_met = rays & (1 << k) != 0;
            self.from[k] = self.from[k].min(if is_met { beside[k] } else { NOWHERE.0 });
            self.to[k] = self.to[k].max(if is_met { beside[k] } else { NOWHERE.1 });
        }
    }

    /// Tells all of it together, crossed when there is nothing, and begins anew.
    #[inline(always)]
    pub(super) fn take(&mut self) -> (f64, f64) {
        let least = halved(&self.from, |a, b| if a < b { a } else { b });
        let all = (least, halved(&self.to, |a, b| if a > b { a } else { b }));
        *self = Self::NONE;
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn products_are_those_of_lines_on_which_there_are_rays() {
        // Sums that do not fit into 32 bits, and the longest of all on a line without a ray.
        let lengths: Ints = std::array::from_fn(|k| 100_000_000 + 7 * i32::try_from(k).unwrap());
        let rays: Ints =
            std::array::from_fn(|k| if k == 3 || k == 15 { 0 } else { 40 + i32::try_from(k).unwrap() });
        let sum = |lengths: &Ints| {
            lengths.iter().zip(&rays).map(|(length, rays)| i64::from(*length) * i64::from(*rays)).sum::<i64>()
        };
        let mut tally = Tally::of(5);
        tally.add_product(&lengths, &rays);
        assert_eq!((tally.sum.cast_signed(), tally.longest), (sum(&lengths), lengths[14]));
        tally.add_product(&[0; LANES], &rays);
        tally.add_product(&lengths, &[0; LANES]);
        tally.add_product(&[1; LANES], &rays);
        assert_eq!((tally.sum.cast_signed(), tally.longest), (sum(&lengths) + sum(&[1; LANES]), lengths[14]));
    }
}
