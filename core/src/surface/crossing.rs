//! Crossings: where the surface crosses the lattice edges of a block, exactly, and with which normal.

#![expect(
    clippy::indexing_slicing,
    reason = "rows and bits are counted by the constants that size the arrays"
)]

use super::column::ROWS;
use super::lattice::{BEFORE, HALVES_PER_MM, Lattice, POINTS, number};
use super::owner::Owners;
use super::table::others;
use crate::geom::{Axis, Vec3};
use crate::stock::{CutId, Stock, low_half, whole_in_low_half};
use crate::units::NM_PER_MM;

/// The points 1 to 62 of a row, as bits: those whose edges any vertex of the block needs.
pub(super) const NEEDED: u64 = (u64::MAX >> 1) & !1;

/// Where the surface crosses a lattice edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Crossing {
    /// Place along the edge, mm from its start; not a number while it is not found.
    pub(super) along: f64,
    /// Who cut there.
    pub(super) by: CutId,
    /// Outward unit normal of the material.
    pub(super) normal: [f32; 3],
    /// The vertices round the edge, by the place of the edge in their cells; told when they are placed.
    pub(super) round: [u32; 4],
    /// True when one of the cells has a face all four edges of which are crossed.
    pub(super) doubtful: bool,
}

const NOT_FOUND: Crossing =
    Crossing { along: f64::NAN, by: CutId::RAW, normal: [0.0; 3], round: [0; 4], doubtful: false };

/// The crossings of a block: for each axis and row of points, those that start at the points of the row, ascending.
#[derive(Debug)]
pub(super) struct Crossings {
    starts: [Vec<u32>; 3],
    list: Vec<Crossing>,
    found: usize,
}

impl Default for Crossings {
    fn default() -> Self {
        Self { starts: [vec![0; ROWS], vec![0; ROWS], vec![0; ROWS]], list: Vec::new(), found: 0 }
    }
}

/// The points of row `(x, y)` whose edge along an axis has its ends on different sides, as bits.
#[inline(always)]
pub(super) fn changes(signs: &[u64], axis: Axis, x: usize, y: usize) -> u64 {
    let row = POINTS * y + x;
    let here = signs[row];
    match axis {
        Axis::X => (here ^ signs[row + 1]) & NEEDED,
        Axis::Y => (here ^ signs[row + POINTS]) & NEEDED,
        Axis::Z => (here ^ (here >> 1)) & (NEEDED >> 1) & NEEDED,
    }
}

/// Rows `(x, y)` that have edges along an axis.
fn rows(axis: Axis) -> (std::ops::RangeInclusive<usize>, std::ops::RangeInclusive<usize>) {
    (1..=if axis == Axis::X { 61 } else { 62 }, 1..=if axis == Axis::Y { 61 } else { 62 })
}

/// What a block reads from.
pub(super) struct Source<'a> {
    pub(super) stock: &'a Stock,
    pub(super) lattice: &'a Lattice,
    /// Lattice point of the block's point 0.
    pub(super) first: [i64; 3],
    pub(super) signs: &'a [u64],
    /// Distance of neighbouring points along each axis, mm.
    pub(super) steps: [f64; 3],
    /// Place of the block's point 0, mm.
    base: [f64; 3],
    /// The same, and distance of neighbouring points, nm.
    base_nm: [f64; 3],
    step_nm: [f64; 3],
    /// Along each axis from where to where ends lie on edges that the block needs, half nanometres: `from..to`.
    needed: [(i64, i64); 3],
    /// The edges of a cell.
    edges: [Edge; 12],
}

/// An edge of a cell, seen from the cell's lowest corner.
#[derive(Clone, Copy, Debug)]
struct Edge {
    /// Where it starts, mm.
    from: Vec3,
    /// Unit vector along it.
    along: Vec3,
}

impl<'a> Source<'a> {
    pub(super) fn new(stock: &'a Stock, lattice: &'a Lattice, block: [u32; 3], signs: &'a [u64]) -> Self {
        let first = block.map(first_point);
        let lines = &lattice.lines;
        let steps = [0, 1, 2].map(|i| lines[i].step());
        let base_nm = [0, 1, 2].map(|i| 0.5 * number(lines[i].place(first[i])));
        Self {
            stock,
            lattice,
            first,
            signs,
            steps,
            base: base_nm.map(|nm| nm / NM_PER_MM),
            base_nm,
            step_nm: [0, 1, 2].map(|i| 0.5 * number(lines[i].place(1) - lines[i].place(0))),
            needed: [0, 1, 2].map(|i| (lines[i].place(first[i] + 1), lines[i].place(first[i] + 62))),
            edges: std::array::from_fn(|edge| Edge::of(edge, &steps)),
        }
    }

    /// Place of a point of the block, mm.
    #[inline(always)]
    fn places(&self, p: [usize; 3]) -> [f64; 3] {
        let of = |i: usize| self.base[i] + self.steps[i] * small(p[i]);
        [of(0), of(1), of(2)]
    }

