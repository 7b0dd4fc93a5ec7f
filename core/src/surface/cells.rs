//! The vertices of a block: one for each sheet of surface in each of its cells.

#![expect(
    clippy::indexing_slicing,
    reason = "rows, corners and edges are counted by the constants that size the arrays"
)]

use super::build::{Builder, CELLS, count, key};
use super::column::ROWS;
use super::crossing::{Crossing, Crossings, NEEDED, Source};
use super::lattice::POINTS;
use super::place::{self, Room, Tangent};
use super::table::{SHEETS, Sheets, others, sheets};
use crate::geom::{Axis, Vec3};
use std::borrow::Cow;

/// How far inside its cell a vertex stays, of the cell's edge: vertices of different cells never meet.
const MARGIN: f64 = 1.0e-3;

/// A cell of the block by its lowest point.
pub(super) type Cell = [usize; 3];

/// What is known of an active cell.
#[derive(Clone, Copy, Debug)]
pub(super) struct Known {
    /// Signs of its corners.
    pub(super) mask: u8,
    /// Faces on which the inner corners are cut off, one bit each.
    pub(super) apart: u8,
}

impl Known {
    pub(super) fn sheets(self) -> Cow<'static, Sheets> {
        let mask = self.mask as usize;
        if self.apart == 0 { Cow::Borrowed(&SHEETS[mask]) } else { Cow::Owned(sheets(mask, self.apart)) }
    }
}

/// Where the crossings of a cell's edges stand in the list, for one active cell of a row of cells after the other.
///
/// A crossed edge belongs to active cells only, and those of a row come in ascending order: so whoever counts the crossed
/// edges of each cell needs no search.
struct Cursor {
    /// Edges along X from the two rows of points at the cell's lower X, by Y.
    x: [u32; 2],
    /// Edges along Y from the two rows of points at the cell's lower Y, by X.
    y: [u32; 2],
    /// Edges along Z from the four rows of points.
    z: [u32; 4],
}

impl Cursor {
    /// At the first cell of row `(x, y)`.
    #[inline(always)]
    fn at(crossings: &Crossings, x: usize, y: usize) -> Self {
        let row = POINTS * y + x;
        let of = |axis, row| crossings.first(axis, row);
        Self {
            x: [of(Axis::X, row), of(Axis::X, row + POINTS)],
            y: [of(Axis::Y, row), of(Axis::Y, row + 1)],
            z: [0, 1, POINTS, POINTS + 1].map(|by| of(Axis::Z, row + by)),
        }
    }

    /// Numbers of the crossings of a cell's edges, meant only for those that are crossed; goes on to the next cell.
    #[inline(always)]
    fn next(&mut self, crossed: u16) -> [u32; 12] {
        let bit = |edge: u32| u32::from((crossed >> edge) & 1);
        let ([x0, x1], [y0, y1], z) = (self.x, self.y, self.z);
        self.x = [x0 + bit(0), x1 + bit(1)];
        self.y = [y0 + bit(4), y1 + bit(6)];
        self.z = [z[0] + bit(8), z[1] + bit(9), z[2] + bit(10), z[3] + bit(11)];
        // The edges at the cell's upper Z come next in their rows.
        let ([x2, x3], [y2, y3]) = (self.x, self.y);
        [x0, x1, x2, x3, y0, y2, y1, y3, z[0], z[1], z[2], z[3]]
    }
}

