//! Meshes one block: vertices for the sheets of its cells, faces for the crossings of its edges.

#![expect(
    clippy::indexing_slicing,
    reason = "rows and bits are counted by the constants that size the arrays"
)]

use super::block::{Face, SurfaceBlock, packed};
use super::column::ROWS;
use super::crossing::{Crossings, NEEDED, Source, changes};
use super::lattice::{Lattice, POINTS};
use super::owner::Owners;
use super::place::{self, Room, Tangent};
use super::table::{SHEETS, Sheets, edge_between, others, ring, sheets};
use crate::cutting::History;
use crate::geom::{Axis, Vec3};
use crate::stock::Stock;
use smallvec::SmallVec;
use std::borrow::Cow;

/// How far inside its cell a vertex stays, of the cell's edge: vertices of different cells never meet.
const MARGIN: f64 = 1.0e-3;

/// Cells along a block's edge that get vertices: its own and one more below.
pub(super) const CELLS: usize = 61;

/// Own points (and cells) of a row: 2 to 61.
const OWN: u64 = NEEDED & !2 & (u64::MAX >> 2);

/// Four corners that lie in one plane to this, nm, have no better diagonal, if the triangles are not smaller than `ROOM`
/// (twice their area, nm2).
const FLAT: f64 = 2.0;
const ROOM: f64 = 1.0e6;

/// Triangles whose normals differ by less are equally good.
const SAME: f64 = 1.0e-9;

/// Working memory for one block after the other.
#[derive(Debug, Default)]
pub(super) struct Builder {
    crossings: Crossings,
    /// For each row of cells, bits of those through which surface passes.
    active: Vec<u64>,
    /// For each row of cells the number of its first active cell.
    starts: Vec<u32>,
    /// The active cells.
    cells: Vec<Known>,
    /// Vertices put between two arcs of one face, by key.
    between: Vec<(u32, u32)>,
    /// The crossings of one sheet.
    tangents: Vec<Tangent>,
    block: SurfaceBlock,
}

/// A cell of the block by its lowest point.
type Cell = [usize; 3];

/// What is known of an active cell.
#[derive(Clone, Copy, Debug)]
struct Known {
    /// Signs of its corners.
    mask: u8,
    /// Faces on which the inner corners are cut off, one bit each.
    apart: u8,
    /// Its first vertex.
    first: u32,
}

impl Known {
    /// Sheet of a crossed edge.
    fn sheet(self, edge: usize) -> u32 {
        let of_edge = if self.apart == 0 {
            SHEETS[self.mask as usize].of_edge
        } else {
            sheets(self.mask as usize, self.apart).of_edge
        };
        u32::from(of_edge[edge])
    }

    fn sheets(self) -> Cow<'static, Sheets> {
        let mask = self.mask as usize;
        if self.apart == 0 { Cow::Borrowed(&SHEETS[mask]) } else { Cow::Owned(sheets(mask, self.apart)) }
    }
}

impl Builder {
    /// Meshes the block at a place among the blocks, from its signs.
    pub(super) fn block(
        &mut self,
        stock: &Stock,
        history: &History,
        lattice: &Lattice,
        at: [u32; 3],
        signs: &[u64],
    ) -> SurfaceBlock {
        if !self.find_cells(signs) {
            return SurfaceBlock::default();
        }
        let source = Source::new(stock, lattice, at, signs);
        self.block.points.clear();
        self.block.keys.clear();
        self.block.faces.clear();
        self.block.cells = 0;
        self.between.clear();
        self.crossings.read(&source, &mut Owners::new(history));
        self.place_vertices(&source);
        for axis in Axis::ALL {
            self.faces(&source, axis);
        }
        // A copy holds no more than it needs, and the working memory stays.
        self.block.clone()
    }

    /// Finds the cells through which surface passes; false when the block itself has none.
    fn find_cells(&mut self, signs: &[u64]) -> bool {
        self.active.clear();
        self.active.resize(ROWS, 0);
        let mut any = 0;
        for y in 0..POINTS - 1 {
            for x in 0..POINTS - 1 {
                let row = POINTS * y + x;
                let four = [signs[row], signs[row + 1], signs[row + POINTS], signs[row + POINTS + 1]];
                let some = four.iter().fold(0, |a, w| a | w);
                let all = four.iter().fold(u64::MAX, |a, w| a & w);
                let active = (some | (some >> 1)) & !(all & (all >> 1)) & (u64::MAX >> 1);
                self.active[row] = active;
                if (1..=CELLS).contains(&x) && (1..=CELLS).contains(&y) {
                    any |= active & NEEDED & (NEEDED >> 1);
                }
            }
        }
        any != 0
    }

