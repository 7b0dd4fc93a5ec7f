//! Fewer triangles within a bound: vertices are taken out one by one while the mesh stays within the bound of what it was.
//!
//! Each triangle carries how far it may be from the first mesh; a new triangle gets the most of those that it replaces
//! and what [`super::star`] says of the step. Both are distances between surfaces that face each other point by point,
//! so the sum bounds the distance both ways. Each round goes over the vertices in order and lets a neighbourhood
//! change once, so that stars stay small; the result does not depend on the number of threads.

#![expect(
    clippy::indexing_slicing,
    reason = "numbers of vertices and triangles come from the lists they index"
)]

use super::block::{Face, SurfaceBlock, mm};
use super::build::count;
use super::mesh::SurfaceMesh;
use super::model::Surface;
use super::star::{self, MOST, Star};
use crate::geom::Vec3;
use rayon::prelude::*;
use smallvec::SmallVec;

/// Parts of the bound that are allowed one after the other: first what costs nothing, so that flat faces do not use up
/// what curved ones need.
const STAGES: [f64; 4] = [0.01, 0.1, 0.5, 1.0];

/// Most rounds in a stage; a round that takes out less than one vertex in 200 is the last.
const ROUNDS: usize = 40;

/// Taken out: a triangle.
const GONE: u32 = u32::MAX;

/// A mesh that loses vertices.
struct Shrinking {
    points: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    /// How far each triangle may be from the first mesh, mm.
    off: Vec<f64>,
    /// Triangles at each vertex.
    stars: Vec<SmallVec<[u32; 8]>>,
    /// Round in which something near the vertex changed last.
    changed: Vec<u32>,
    round: u32,
}

impl Surface {
    /// The surface as one mesh with fewer triangles, nowhere farther than `deviation` (mm) from [`Surface::mesh`], nor
    /// that from it; closed and manifold like it, corners and crisp edges in place.
    pub fn simplified(&self, deviation: f64) -> SurfaceMesh {
        let done: Vec<(SurfaceBlock, Vec<f64>)> =
            self.blocks().par_iter().with_max_len(1).map(|b| simplified_block(b, deviation)).collect();
        let (blocks, off): (Vec<SurfaceBlock>, Vec<Vec<f64>>) = done.into_iter().unzip();
        let mut mesh = self.with_blocks(blocks).mesh();
        let mut whole = Shrinking::new(
            mesh.points.iter().map(mm).collect(),
            mesh.triangles,
            off.into_iter().flatten().collect(),
        );
        whole.shrink(deviation);
        whole.turn_thin(deviation);
        let kept = whole.triangles.iter().zip(&mesh.by).filter(|(t, _)| t[0] != GONE);
        let (triangles, by) = kept.map(|(t, by)| (*t, *by)).unzip();
        (mesh.triangles, mesh.by) = (triangles, by);
        mesh.drop_unused();
        mesh
    }
}

/// A block without the vertices that are not needed, and how far each of its triangles may be off. Vertices that other
/// blocks see stay.
fn simplified_block(block: &SurfaceBlock, deviation: f64) -> (SurfaceBlock, Vec<f64>) {
    let mut triangles = Vec::with_capacity(2 * block.faces.len());
    let mut owner = Vec::with_capacity(2 * block.faces.len());
    for (n, face) in block.faces.iter().enumerate() {
        for t in face.triangles() {
            triangles.push(t);
            owner.push(n);
        }
    }
    let off = vec![0.0; triangles.len()];
    let mut part = Shrinking::new(block.points.iter().map(mm).collect(), triangles, off);
    part.shrink(deviation);
    // A vertex that no face of the block had may be one that several neighbours look for here.
    let mut kept_points = vec![true; block.points.len()];
    for i in block.faces.iter().flat_map(|f| f.corners) {
        kept_points[i as usize] = false;
    }
    let mut faces = Vec::new();
    let mut kept = Vec::new();
    for (n, t) in part.triangles.iter().enumerate().filter(|(_, t)| t[0] != GONE) {
        for i in t {
            kept_points[*i as usize] = true;
        }
        let [a, b, c] = *t;
        faces.push(Face { corners: [a, b, c, c], ..block.faces[owner[n]] });
        kept.push(part.off[n]);
    }
    let mut out = SurfaceBlock { cells: block.cells, ..SurfaceBlock::default() };
    let mut number = vec![0; block.points.len()];
    for (i, _) in kept_points.iter().enumerate().filter(|(_, kept)| **kept) {
        number[i] = count(out.points.len());
        out.points.push(block.points[i]);
        out.keys.push(block.keys[i]);
    }
    for face in &mut faces {
        face.corners = face.corners.map(|i| number[i as usize]);
    }
    out.faces = faces;
    (out, kept)
}

