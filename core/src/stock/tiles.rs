//! What joined cuts meet on rays across the height, told for whole lines.
//!
//! What waits on a block of lines has the same section at every height, and so had what cut there before: mostly all rays of a
//! line hold the same piece of material near it. So what each cut meets is worked out once for a line, from the first packet of
//! it; of the other rays it is only asked whether they are like that one or hold nothing, and how many are like it. The tallies
//! are told when all packets have been seen.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::across::group_of;
use super::block::overlap;
use super::nm::{FAR, FILM};
use super::packet::{Cut16, Ints, LANES, SIDE, mask, pick, whole};
use super::tally::Tallies;
use super::waiting::{Entry, MOST};

/// The lines of a block, and the piece of material that the rays of each hold within all cuts together.
#[derive(Clone, Debug)]
pub(super) struct Tiles {
    /// [`NOT_KNOWN`] where it is not the same on all rays that were seen, or rounding decides what is met.
    pieces: Cut16,
    /// How much each cut that waits meets on a ray of each line.
    met: [Ints; MOST],
    /// Rays that were like it, for each lane of the packets of a group.
    rays: [Ints; SIDE as usize],
    is_any: bool,
}

/// Both ends of a piece that no ray holds.
const NOT_KNOWN: i32 = i32::MIN;

const NOT_KNOWN_ON_ANY: Cut16 = Cut16 { low: [NOT_KNOWN; LANES], high: [NOT_KNOWN; LANES] };

/// What the rays of a packet hold within the cuts that wait on them: a piece, crossed where they hold nothing, and [`NOT_KNOWN`] where
/// they hold several.
#[inline(always)]
pub(super) fn held((pieces, several): &(Cut16, Ints), cuts: &Cut16) -> Cut16 {
    let mut held = Cut16::NONE;
    for k in 0..LANES {
        let (low, high) = (pieces.low[k], pieces.high[k]);
        let low = if low > cuts.low[k] { low } else { cuts.low[k] };
        let high = if high < cuts.high[k] { high } else { cuts.high[k] };
        let is_any = mask(low < high);
        held.low[k] = pick(several[k], NOT_KNOWN, pick(is_any, low, FAR));
        held.high[k] = pick(several[k], NOT_KNOWN, pick(is_any, high, -FAR));
    }
    held
}

impl Tiles {
    pub(super) const NONE: Self = Self {
        pieces: NOT_KNOWN_ON_ANY,
        met: [[0; LANES]; MOST],
        rays: [[0; LANES]; SIDE as usize],
        is_any: false,
    };

    /// Begins anew.
    #[inline(always)]
    pub(super) fn clear(&mut self) {
        (self.pieces, self.rays, self.is_any) = (NOT_KNOWN_ON_ANY, [[0; LANES]; SIDE as usize], false);
    }

    /// Takes note of what the first rays of a group of four lines hold: `held` by the rays of a packet, of which those of each line
    /// that are number `up` along the height are meant.
    #[inline(always)]
    pub(super) fn see(&mut self, group: usize, held: &Cut16, up: usize, by_rows: bool) {
        let side = SIDE as usize;
        for line in 0..side {
            let lane = if by_rows { line * side + up } else { up * side + line };
            let own = group * side + line;
            (self.pieces.low[own], self.pieces.high[own]) = held.of(lane);
        }
    }

    /// Works out what the cuts that wait meet, and forgets the lines on which rounding decides that.
    #[inline(always)]
    pub(super) fn settle(&mut self, cuts: &[Entry]) {
        let mut doubtful = [0; LANES];
        for (cut, met) in cuts.iter().zip(&mut self.met) {
            let (mut below, mut above) = ([0; LANES], [0; LANES]);
            for k in 0..LANES {
                let piece = (self.pieces.low[k], self.pieces.high[k]);
                below[k] = overlap(piece, (cut.added.below.low[k], cut.added.below.high[k]));
                above[k] = overlap(piece, (cut.added.above.low[k], cut.added.above.high[k]));
                doubtful[k] |= (mask(below[k] > 0) & mask(below[k] <= FILM))
                    | (mask(above[k] > 0) & mask(above[k] <= FILM));
                met[k] = below[k] + above[k];
            }
        }
        for k in 0..LANES {
            self.pieces.low[k] = pick(doubtful[k], NOT_KNOWN, self.pieces.low[k]);
            self.pieces.high[k] = pick(doubtful[k], NOT_KNOWN, self.pieces.high[k]);
        }
    }

    /// Mask of the rays of a packet that hold what is known of their lines; `None` when one of those `within` holds something else.
    #[inline(always)]
    pub(super) fn alike(&self, group: usize, by_rows: bool, held: &Cut16, within: &Ints) -> Option<Ints> {
        let Cut16 { low, high } = group_of(&self.pieces, group, by_rows);
        let (mut alike, mut other) = ([0; LANES], 0);
        for k in 0..LANES {
            let is_any = mask(held.low[k] != FAR);
            let is_known = mask(low[k] != NOT_KNOWN);
            alike[k] =
                within[k] & is_any & is_known & mask(held.low[k] == low[k]) & mask(held.high[k] == high[k]);
            other |= within[k] & is_any & !alike[k];
        }
        (other == 0).then_some(alike)
    }

    /// Counts the rays of a packet that hold what is known of their lines.
    #[inline(always)]
    pub(super) fn add(&mut self, group: usize, alike: &Ints) {
        self.is_any = true;
        let rays = &mut self.rays[group];
        for k in 0..LANES {
            rays[k] -= alike[k];
        }
    }

    /// How many rays were counted on each line.
    #[inline(always)]
    fn on_lines(&self, by_rows: bool) -> Ints {
        let side = SIDE as usize;
        let mut lines = [0; LANES];
        for (rays, lines) in self.rays.iter().zip(lines.chunks_exact_mut(side)) {
            for (k, rays) in rays.iter().enumerate() {
                lines[if by_rows { k / side } else { k % side }] += rays;
            }
        }
        lines
    }

    /// Tells the tallies of the cuts that wait what each met on the rays that were counted.
    #[inline(always)]
    pub(super) fn tell(&self, cuts: &[Entry], by_rows: bool, tallies: &mut Tallies) {
        if !self.is_any {
            return;
        }
        let rays = whole(self.on_lines(by_rows));
        for (cut, met) in cuts.iter().zip(&self.met) {
            tallies.add_product(cut.tally, met, &rays);
        }
    }
}
