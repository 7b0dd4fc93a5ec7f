//! Cuts that join on to each other on rays across the height, met as whole tiles.
//!
//! On each line the first cut that waits and what each later one adds to those before it lie side by side. Where a ray's
//! only piece of material there holds all that was added on one side of the first, or none of it, each later cut meets all of
//! that or nothing: so it is enough to count the rays on which that is so, line by line, and to tell the tallies when all
//! packets have been seen. Only what the first cut of a line meets is told packet by packet.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::block::Added;
use super::nm::{FILM, NOISE};
use super::packet::{Cut16, Ints, LANES, SIDE, any, each, mask, pick};
use super::tally::Tally;
use smallvec::SmallVec;

/// The first cut of each line, among those that wait.
#[derive(Clone, Copy, Debug)]
pub(super) struct Firsts {
    cut: Cut16,
    /// Its number among those that wait.
    number: Ints,
    /// Mask of the lines on which something that was added later is so thin that rounding may decide.
    thin: Ints,
}

impl Firsts {
    pub(super) const NONE: Self = Self { cut: Cut16::NONE, number: [0; LANES], thin: [0; LANES] };

    /// Takes note of a cut, given with its number, and of what it adds to all before it, on each line. Tells the mask of the lines
    /// on which it is the first.
    #[inline(always)]
    pub(super) fn add(&mut self, number: i32, lines: &Cut16, before: &Cut16) -> Ints {
        let mut first_on = [0; LANES];
        for k in 0..LANES {
            let (low, high) = (lines.low[k], lines.high[k]);
            let met = mask(low < high - NOISE);
            let first = met & mask(before.low[k] >= before.high[k]);
            self.cut.low[k] = pick(first, low, self.cut.low[k]);
            self.cut.high[k] = pick(first, high, self.cut.high[k]);
            self.number[k] = pick(first, number, self.number[k]);
            let under = mask(low < before.low[k] - NOISE) & mask(low >= before.low[k] - FILM);
            let over = mask(high > before.high[k] + NOISE) & mask(high <= before.high[k] + FILM);
            self.thin[k] |= met & !first & (under | over);
            first_on[k] = first;
        }
        first_on
    }
}

/// What waits on a group of four lines, spread over the lanes of its packets.
#[derive(Clone, Debug)]
pub(super) struct Tiles {
    /// All cuts together.
    all: Cut16,
    first: Cut16,
    /// Who made the first, so far as they may meet something: number of the tally, mask of the lanes.
    owners: SmallVec<[(usize, Ints); SIDE as usize]>,
    owned: Ints,
    /// Mask of the lanes on which something that was added is so thin that rounding decides unless it lies well inside a piece.
    thin: Ints,
}

/// What some ray of a packet may be like, a bit for each: not all that was added above is held, some of it is; the same below;
/// and that it cannot be told.
const NOT_ALL_ABOVE: i32 = 0b1;
const SOME_ABOVE: i32 = 0b10;
const NOT_ALL_BELOW: i32 = 0b100;
const SOME_BELOW: i32 = 0b1000;
const UNSURE: i32 = 0b1_0000;

/// Which of what was added later the rays of a packet hold: all of it or nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Held {
    below: bool,
    above: bool,
}

impl Tiles {
    pub(super) fn none() -> Self {
        let (first, owned) = (Cut16::NONE, [0; LANES]);
        Self { all: Cut16::NONE, first, owners: SmallVec::new(), owned, thin: [0; LANES] }
    }

    /// Those of a group: `all` cuts together, `line` the line of a lane, and those of the cuts that may meet something there
    /// that are the first on a line, each with its number and that of its tally.
    #[inline(always)]
    pub(super) fn fill(
        &mut self,
        all: &Cut16,
        firsts: &Firsts,
        line: impl Fn(usize) -> usize,
        cuts: &[(usize, usize)],
    ) {
        self.all = *all;
        let mut number = [0; LANES];
        for k in 0..LANES {
            self.first.low[k] = firsts.cut.low[line(k)];
            self.first.high[k] = firsts.cut.high[line(k)];
            (number[k], self.thin[k]) = (firsts.number[line(k)], firsts.thin[line(k)]);
        }
        self.owners.clear();
        self.owned = [0; LANES];
        for (n, tally) in cuts {
            let n = i32::try_from(*n).unwrap_or(-1);
            let lanes = each(&number, &number, |number, _| mask(number == n));
            if any(&lanes) {
                self.owned = each(&self.owned, &lanes, |a, b| a | b);
                self.owners.push((*tally, lanes));
            }
        }
    }

