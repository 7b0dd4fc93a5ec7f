//! What one op met in one band, while it is counted.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::bites::Pieces;
use super::packet::{Ints, LANES, halved, most};
use super::swept::Lanes;
use crate::geom::Axis;

/// Between these are all distances from a path.
pub(super) const UNKNOWN: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// Distances from a path, from and to: crossed, none.
const NOWHERE: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

/// What one op met in one band, while it is counted.
///
/// What level moves are counted by comes first, so that it lies together.
#[derive(Clone, Debug)]
#[repr(C)]
pub(super) struct Tally {
    /// Sum and longest piece of what was added up before it came here, nm.
    sum: u64,
    longest: i32,
    /// True when something was counted lane by lane, and when its distances were.
    by_lanes: bool,
    has_sides: bool,
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
    /// Nothing met.
    pub(super) const NOTHING: Self = Self {
        sum: 0,
        longest: 0,
        by_lanes: false,
        has_sides: false,
        sides: NOWHERE,
        sure: NOWHERE,
        pieces: None,
        lanes_sum: [0; LANES / 2],
        lanes_longest: [0; LANES],
        lanes_sides: Sides::NONE,
    };

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
        self.has_sides = true;
        let Sides { from: own_from, to: own_to, .. } = &mut self.lanes_sides;
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

    /// Adds how far to the sides of the path something was met.
    #[inline(always)]
    pub(super) const fn add_sides(&mut self, sides: (f64, f64)) {
        self.sides = wider(self.sides, sides);
    }

    /// Counts a piece that is looked at and left.
    pub(super) fn look(&mut self, length: i32) {
        self.add(u64::from(length.cast_unsigned()), length);
    }

    /// Keeps a piece for the report: `i`, `j` is its ray, `when` as in [`super::Swept::when`].
    pub(super) fn keep(&mut self, axis: Axis, ray: (u32, u32), ends: (i32, i32), when: f64) {
        self.pieces.get_or_insert_default().keep(axis, ray, ends, when);
    }

    /// Tells all of it, `None` when nothing was met, and begins anew.
    #[inline(always)]
    pub(super) fn take(&mut self) -> Option<Met> {
        let (mut sum, mut longest, mut sides) = (self.sum, self.longest, self.sides);
        if self.by_lanes {
            sum += self.lanes_sum.iter().sum::<u64>();
            longest = longest.max(most(&self.lanes_longest));
            (self.lanes_sum, self.lanes_longest, self.by_lanes) = ([0; LANES / 2], [0; LANES], false);
        }
        if longest == 0 {
            return None;
        }
        if self.has_sides {
            sides = wider(sides, self.lanes_sides.take());
            (self.has_sides, self.sure) = (false, NOWHERE);
        }
        (self.sum, self.longest, self.sides) = (0, 0, NOWHERE);
        Some(Met { sum, longest, sides, pieces: self.pieces.take() })
    }
}

/// From the lesser start to the greater end of both.
const fn wider(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (if b.0 < a.0 { b.0 } else { a.0 }, if b.1 > a.1 { b.1 } else { a.1 })
}

/// How far to the sides of the path an op met something, lane by lane.
#[derive(Clone, Debug)]
pub(super) struct Sides {
    from: Lanes,
    to: Lanes,
    /// True when something was added.
    pub(super) is_any: bool,
}

impl Sides {
    pub(super) const NONE: Self = Self { from: [NOWHERE.0; LANES], to: [NOWHERE.1; LANES], is_any: false };

    /// Adds rays of a packet, a bit for each, that pass the path each `beside` it.
    #[inline(always)]
    pub(super) fn add(&mut self, rays: u32, beside: &Lanes) {
        self.is_any = true;
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

/// What one op met in one band.
pub(super) struct Met {
    /// Sum over the rays, nm.
    pub(super) sum: u64,
    /// Longest piece, nm.
    pub(super) longest: i32,
    /// How far to the sides of the path, mm, from and to; crossed where that is not known.
    pub(super) sides: (f64, f64),
    pub(super) pieces: Option<Box<Pieces>>,
}
