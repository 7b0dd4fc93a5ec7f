//! Meshes one block: vertices for the sheets of its cells, faces for the crossings of its edges.

#![expect(
    clippy::indexing_slicing,
    reason = "rows and bits are counted by the constants that size the arrays"
)]

use super::block::SurfaceBlock;
use super::cells::{Cell, Known};
use super::column::ROWS;
use super::crossing::{Crossings, NEEDED, Source, changes};
use super::lattice::{Lattice, POINTS};
use super::owner::Owners;
use crate::cutting::History;
use crate::geom::Axis;
use crate::stock::Stock;

/// Cells along a block's edge that get vertices: its own and one more below.
pub(super) const CELLS: usize = 61;

/// Own points (and cells) of a row: 2 to 61.
pub(super) const OWN: u64 = NEEDED & !2 & (u64::MAX >> 2);

/// Working memory for one block after the other.
#[derive(Debug, Default)]
pub(super) struct Builder {
    pub(super) crossings: Crossings,
    /// For each row of cells, bits of those through which surface passes.
    pub(super) active: Vec<u64>,
    /// For each row of cells the number of its first active cell.
    pub(super) starts: Vec<u32>,
    /// The active cells.
    pub(super) cells: Vec<Known>,
    /// Vertices put between two arcs of one face, by key.
    pub(super) between: Vec<(u32, u32)>,
    pub(super) block: SurfaceBlock,
}

impl Builder {
    /// Meshes the block at a place among the blocks, from its signs.
    #[inline(always)]
    pub(super) fn block(
        &mut self,
        stock: &Stock,
        history: &History,
        lattice: &Lattice,
        at: [u32; 3],
        signs: &[u64],
    ) -> SurfaceBlock {
        if !self.find_cells(signs) {
            return SurfaceBlock::default();
        }
        let source = Source::new(stock, lattice, at, signs);
        self.block.points.clear();
        self.block.keys.clear();
        self.block.cells = 0;
        self.between.clear();
        self.crossings.read(&source, &mut Owners::new(history));
        self.place_vertices(&source);
        self.block.faces = Vec::with_capacity(own_crossings(signs));
        for axis in Axis::ALL {
            self.faces(&source, axis);
        }
        // The faces were counted before (a few more come where fans are made of them); of the rest a copy holds no more than it
        // needs, and the working memory stays.
        let mut faces = std::mem::take(&mut self.block.faces);
        faces.shrink_to_fit();
        SurfaceBlock { faces, ..self.block.clone() }
    }

    /// Finds the cells through which surface passes; false when the block itself has none.
    #[inline(always)]
    fn find_cells(&mut self, signs: &[u64]) -> bool {
        self.active.clear();
        self.active.resize(ROWS, 0);
        let mut any = 0;
        for y in 0..POINTS - 1 {
            for x in 0..POINTS - 1 {
                let row = POINTS * y + x;
                let four = [signs[row], signs[row + 1], signs[row + POINTS], signs[row + POINTS + 1]];
                let some = four.iter().fold(0, |a, w| a | w);
                let all = four.iter().fold(u64::MAX, |a, w| a & w);
                let active = (some | (some >> 1)) & !(all & (all >> 1)) & (u64::MAX >> 1);
                self.active[row] = active;
                if (1..=CELLS).contains(&x) && (1..=CELLS).contains(&y) {
                    any |= active & NEEDED & (NEEDED >> 1);
                }
            }
        }
        any != 0
    }
}

/// Number of the crossed edges that a block has a face round, by its signs.
#[inline(always)]
fn own_crossings(signs: &[u64]) -> usize {
    let mut sum = 0;
    for y in 2..=CELLS {
        for x in 2..=CELLS {
            for axis in Axis::ALL {
                sum += (changes(signs, axis, x, y) & OWN).count_ones();
            }
        }
    }
    sum as usize
}

/// Number of a cell's sheet (0 to 3), or of the vertex on its upper face across an axis (4 to 6), in its block.
pub(super) fn key([x, y, z]: Cell, sheet: u32) -> u32 {
    let cell = ((y - 1) * CELLS + (x - 1)) * CELLS + (z - 1);
    8 * count(cell) + sheet
}

/// An index as a small number; blocks have fewer than a million vertices.
pub(super) fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
