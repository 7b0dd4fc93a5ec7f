use super::block::{SurfaceBlock, mm};
use super::build::Builder;
use super::column::Column;
use super::lattice::Lattice;
use crate::cutting::History;
use crate::geom::{Axis, Box3, Vec3};
use crate::stock::Stock;
use pulp::NullaryFnOnce;
use rayon::prelude::*;

/// The surface of the stock, block by block.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    lattice: Lattice,
    /// Numbers of blocks along X, Y and Z.
    sides: [u32; 3],
    blocks: Vec<SurfaceBlock>,
}

impl Surface {
    /// Meshes the whole surface. The number of threads changes nothing.
    pub fn of(stock: &Stock, history: &History) -> Self {
        Self::coarse(stock, history, 1)
    }

    /// The same of every so many rays along each axis only (1: all of them; more than there are: one): for a quick look.
    /// Just as closed, and its vertices as exact, but it sees nothing that lies between the rays that it looks at.
    pub fn coarse(stock: &Stock, history: &History, every: u32) -> Self {
        let lattice = Lattice::of(stock, every);
        let sides = lattice.blocks();
        let [x, y, z] = sides.map(|n| n as usize);
        let mut surface = Self { lattice, sides, blocks: vec![SurfaceBlock::default(); x * y * z] };
        let all = vec![true; surface.blocks.len()];
        surface.remesh(stock, history, &all);
        surface
    }

    /// Meshes again where the stock has changed, in boxes of the part frame (mm), and gives the numbers of the blocks that
    /// were meshed, ascending. The result is the same as from [`Surface::of`], as long as the stock has
    /// changed nowhere else and has the raw shape and spacing it had.
    pub fn update(&mut self, stock: &Stock, history: &History, changed: &[Box3]) -> Vec<usize> {
        if Lattice::of(stock, self.lattice.every) != self.lattice {
            *self = Self::coarse(stock, history, self.lattice.every);
            return (0..self.blocks.len()).collect();
        }
        let wanted = self.wanted(changed);
        self.remesh(stock, history, &wanted);
        wanted.iter().enumerate().filter(|(_, w)| **w).map(|(n, _)| n).collect()
    }

    /// Numbers of the blocks that look at any of these boxes (part frame, mm), ascending: those that [`Surface::update`]
    /// would mesh again.
    pub fn blocks_in(&self, changed: &[Box3]) -> Vec<usize> {
        self.wanted(changed).iter().enumerate().filter(|(_, w)| **w).map(|(n, _)| n).collect()
    }

    /// Meshes some blocks again, by their numbers: a part of what [`Surface::update`] does, for who cannot wait for all of it.
    /// Until all blocks are done that look at a change the mesh is not closed.
    pub fn update_blocks(&mut self, stock: &Stock, history: &History, blocks: &[usize]) {
        let mut wanted = vec![false; self.blocks.len()];
        for n in blocks {
            if let Some(w) = wanted.get_mut(*n) {
                *w = true;
            }
        }
        self.remesh(stock, history, &wanted);
    }

    /// For each block whether it looks at any of the boxes.
    fn wanted(&self, changed: &[Box3]) -> Vec<bool> {
        let mut wanted = vec![false; self.blocks.len()];
        for b in changed.iter().filter(|b| !b.is_empty()) {
            let [xs, ys, zs] = self.lattice.looking(&b.min, &b.max);
            for (k, j) in (zs.0..zs.1).flat_map(|k| (ys.0..ys.1).map(move |j| (k, j))) {
                for i in xs.0..xs.1 {
                    if let Some(w) = wanted.get_mut(self.number([i, j, k])) {
                        *w = true;
                    }
                }
            }
        }
        wanted
    }