impl Shrinking {
    fn new(points: Vec<Vec3>, triangles: Vec<[u32; 3]>, off: Vec<f64>) -> Self {
        let mut stars: Vec<SmallVec<[u32; 8]>> = vec![SmallVec::new(); points.len()];
        for (n, t) in (0..).zip(&triangles) {
            for i in t {
                stars[*i as usize].push(n);
            }
        }
        let changed = vec![0; points.len()];
        Self { points, triangles, off, stars, changed, round: 0 }
    }

    fn shrink(&mut self, deviation: f64) {
        for part in STAGES {
            for _ in 0..ROUNDS {
                self.round += 1;
                let (mut left, mut taken) = (0_usize, 0_usize);
                for v in 0..count(self.points.len()) {
                    if !self.stars[v as usize].is_empty() {
                        left += 1;
                        taken += usize::from(
                            self.changed[v as usize] != self.round && self.take(v, deviation * part),
                        );
                    }
                }
                if taken * 200 <= left {
                    break;
                }
            }
        }
    }

    /// The neighbours of a vertex in a ring, counter-clockwise; `None` when the triangles round it do not close, or are too
    /// many.
    fn ring(&self, v: u32) -> Option<SmallVec<[u32; 12]>> {
        let star = &self.stars[v as usize];
        if star.len() < 3 || star.len() > MOST {
            return None;
        }
        let sides: SmallVec<[(u32, u32); 12]> = star.iter().map(|n| self.beyond(*n, v)).collect();
        let mut ring: SmallVec<[u32; 12]> = SmallVec::new();
        let mut at = sides[0].0;
        for _ in 0..sides.len() {
            ring.push(at);
            at = sides.iter().find(|s| s.0 == at)?.1;
        }
        (at == ring[0]).then_some(ring)
    }

    /// The side of a triangle that faces one of its corners.
    fn beyond(&self, triangle: u32, v: u32) -> (u32, u32) {
        let [a, b, c] = self.triangles[triangle as usize];
        if a == v {
            (b, c)
        } else if b == v {
            (c, a)
        } else {
            (a, b)
        }
    }

    /// Takes a vertex out if it can be done within `deviation`.
    fn take(&mut self, v: u32, deviation: f64) -> bool {
        let Some(ring) = self.ring(v) else { return false };
        let before = self.stars[v as usize].iter().map(|n| self.off[*n as usize]).fold(0.0, f64::max);
        if before > deviation {
            return false;
        }
        let places: SmallVec<[Vec3; 12]> = ring.iter().map(|i| self.points[*i as usize]).collect();
        let here = self.points[v as usize];
        let star = Star::new(&here, &places);
        // Onto the nearest neighbour that will do: triangles stay round.
        let mut order: SmallVec<[(f64, usize); 12]> =
            places.iter().enumerate().map(|(i, p)| ((p - here).norm_squared(), i)).collect();
        order.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        for (_, to) in order {
            if self.changed[ring[to] as usize] == self.round {
                continue;
            }
            let Some(step) = star.moved_onto(to) else { continue };
            if before + step <= deviation && self.links(v, &ring, to) {
                self.replace(v, &ring, to, before + step);
                return true;
            }
        }
        false
    }

    /// True when a vertex and a neighbour share two neighbours only, so that moving one onto the other joins no other edges,
    /// and no face is made that is there already.
    fn links(&self, v: u32, ring: &[u32], to: usize) -> bool {
        let w = ring[to];
        let count = ring.len();
        let beside = [ring[(to + 1) % count], ring[(to + count - 1) % count]];
        for n in &self.stars[w as usize] {
            let (a, b) = self.beyond(*n, w);
            for (p, q) in [(a, b), (b, a)] {
                if p != v && ring.contains(&p) && !beside.contains(&p) {
                    return false;
                }
                if count == 3 && q != v && beside.contains(&p) && beside.contains(&q) {
                    return false;
                }
            }
        }
        true
    }

