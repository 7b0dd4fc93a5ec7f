use super::edges::{BlockEdges, block_edges, joined};
use super::mesh::{MOST_TRIANGLES, setup_from_part};
use super::{Behind, Categories, DeviationScale, Item, Kind, Lines, Look, Mesh, MeshBuilder, Palette};
use crate::colour::{Colour, Theme};
use glam::Vec3;
use proofcut_core::cutting::History;
use proofcut_core::geom::Frame;
use proofcut_core::solid::NominalPart;
use proofcut_core::surface::{Face, Surface, SurfaceBlock};
use proofcut_core::units::NM_PER_MM;
use rayon::prelude::*;
use std::sync::Arc;

/// What the tints of the stock's vertices mean.
#[derive(Clone, Copy, Debug)]
pub enum StockTint<'a> {
    /// Who cut each face: for bare metal, tools, setups.
    Makers(&'a Categories),
    /// How far each vertex lies from the drawing's part.
    Deviation(&'a DeviationScale, &'a NominalPart),
}

/// The stock's surface as meshes, one or a few for each block of the surface, and its crisp edges. Part frame.
#[derive(Clone, Debug, Default)]
pub struct StockMeshes {
    blocks: Vec<Block>,
    edges: Arc<super::LineSet>,
}

#[derive(Clone, Debug, Default)]
struct Block {
    meshes: Vec<Arc<Mesh>>,
    edges: BlockEdges,
}

/// Colour of the stock's inside where a section plane cuts it.
const INSIDE: Colour = Colour::hex(0xE3_D3_B8);

impl StockMeshes {
    /// Meshes of a whole surface.
    pub fn of(surface: &Surface, history: &History, tint: &StockTint<'_>, edge: Colour) -> Self {
        let mut out = Self { blocks: vec![Block::default(); surface.blocks().len()], ..Self::default() };
        let all: Vec<usize> = (0..surface.blocks().len()).collect();
        out.update(surface, history, tint, &all, edge);
        out
    }

    /// Makes the meshes of some blocks anew, as [`Surface::update`] names them; the others stay the same objects, so that
    /// a renderer need not send them again. Everything is made anew when the surface has another number of blocks.
    pub fn update(
        &mut self,
        surface: &Surface,
        history: &History,
        tint: &StockTint<'_>,
        changed: &[usize],
        edge: Colour,
    ) {
        if self.blocks.len() != surface.blocks().len() {
            *self = Self::of(surface, history, tint, edge);
            return;
        }
        self.remake(surface, history, tint, changed);
        self.join_edges(edge);
    }

    /// The first half of [`StockMeshes::update`], for some of the blocks; numbers that stand for none do nothing.
    pub fn remake(&mut self, surface: &Surface, history: &History, tint: &StockTint<'_>, changed: &[usize]) {
        self.blocks.resize(surface.blocks().len(), Block::default());
        let made: Vec<(usize, Block)> = changed
            .par_iter()
            .filter_map(|n| Some((*n, block(surface.blocks().get(*n)?, history, tint))))
            .collect();
        for (n, block) in made {
            if let Some(slot) = self.blocks.get_mut(n) {
                *slot = block;
            }
        }
    }

    /// The second half: edges that lie between blocks.
    pub fn join_edges(&mut self, edge: Colour) {
        self.edges = Arc::new(joined(self.blocks.iter().map(|b| &b.edges), edge));
    }

    /// All meshes, in the order of the blocks.
    pub fn meshes(&self) -> impl Iterator<Item = &Arc<Mesh>> {
        self.blocks.iter().flat_map(|b| &b.meshes)
    }

    /// The crisp edges.
    pub const fn edges(&self) -> &Arc<super::LineSet> {
        &self.edges
    }

    /// The stock as a thing of a scene, clamped as in a setup.
    pub fn item(&self, frame: &Frame, palette: Arc<Palette>) -> Item {
        Item {
            kind: Kind::Stock,
            meshes: self.meshes().cloned().collect(),
            world_from_mesh: setup_from_part(frame),
            palette,
            look: Look::Solid,
            sectioned: true,
            cap: INSIDE,
        }
    }

