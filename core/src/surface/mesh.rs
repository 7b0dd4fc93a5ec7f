use super::block::{SurfaceBlock, mm};
use super::build::{CELLS, count};
use super::model::Surface;
use crate::geom::Vec3;
use crate::stock::CutId;
use std::collections::BTreeMap;

/// A surface as one mesh: every vertex once. Closed and manifold: every edge has two triangles, which run through it in
/// opposite ways, and the triangles round a vertex are one fan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SurfaceMesh {
    /// Places of the vertices, whole nanometres, part frame.
    pub points: Vec<[i32; 3]>,
    /// Corners, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// For each triangle who cut it.
    pub by: Vec<CutId>,
}

/// Where a vertex is numbered that no block is sure to hold: its block and key there.
type Elsewhere = BTreeMap<([u32; 3], u32), u32>;

impl Surface {
    /// The blocks joined to one mesh.
    pub fn mesh(&self) -> SurfaceMesh {
        let mut mesh = SurfaceMesh::default();
        // For each block the number of each of its vertices in the mesh.
        let mut numbers: Vec<Vec<u32>> = Vec::with_capacity(self.blocks().len());
        let mut elsewhere = Elsewhere::new();
        let [columns, rows, _] = self.sides();
        let mut at = [0, 0, 0];
        for block in self.blocks() {
            let own = block.points.iter().zip(&block.keys).map(|(point, key)| {
                let (home, home_key) = home(at, *key);
                let known = if home == at && key % 8 < 4 {
                    None
                } else if key % 8 < 4 {
                    let n = self.number(home);
                    let there = self.blocks().get(n).and_then(|b| b.find(home_key));
                    numbers.get(n).zip(there).and_then(|(list, i)| list.get(i)).copied()
                } else {
                    elsewhere.get(&(home, home_key)).copied()
                };
                known.unwrap_or_else(|| {
                    let next = count(mesh.points.len());
                    mesh.points.push(*point);
                    if key % 8 >= 4 {
                        elsewhere.insert((home, home_key), next);
                    }
                    next
                })
            });
            let own: Vec<u32> = own.collect();
            mesh.add(block, &own);
            numbers.push(own);
            at[0] += 1;
            if at[0] == columns {
                at = [0, at[1] + 1, at[2]];
            }
            if at[1] == rows {
                at = [0, 0, at[2] + 1];
            }
        }
        mesh
    }
}

impl SurfaceMesh {
    /// Adds the faces of a block whose vertices have these numbers.
    fn add(&mut self, block: &SurfaceBlock, numbers: &[u32]) {
        for face in &block.faces {
            for t in face.triangles() {
                self.triangles.push(t.map(|i| numbers.get(i as usize).copied().unwrap_or_default()));
                self.by.push(face.by);
            }
        }
    }

    /// Place of a vertex, mm, part frame; the part's zero for a number that is none.
    pub fn point(&self, vertex: u32) -> Vec3 {
        self.points.get(vertex as usize).map_or_else(Vec3::zeros, mm)
    }

    /// Volume inside, mm3 (divergence theorem).
    pub fn volume(&self) -> f64 {
        let origin = self.points.first().map_or_else(Vec3::zeros, mm);
        let at = |i: &u32| self.point(*i) - origin;
        self.triangles.iter().map(|[a, b, c]| at(a).dot(&at(b).cross(&at(c)))).sum::<f64>() / 6.0
    }
}

impl SurfaceBlock {
    /// The vertex with a key of a sheet.
    fn find(&self, key: u32) -> Option<usize> {
        // The last few, between arcs, are in no order; their keys are of another kind.
        let sheets = self.keys.iter().rposition(|k| k % 8 < 4)? + 1;
        self.keys.get(..sheets)?.binary_search(&key).ok()
    }
}

/// The block that holds the cell of a vertex as its own, and the vertex's key there.
fn home(at: [u32; 3], key: u32) -> ([u32; 3], u32) {
    let side = count(CELLS);
    let (cell, code) = (key / 8, key % 8);
    let mut cells = [cell / side % side, cell / (side * side), cell % side];
    let mut block = at;
    for (c, b) in cells.iter_mut().zip(&mut block) {
        if *c == 0 && *b > 0 {
            *c = side - 1;
            *b -= 1;
        }
    }
    let [x, y, z] = cells;
    (block, 8 * ((y * side + x) * side + z) + code)
}
