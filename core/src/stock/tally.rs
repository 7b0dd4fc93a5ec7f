#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::layout::GridLayout;
use super::nm::mm_from_nm;
use super::op::{Bite, OpRecord};
use super::packet::{Ints, LANES, halved, mask};
use super::swept::Lanes;
use crate::geom::Axis;
use std::cmp::Reverse;

/// A piece of material met, with everything that orders it. Two never compare equal, so that which ones are kept
/// does not depend on the order in which they come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Kept {
    length: i32,
    /// When it is met, 0 at the start of the path to `u32::MAX` at its end.
    when: u32,
    axis: Axis,
    j: u32,
    i: u32,
    low: i32,
}

impl Kept {
    fn longest_first(&self) -> (Reverse<i32>, u64, Axis, u32, u32, i32) {
        (Reverse(self.length), self.scatter(), self.axis, self.j, self.i, self.low)
    }

    fn earliest_first(&self) -> (u32, u64, Axis, u32, u32, i32) {
        (self.when, self.scatter(), self.axis, self.j, self.i, self.low)
    }

    /// Mixes the ray's numbers, so that of many equal pieces those kept lie all over and not along one edge.
    const fn scatter(&self) -> u64 {
        // Finalizer of the splitmix generator: Steele, Lea, Flood, "Fast splittable pseudorandom number
        // generators", 2014.
        let mut x = ((self.j as u64) << 32) | self.i as u64;
        x = (x ^ (x >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^ (x >> 31)
    }
}

/// Kept for each of the three axes and each of the two orders.
const SHARE: usize = OpRecord::MOST_BITES / 6;

/// Kept before they are thinned out.
const CROWD: usize = 12 * OpRecord::MOST_BITES;

/// Sorts by axis, then by `order`, and keeps the first few of each axis.
fn thin_out<K: Ord>(list: &mut Vec<Kept>, order: impl Fn(&Kept) -> K) {
    list.sort_unstable_by_key(|k| (k.axis, order(k)));
    let (mut axis, mut kept) = (None, 0);
    list.retain(|k| {
        kept = if axis == Some(k.axis) { kept + 1 } else { 1 };
        axis = Some(k.axis);
        kept <= SHARE
    });
}

/// The pieces kept for a report.
#[derive(Clone, Debug, Default)]
struct Pieces {
    long: Vec<Kept>,
    early: Vec<Kept>,
}

impl Pieces {
    fn shorten_crowd(&mut self) {
        if self.long.len() >= CROWD {
            self.shorten();
        }
    }

    fn shorten(&mut self) {
        thin_out(&mut self.long, Kept::longest_first);
        thin_out(&mut self.early, Kept::earliest_first);
    }
}

/// Between these are all distances from a path.
pub(super) const UNKNOWN: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

/// Crossed: not known how far to the side.
const NOWHERE: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

/// What one op met in one band, while it is counted.
///
/// What is touched most comes first, so that it lies together.
#[derive(Clone, Debug)]
#[repr(C)]
pub(super) struct Tally {
    /// Sum and longest piece of what was the same on all rays that a packet lost something on, nm.
    even: (u64, i32),
    /// How far to the side of the path it is sure, while it is counted, that material was met, mm, from and to; crossed where that
    /// is not known.
    sure: (f64, f64),
    has_sides: bool,
    /// True when something was counted lane by lane.
    by_lanes: bool,
    /// How far it was, lane by lane.
    from: Lanes,
    to: Lanes,
    /// Sums, nm, of two lanes each: two lengths fit into 32 bits, as none is over 2.1 m.
    met: [u64; LANES / 2],
    /// Longest pieces, nm.
    longest: Ints,
    pieces: Option<Box<Pieces>>,
}

impl Default for Tally {
    fn default() -> Self {
        let (met, longest) = ([0; LANES / 2], [0; LANES]);
        let (from, to) = ([NOWHERE.0; LANES], [NOWHERE.1; LANES]);
        let (sure, has_sides, by_lanes) = (NOWHERE, false, false);
        Self { even: (0, 0), sure, from, to, has_sides, by_lanes, met, longest, pieces: None }
    }
}

impl Tally {
    /// Adds what a cut met on the rays of a packet.
    #[inline(always)]
    pub(super) fn count(&mut self, length: &Ints) {
        self.by_lanes = true;
        for k in 0..LANES / 2 {
            let two = length[k].cast_unsigned() + length[k + LANES / 2].cast_unsigned();
            self.met[k] += u64::from(two);
        }
        for k in 0..LANES {
            self.longest[k] = if length[k] > self.longest[k] { length[k] } else { self.longest[k] };
        }
    }

    /// Adds what a cut met on each of several rays for each lane.
    #[inline(always)]
    pub(super) fn count_often(&mut self, length: &Ints, rays: &Ints) {
        self.by_lanes = true;
        let mut met = [0; LANES];
        for k in 0..LANES {
            met[k] = u64::from(length[k].cast_unsigned()) * u64::from(rays[k].cast_unsigned());
        }
        for k in 0..LANES / 2 {
            self.met[k] += met[k] + met[k + LANES / 2];
        }
        for k in 0..LANES {
            let seen = length[k] & mask(rays[k] > 0);
            self.longest[k] = if seen > self.longest[k] { seen } else { self.longest[k] };
        }
    }

    /// Adds one length met on some rays.
    #[inline(always)]
    pub(super) const fn count_even(&mut self, length: i32, rays: u32) {
        self.even.0 += length.cast_unsigned() as u64 * rays as u64;
        self.even.1 = if length > self.even.1 { length } else { self.even.1 };
    }

    /// Adds where the rays on which something was met pass the path: each `beside` it, and all of the packet's between two
    /// distances.
    #[inline(always)]
    pub(super) fn count_beside(&mut self, length: &Ints, beside: &Lanes, (least, most): (f64, f64)) {
        self.has_sides = true;
        for k in 0..LANES {
            let from = if length[k] > 0 { beside[k] } else { NOWHERE.0 };
            let to = if length[k] > 0 { beside[k] } else { NOWHERE.1 };
            self.from[k] = if from < self.from[k] { from } else { self.from[k] };
            self.to[k] = if to > self.to[k] { to } else { self.to[k] };
        }
        let (from, to) = self.sure;
        self.sure = (if most < from { most } else { from }, if least > to { least } else { to });
    }

    /// False when rays that pass between two distances from the path can tell nothing new of how far to the side it met.
    #[inline(always)]
    pub(super) fn may_widen(&self, (least, most): (f64, f64)) -> bool {
        !(self.sure.0 <= least && most <= self.sure.1)
    }

    /// Tells the lanes together, `None` when nothing was met, and begins anew.
    #[inline(always)]
    pub(super) fn take_sum(&mut self) -> Option<Sum> {
        let (mut met, mut longest) = self.even;
        if self.by_lanes {
            met += self.met.iter().sum::<u64>();
            longest = longest.max(halved(&self.longest, |a, b| if a > b { a } else { b }));
            (self.met, self.longest, self.by_lanes) = ([0; LANES / 2], [0; LANES], false);
        }
        if longest == 0 {
            return None;
        }
        let mut beside = NOWHERE;
        if self.has_sides {
            beside = (
                halved(&self.from, |a, b| if a < b { a } else { b }),
                halved(&self.to, |a, b| if a > b { a } else { b }),
            );
            (self.from, self.to, self.has_sides) = ([NOWHERE.0; LANES], [NOWHERE.1; LANES], false);
        }
        let pieces = self.pieces.take();
        (self.even, self.sure) = ((0, 0), NOWHERE);
        Some(Sum { met: met.cast_signed(), longest, beside, pieces })
    }

    /// Counts a piece that is looked at and left.
    pub(super) fn look(&mut self, length: i32) {
        self.count_even(length, 1);
    }

    /// Keeps a piece for the report: `i`, `j` is its ray, `when` as in [`super::Swept::when`].
    pub(super) fn keep(&mut self, axis: Axis, (i, j): (u32, u32), (low, high): (i32, i32), when: f64) {
        let when = super::nm::index(when * f64::from(u32::MAX), u32::MAX);
        let kept = Kept { length: high - low, when, axis, j, i, low };
        let pieces = self.pieces.get_or_insert_default();
        pieces.long.push(kept);
        pieces.early.push(kept);
        pieces.shorten_crowd();
    }
}

/// What one op met in one band.
#[derive(Clone, Debug)]
pub(super) struct Sum {
    met: i64,
    longest: i32,
    beside: (f64, f64),
    pieces: Option<Box<Pieces>>,
}

/// What one op met in all bands of all grids.
#[derive(Clone, Debug)]
pub(super) struct Whole {
    met: [i64; 3],
    longest: [i64; 3],
    beside: (f64, f64),
    pieces: Option<Box<Pieces>>,
}

impl Default for Whole {
    fn default() -> Self {
        Self { met: [0; 3], longest: [0; 3], beside: NOWHERE, pieces: None }
    }
}

impl Whole {
    /// Adds what was met in a band of the grid along `axis`.
    pub(super) fn add(&mut self, axis: Axis, tally: Sum) {
        if let (Some(met), Some(longest)) =
            (self.met.get_mut(axis.index()), self.longest.get_mut(axis.index()))
        {
            *met += tally.met;
            *longest = (*longest).max(i64::from(tally.longest));
        }
        self.beside = (self.beside.0.min(tally.beside.0), self.beside.1.max(tally.beside.1));
        if let Some(more) = tally.pieces {
            let pieces = self.pieces.get_or_insert_default();
            pieces.long.extend(more.long);
            pieces.early.extend(more.early);
            pieces.shorten_crowd();
        }
    }

    /// The record, given the layouts of the grids along X, Y and Z.
    pub(super) fn record(self, layouts: &[GridLayout; 3]) -> OpRecord {
        let (from, to) = self.beside;
        let beside = (from <= to).then_some((from, to));
        let bites = self.pieces.map(|pieces| bites(*pieces, layouts)).unwrap_or_default();
        OpRecord { met: self.met, longest: self.longest, beside, bites }
    }
}

fn bites(mut pieces: Pieces, layouts: &[GridLayout; 3]) -> Vec<Bite> {
    pieces.shorten();
    let mut kept = pieces.long;
    kept.extend(pieces.early);
    kept.sort_unstable_by_key(Kept::longest_first);
    kept.dedup();
    let bites = kept.iter().filter_map(|k| {
        let layout = layouts.get(k.axis.index())?;
        Some(Bite {
            axis: k.axis,
            u: layout.u.at(k.i),
            v: layout.v.at(k.j),
            low: mm_from_nm(k.low),
            high: mm_from_nm(k.low + k.length),
        })
    });
    bites.collect()
}