    fn is_active(&self, cell: [i64; 3]) -> bool {
        let [x, y, z] = cell.map(|c| usize::try_from(c).unwrap_or(0));
        (self.active[POINTS * y + x] >> z) & 1 == 1
    }

    fn place_vertices(&mut self, source: &Source<'_>) {
        self.cells.clear();
        self.starts.clear();
        self.starts.resize(ROWS, 0);
        for y in 1..=CELLS {
            for x in 1..=CELLS {
                let row = POINTS * y + x;
                self.starts[row] = count(self.cells.len());
                let own = (2..=CELLS).contains(&x) && (2..=CELLS).contains(&y);
                let mut bits = self.active[row] & NEEDED & (NEEDED >> 1);
                while bits != 0 {
                    let z = bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    let cell = [x, y, z];
                    let mask = mask(source.signs, cell);
                    let apart = self.apart(source, mask, cell);
                    let known = Known { mask, apart, first: count(self.block.points.len()) };
                    self.cells.push(known);
                    self.block.cells += u32::from(own && z >= 2);
                    self.place_cell(source, &known.sheets(), cell);
                }
            }
        }
    }

    /// The faces of a cell all four edges of which are crossed and in whose middle is no material, as the tangent planes
    /// at the crossings say: there the inner corners are cut off.
    fn apart(&self, source: &Source<'_>, mask: u8, cell: Cell) -> u8 {
        let mut apart = 0;
        let mut bits = SHEETS[mask as usize].doubtful;
        while bits != 0 {
            let face = bits.trailing_zeros() as usize;
            bits &= bits - 1;
            let mut low = cell;
            low[face / 2] += face % 2;
            apart |= u8::from(self.middle_is_outside(source, face / 2, low)) << face;
        }
        apart
    }

    /// Both cells at a face ask with the same numbers, seen from the face's lowest corner, and get the same answer.
    fn middle_is_outside(&self, source: &Source<'_>, across: usize, low: [usize; 3]) -> bool {
        let (u, v) = others(across);
        let mut sum = 0.0;
        for (along, beside) in [(u, v), (v, u)] {
            let axis = Axis::ALL[along];
            let half = [along, beside].map(|i| 0.5 * source.steps[i]);
            for side in [0, 1] {
                let mut start = low;
                start[beside] += side;
                let found = self.crossings.at(source.signs, axis, start);
                let n = found.normal.map(f64::from);
                let across = if side == 0 { half[1] } else { -half[1] };
                sum += n[along] * (half[0] - found.along) + n[beside] * across;
            }
        }
        sum > 0.0
    }

    fn place_cell(&mut self, source: &Source<'_>, sheets: &Sheets, cell: Cell) {
        let size = Vec3::from(source.steps);
        let room = Room { min: size * MARGIN, max: size * (1.0 - MARGIN) };
        let mut tangents = std::mem::take(&mut self.tangents);
        for (number, edges) in (0_u32..).zip(&sheets.edges).take(sheets.count as usize) {
            tangents.clear();
            let mut bits = *edges;
            while bits != 0 {
                let edge = bits.trailing_zeros() as usize;
                bits &= bits - 1;
                tangents.push(self.tangent(source, cell, edge));
            }
            let beyond = |p: &Vec3| self.may_leave(cell, p, &size);
            let mut p = source.nm(cell, &place::vertex(&tangents, &room, beyond));
            let others = number as usize;
            if self.block.points.iter().rev().take(others).any(|other| *other == p) {
                // Two sheets, both pushed into one corner of the cell.
                p = source.nm(cell, &room.clamp(&place::middle(&tangents)));
            }
            self.block.points.push(p);
            self.block.keys.push(key(cell, number));
        }
        self.tangents = tangents;
    }

    /// A crossing seen from the lowest corner of a cell.
    fn tangent(&self, source: &Source<'_>, cell: Cell, edge: usize) -> Tangent {
        let axis = edge / 4;
        let (u, v) = others(axis);
        let mut start = cell;
        start[u] += edge & 1;
        start[v] += (edge >> 1) & 1;
        let found = self.crossings.at(source.signs, Axis::ALL[axis], start);
        let mut p = [0.0; 3];
        p[axis] = found.along;
        p[u] = if edge & 1 == 1 { source.steps[u] } else { 0.0 };
        p[v] = if edge & 2 == 2 { source.steps[v] } else { 0.0 };
        (Vec3::from(p), Vec3::from(found.normal.map(f64::from)))
    }

