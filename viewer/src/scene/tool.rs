use super::revolved::{Profile, revolved};
use super::{Behind, Item, Kind, LineSet, Lines, Look, MeshBuilder, Palette};
use crate::colour::{Colour, Theme};
use glam::{Mat4, Vec3};
use proofcut_core::cutter::{Assembly, PartRole, Tool};
use std::sync::Arc;

/// Colours of cutter, shank and holder, and their shine.
const CUTTER: (Colour, u8) = (Colour::hex(0xD8_A8_4E), 150);
const SHANK: (Colour, u8) = (Colour::hex(0xA9_B0_B8), 200);
const HOLDER: (Colour, u8) = (Colour::hex(0x5B_65_70), 120);

/// A tool with its full outer diameters, its tip at a point of the world: what it can bump into. Kinds
/// [`Kind::Cutter`], [`Kind::Shank`], [`Kind::Holder`], and their edges.
pub fn tool_items(tool: &Tool, tip: Vec3, theme: &Theme) -> (Vec<Item>, Vec<Lines>) {
    let assembly = Assembly::envelope(tool);
    let (mut items, mut lines) = (Vec::new(), Vec::new());
    for (role, kind, (colour, shine)) in [
        (PartRole::Cutter, Kind::Cutter, CUTTER),
        (PartRole::Shank, Kind::Shank, SHANK),
        (PartRole::Holder, Kind::Holder, HOLDER),
    ] {
        let (mut mesh, mut edges) = (MeshBuilder::default(), LineSet::default());
        for body in assembly.bodies(role) {
            revolved(&Profile::of(body), &Mat4::IDENTITY, 0, theme.edge, &mut mesh, &mut edges);
        }
        let meshes = mesh.finish();
        if meshes.is_empty() {
            continue;
        }
        let world_from_mesh = Mat4::from_translation(tip);
        items.push(Item {
            kind,
            meshes,
            world_from_mesh,
            palette: Arc::new(Palette::plain(colour, shine)),
            look: Look::Solid,
            sectioned: false,
            cap: colour,
        });
        lines.push(Lines {
            kind,
            set: Arc::new(edges),
            world_from_lines: world_from_mesh,
            behind: Behind::Nothing,
            sectioned: false,
        });
    }
    (items, lines)
}