impl Builder {
    /// Places the vertices and tells each crossing which of them stand round it.
    #[inline(always)]
    pub(super) fn place_vertices(&mut self, source: &Source<'_>) {
        self.cells.clear();
        self.starts.clear();
        self.starts.resize(ROWS, 0);
        let size = Vec3::from(source.steps);
        let room = Room { min: size * MARGIN, max: size * (1.0 - MARGIN) };
        for y in 1..=CELLS {
            for x in 1..=CELLS {
                let row = POINTS * y + x;
                self.starts[row] = count(self.cells.len());
                let own = (2..=CELLS).contains(&x) && (2..=CELLS).contains(&y);
                let mut bits = self.active[row] & NEEDED & (NEEDED >> 1);
                let mut cursor = Cursor::at(&self.crossings, x, y);
                while bits != 0 {
                    let z = bits.trailing_zeros() as usize;
                    bits &= bits - 1;
                    let cell = [x, y, z];
                    let mask = mask(source.signs, cell);
                    let numbers = cursor.next(SHEETS[mask as usize].crossed());
                    let apart = self.apart(source, mask, cell);
                    let known = Known { mask, apart };
                    self.cells.push(known);
                    self.block.cells += u32::from(own && z >= 2);
                    self.place_cell(source, &room, &known.sheets(), (cell, &numbers));
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

    /// Places the vertices of a cell, given with the numbers of the crossings of its edges.
    #[inline(always)]
    fn place_cell(
        &mut self,
        source: &Source<'_>,
        room: &Room,
        sheets: &Sheets,
        (cell, numbers): (Cell, &[u32; 12]),
    ) {
        for (number, edges) in (0_u32..).zip(&sheets.edges).take(sheets.count as usize) {
            let (middle, flat) = self.note(source, sheets, number, numbers);
            let mut p = if flat {
                source.nm(cell, &room.clamp(&middle))
            } else {
                self.vertex(source, room, (*edges, &middle), (cell, numbers))
            };
            let others = number as usize;
            if self.block.points.iter().rev().take(others).any(|other| *other == p) {
                // Two sheets, both pushed into one corner of the cell.
                p = source.nm(cell, &room.clamp(&middle));
            }
            self.block.points.push(p);
            self.block.keys.push(key(cell, number));
        }
    }

    /// Tells the crossings of a sheet which vertex they get; gives the middle of the crossings, and true when all lie on one
    /// plane, as most do.
    #[inline(always)]
    fn note(
        &mut self,
        source: &Source<'_>,
        sheets: &Sheets,
        number: u32,
        numbers: &[u32; 12],
    ) -> (Vec3, bool) {
        let vertex = count(self.block.points.len());
        let mut bits = sheets.edges[number as usize];
        let (mut sum, mut many, mut plane) = (Vec3::zeros(), 0.0, None);
        let mut flat = true;
        while bits != 0 {
            let edge = bits.trailing_zeros() as usize;
            bits &= bits - 1;
            let crossing = self.crossings.numbered(numbers[edge]);
            crossing.round[edge % 4] = vertex;
            crossing.doubtful |= sheets.doubtful != 0;
            sum += source.place_on(edge, crossing);
            many += 1.0;
            let [a, b, c] = *plane.get_or_insert(crossing.normal);
            let [x, y, z] = crossing.normal;
            // Any difference is one.
            flat &= !(a < x || x < a || b < y || y < b || c < z || z < c);
        }
        (sum / many, flat)
    }

    /// Where the vertex of a sheet that is not flat lies; the sheet with the middle of its crossings.
    #[inline(always)]
    fn vertex(
        &self,
        source: &Source<'_>,
        room: &Room,
        (edges, middle): (u16, &Vec3),
        (cell, numbers): (Cell, &[u32; 12]),
    ) -> [i32; 3] {
        // The crossings, seen from the cell's lowest corner.
        let (mut tangents, mut count, mut bits) = ([Tangent::default(); 12], 0, edges);
        while bits != 0 {
            let edge = bits.trailing_zeros() as usize;
            bits &= bits - 1;
            tangents[count] = tangent(source, self.crossings.with_number(numbers[edge]), edge);
            count += 1;
        }
        let size = Vec3::from(source.steps);
        let beyond = |p: &Vec3| self.may_leave(cell, p, &size);
        source.nm(cell, &place::vertex(&tangents[..count], middle, room, beyond))
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

    fn is_active(&self, cell: [i64; 3]) -> bool {
        let [x, y, z] = cell.map(|c| usize::try_from(c).unwrap_or(0));
        (self.active[POINTS * y + x] >> z) & 1 == 1
    }
}

/// A crossing seen from the lowest corner of a cell that has it on an edge.
#[inline(always)]
pub(super) fn tangent(source: &Source<'_>, found: &Crossing, edge: usize) -> Tangent {
    let [a, b, c] = found.normal.map(f64::from);
    (source.place_on(edge, found), Vec3::new(a, b, c))
}

/// Signs of a cell's corners.
#[inline(always)]
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
