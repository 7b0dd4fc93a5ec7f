//! The stock with few triangles, for drivers in software while things move.

use super::stock::in_mm;
use super::{Categories, LineSet, Mesh, MeshBuilder, Pattern};
use crate::colour::Colour;
use glam::Vec3;
use proofcut_core::surface::SurfaceMesh;
use std::sync::Arc;

/// Triangles round a vertex that lean less than this from each other, cosine, are shaded as one face: 30 degrees.
const ONE_FACE: f32 = 0.866;
/// Triangles that meet at less than this, cosine, have a line between them: 18 degrees.
const SMOOTH: f32 = 0.95;
/// Width of an edge, points.
const WIDTH: f32 = 1.1;

/// Meshes and crisp edges of a surface with few triangles, such as [`proofcut_core::surface::Surface::simplified`] gives.
/// Its normals are means of triangles, not those of the cuts: to look at while turning, not to look at closely.
pub(super) fn reduced(
    surface: &SurfaceMesh,
    categories: &Categories,
    edge: Colour,
) -> (Vec<Arc<Mesh>>, LineSet) {
    let at = |i: u32| surface.points.get(i as usize).map_or(Vec3::ZERO, in_mm);
    // Cross products: their lengths weigh large triangles more.
    let crosses: Vec<Vec3> = surface
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(at);
            (b - a).cross(c - a)
        })
        .collect();
    let around = Around::of(surface);
    let normal_at = |vertex: u32, own: Vec3| -> Vec3 {
        let unit = own.normalize_or_zero();
        let near = around.of_vertex(vertex).iter().filter_map(|t| crosses.get(*t as usize));
        let sum: Vec3 = near.filter(|c| c.normalize_or_zero().dot(unit) > ONE_FACE).sum();
        if sum == Vec3::ZERO { unit } else { sum.normalize_or_zero() }
    };
    let mut out = MeshBuilder::default();
    for ((triangle, by), cross) in surface.triangles.iter().zip(&surface.by).zip(&crosses) {
        out.make_room(1);
        let tint = categories.tint(*by);
        let corners = triangle.map(|v| out.vertex(at(v), normal_at(v, *cross), tint));
        out.triangle(corners);
    }
    (out.finish(), edges(surface, &crosses, &at, edge))
}

fn edges(surface: &SurfaceMesh, crosses: &[Vec3], at: &dyn Fn(u32) -> Vec3, edge: Colour) -> LineSet {
    let mut sides: Vec<([u32; 2], u32)> = Vec::with_capacity(3 * surface.triangles.len());
    for ([a, b, c], n) in surface.triangles.iter().zip(0..) {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            sides.push(([*from.min(to), *from.max(to)], n));
        }
    }
    sides.sort_unstable();
    let mut set = LineSet::default();
    let unit = |n: &u32| crosses.get(*n as usize).map_or(Vec3::ZERO, |c| c.normalize_or_zero());
    for pair in sides.chunk_by(|a, b| a.0 == b.0) {
        if let [(ends, first), (_, second), ..] = pair
            && unit(first).dot(unit(second)) < SMOOTH
        {
            let [a, b] = ends.map(at);
            set.push(a, b, edge, WIDTH, Pattern::Full);
        }
    }
    set
}

/// The triangles round each vertex.
struct Around {
    starts: Vec<u32>,
    triangles: Vec<u32>,
}

impl Around {
    fn of(surface: &SurfaceMesh) -> Self {
        let mut starts = vec![0_u32; surface.points.len() + 1];
        for vertex in surface.triangles.iter().flatten() {
            if let Some(n) = starts.get_mut(*vertex as usize + 1) {
                *n += 1;
            }
        }
        let mut sum = 0;
        for n in &mut starts {
            sum += *n;
            *n = sum;
        }
        let mut next = starts.clone();
        let mut triangles = vec![0; 3 * surface.triangles.len()];
        for (corners, n) in surface.triangles.iter().zip(0..) {
            for vertex in corners {
                let Some(place) = next.get_mut(*vertex as usize) else { continue };
                if let Some(slot) = triangles.get_mut(*place as usize) {
                    *slot = n;
                }
                *place += 1;
            }
        }
        Self { starts, triangles }
    }

    fn of_vertex(&self, vertex: u32) -> &[u32] {
        let at = |i: usize| self.starts.get(i).map_or(0, |s| *s as usize);
        self.triangles.get(at(vertex as usize)..at(vertex as usize + 1)).unwrap_or_default()
    }
}
