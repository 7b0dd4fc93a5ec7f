//! The faces of a block: one round each crossed edge, with the vertices of the four cells at it.

#![expect(
    clippy::indexing_slicing,
    reason = "rows and bits are counted by the constants that size the arrays"
)]

use super::block::{Face, packed};
use super::build::{Builder, CELLS, OWN, count, key};
use super::cells::{Cell, Known, tangent};
use super::crossing::{NEEDED, Source, changes};
use super::lattice::POINTS;
use super::table::{SHEETS, edge_between, others, ring};
use crate::geom::{Axis, Vec3};
use smallvec::SmallVec;

/// Four corners that lie in one plane to this, nm, have no better diagonal, if the triangles are not smaller than `ROOM`
/// (twice their area, nm2).
const FLAT: f64 = 2.0;
const ROOM: f64 = 1.0e6;

/// Triangles whose normals differ by less are equally good.
const SAME: f64 = 1.0e-9;

/// The four cells round an edge, counter-clockwise seen from the axis' positive end: steps down along the two other axes.
const ROUND: [(usize, usize); 4] = [(1, 1), (0, 1), (0, 0), (1, 0)];

impl Builder {
    /// Makes the faces round the crossed edges along an axis.
    #[inline(always)]
    pub(super) fn faces(&mut self, source: &Source<'_>, axis: Axis) {
        for y in 2..=CELLS {
            for x in 2..=CELLS {
                let all = changes(source.signs, axis, x, y);
                let mut bits = all & OWN;
                // The crossings of a row stand one behind the other; what comes before its own is the one at point 1.
                let mut number = self.crossings.first(axis, POINTS * y + x) + u32::from(all & !OWN & 2 != 0);
                while bits != 0 {
                    let z = bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    self.face(source, axis, [x, y, z], number);
                    number += 1;
                }
            }
        }
    }

    /// What is known of an active cell.
    fn cell(&self, [x, y, z]: Cell) -> Known {
        let row = POINTS * y + x;
        let before = self.active[row] & NEEDED & ((1 << z) - 1);
        self.cells[(self.starts[row] + before.count_ones()) as usize]
    }

    /// The face around the edge that starts at a point, with the number of its crossing.
    #[inline(always)]
    fn face(&mut self, source: &Source<'_>, axis: Axis, start: Cell, number: u32) {
        let crossing = *self.crossings.with_number(number);
        let leaves = (source.signs[POINTS * start[1] + start[0]] >> start[2]) & 1 == 1;
        let mut ring = ROUND.map(|(by_u, by_v)| crossing.round[by_u + 2 * by_v]);
        let [x, y, z] = crossing.normal;
        let normal = Vec3::new(f64::from(x), f64::from(y), f64::from(z));
        let face = |corners| Face { corners, by: crossing.by, normal: packed(&normal) };
        let mut corners: SmallVec<[u32; 8]> = SmallVec::new();
        if crossing.doubtful {
            corners.extend(ring);
            self.split_double_sides(source, axis, start, leaves, &mut corners);
        }
        if corners.len() <= 4 {
            if !leaves {
                ring.reverse();
            }
            let [a, b, c, d] = ring;
            let turn = self.diagonal_from_second(ring, &normal);
            self.block.faces.push(face(if turn { [b, c, d, a] } else { ring }));
            return;
        }
        if !leaves {
            corners.reverse();
        }
        // A fan round a vertex between arcs: a diagonal from it is no side of any other face. (Rare.)
        if let Some(at) = corners.iter().position(|c| self.between.iter().any(|(_, between)| between == c)) {
            corners.rotate_left(at);
        }
        let mut rest = &corners[1..];
        while let [b, c, tail @ ..] = rest {
            let d = tail.first().copied().unwrap_or(*c);
            self.block.faces.push(face([corners[0], *b, *c, d]));
            rest = if tail.is_empty() { &[] } else { tail };
        }
    }