    /// True when a vertex may lie outside its cell, at `p` seen from the cell's lowest corner: behind one face, in a
    /// neighbour through which no surface passes. There a sharp edge comes through a face of the lattice without
    /// reaching a point. It must be nearer to that face than to any other of the neighbour, so that no two cells
    /// put a vertex at one place.
    fn may_leave(&self, cell: Cell, p: &Vec3, size: &Vec3) -> bool {
        let parts = p.component_div(size);
        let mut to = cell.map(|c| i64::try_from(c).unwrap_or(0));
        let (mut behind, mut room) = (None, 1.0_f64);
        for (at, c) in parts.iter().zip(&mut to) {
            let out = (-at).max(at - 1.0);
            if out < 0.0 {
                room = room.min(-out);
            } else if behind.replace(out).is_some() {
                return false;
            } else {
                *c += if *at < 0.0 { -1 } else { 1 };
                room = room.min(1.0 - out);
            }
        }
        behind.is_some_and(|out| MARGIN <= out && out + MARGIN <= room) && !self.is_active(to)
    }

    fn faces(&mut self, source: &Source<'_>, axis: Axis) {
        for y in 2..=CELLS {
            for x in 2..=CELLS {
                let mut bits = changes(source.signs, axis, x, y) & OWN;
                while bits != 0 {
                    let z = bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    self.face(source, axis, [x, y, z]);
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

    /// The face around the edge that starts at a point.
    fn face(&mut self, source: &Source<'_>, axis: Axis, start: [usize; 3]) {
        let (u, v) = axis.others();
        let crossing = *self.crossings.at(source.signs, axis, start);
        let leaves = (source.signs[POINTS * start[1] + start[0]] >> start[2]) & 1 == 1;
        // The four cells around the edge, counter-clockwise seen from the axis' positive end, and the edge's number in
        // each.
        let mut ring = [0; 4];
        let mut doubtful = 0;
        let mut cells = [(start, Known { mask: 0, apart: 0, first: 0 }); 4];
        for (n, (by_u, by_v)) in [(1, 1), (0, 1), (0, 0), (1, 0)].into_iter().enumerate() {
            let mut cell = start;
            cell[u.index()] -= by_u;
            cell[v.index()] -= by_v;
            let known = self.cell(cell);
            doubtful |= SHEETS[known.mask as usize].doubtful;
            ring[n] = known.first + known.sheet(4 * axis.index() + by_u + 2 * by_v);
            cells[n] = (cell, known);
        }
        let normal = Vec3::from(crossing.normal.map(f64::from));
        let face = |corners| Face { corners, by: crossing.by, normal: packed(&normal) };
        let mut corners: SmallVec<[u32; 8]> = SmallVec::new();
        if doubtful != 0 {
            corners.extend(ring);
            self.split_double_sides(source, axis, start, leaves, &cells, &mut corners);
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
        start: [usize; 3],
        leaves: bool,
        cells: &[(Cell, Known); 4],
        corners: &mut SmallVec<[u32; 8]>,
    ) {
        let (u, v) = axis.others();
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
        end: [usize; 3],
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
        let ends = [edge(second), edge(second + 3)].map(|e| self.tangent(source, cell, e).0);
        let vertex = count(self.block.points.len());
        self.block.points.push(source.nm(cell, &((ends[0] + ends[1]) * 0.5)));
        self.block.keys.push(key);
        self.between.push((key, vertex));
        Some(vertex)
    }

    /// True when the diagonal from the second to the fourth corner fits the exact normal better than the other one: along
    /// a crisp edge one of the two triangles must lie in the face that was crossed.
    fn diagonal_from_second(&self, corners: [u32; 4], normal: &Vec3) -> bool {
        let [a, b, c, d] = corners.map(|i| Vec3::from(self.block.points[i as usize].map(f64::from)));
        let (ab, ac, ad) = (b - a, c - a, d - a);
        let flat = [ab, ac, ad].iter().map(|p| normal.dot(p).abs()).fold(0.0, f64::max);
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

/// Signs of a cell's corners.
fn mask(signs: &[u64], [x, y, z]: Cell) -> u8 {
    let row = POINTS * y + x;
    let rows = [signs[row], signs[row + 1], signs[row + POINTS], signs[row + POINTS + 1]];
    let mut mask = 0;
    for (corner, word) in rows.into_iter().enumerate() {
        let two = (word >> z) & 3;
        mask |= u8::from(two & 1 == 1) << corner;
        mask |= u8::from(two & 2 == 2) << (corner + 4);
    }
    mask
}

/// Number of a cell's sheet (0 to 3), or of the vertex on its upper face across an axis (4 to 6), in its block.
fn key([x, y, z]: Cell, sheet: u32) -> u32 {
    let cell = ((y - 1) * CELLS + (x - 1)) * CELLS + (z - 1);
    8 * count(cell) + sheet
}

/// An index as a small number; blocks have fewer than a million vertices.
pub(super) fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}
