use super::solids::{block, solid};
use super::{Behind, Item, Kind, LineSet, Lines, Look, MeshBuilder, Palette};
use crate::colour::{Colour, Theme};
use glam::Mat4;
use proofcut_core::checks::workholding::{Holding, Piece};
use proofcut_core::job::Solid;
use std::sync::Arc;

/// How far down a vise bed is shown, millimetres. (The checks take all below a bed as taken, down through the table.)
pub const BED_SHOWN: f64 = 20.0;
/// A box higher than this, millimetres, stands for all that lies below its top.
const ENDLESS: f64 = 500.0;

/// Steel of jaws and clamps, ground parallels, the bed.
const JAW: Colour = Colour::hex(0x7C_8A_97);
const PARALLEL: Colour = Colour::hex(0xA7_B2_BA);
const BED: Colour = Colour::hex(0x5F_6B_76);
const SHINE: u8 = 70;

/// What holds the part, one thing for each piece so that each is filled by itself where a section plane cuts it.
pub fn workholding(holding: &Holding, theme: &Theme) -> (Vec<Item>, Vec<Lines>) {
    let (mut items, mut lines) = (Vec::new(), Vec::new());
    for piece in &holding.pieces {
        let (mut mesh, mut edges) = (MeshBuilder::default(), LineSet::default());
        let colour = add(piece, theme.edge, &mut mesh, &mut edges);
        items.push(Item {
            kind: Kind::Workholding,
            meshes: mesh.finish(),
            world_from_mesh: Mat4::IDENTITY,
            palette: Arc::new(Palette::plain(colour, SHINE)),
            look: Look::Solid,
            sectioned: true,
            cap: colour.towards(Colour::hex(0xFF_FF_FF), 0.35),
        });
        lines.push(Lines {
            kind: Kind::Workholding,
            set: Arc::new(edges),
            world_from_lines: Mat4::IDENTITY,
            behind: Behind::Nothing,
            sectioned: true,
        });
    }
    (items, lines)
}

fn add(piece: &Piece, edge: Colour, mesh: &mut MeshBuilder, edges: &mut LineSet) -> Colour {
    match &piece.solid {
        Solid::Box(b) if b.size().z > ENDLESS => {
            let mut shown = *b;
            shown.min.z = shown.max.z - BED_SHOWN;
            block(&shown, 0, edge, mesh, edges);
            BED
        }
        other @ (Solid::Box(_) | Solid::Cylinder(_) | Solid::Mesh(_)) => {
            solid(other, 0, edge, mesh, edges);
            if piece.name.contains("parallel") { PARALLEL } else { JAW }
        }
    }
}
