//! Crisp edges of the stock: where two faces meet at an angle.

use super::stock::in_mm;
use super::{LineSet, Mesh, Pattern};
use crate::colour::Colour;
use glam::Vec3;
use proofcut_core::surface::SurfaceBlock;

/// Faces that meet at less than this, cosine, look smooth: 18 degrees.
const SMOOTH: f32 = 0.95;
/// Width of an edge, points.
const WIDTH: f32 = 1.1;

/// The crisp edges of one block, and those on its border of which it knows only one face.
#[derive(Clone, Debug, Default)]
pub(super) struct BlockEdges {
    crisp: Vec<(Vec3, Vec3)>,
    border: Vec<Half>,
}

/// A side of a face: its ends in ascending order and the normals there as words of vertices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Half<P = [i32; 3]> {
    ends: [P; 2],
    normals: [u32; 2],
}

impl<P: Ord + Copy> Half<P> {
    fn new(a: (P, u32), b: (P, u32)) -> Self {
        let (low, high) = if a.0 <= b.0 { (a, b) } else { (b, a) };
        Self { ends: [low.0, high.0], normals: [low.1, high.1] }
    }

    /// True when the two faces meet at an angle at either end.
    fn crisp_with(&self, other: &Self) -> bool {
        let mut at = self.normals.iter().zip(&other.normals);
        at.any(|(a, b)| a != b && Mesh::normal_of(*a).dot(Mesh::normal_of(*b)) < SMOOTH)
    }
}

/// Finds the crisp edges of a block; `normals` are the words of its faces' corners.
pub(super) fn block_edges(surface: &SurfaceBlock, normals: &[[u32; 4]]) -> BlockEdges {
    let candidates = candidates(surface, normals);
    let mut halves: Vec<Half<u32>> = Vec::new();
    for (face, words) in surface.faces.iter().zip(normals) {
        let corners = face.corners;
        for (i, j) in [(0, 1), (1, 2), (2, 3), (3, 0)] {
            let (Some(a), Some(b)) = (corners.get(i), corners.get(j)) else { continue };
            let stands = |p: &u32| candidates.get(*p as usize) == Some(&true);
            if a != b && stands(a) && stands(b) {
                let word = |k: usize| words.get(k).copied().unwrap_or(0);
                halves.push(Half::new((*a, word(i)), (*b, word(j))));
            }
        }
    }
    halves.sort_unstable();
    let mut out = BlockEdges::default();
    let at = |p: u32| surface.points.get(p as usize).copied().unwrap_or_default();
    each_pair(&halves, |half, other| {
        let ends = half.ends.map(at);
        match other {
            Some(other) => {
                if half.crisp_with(other) {
                    out.crisp.push((in_mm(&ends[0]), in_mm(&ends[1])));
                }
            }
            None => out.border.push(Half::new((ends[0], half.normals[0]), (ends[1], half.normals[1]))),
        }
    });
    out
}

/// The edges of all blocks as lines.
pub(super) fn joined<'a>(blocks: impl Iterator<Item = &'a BlockEdges> + Clone, colour: Colour) -> LineSet {
    let mut out = LineSet::default();
    let mut add = |a: Vec3, b: Vec3| out.push(a, b, colour, WIDTH, Pattern::Full);
    for (a, b) in blocks.clone().flat_map(|b| &b.crisp) {
        add(*a, *b);
    }
    let mut border: Vec<Half> = blocks.flat_map(|b| &b.border).copied().collect();
    border.sort_unstable();
    each_pair(&border, |half, other| {
        if other.is_some_and(|o| half.crisp_with(o)) {
            add(in_mm(&half.ends[0]), in_mm(&half.ends[1]));
        }
    });
    out
}

/// Calls with each half of a sorted list and its other half, if there is one.
fn each_pair<P: Ord + Copy>(halves: &[Half<P>], mut f: impl FnMut(&Half<P>, Option<&Half<P>>)) {
    let mut rest = halves;
    while let [first, after @ ..] = rest {
        match after {
            [second, later @ ..] if second.ends == first.ends => {
                f(first, Some(second));
                rest = later;
            }
            _ => {
                f(first, None);
                rest = after;
            }
        }
    }
}

/// For each point whether a crisp edge may end there: it has several normals, or the block does not know all faces
/// round it.
fn candidates(surface: &SurfaceBlock, normals: &[[u32; 4]]) -> Vec<bool> {
    let mut first: Vec<Option<u32>> = vec![None; surface.points.len()];
    let mut several = vec![false; surface.points.len()];
    // In a closed fan each neighbour follows once and precedes once: then these sums come out as zero.
    let mut balance = vec![0_u32; surface.points.len()];
    for (face, words) in surface.faces.iter().zip(normals) {
        let c = face.corners;
        let around = [(c[3], c[1]), (c[0], c[2]), (c[1], c[3]), (c[2], c[0])];
        for (((corner, (previous, next)), word), k) in c.iter().zip(around).zip(words).zip(0..) {
            let p = *corner as usize;
            let (Some(known), Some(many), Some(sum)) =
                (first.get_mut(p), several.get_mut(p), balance.get_mut(p))
            else {
                continue;
            };
            match known {
                None => *known = Some(*word),
                Some(w) => *many |= *w != *word,
            }
            // Of a triangle the last corner is the third again: count it once, with the neighbours of both.
            let triangle = c[2] == c[3];
            let (previous, next) = match (triangle, k) {
                (true, 3) => continue,
                (true, 2) => (c[1], c[0]),
                _ => (previous, next),
            };
            *sum = sum.wrapping_add(scatter(next)).wrapping_sub(scatter(previous));
        }
    }
    several.iter().zip(&balance).map(|(many, sum)| *many || *sum != 0).collect()
}

/// Numbers far apart for neighbouring numbers, so that sums of a few do not cancel by chance.
const fn scatter(n: u32) -> u32 {
    let mixed = (n ^ (n >> 16)).wrapping_mul(0x7FEB_352D);
    (mixed ^ (mixed >> 15)).wrapping_mul(0x846C_A68B)
}