    /// Where the edge of a cell is crossed, mm, seen from the cell's lowest corner.
    #[inline(always)]
    pub(super) fn place_on(&self, edge: usize, found: &Crossing) -> Vec3 {
        let Edge { from, along } = &self.edges[edge];
        from + along * found.along
    }

    /// Place of something seen from a point of the block (mm), whole nanometres.
    #[inline(always)]
    pub(super) fn nm(&self, from: [usize; 3], by: &Vec3) -> [i32; 3] {
        let of =
            |i: usize, by: f64| nearest(self.base_nm[i] + self.step_nm[i] * small(from[i]) + by * NM_PER_MM);
        [of(0, by.x), of(1, by.y), of(2, by.z)]
    }

    /// Lattice point of a point of the block.
    fn point(&self, axis: Axis, local: usize) -> i64 {
        self.first[axis.index()] + i64::try_from(local).unwrap_or(0)
    }

    fn inside(&self, p: [usize; 3]) -> bool {
        (self.signs[POINTS * p[1] + p[0]] >> p[2]) & 1 == 1
    }

    /// The ray along an axis through a point of the block, by its numbers; `None` where there is none.
    #[inline(always)]
    fn ray(&self, axis: Axis, p: [usize; 3]) -> Option<(u32, u32)> {
        let (u, v) = axis.others();
        let i = self.lattice.line(u).ray(self.point(u, p[u.index()]));
        i.zip(self.lattice.line(v).ray(self.point(v, p[v.index()])))
    }
}

impl Edge {
    /// The edge of that number, of a cell of this size.
    fn of(edge: usize, size: &[f64; 3]) -> Self {
        let axis = edge / 4;
        let (u, v) = others(axis);
        let (mut from, mut along) = (Vec3::zeros(), Vec3::zeros());
        along[axis] = 1.0;
        from[u] = if edge & 1 == 1 { size[u] } else { 0.0 };
        from[v] = if edge & 2 == 2 { size[v] } else { 0.0 };
        Self { from, along }
    }
}

impl Crossings {
    /// Finds all crossings of a block.
    #[inline(always)]
    pub(super) fn read(&mut self, source: &Source<'_>, owners: &mut Owners<'_>) {
        self.count(source.signs);
        for y in 1..=62 {
            for x in 1..=62 {
                if changes(source.signs, Axis::Z, x, y) != 0 {
                    self.settle(source, Axis::Z, [x, y, 0], owners);
                }
            }
        }
        for (axis, across) in [(Axis::X, Axis::Y), (Axis::Y, Axis::X)] {
            for row in 1..=62 {
                let at = |k: usize| if axis == Axis::X { (k, row) } else { (row, k) };
                let mut bits = (1..=61).fold(0, |bits, k| {
                    let (x, y) = at(k);
                    bits | changes(source.signs, axis, x, y)
                });
                while bits != 0 {
                    let mut p = [0; 3];
                    p[across.index()] = row;
                    p[2] = bits.trailing_zeros() as usize;
                    self.settle(source, axis, p, owners);
                    bits &= bits - 1;
                }
            }
        }
        if self.found < self.list.len() {
            self.repair(source, owners);
        }
    }

    /// The crossing on the edge along an axis that starts at a point of the block.
    pub(super) fn at(&self, signs: &[u64], axis: Axis, p: [usize; 3]) -> &Crossing {
        &self.list[self.number(axis, changes(signs, axis, p[0], p[1]), p)]
    }

    /// Number of the first crossing of a row of points, or of the next row when it has none.
    pub(super) fn first(&self, axis: Axis, row: usize) -> u32 {
        self.starts[axis.index()][row]
    }

    /// A crossing by its number.
    pub(super) fn numbered(&mut self, number: u32) -> &mut Crossing {
        &mut self.list[number as usize]
    }

    /// The same, to look at.
    pub(super) fn with_number(&self, number: u32) -> &Crossing {
        &self.list[number as usize]
    }

    #[inline(always)]
    fn number(&self, axis: Axis, changes: u64, [x, y, z]: [usize; 3]) -> usize {
        let before = changes & ((1 << z) - 1);
        (self.starts[axis.index()][POINTS * y + x] + before.count_ones()) as usize
    }

    #[inline(always)]
    fn count(&mut self, signs: &[u64]) {
        let mut total = 0;
        for axis in Axis::ALL {
            let (xs, ys) = rows(axis);
            for y in ys {
                for x in xs.clone() {
                    self.starts[axis.index()][POINTS * y + x] = total;
                    total += changes(signs, axis, x, y).count_ones();
                }
            }
        }
        self.list.clear();
        self.list.resize(total as usize, NOT_FOUND);
        self.found = 0;
    }

