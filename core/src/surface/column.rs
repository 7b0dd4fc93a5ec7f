//! Signs: which lattice points lie in material, as the rays along Z say, for a column of blocks at a time.

use super::lattice::{BEFORE, Lattice, POINTS, SIDE};
use crate::geom::Axis;
use crate::stock::Stock;

/// Rows of signs of a block.
pub(super) const ROWS: usize = POINTS * POINTS;

/// Signs of the blocks that stand one over the other. Row `POINTS y + x` of a block has one bit for each point along Z.
#[derive(Debug, Default)]
pub(super) struct Column {
    words: Vec<u64>,
}

impl Column {
    /// Reads the rays through the column of blocks at `(x, y)` that are `wanted`.
    #[inline(always)]
    pub(super) fn read(&mut self, stock: &Stock, lattice: &Lattice, at: [u32; 2], wanted: &[bool]) {
        self.words.clear();
        self.words.resize(wanted.len() * ROWS, 0);
        let [line_x, line_y, line_z] = &lattice.lines;
        let first = at.map(|b| i64::from(b * SIDE) - BEFORE);
        for (y, point_y) in (0..POINTS).zip(first[1]..) {
            let Some(j) = line_y.ray(point_y) else { continue };
            for (x, point_x) in (0..POINTS).zip(first[0]..) {
                let Some(i) = line_x.ray(point_x) else { continue };
                for piece in stock.pieces_on(Axis::Z, i, j) {
                    let low = (line_z.below(piece.low) + 1).max(1);
                    let high = line_z.below(piece.high).min(line_z.last());
                    self.fill(POINTS * y + x, low, high, wanted);
                }
            }
        }
    }

    /// Marks the points from `low` to `high` of a row of all wanted blocks.
    #[inline(always)]
    fn fill(&mut self, row: usize, low: i64, high: i64, wanted: &[bool]) {
        if high < low {
            return;
        }
        // Block n has the points from 60 n - 2 to 60 n + 61.
        let side = i64::from(SIDE);
        let blocks = (low + BEFORE - 63).div_euclid(side).max(0)..=(high + BEFORE).div_euclid(side);
        for n in blocks {
            let first = n * side - BEFORE;
            let (start, end) = ((low - first).max(0), (high - first).min(63));
            let Ok(n) = usize::try_from(n) else { continue };
            if start <= end
                && wanted.get(n) == Some(&true)
                && let Some(word) = self.words.get_mut(n * ROWS + row)
            {
                *word |= (u64::MAX >> (63 - (end - start))) << start;
            }
        }
    }

    /// Signs of a block; `None` when all points are on one side.
    #[inline(always)]
    pub(super) fn block(&self, n: usize) -> Option<&[u64]> {
        let words = self.words.get(n * ROWS..(n + 1) * ROWS)?;
        let any = words.iter().fold(0, |a, w| a | w);
        let all = words.iter().fold(u64::MAX, |a, w| a & w);
        (any != 0 && all != u64::MAX).then_some(words)
    }
}
