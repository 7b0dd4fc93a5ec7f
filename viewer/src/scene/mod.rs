//! What there is to see, as plain data: no graphics driver is needed to build a scene.
//!
//! World: the setup frame of the setup that is shown, millimetres. Meshes may have a frame of their own.
//!
//! *Invariant*: a mesh holds at most a million triangles with 16 bytes a vertex; whatever a picture shows is in the scene.

mod axes;
mod bounds;
mod clearance;
mod deviation;
mod edges;
mod holding;
mod legend;
mod lens;
mod lines;
mod mesh;
mod moment;
mod palette;
mod path;
mod pick;
mod revolved;
mod solids;
mod stock;
#[cfg(test)]
mod tests;
mod tool;

pub use axes::{program_zeros, zero_label};
pub use bounds::Bounds;
pub use clearance::{Clearance, clearances, legend as clearance_legend, shade_of};
pub use deviation::DeviationScale;
pub use holding::{BED_SHOWN, workholding};
pub use legend::{Entry, Legend, Swatch};
pub use lens::{Lens, lens_scene, lens_words};
pub use lines::{LineSet, Pattern};
pub(crate) use mesh::small;
pub use mesh::{Mesh, MeshBuilder, VERTEX_BYTES};
pub use moment::{Shown, Tint, job_scene, setups_legend, tools_legend};
pub use palette::{Categories, Category, Palette};
pub use path::{legend as path_legend, path_lines};
pub use pick::{Hit, geometric_normal, pick};
pub use stock::{StockMeshes, StockTint};
pub use tool::tool_items;

use crate::colour::Colour;
use glam::{Mat4, Vec3};
use std::sync::Arc;

/// Everything that a picture shows. Cheap to clone: meshes and lines are shared.
#[derive(Clone, Debug, Default)]
pub struct Scene {
    /// Solids.
    pub items: Vec<Item>,
    /// Lines: crisp edges, path, axes, marks.
    pub lines: Vec<Lines>,
    /// Flat see-through outlines.
    pub shades: Vec<Shade>,
    /// Words at places, for whoever draws text.
    pub labels: Vec<Label>,
    /// What colours and patterns mean.
    pub legends: Vec<Legend>,
}

/// What a thing in the scene is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The stock as cut.
    Stock,
    /// Vise, parallels, clamps.
    Workholding,
    /// The part of the tool that cuts.
    Cutter,
    /// Shank and neck.
    Shank,
    /// Holder.
    Holder,
    /// Path of the tool.
    Path,
    /// Program zero and axes, marks and notes.
    Mark,
}

/// How much of a thing is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Look {
    /// As it is.
    #[default]
    Solid,
    /// See-through.
    Ghost,
    /// Not at all.
    Hidden,
}

/// A solid of one kind.
#[derive(Clone, Debug)]
pub struct Item {
    /// What it is.
    pub kind: Kind,
    /// Its surface in pieces.
    pub meshes: Vec<Arc<Mesh>>,
    /// From the frame of the meshes to the world.
    pub world_from_mesh: Mat4,
    /// Colours of the tints of its vertices.
    pub palette: Arc<Palette>,
    /// How much is seen.
    pub look: Look,
    /// True when a section plane cuts it; its inside is then filled with `cap`.
    pub sectioned: bool,
    /// Colour of cut faces.
    pub cap: Colour,
}

/// A set of lines.
#[derive(Clone, Debug)]
pub struct Lines {
    /// What they belong to.
    pub kind: Kind,
    /// The lines.
    pub set: Arc<LineSet>,
    /// From their frame to the world.
    pub world_from_lines: Mat4,
    /// What is seen of them behind solids.
    pub behind: Behind,
    /// True when a section plane cuts them.
    pub sectioned: bool,
}

/// What is seen of lines behind solids.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Behind {
    /// Nothing.
    Nothing,
    /// A faint trace.
    Faint,
    /// As much as in front of them.
    Full,
}

/// A flat see-through outline; where its own triangles overlap it is no darker.
#[derive(Clone, Debug)]
pub struct Shade {
    /// Its surface, world frame.
    pub mesh: Arc<Mesh>,
    /// Its colour with its opacity.
    pub colour: Colour,
}

/// A word at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Where, world frame.
    pub at: Vec3,
    /// What.
    pub text: String,
    /// True for a sheet of paper behind it, so that it is read over the part.
    pub on_paper: bool,
}

impl Scene {
    /// The smallest box around all solids that are seen; around everything when no solid is.
    pub fn bounds(&self) -> Bounds {
        let solids = self.solid_bounds();
        if solids.is_empty() { self.all_bounds() } else { solids }
    }

    /// The smallest box around the seen solids of one kind.
    pub fn bounds_of(&self, kind: Kind) -> Bounds {
        let items = self.items.iter().filter(|i| i.kind == kind && i.look != Look::Hidden);
        items.fold(Bounds::EMPTY, |b, i| b.union(&i.bounds()))
    }

    fn solid_bounds(&self) -> Bounds {
        let items = self.items.iter().filter(|i| i.look != Look::Hidden);
        items.fold(Bounds::EMPTY, |b, i| b.union(&i.bounds()))
    }

    /// The smallest box around everything, for the depth of the picture.
    pub fn all_bounds(&self) -> Bounds {
        let lines = self.lines.iter().map(|l| l.set.bounds.moved(&l.world_from_lines));
        let shades = self.shades.iter().map(|s| s.mesh.bounds);
        lines.chain(shades).fold(self.solid_bounds(), |b, other| b.union(&other))
    }

    /// Number of triangles of the solids that are seen.
    pub fn triangles(&self) -> usize {
        let items = self.items.iter().filter(|i| i.look != Look::Hidden);
        items.flat_map(|i| &i.meshes).map(|m| m.triangles.len()).sum()
    }

    /// Shows a kind of thing as told: items and, unless hidden, their lines.
    pub fn set_look(&mut self, kind: Kind, look: Look) {
        for item in self.items.iter_mut().filter(|i| i.kind == kind) {
            item.look = look;
        }
        if look == Look::Hidden {
            self.lines.retain(|l| l.kind != kind);
        }
    }
}

impl Item {
    /// The smallest box around it, world frame.
    pub fn bounds(&self) -> Bounds {
        let meshes = self.meshes.iter().map(|m| m.bounds.moved(&self.world_from_mesh));
        meshes.fold(Bounds::EMPTY, |b, other| b.union(&other))
    }
}
