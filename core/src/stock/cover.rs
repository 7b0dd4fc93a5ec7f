//! What level moves have cut already, line by line of their section.
//!
//! An end mill that clears level after level passes over every place many times. Its moves are prisms, so a piece of a
//! line of the section that one of them has covered is void on the rays of all its heights: the next move need only be
//! brought to what is new, along the line and in height. This changes no byte: what is passed over has nothing left to
//! cut but what rounding leaves (an overlap of a nanometre, which is no cut).

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    reason = "lines are tabled for whole blocks; lanes and pieces are counted by constants and written so that the \
              compiler makes vectors of them"
)]

use super::block::BLOCK;
use super::nm::FAR;
use super::packet::{Cut16, Ints, LANES, SIDE, and, any, choose, each, le, lt, mask, pick, whole};

/// Pieces remembered for each line: two pockets side by side, each at its last level and at the one before.
const PIECES: usize = 4;

/// Rays along the height, as numbers: from, to.
pub(super) type Heights = (i32, i32);

/// A covered piece of each line of a block, and the rays for which it is covered.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
struct Pieces {
    low: [i32; LANES],
    high: [i32; LANES],
    from: [i32; LANES],
    to: [i32; LANES],
}

const NOTHING: Pieces = Pieces { low: [FAR; LANES], high: [-FAR; LANES], from: [0; LANES], to: [0; LANES] };

/// The covered pieces of all lines across the height of the prisms; no more than a hint of where nothing is left.
#[derive(Clone, Debug, Default)]
pub(super) struct Cover {
    /// True when each row is a line, false when each column is one.
    by_rows: bool,
    blocks: Vec<[Pieces; PIECES]>,
}

/// What is new of each of a block's lines: between which ends, and for which rays; crossed where nothing.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub(super) struct Fresh {
    pub(super) low: Ints,
    pub(super) high: Ints,
    pub(super) from: Ints,
    pub(super) to: Ints,
}

/// The same for all lines of a group of four, or of a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Extent {
    pub(super) ends: (i32, i32),
    pub(super) heights: Heights,
}

impl Fresh {
    /// Nothing new anywhere.
    pub(super) const NONE: Fresh =
        Fresh { low: [FAR; LANES], high: [-FAR; LANES], from: [FAR; LANES], to: [-FAR; LANES] };

    /// Together with another.
    #[inline(always)]
    pub(super) fn widen(&mut self, other: &Fresh) {
        for k in 0..LANES {
            self.low[k] = if other.low[k] < self.low[k] { other.low[k] } else { self.low[k] };
            self.high[k] = if other.high[k] > self.high[k] { other.high[k] } else { self.high[k] };
            self.from[k] = if other.from[k] < self.from[k] { other.from[k] } else { self.from[k] };
            self.to[k] = if other.to[k] > self.to[k] { other.to[k] } else { self.to[k] };
        }
    }

    /// Of some of the lines.
    #[inline(always)]
    fn extent(&self, lines: std::ops::Range<usize>) -> Extent {
        let mut out = Extent { ends: (FAR, -FAR), heights: (FAR, -FAR) };
        for k in lines {
            out.ends = (out.ends.0.min(self.low[k]), out.ends.1.max(self.high[k]));
            out.heights = (out.heights.0.min(self.from[k]), out.heights.1.max(self.to[k]));
        }
        out
    }

    /// Of a group of four lines.
    #[inline(always)]
    pub(super) fn group(&self, g: usize) -> Extent {
        self.extent(g * SIDE as usize..(g + 1) * SIDE as usize)
    }

    /// Of all lines.
    #[inline(always)]
    pub(super) fn whole(&self) -> Extent {
        self.extent(0..LANES)
    }
}

impl Cover {
    /// Gets ready for so many lines along rows or along columns; what is known of the other way is forgotten.
    pub(super) fn turn_to(&mut self, by_rows: bool, lines: usize) {
        let blocks = lines.div_ceil(BLOCK as usize);
        if self.by_rows != by_rows || self.blocks.len() != blocks {
            *self = Self { by_rows, blocks: vec![[NOTHING; PIECES]; blocks] };
        }
    }

    /// Forgets everything: for when something is put back.
    pub(super) fn forget(&mut self) {
        self.blocks.fill([NOTHING; PIECES]);
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        self.blocks.capacity() * size_of::<[Pieces; PIECES]>()
    }

