//! What the ops at work met in one band, while it is counted.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::bites::Pieces;
use super::packet::{Ints, LANES, each, halved, mask, most, whole};
use super::swept::Lanes;
use super::told::{Sum, Told};
use crate::geom::Axis;

/// Between these are all distances from a path.
pub(super) const UNKNOWN: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// Distances from a path, from and to: crossed, none.
const NOWHERE: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

/// What the ops at work met in one band, while it is counted, each given by its place among them.
#[derive(Clone, Debug, Default)]
pub(super) struct Tallies {
    /// What level moves are counted by: together, so that it stays in a processor's nearest memory.
    sums: Vec<Sum>,
    /// The rest, of as many ops as were ever at work at once.
    rest: Vec<Tally>,
    /// Those that something is counted of lane by lane.
    counted: Vec<usize>,
    /// True when there may be distances or pieces.
    has_more: bool,
}

impl Tallies {
    /// With room for so many.
    pub(super) fn with_room(ops: usize) -> Self {
        Self { sums: Vec::with_capacity(ops), ..Self::default() }
    }

    /// How many ops are at work.
    #[inline(always)]
    pub(super) const fn ops(&self) -> usize {
        self.sums.len()
    }

    /// Begins with an op, given by its number, and tells its place.
    #[inline(always)]
    pub(super) fn begin(&mut self, number: u32) -> usize {
        let tally = self.sums.len();
        self.sums.push(Sum { number, longest: 0, nm: 0 });
        if self.rest.len() <= tally {
            self.rest.push(Tally::NOTHING);
        }
        tally
    }

    /// Adds what was met on several rays: the sum, and the longest piece.
    #[inline(always)]
    pub(super) fn add(&mut self, tally: usize, sum: u64, longest: i32) {
        self.sums[tally].add(sum, longest);
    }

    /// Adds what was met on so many rays of each of sixteen lines.
    #[inline(always)]
    pub(super) fn add_product(&mut self, tally: usize, lengths: &Ints, rays: &Ints) {
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
            self.add(tally, a + b + c + d, longest);
        }
    }

    /// What is counted lane by lane.
    #[inline(always)]
    pub(super) fn by_lanes(&mut self, tally: usize) -> &mut Tally {
        let own = &mut self.rest[tally];
        if !own.is_counted {
            own.is_counted = true;
            self.counted.push(tally);
        }
        own
    }

    /// Adds how far to the sides of the path something was met.
    #[inline(always)]
    pub(super) fn add_sides(&mut self, tally: usize, sides: (f64, f64)) {
        self.has_more = true;
        self.rest[tally].add_sides(sides);
    }

    /// Counts a piece that is looked at and left.
    pub(super) fn look(&mut self, tally: usize, length: i32) {
        self.add(tally, u64::from(length.cast_unsigned()), length);
    }

    /// Keeps a piece for the report: `i`, `j` is its ray, `when` as in [`super::Swept::when`].
    pub(super) fn keep(&mut self, tally: usize, axis: Axis, ray: (u32, u32), ends: (i32, i32), when: f64) {
        self.has_more = true;
        self.rest[tally].pieces.get_or_insert_default().keep(axis, ray, ends, when);
    }

    /// Tells what each op met, where it met something; then none is at work.
    #[inline(always)]
    pub(super) fn tell(&mut self, told: &mut Told) {
        for tally in self.counted.drain(..) {
            let own = &mut self.rest[tally];
            let (sum, longest) = own.take();
            self.has_more |= own.has_sides;
            self.sums[tally].add(sum, longest);
        }
        for sum in &self.sums {
            if sum.longest > 0 {
                told.add(*sum);
            }
        }
        if std::mem::take(&mut self.has_more) {
            self.tell_more(told);
        }
        self.sums.clear();
    }

    fn tell_more(&mut self, told: &mut Told) {
        for (sum, rest) in self.sums.iter().zip(&mut self.rest) {
            let (sides, pieces) = (rest.take_sides(), rest.pieces.take());
            if sum.longest == 0 {
                continue;
            }
            if let Some(sides) = sides {
                told.add_sides(sum.number, sides);
            }
            if let Some(pieces) = pieces {
                told.add_pieces(sum.number, pieces);
            }
        }
    }
}

