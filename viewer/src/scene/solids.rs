//! Plain solids as meshes with their edges.

use super::mesh::small;
use super::revolved::{Profile, revolved};
use super::{LineSet, MeshBuilder, Pattern};
use crate::colour::Colour;
use glam::{Mat4, Vec3};
use proofcut_core::geom::{Axis, Box3};
use proofcut_core::job::{Mesh as JobMesh, RoundBar, Solid};
use std::collections::BTreeMap;

/// Width of an edge, points.
pub(super) const EDGE_WIDTH: f32 = 1.1;
/// Faces of a mesh that meet at less than this, cosine, get no line between them: 18 degrees.
const SMOOTH: f32 = 0.95;

/// Adds a solid of the workholding.
pub(super) fn solid(solid: &Solid, tint: u16, edge: Colour, out: &mut MeshBuilder, edges: &mut LineSet) {
    match solid {
        Solid::Box(b) => block(b, tint, edge, out, edges),
        Solid::Cylinder(bar) => round(bar, tint, edge, out, edges),
        Solid::Mesh(mesh) => any(mesh, tint, edge, out, edges),
    }
}

/// Adds a box square to the axes.
pub(super) fn block(b: &Box3, tint: u16, edge: Colour, out: &mut MeshBuilder, edges: &mut LineSet) {
    let (a, z) = (small(&b.min), small(&b.max));
    let at = |x: bool, y: bool, up: bool| {
        Vec3::new(if x { z.x } else { a.x }, if y { z.y } else { a.y }, if up { z.z } else { a.z })
    };
    let (f, t) = (false, true);
    for face in [
        [at(f, f, t), at(t, f, t), at(t, t, t), at(f, t, t)],
        [at(f, f, f), at(f, t, f), at(t, t, f), at(t, f, f)],
        [at(f, f, f), at(t, f, f), at(t, f, t), at(f, f, t)],
        [at(t, t, f), at(f, t, f), at(f, t, t), at(t, t, t)],
        [at(t, f, f), at(t, t, f), at(t, t, t), at(t, f, t)],
        [at(f, t, f), at(f, f, f), at(f, f, t), at(f, t, t)],
    ] {
        out.flat(face, tint);
    }
    for (p, q) in [(f, f), (t, f), (f, t), (t, t)] {
        for (from, to) in [(at(f, p, q), at(t, p, q)), (at(p, f, q), at(p, t, q)), (at(p, q, f), at(p, q, t))]
        {
            edges.push(from, to, edge, EDGE_WIDTH, Pattern::Full);
        }
    }
}

/// Adds a cylinder along an axis.
fn round(bar: &RoundBar, tint: u16, edge: Colour, out: &mut MeshBuilder, edges: &mut LineSet) {
    let mut foot = bar.center;
    bar.axis.set(&mut foot, bar.from);
    let (u, v) = bar.axis.others();
    let column = |a: Axis| small(&proofcut_core::geom::Direction::new(a, true).vector()).extend(0.0);
    let place = Mat4::from_cols(column(u), column(v), column(bar.axis), small(&foot).extend(1.0));
    let profile = Profile::frustum(0.0, bar.to - bar.from, bar.radius, bar.radius);
    revolved(&profile, &place, tint, edge, out, edges);
}

/// Adds a closed mesh, flat shaded, with lines where its faces meet at an angle.
fn any(mesh: &JobMesh, tint: u16, edge: Colour, out: &mut MeshBuilder, edges: &mut LineSet) {
    let at = |i: &u32| mesh.vertices.get(*i as usize).map_or(Vec3::ZERO, small);
    let mut sides: BTreeMap<(u32, u32), Vec3> = BTreeMap::new();
    for t in &mesh.triangles {
        let [a, b, c] = t.each_ref().map(at);
        let normal = (b - a).cross(c - a).normalize_or_zero();
        out.make_room(1);
        let corners = [a, b, c].map(|p| out.vertex(p, normal, tint));
        out.triangle(corners);
        let [i, j, k] = *t;
        for (from, to) in [(i, j), (j, k), (k, i)] {
            let key = (from.min(to), from.max(to));
            match sides.remove(&key) {
                None => {
                    sides.insert(key, normal);
                }
                Some(other) if other.dot(normal) < SMOOTH => {
                    edges.push(at(&from), at(&to), edge, EDGE_WIDTH, Pattern::Full);
                }
                Some(_) => {}
            }
        }
    }
}
