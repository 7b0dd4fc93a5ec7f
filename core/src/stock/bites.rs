//! The pieces of material that an op met, kept for a report: of many the longest, and those met earliest.

use super::layout::GridLayout;
use super::nm::mm_from_nm;
use super::op::{Bite, OpRecord};
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

/// The pieces that an op met, kept for a report.
#[derive(Clone, Debug, Default)]
pub(super) struct Pieces {
    long: Vec<Kept>,
    early: Vec<Kept>,
}

impl Pieces {
    /// Keeps a piece: `i`, `j` is its ray, `when` as in [`super::Swept::when`].
    pub(super) fn keep(&mut self, axis: Axis, (i, j): (u32, u32), (low, high): (i32, i32), when: f64) {
        let when = super::nm::index(when * f64::from(u32::MAX), u32::MAX);
        let kept = Kept { length: high - low, when, axis, j, i, low };
        self.long.push(kept);
        self.early.push(kept);
        self.shorten_crowd();
    }

    /// Adds those met in another band.
    pub(super) fn add(&mut self, more: Self) {
        self.long.extend(more.long);
        self.early.extend(more.early);
        self.shorten_crowd();
    }

    fn shorten_crowd(&mut self) {
        if self.long.len() >= CROWD {
            self.shorten();
        }
    }

    fn shorten(&mut self) {
        thin_out(&mut self.long, Kept::longest_first);
        thin_out(&mut self.early, Kept::earliest_first);
    }

    /// They, longest first, given the layouts of the grids along X, Y and Z.
    pub(super) fn bites(mut self, layouts: &[GridLayout; 3]) -> Vec<Bite> {
        self.shorten();
        let mut kept = self.long;
        kept.extend(self.early);
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
}