    /// Where two neighbouring cells share a face on which two arcs run between the same two sheets, two sides of the
    /// mesh would have the same ends: one of them gets a vertex of its own in its middle.
    fn split_double_sides(
        &mut self,
        source: &Source<'_>,
        axis: Axis,
        start: Cell,
        leaves: bool,
        corners: &mut SmallVec<[u32; 8]>,
    ) {
        let (u, v) = axis.others();
        let cells = ROUND.map(|(by_u, by_v)| {
            let mut cell = start;
            cell[u.index()] -= by_u;
            cell[v.index()] -= by_v;
            (cell, self.cell(cell))
        });
        // Sides of the ring: the lower and the upper cell, and the axis square to the face that they share.
        let sides = [(0, 1, u), (1, 2, v), (3, 2, u), (0, 3, v)];
        let mut at = 1;
        for (n, (low, high, across)) in sides.into_iter().enumerate() {
            let (cell, known) = cells[low];
            let face = 2 * across.index() + 1;
            let mut added = None;
            if (SHEETS[known.mask as usize].doubtful >> face) & 1 == 1 {
                // The end of the edge that is cut off on this face.
                let mut end = start;
                end[axis.index()] += usize::from(leaves != ((known.apart >> face) & 1 == 1));
                added = self.double(source, cell, known, cells[high].1, across, end);
            }
            if let Some(vertex) = added {
                // The last side closes the ring: behind the last corner.
                corners.insert(if n == 3 { corners.len() } else { at }, vertex);
                at += 1;
            }
            at += 1;
        }
    }

    /// The vertex between two arcs of the upper face of a cell across an axis, if both join the same sheets and the arc
    /// round the point `end` is the one that gets it.
    fn double(
        &mut self,
        source: &Source<'_>,
        cell: Cell,
        known: Known,
        upper: Known,
        across: Axis,
        end: Cell,
    ) -> Option<u32> {
        let w = across.index();
        let corners = ring(w, 1);
        let cut_off = (known.apart >> (2 * w + 1)) & 1;
        let round: SmallVec<[usize; 4]> =
            (0..4).filter(|i| (known.mask >> corners[*i]) & 1 == cut_off).collect();
        let [first, second] = round[..] else { return None };
        let edge = |i: usize| edge_between(corners[i % 4], corners[(i + 1) % 4]);
        // In the upper cell the same face is the lower one: the same edges, less the step across the axis.
        let bit = 1 << w;
        let below = |i: usize| edge_between(corners[i % 4] & !bit, corners[(i + 1) % 4] & !bit);
        let (here, there) = (known.sheets().of_edge, upper.sheets().of_edge);
        if here[edge(first)] != here[edge(second)] || there[below(first)] != there[below(second)] {
            return None;
        }
        let corner = corners[second];
        if Axis::ALL.iter().any(|a| cell[a.index()] + ((corner >> a.index()) & 1) != end[a.index()]) {
            return None;
        }
        let key = key(cell, 4 + count(w));
        if let Some((_, known)) = self.between.iter().find(|(k, _)| *k == key) {
            return Some(*known);
        }
        let ends = [edge(second), edge(second + 3)].map(|e| self.at_edge(source, cell, e));
        let vertex = count(self.block.points.len());
        self.block.points.push(source.nm(cell, &((ends[0] + ends[1]) * 0.5)));
        self.block.keys.push(key);
        self.between.push((key, vertex));
        Some(vertex)
    }

    /// Where the edge of a cell is crossed, seen from the cell's lowest corner.
    fn at_edge(&self, source: &Source<'_>, cell: Cell, edge: usize) -> Vec3 {
        let (u, v) = others(edge / 4);
        let mut start = cell;
        start[u] += edge & 1;
        start[v] += (edge >> 1) & 1;
        tangent(source, self.crossings.at(source.signs, Axis::ALL[edge / 4], start), edge).0
    }

    /// True when the diagonal from the second to the fourth corner fits the exact normal better than the other one: along
    /// a crisp edge one of the two triangles must lie in the face that was crossed.
    #[inline(always)]
    fn diagonal_from_second(&self, corners: [u32; 4], normal: &Vec3) -> bool {
        let at = |i: u32| {
            let [x, y, z] = self.block.points[i as usize];
            Vec3::new(f64::from(x), f64::from(y), f64::from(z))
        };
        let [a, b, c, d] = corners;
        let (a, b, c, d) = (at(a), at(b), at(c), at(d));
        let (ab, ac, ad) = (b - a, c - a, d - a);
        let flat = normal.dot(&ab).abs().max(normal.dot(&ac).abs()).max(normal.dot(&ad).abs());
        if flat <= FLAT && ab.cross(&ac).dot(normal) > ROOM && ac.cross(&ad).dot(normal) > ROOM {
            return false;
        }
        let fit = |p: &Vec3, q: &Vec3, r: &Vec3| {
            let n = (q - p).cross(&(r - p));
            let length = n.norm();
            if length > 0.0 { n.dot(normal) / length } else { -1.0 }
        };
        let first = (fit(&a, &b, &c), fit(&a, &c, &d));
        let second = (fit(&b, &c, &d), fit(&b, &d, &a));
        let (best, other) = (first.0.max(first.1), second.0.max(second.1));
        if (best - other).abs() > 1.0e-3 {
            return other > best;
        }
        second.0.min(second.1) > first.0.min(first.1) + SAME
    }
}