    /// Brings the ends of one ray to the edges that they lie on. Where several of the right sense lie on one edge (the
    /// material between is thinner than the lattice sees) the one next to the inner point stands.
    #[inline(always)]
    fn settle(&mut self, source: &Source<'_>, axis: Axis, p: [usize; 3], owners: &mut Owners<'_>) {
        let line = source.lattice.line(axis);
        let (from, to) = source.needed[axis.index()];
        let Some((i, j)) = source.ray(axis, p) else { return };
        for piece in source.stock.pieces_on(axis, i, j) {
            for (end, by, leaves) in [(piece.low, piece.low_by, false), (piece.high, piece.high_by, true)] {
                let place = 2 * i64::from(end);
                if place < from || to <= place {
                    continue;
                }
                let local = usize::try_from(line.below(end) - source.first[axis.index()]).unwrap_or(0);
                let mut q = p;
                q[axis.index()] = local;
                let changes = changes(source.signs, axis, q[0], q[1]);
                if (changes >> q[2]) & 1 == 0 || source.inside(q) != leaves {
                    continue;
                }
                let slot = self.number(axis, changes, q);
                let (known, along) = (self.list[slot].along, along(source, axis, q, end));
                if known.is_nan() || (if leaves { along < known } else { known < along }) {
                    self.found += usize::from(known.is_nan());
                    self.list[slot] = crossing(source, axis, q, end, by, owners);
                }
            }
        }
    }

    /// Fills the edges on which the signs differ and no end lies: the grids disagree by the rounding of an end. The
    /// nearest end of the right sense is moved onto the edge.
    fn repair(&mut self, source: &Source<'_>, owners: &mut Owners<'_>) {
        for axis in Axis::ALL {
            let (xs, ys) = rows(axis);
            for y in ys {
                for x in xs.clone() {
                    let all = changes(source.signs, axis, x, y);
                    let mut bits = all;
                    while bits != 0 {
                        let p = [x, y, bits.trailing_zeros() as usize];
                        bits &= bits - 1;
                        let slot = self.number(axis, all, p);
                        if self.list[slot].along.is_nan() {
                            self.list[slot] = repaired(source, axis, p, owners);
                        }
                    }
                }
            }
        }
    }
}

fn repaired(source: &Source<'_>, axis: Axis, p: [usize; 3], owners: &mut Owners<'_>) -> Crossing {
    let line = source.lattice.line(axis);
    let point = source.point(axis, p[axis.index()]);
    // The whole nanometres on the edge.
    let (low, high) = (line.place(point).div_euclid(2) + 1, line.place(point + 1).div_euclid(2));
    let leaves = source.inside(p);
    let mut best: Option<(i64, i64, CutId)> = None;
    let ray = source.ray(axis, p).map(|(i, j)| source.stock.ray(axis, i, j));
    for piece in ray.unwrap_or_default() {
        let (end, by) = if leaves { (piece.high, piece.high_by) } else { (piece.low, piece.low_by) };
        let end = i64::from(end);
        let at = end.clamp(low, high);
        if best.is_none_or(|b| (at - end).abs() < b.0) {
            best = Some(((at - end).abs(), at, by));
        }
    }
    let (_, at, by) = best.unwrap_or((0, i64::midpoint(low, high), CutId::RAW));
    crossing(source, axis, p, i32::try_from(at).unwrap_or(0), by, owners)
}

#[inline(always)]
fn crossing(
    source: &Source<'_>,
    axis: Axis,
    p: [usize; 3],
    end: i32,
    by: CutId,
    owners: &mut Owners<'_>,
) -> Crossing {
    let mut at = source.places(p);
    at[axis.index()] = f64::from(end) / NM_PER_MM;
    let sense = if source.inside(p) { 1.0 } else { -1.0 };
    let n = owners.normal_of_end(by, axis, sense, &Vec3::from(at));
    Crossing {
        along: along(source, axis, p, end),
        by,
        normal: [single(n.x), single(n.y), single(n.z)],
        ..NOT_FOUND
    }
}

/// How far an end lies from the start of the lattice edge that it is on, mm.
#[inline(always)]
fn along(source: &Source<'_>, axis: Axis, p: [usize; 3], end: i32) -> f64 {
    let start = source.lattice.line(axis).place(source.point(axis, p[axis.index()]));
    number(2 * i64::from(end) - start) * MM_PER_HALF
}

/// Nearest single-precision number: the part of a unit vector is then right to 6e-8.
#[expect(clippy::cast_possible_truncation, reason = "rounding is meant")]
const fn single(x: f64) -> f32 {
    x as f32
}

/// Millimetres in half a nanometre.
const MM_PER_HALF: f64 = 1.0 / HALVES_PER_MM;

/// A number of a point of a block as a floating-point one.
#[expect(clippy::cast_precision_loss, reason = "below 64")]
const fn small(n: usize) -> f64 {
    n as f64
}

/// Nearest whole number; far ones are clamped.
fn nearest(x: f64) -> i32 {
    // Not `round`, which is a call on plain x86-64.
    let (least, most) = (f64::from(i32::MIN), f64::from(i32::MAX));
    let x = if x > least { x } else { least };
    let x = if x < most { x } else { most };
    low_half(whole_in_low_half(x))
}

/// Lattice point of the first point of a block along one axis.
fn first_point(block: u32) -> i64 {
    i64::from(block * super::lattice::SIDE) - BEFORE
}