    /// What the first cuts meet of the rays of a packet that are `within`, and what the rays hold of the rest. `pieces` is the
    /// one piece of material of each ray that the cuts can meet, `several` a mask of the rays that have more.
    ///
    /// `None` where that is not all or nothing, or rounding decides.
    #[inline(always)]
    pub(super) fn meet(&self, (pieces, several): &(Cut16, Ints), within: &Ints) -> Option<(Ints, Held)> {
        let (all, first) = (&self.all, &self.first);
        let (mut met, mut bits) = ([0; LANES], [0; LANES]);
        for k in 0..LANES {
            let (low, high) = (pieces.low[k], pieces.high[k]);
            let asked = within[k] & mask(all.low[k] < all.high[k]);
            let has_above = asked & mask(first.high[k] < all.high[k]);
            let has_below = asked & mask(all.low[k] < first.low[k]);
            // One nanometre inside where something is thin.
            let thin = self.thin[k];
            let all_above = mask(high + thin >= all.high[k]) & mask(low <= first.high[k] + thin);
            let all_below = mask(low <= all.low[k] + thin) & mask(high + thin >= first.low[k]);
            let none_above = mask(high <= first.high[k]);
            let none_below = mask(low >= first.low[k]);
            let (from, to) = (low.max(first.low[k]), high.min(first.high[k]));
            met[k] = to.wrapping_sub(from) & mask(to > from) & within[k];
            let unsure =
                (several[k] & within[k]) | (mask(met[k] > 0) & (mask(met[k] <= FILM) | !self.owned[k]));
            bits[k] = (has_above & !all_above & NOT_ALL_ABOVE)
                | (has_above & !none_above & SOME_ABOVE)
                | (has_below & !all_below & NOT_ALL_BELOW)
                | (has_below & !none_below & SOME_BELOW)
                | (unsure & UNSURE);
        }
        let bits = bits.iter().fold(0, |all, lane| all | lane);
        let holds = |flags: i32| bits & flags == flags;
        if holds(UNSURE) || holds(NOT_ALL_ABOVE | SOME_ABOVE) || holds(NOT_ALL_BELOW | SOME_BELOW) {
            return None;
        }
        Some((met, Held { below: !holds(NOT_ALL_BELOW), above: !holds(NOT_ALL_ABOVE) }))
    }

    /// The tallies of the first cuts, and on which lanes each is the first.
    #[inline(always)]
    pub(super) fn owners(&self) -> impl Iterator<Item = (usize, &Ints)> {
        self.owners.iter().map(|(tally, lanes)| (*tally, lanes))
    }
}

/// How many rays of each line of a block hold all that was added below the first cut, above it, or on both sides.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    rays: [Ints; 3],
}

impl Seen {
    const WAYS: [Held; 3] = [
        Held { below: true, above: false },
        Held { below: false, above: true },
        Held { below: true, above: true },
    ];

    pub(super) const NOTHING: Self = Self { rays: [[0; LANES]; 3] };

    /// Takes note of so many rays on each line of a group of four.
    #[inline(always)]
    pub(super) fn add(&mut self, group: usize, held: Held, rays: i32) {
        for (way, own) in Self::WAYS.iter().zip(&mut self.rays) {
            if *way == held {
                for line in &mut own[group * SIDE as usize..(group + 1) * SIDE as usize] {
                    *line += rays;
                }
            }
        }
    }

    /// Which of these are held by any ray.
    #[inline(always)]
    pub(super) fn ways(&self) -> [bool; 3] {
        let [below, above, both] = &self.rays;
        [any(below), any(above), any(both)]
    }

    /// Tells a tally what its cut met, given with its number, of what it added to those before it, in the [`Seen::ways`] that there
    /// are.
    #[inline(always)]
    pub(super) fn tell(
        &self,
        ways: [bool; 3],
        (number, added): (usize, &Added),
        firsts: &Firsts,
        tally: &mut Tally,
    ) {
        let number = i32::try_from(number).unwrap_or(-1);
        let (mut below, mut above) = ([0; LANES], [0; LANES]);
        for k in 0..LANES {
            let later = mask(firsts.number[k] != number);
            let length = |cut: &Cut16| cut.high[k].wrapping_sub(cut.low[k]) & mask(cut.low[k] < cut.high[k]);
            (below[k], above[k]) = (length(&added.below) & later, length(&added.above) & later);
        }
        let nothing = [0; LANES];
        for ((way, rays), is_there) in Self::WAYS.iter().zip(&self.rays).zip(ways) {
            if is_there {
                let (a, b) =
                    (if way.below { &below } else { &nothing }, if way.above { &above } else { &nothing });
                tally.count_often(&each(a, b, i32::wrapping_add), rays);
            }
        }
    }
}