    /// True when all of a block's lines from number `lanes.0` to `lanes.1` are known to be covered between two ends at
    /// these heights: then they need not even be worked out.
    #[inline(always)]
    pub(super) fn holds(&self, heights: Heights, block: u32, lanes: Heights, ends: (i32, i32)) -> bool {
        let numbers: Ints = std::array::from_fn(|k| i32::try_from(k).unwrap_or_default());
        let asked = and(&le(&[lanes.0; LANES], &numbers), &lt(&numbers, &[lanes.1; LANES]));
        let mut open = asked;
        for piece in &self.blocks[block as usize] {
            let serves = and(&le(&piece.from, &[heights.0; LANES]), &le(&[heights.1; LANES], &piece.to));
            let holds = and(&le(&piece.low, &[ends.0; LANES]), &le(&[ends.1; LANES], &piece.high));
            open = each(&open, &and(&serves, &holds), |open, covered| open & !covered);
            if !any(&open) {
                return true;
            }
        }
        false
    }

    /// What is new of a block's lines at these heights; `None` when nothing is.
    #[inline(always)]
    pub(super) fn fresh(&self, heights: Heights, block: u32, lines: &Cut16, remember: bool) -> Option<Fresh> {
        let (mut low, mut high) = (lines.low, lines.high);
        let (mut from, mut to) = ([heights.0; LANES], [heights.1; LANES]);
        let mut new = and(&lt(&low, &high), &lt(&from, &to));
        if remember {
            for piece in &self.blocks[block as usize] {
                let above_start = le(&piece.from, &from);
                let under_end = le(&to, &piece.to);
                // Covered at all these heights: only what sticks out at an end is new.
                let serves = and(&above_start, &under_end);
                let low_in = and(&le(&piece.low, &low), &le(&low, &piece.high));
                let high_in = and(&le(&piece.low, &high), &le(&high, &piece.high));
                low = choose(&and(&serves, &low_in), &piece.high, &low);
                high = choose(&and(&serves, &high_in), &piece.low, &high);
                // Covered whole, but not at all heights: only the others are new.
                let holds = and(&le(&piece.low, &low), &le(&high, &piece.high));
                let upper = and(&holds, &and(&lt(&piece.from, &to), &under_end));
                let lower = and(&holds, &and(&above_start, &lt(&from, &piece.to)));
                from = choose(&lower, &piece.to, &from);
                to = choose(&upper, &piece.from, &to);
                new = and(&lt(&low, &high), &lt(&from, &to));
                if !any(&new) {
                    return None;
                }
            }
        }
        if !any(&new) {
            return None;
        }
        Some(whole(Fresh {
            low: choose(&new, &low, &[FAR; LANES]),
            high: choose(&new, &high, &[-FAR; LANES]),
            from: choose(&new, &from, &[FAR; LANES]),
            to: choose(&new, &to, &[-FAR; LANES]),
        }))
    }

    /// Notes that the lines of a block have been cut at these heights.
    #[inline(always)]
    pub(super) fn note(&mut self, heights: Heights, block: u32, lines: &Cut16) {
        let pieces = &mut self.blocks[block as usize];
        let first = &mut pieces[0];
        let met = lt(&lines.low, &lines.high);
        let joins = and(&le(&lines.low, &first.high), &le(&first.low, &lines.high));
        let same = and(
            &each(&first.from, &first.from, |from, _| mask(from == heights.0)),
            &each(&first.to, &first.to, |to, _| mask(to == heights.1)),
        );
        let widen = and(&and(&met, &joins), &same);
        first.widen(&widen, lines.low, lines.high);
        // It may have come to join on to others: those of a turned row, which meets a line in its middle first, do.
        let (first, others) = pieces.split_at_mut(1);
        for other in others {
            join(&mut first[0], other);
        }
        let left_out = each(&met, &widen, |met, widen| met & !widen);
        if any(&left_out) {
            for k in 0..LANES {
                if left_out[k] != 0 {
                    put(pieces, k, (lines.low[k], lines.high[k]), heights);
                }
            }
        }
    }
}

/// Joins a second piece to the first of each line where both are known for the same heights and join on to each other.
#[inline(always)]
fn join(first: &mut Pieces, second: &mut Pieces) {
    let meet = and(&le(&first.low, &second.high), &le(&second.low, &first.high));
    let same = |a: &Ints, b: &Ints| each(a, b, |a, b| mask(a == b));
    let joins = and(&meet, &and(&same(&first.from, &second.from), &same(&first.to, &second.to)));
    if any(&joins) {
        first.widen(&joins, second.low, second.high);
        for k in 0..LANES {
            second.low[k] = second.low[k].max(pick(joins[k], FAR, i32::MIN));
            second.high[k] = second.high[k].min(pick(joins[k], -FAR, i32::MAX));
        }
    }
}

impl Pieces {
    /// Makes the pieces of the lines of a mask reach from the lower to the higher of both.
    #[inline(always)]
    fn widen(&mut self, joins: &Ints, low: Ints, high: Ints) {
        // As the least and the greatest, not as a choice: see `whole`.
        for k in 0..LANES {
            self.low[k] = self.low[k].min(pick(joins[k], low[k], FAR));
            self.high[k] = self.high[k].max(pick(joins[k], high[k], -FAR));
        }
    }
}