    /// Meshes the blocks that are wanted, one column of them at a time.
    fn remesh(&mut self, stock: &Stock, history: &History, wanted: &[bool]) {
        let [columns_x, columns_y, high] = self.sides;
        let columns: Vec<([u32; 2], Vec<bool>)> = (0..columns_y)
            .flat_map(|j| (0..columns_x).map(move |i| [i, j]))
            .map(|[i, j]| {
                let own = (0..high).map(|k| wanted.get(self.number([i, j, k])) == Some(&true)).collect();
                ([i, j], own)
            })
            .filter(|(_, own): &(_, Vec<bool>)| own.contains(&true))
            .collect();
        let lattice = self.lattice;
        let done: Vec<Vec<([u32; 3], SurfaceBlock)>> = columns
            .into_par_iter()
            .with_max_len(1)
            .map_init(
                || (Column::default(), Builder::default()),
                |(column, builder), (at, own)| {
                    let lattice = &lattice;
                    stock.vectors().run(Blocks { stock, history, lattice, column, builder, at, own: &own })
                },
            )
            .collect();
        for (at, block) in done.into_iter().flatten() {
            let n = self.number(at);
            if let Some(slot) = self.blocks.get_mut(n) {
                *slot = block;
            }
        }
    }

    /// The same lattice with other blocks.
    pub(super) const fn with_blocks(&self, blocks: Vec<SurfaceBlock>) -> Self {
        Self { lattice: self.lattice, sides: self.sides, blocks }
    }

    pub(super) const fn number(&self, [i, j, k]: [u32; 3]) -> usize {
        let [x, y, _] = self.sides;
        (k as usize * y as usize + j as usize) * x as usize + i as usize
    }

    /// The blocks, empty ones too, in an order that does not change.
    pub fn blocks(&self) -> &[SurfaceBlock] {
        &self.blocks
    }

    /// Numbers of blocks along X, Y and Z; X runs fastest.
    pub const fn sides(&self) -> [u32; 3] {
        self.sides
    }

    /// Number of lattice cells through which the surface passes.
    pub fn cells(&self) -> u64 {
        self.blocks.iter().map(|b| u64::from(b.cells())).sum()
    }

    /// Number of triangles.
    pub fn triangles(&self) -> usize {
        self.blocks.iter().flat_map(|b| &b.faces).map(|f| f.triangles().count()).sum()
    }

    /// Volume inside, mm3 (divergence theorem).
    pub fn volume(&self) -> f64 {
        let [x, y, z] = Axis::ALL.map(|a| {
            let line = self.lattice.line(a);
            super::lattice::number(line.place(line.last() / 2)) / super::lattice::HALVES_PER_MM
        });
        let origin = Vec3::new(x, y, z);
        let parts: Vec<f64> = self.blocks.par_iter().map(|b| six_volumes(b, &origin)).collect();
        parts.iter().sum::<f64>() / 6.0
    }

    /// Bytes held.
    pub fn bytes(&self) -> usize {
        let blocks = self.blocks.iter().map(SurfaceBlock::bytes).sum::<usize>();
        blocks + self.blocks.capacity() * size_of::<SurfaceBlock>()
    }
}

/// Meshes the blocks of a column that are wanted: compiled for each width of vectors.
struct Blocks<'a> {
    stock: &'a Stock,
    history: &'a History,
    lattice: &'a Lattice,
    column: &'a mut Column,
    builder: &'a mut Builder,
    at: [u32; 2],
    own: &'a [bool],
}

impl NullaryFnOnce for Blocks<'_> {
    type Output = Vec<([u32; 3], SurfaceBlock)>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let Self { stock, history, lattice, column, builder, at: [i, j], own } = self;
        let mut blocks = Vec::new();
        column.read(stock, lattice, [i, j], own);
        for (k, _) in (0_u32..).zip(own).filter(|(_, wanted)| **wanted) {
            let at = [i, j, k];
            let block = match column.block(k as usize) {
                Some(signs) => builder.block(stock, history, lattice, at, signs),
                None => SurfaceBlock::default(),
            };
            blocks.push((at, block));
        }
        blocks
    }
}

/// Six times the volume between the faces of a block and a point.
fn six_volumes(block: &SurfaceBlock, origin: &Vec3) -> f64 {
    let seen: Vec<Vec3> = block.points.iter().map(|p| mm(p) - origin).collect();
    let at = |i: u32| seen.get(i as usize).copied().unwrap_or_default();
    let triangles = block.faces.iter().flat_map(super::Face::triangles);
    triangles.map(|[a, b, c]| at(a).dot(&at(b).cross(&at(c)))).sum()
}