/// What one op met in one band, but for what was added up before it came here.
#[derive(Clone, Debug)]
#[repr(C, align(64))]
pub(super) struct Tally {
    /// Sums, nm, of two lanes each: two lengths fit into 32 bits, as none is over 2.1 m.
    sum: [u64; LANES / 2],
    /// Longest pieces, nm.
    longest: Ints,
    lanes_sides: Sides,
    /// How far to the sides of the path material was met, mm, from and to, of what was put together before it came here.
    sides: (f64, f64),
    /// How far it is sure, while it is counted lane by lane, that material was met; crossed where that is not known.
    sure: (f64, f64),
    pieces: Option<Box<Pieces>>,
    /// True when something was counted lane by lane, and when its distances were.
    is_counted: bool,
    has_sides: bool,
}

impl Tally {
    const NOTHING: Self = Self {
        sum: [0; LANES / 2],
        longest: [0; LANES],
        lanes_sides: Sides::NONE,
        sides: NOWHERE,
        sure: NOWHERE,
        pieces: None,
        is_counted: false,
        has_sides: false,
    };

    /// Adds what a cut met on the rays of a packet.
    #[inline(always)]
    pub(super) fn count(&mut self, length: &Ints) {
        for k in 0..LANES / 2 {
            let two = length[k].cast_unsigned() + length[k + LANES / 2].cast_unsigned();
            self.sum[k] += u64::from(two);
        }
        for k in 0..LANES {
            let longest = self.longest[k];
            self.longest[k] = if length[k] > longest { length[k] } else { longest };
        }
    }

    /// Adds where the rays on which a cut met something pass the path: each `beside` it, and all of the packet's between two
    /// distances.
    #[inline(always)]
    pub(super) fn count_sides(&mut self, length: &Ints, beside: &Lanes, (least, most): (f64, f64)) {
        self.has_sides = true;
        self.lanes_sides.add(&each(length, length, |length, _| mask(length > 0)), beside);
        let (from, to) = self.sure;
        self.sure = (if most < from { most } else { from }, if least > to { least } else { to });
    }

    /// False when rays that pass between two distances from the path can tell nothing new of how far to the side it met.
    #[inline(always)]
    pub(super) fn may_widen(&self, (least, most): (f64, f64)) -> bool {
        !(self.sure.0 <= least && most <= self.sure.1)
    }

    #[inline(always)]
    const fn add_sides(&mut self, sides: (f64, f64)) {
        self.sides = wider(self.sides, sides);
    }

    /// Tells the sum and the longest piece of what was counted lane by lane, and begins anew.
    #[inline(always)]
    fn take(&mut self) -> (u64, i32) {
        let all = (self.sum.iter().sum(), most(&self.longest));
        (self.sum, self.longest, self.is_counted) = ([0; LANES / 2], [0; LANES], false);
        all
    }

    /// Tells how far to the sides of the path something was met, and begins anew.
    #[inline(always)]
    fn take_sides(&mut self) -> Option<(f64, f64)> {
        if self.has_sides {
            let sides = self.lanes_sides.take();
            self.add_sides(sides);
            (self.has_sides, self.sure) = (false, NOWHERE);
        }
        let sides = std::mem::replace(&mut self.sides, NOWHERE);
        (sides.0 <= sides.1).then_some(sides)
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

    /// Adds rays of a packet, given by a mask, that pass the path each `beside` it.
    #[inline(always)]
    pub(super) fn add(&mut self, rays: &Ints, beside: &Lanes) {
        // As the least and the greatest, not as a choice: see `whole`.
        for k in 0..LANES {
            let is_met = rays[k] != 0;
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
        let mut tallies = Tallies::default();
        assert_eq!((tallies.begin(5), tallies.begin(7)), (0, 1));
        tallies.add_product(1, &lengths, &rays);
        let told = |tallies: &Tallies| (tallies.sums[1].nm.cast_signed(), tallies.sums[1].longest);
        assert_eq!(told(&tallies), (sum(&lengths), lengths[14]));
        tallies.add_product(1, &[0; LANES], &rays);
        tallies.add_product(1, &lengths, &[0; LANES]);
        tallies.add_product(1, &[1; LANES], &rays);
        assert_eq!(told(&tallies), (sum(&lengths) + sum(&[1; LANES]), lengths[14]));
    }
}