/// Puts a piece in front of those of line `k`, unless it lies in one of them: joined with all of the same heights that it joins
/// on to, in place of those that it makes useless; where there is no room the one used longest ago goes.
#[inline(never)]
fn put(pieces: &mut [Pieces; PIECES], k: usize, (low, high): (i32, i32), (from, to): Heights) {
    let (mut low, mut high) = (low, high);
    if pieces.iter().any(|p| p.low[k] <= low && high <= p.high[k] && p.from[k] <= from && to <= p.to[k]) {
        return;
    }
    // What joins two of them together joins all three: the front of a turned row meets a line twice before it closes.
    let mut before = (FAR, -FAR);
    while before != (low, high) {
        before = (low, high);
        for p in pieces.iter() {
            if (p.from[k], p.to[k]) == (from, to) && low <= p.high[k] && p.low[k] <= high {
                (low, high) = (low.min(p.low[k]), high.max(p.high[k]));
            }
        }
    }
    let known: [_; PIECES] = std::array::from_fn(|n| {
        let p = &pieces[n];
        ((p.low[k], p.high[k]), (p.from[k], p.to[k]))
    });
    let is_useful = |((a, b), (f, t)): &((i32, i32), Heights)| {
        a < b && !(low <= *a && *b <= high && from <= *f && *t <= to)
    };
    let left = known.into_iter().filter(is_useful).chain(std::iter::repeat(((FAR, -FAR), (0, 0))));
    for (p, (ends, heights)) in pieces.iter_mut().zip(std::iter::once(((low, high), (from, to))).chain(left))
    {
        (p.low[k], p.high[k]) = ends;
        (p.from[k], p.to[k]) = heights;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(low: i32, high: i32) -> Cut16 {
        Cut16 { low: [low; LANES], high: [high; LANES] }
    }

    fn all(cover: &Cover, heights: Heights, low: i32, high: i32) -> Option<((i32, i32), Heights)> {
        let whole = cover.fresh(heights, 0, &lines(low, high), true)?.whole();
        Some((whole.ends, whole.heights))
    }

    #[test]
    fn only_what_sticks_out_is_new_and_only_at_new_heights() {
        let mut cover = Cover::default();
        cover.turn_to(true, 16);
        assert_eq!(all(&cover, (5, 20), 100, 200), Some(((100, 200), (5, 20))));
        cover.note((5, 20), 0, &lines(100, 200));
        cover.note((5, 20), 0, &lines(150, 300));
        assert_eq!(all(&cover, (5, 20), 120, 300), None);
        assert!(
            cover.holds((5, 20), 0, (0, 16), (110, 290)) && !cover.holds((4, 20), 0, (0, 16), (110, 290))
        );
        assert!(!cover.holds((5, 20), 0, (3, 5), (110, 301)) && cover.holds((5, 20), 0, (4, 4), (0, 999)));
        assert_eq!(all(&cover, (7, 19), 120, 300), None);
        assert_eq!(all(&cover, (5, 20), 250, 330), Some(((300, 330), (5, 20))));
        assert_eq!(all(&cover, (5, 20), 50, 330), Some(((50, 330), (5, 20))));
        // The next level: the same place lower down, elsewhere at all heights.
        assert_eq!(all(&cover, (2, 20), 120, 300), Some(((120, 300), (2, 5))));
        assert_eq!(all(&cover, (2, 20), 250, 330), Some(((250, 330), (2, 20))));
        cover.note((2, 20), 0, &lines(110, 180));
        assert_eq!(all(&cover, (2, 20), 170, 190), Some(((180, 190), (2, 5))));
        // Another pocket on the same lines, then back.
        cover.note((2, 20), 0, &lines(1000, 1100));
        assert_eq!(all(&cover, (2, 20), 1010, 1100), None);
        assert_eq!(all(&cover, (2, 20), 170, 190), Some(((180, 190), (2, 5))));
        // A piece that grows until it reaches another becomes one with it.
        cover.note((1, 20), 0, &lines(2000, 2100));
        cover.note((1, 20), 0, &lines(2300, 2400));
        cover.note((1, 20), 0, &lines(2090, 2350));
        cover.note((1, 20), 0, &lines(3000, 3100));
        cover.note((1, 20), 0, &lines(3300, 3400));
        cover.note((1, 20), 0, &lines(3200, 3310));
        cover.note((1, 20), 0, &lines(3090, 3200));
        assert!(
            cover.holds((1, 20), 0, (0, 16), (2000, 2400)) && cover.holds((1, 20), 0, (0, 16), (3000, 3400))
        );
        // From below.
        cover.note((0, 4), 0, &lines(5000, 6000));
        assert_eq!(all(&cover, (0, 9), 5000, 5500), Some(((5000, 5500), (4, 9))));
    }
}