    fn replace(&mut self, v: u32, ring: &[u32], to: usize, off: f64) {
        let w = ring[to];
        let star = std::mem::take(&mut self.stars[v as usize]);
        for n in star {
            let t = self.triangles[n as usize];
            if t.contains(&w) {
                for i in t.into_iter().filter(|i| *i != v) {
                    self.stars[i as usize].retain(|m| *m != n);
                }
                self.triangles[n as usize] = [GONE; 3];
            } else {
                self.triangles[n as usize] = t.map(|i| if i == v { w } else { i });
                self.off[n as usize] = off;
                self.stars[w as usize].push(n);
            }
        }
        for i in ring {
            self.changed[*i as usize] = self.round;
        }
    }
}

/// A triangle lower than this over its longest side, mm, is thin: its corners lie on one line for any reader.
const THIN: f64 = 1.0e-5;

/// Most rounds of turning sides of thin triangles.
const TURNS: usize = 4;

impl Shrinking {
    /// Turns the longest side of each thin triangle into the other diagonal of the two triangles at it, where both are
    /// then higher. The surface moves by the height of the thin one at most.
    fn turn_thin(&mut self, deviation: f64) {
        for _ in 0..TURNS {
            let mut turned = false;
            for n in 0..count(self.triangles.len()) {
                let t = self.triangles[n as usize];
                turned |= t[0] != GONE && self.height(t) < THIN && self.turn(n, deviation);
            }
            if !turned {
                break;
            }
        }
    }

    fn height(&self, t: [u32; 3]) -> f64 {
        let [a, b, c] = t.map(|i| self.points[i as usize]);
        star::lowest(&a, &b, &c)
    }

    fn turn(&mut self, n: u32, deviation: f64) -> bool {
        let t = self.triangles[n as usize];
        let length = |i: usize| {
            let (p, q) = (t[(i + 1) % 3], t[(i + 2) % 3]);
            (self.points[p as usize] - self.points[q as usize]).norm_squared()
        };
        let tip = (1..3).fold(0, |best, i| if length(i) > length(best) { i } else { best });
        let (b, from, to) = (t[tip], t[(tip + 1) % 3], t[(tip + 2) % 3]);
        let beside = self.stars[from as usize]
            .iter()
            .copied()
            .find(|m| *m != n && self.triangles[*m as usize].contains(&to));
        let Some(m) = beside else { return false };
        let other = self.triangles[m as usize];
        let Some(d) = other.into_iter().find(|i| *i != from && *i != to) else { return false };
        if self.stars[b as usize].iter().any(|k| self.triangles[*k as usize].contains(&d)) {
            return false;
        }
        let new = [[b, from, d], [d, to, b]];
        let normal = |t: [u32; 3]| {
            let [a, b, c] = t.map(|i| self.points[i as usize]);
            (b - a).cross(&(c - a)).try_normalize(0.0).unwrap_or_default()
        };
        let thin = self.height(t);
        let off = self.off[n as usize].max(self.off[m as usize]) + thin;
        let fits = |t: &[u32; 3]| {
            normal(*t).dot(&normal(other)) > 0.9 && self.height(*t) > THIN.min(2.0 * thin + 1e-9)
        };
        if off > deviation || !new.iter().all(fits) {
            return false;
        }
        for (k, t) in [(n, new[0]), (m, new[1])] {
            self.triangles[k as usize] = t;
            self.off[k as usize] = off;
        }
        self.stars[to as usize].retain(|k| *k != n);
        self.stars[d as usize].push(n);
        self.stars[from as usize].retain(|k| *k != m);
        self.stars[b as usize].push(m);
        true
    }
}

impl SurfaceMesh {
    /// Leaves out the vertices that no triangle has.
    fn drop_unused(&mut self) {
        let mut number = vec![GONE; self.points.len()];
        let mut points = Vec::new();
        for t in &mut self.triangles {
            for i in t {
                let slot = &mut number[*i as usize];
                if *slot == GONE {
                    *slot = count(points.len());
                    points.push(self.points[*i as usize]);
                }
                *i = *slot;
            }
        }
        self.points = points;
    }
}