    /// Its crisp edges as lines of a scene.
    pub fn lines(&self, frame: &Frame) -> Lines {
        Lines {
            kind: Kind::Stock,
            set: Arc::clone(&self.edges),
            world_from_lines: setup_from_part(frame),
            behind: Behind::Nothing,
            sectioned: true,
        }
    }

    /// Colour of crisp edges that suits a theme.
    pub const fn edge_colour(theme: &Theme) -> Colour {
        theme.edge
    }
}

/// Number that stands for no vertex.
const NONE: u32 = u32::MAX;

/// The meshes of one block.
fn block(surface: &SurfaceBlock, history: &History, tint: &StockTint<'_>) -> Block {
    if surface.is_empty() {
        return Block::default();
    }
    // Neighbours mostly have the same normal.
    let mut last = ([0; 3], word([0; 3]));
    let mut word_of = |normal: [i16; 3]| {
        if normal != last.0 {
            last = (normal, word(normal));
        }
        last.1
    };
    let normals: Vec<[u32; 4]> =
        surface.corner_normals(history).iter().map(|corners| corners.map(&mut word_of)).collect();
    let deviations = match tint {
        StockTint::Makers(_) => Vec::new(),
        StockTint::Deviation(scale, part) => {
            let points = 0..u32::try_from(surface.points.len()).unwrap_or(u32::MAX);
            points.map(|p| scale.tint_at(part, &surface.point(p))).collect()
        }
    };
    let mut out = MeshBuilder::default();
    // The vertices made of each point: the newest, and for each vertex the one before.
    let mut newest = vec![NONE; surface.points.len()];
    let mut before: Vec<(u32, u32)> = Vec::with_capacity(surface.points.len());
    let mut triangles = 0;
    for (face, words) in surface.faces.iter().zip(&normals) {
        if triangles + 2 > MOST_TRIANGLES {
            out.make_room(MOST_TRIANGLES);
            newest.fill(NONE);
            before.clear();
            triangles = 0;
        }
        let mut numbers = [0; 4];
        for ((number, corner), normal) in numbers.iter_mut().zip(face.corners).zip(words) {
            let shade = match tint {
                StockTint::Makers(categories) => categories.tint(face.by),
                StockTint::Deviation(..) => deviations.get(corner as usize).copied().unwrap_or(0),
            };
            let word = normal | u32::from(shade.min(Mesh::MOST_TINT)) << 22;
            let Some(slot) = newest.get_mut(corner as usize) else { continue };
            let mut known = *slot;
            while let Some((_, next)) = before.get(known as usize).filter(|(w, _)| *w != word) {
                known = *next;
            }
            if known == NONE {
                known = out.packed(place(surface, corner), word);
                before.push((word, *slot));
                *slot = known;
            }
            *number = known;
        }
        let [a, b, c, d] = numbers;
        out.triangle([a, b, c]);
        triangles += 1;
        if face.corners[2] != face.corners[3] {
            out.triangle([a, c, d]);
            triangles += 1;
        }
    }
    Block { meshes: out.finish(), edges: block_edges(surface, &normals) }
}

/// A packed normal of the surface as the word of a vertex without tint.
fn word(normal: [i16; 3]) -> u32 {
    let [x, y, z] = normal.map(|c| f32::from(c) / f32::from(Face::ONE));
    Mesh::word(Vec3::new(x, y, z), 0)
}

fn place(surface: &SurfaceBlock, point: u32) -> Vec3 {
    surface.points.get(point as usize).map_or(Vec3::ZERO, in_mm)
}

/// A place of the surface in millimetres.
#[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
pub(super) fn in_mm(nm: &[i32; 3]) -> Vec3 {
    let [x, y, z] = nm.map(|c| (f64::from(c) / NM_PER_MM) as f32);
    Vec3::new(x, y, z)
}
