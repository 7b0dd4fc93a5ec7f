//! A pocket cleared in rows, and how its way is cut into short moves.

use crate::text::mm;

/// Half a micrometre: what lengths along a row are counted in, so that every place, also of a pocket that is turned,
/// has four decimals exactly and all moves of a row lie exactly on one line.
pub(crate) const UNITS_PER_MM: i64 = 2000;

/// Rows over a rectangle, there and back, with a step to the next row at alternating ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Zigzag {
    /// Where the first row begins, tenths of a micrometre.
    pub(crate) origin: [i64; 2],
    /// Direction of the rows, five times cosine and sine: (5, 0) along X, (4, 3) turned by 36.87 degrees.
    pub(crate) turn: [i64; 2],
    /// Length of a row, units.
    pub(crate) length: i64,
    /// From row to row, units.
    pub(crate) step: i64,
    /// Steps from row to row: one less than the rows.
    pub(crate) steps: i64,
}

impl Zigzag {
    /// Where the tool turns, in the pocket's own axes, units.
    pub(crate) fn corners(&self) -> Vec<[i64; 2]> {
        let row = |r: i64| {
            let ends = if r % 2 == 0 { [0, self.length] } else { [self.length, 0] };
            ends.map(|a| [a, r * self.step])
        };
        (0..=self.steps).flat_map(row).collect()
    }

    /// A place of the pocket's own axes (units) on the block, tenths of a micrometre.
    pub(crate) const fn place(&self, [a, b]: [i64; 2]) -> [i64; 2] {
        let ([x, y], [c, s]) = (self.origin, self.turn);
        [x + c * a - s * b, y + s * a + c * b]
    }

    /// Length of the way, units.
    pub(crate) const fn way(&self) -> i64 {
        (self.steps + 1) * self.length + self.steps * self.step
    }

    /// Area that a cutter of radius `r` mm passes over, mm2.
    ///
    /// The rectangle grown by `r` all round, less what is left at the ends between two rows that no step joins: for
    /// each step one such place, `step r` less the area under two arcs. Holds while `step < 2 r`.
    pub(crate) fn area(&self, r: f64) -> f64 {
        // A unit is five tenths of a micrometre.
        let [length, step, high] = [self.length, self.step, self.steps * self.step].map(|n| mm(5 * n));
        let half = 0.5 * step;
        let left = step * r - (half * (r * r - half * half).sqrt() + r * r * (half / r).asin());
        length * high + 2.0 * r * (length + high) + std::f64::consts::PI * r * r - count(self.steps) * left
    }
}

fn count(n: i64) -> f64 {
    i32::try_from(n).map_or(f64::NAN, f64::from)
}

/// Deals a number of moves out over a way, evenly: each piece gets its share, and the shares add up exactly.
pub(crate) struct Dealer {
    pub(crate) moves: i64,
    /// Length of the whole way, units.
    pub(crate) whole: i64,
    passed: i64,
    dealt: i64,
    noise: Noise,
}

impl Dealer {
    pub(crate) const fn new(moves: i64, whole: i64) -> Self {
        Self { moves, whole, passed: 0, dealt: 0, noise: Noise::new() }
    }

    /// Places along the next straight piece of the way where its moves end, units from its beginning: the last is
    /// its end. Lengths differ by up to 38 % from the mean, less where they would leave 0.2 to 0.5 mm.
    pub(crate) fn ends(&mut self, length: i64) -> Vec<i64> {
        self.passed += length;
        let until = self.moves * self.passed / self.whole;
        let pieces = until - self.dealt;
        self.dealt = until;
        let mix = mix(length / pieces.max(1));
        let ends = (1..pieces).map(|j| (1000 * j + self.noise.within(mix)) * length / (1000 * pieces));
        ends.chain((pieces > 0).then_some(length)).collect()
    }
}

/// Shortest and longest move, units.
const MOVE: [i64; 2] = [UNITS_PER_MM / 5, UNITS_PER_MM / 2];

/// By how many thousandths of the mean both ends of a move may be shifted; a hundredth is left for rounding.
fn mix(mean: i64) -> i64 {
    let [shortest, longest] = MOVE;
    let room = (mean - shortest).min(longest - mean);
    (500 * room / mean.max(1) - 10).clamp(0, 190)
}

/// Numbers that look random and are the same in every run.
pub(crate) struct Noise(u64);

impl Noise {
    pub(crate) const fn new() -> Self {
        Self(0x9e37_79b9_7f4a_7c15)
    }

    /// The next whole number from `-most` to `most`.
    pub(crate) fn within(&mut self, most: i64) -> i64 {
        // Generator and multiplier: D. E. Knuth, The Art of Computer Programming 2, section 3.3.4 (MMIX).
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let span = u64::try_from(2 * most + 1).unwrap_or(1);
        i64::try_from((self.0 >> 33) % span).unwrap_or(0) - most
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dealer_hands_out_every_move() {
        for (moves, pieces) in [(1000, vec![700, 30, 700, 30, 700]), (7, vec![100; 50])] {
            let mut dealer = Dealer::new(moves, pieces.iter().sum());
            let ends: Vec<Vec<i64>> = pieces.iter().map(|length| dealer.ends(*length)).collect();
            let dealt: usize = ends.iter().map(Vec::len).sum();
            assert_eq!(i64::try_from(dealt).unwrap(), moves);
            for (list, length) in ends.iter().zip(&pieces) {
                assert!(list.is_sorted() && list.last().is_none_or(|end| end == length));
            }
        }
    }

    #[test]
    fn area_of_one_row_and_of_rows_close_together() {
        let row = Zigzag { origin: [0, 0], turn: [5, 0], length: 20_000, step: 0, steps: 0 };
        let stadium = 10.0 * 10.0 + std::f64::consts::PI * 25.0;
        assert!((row.area(5.0) - stadium).abs() < 1e-9);
        // A hundred steps of a hundredth leave next to nothing between the rows.
        let dense = Zigzag { step: 20, steps: 1000, ..row };
        let rectangle = 10.0 * 10.0 + 10.0 * 20.0 + std::f64::consts::PI * 25.0;
        assert!((dense.area(5.0) - rectangle).abs() < 1e-3, "{}", dense.area(5.0));
        assert!(dense.area(5.0) < rectangle);
    }
}
