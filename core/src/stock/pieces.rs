use super::band::Stretch;
use super::layout::GridLayout;
use super::model::Stock;
use super::nm::{float, mm_from_nm};
use super::op::Interval;
use super::rows::Row;
use crate::geom::{Axis, Box3, Vec3};
use crate::units::NM_PER_MM;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A connected piece of the stock, as the rays along Z see it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StockPiece {
    /// Volume, mm3.
    pub volume: f64,
    /// Box around its ray ends, mm.
    pub bounds: Box3,
}

impl Stock {
    /// Number of separate pieces, as the rays along Z see them: intervals of neighbouring rays that overlap belong
    /// together. A bridge that lies wholly between rays is not seen.
    pub fn pieces(&self) -> usize {
        self.piece_list().len()
    }

    /// The separate pieces, largest first (see [`Stock::pieces`]).
    pub fn piece_list(&self) -> Vec<StockPiece> {
        let layout = *self.grid(Axis::Z);
        let parts = Stretch::parts(layout.v.count(), TOGETHER);
        let parts: Vec<Part> = parts.into_par_iter().map(|rows| self.part(rows)).collect();
        let mut parts = parts.into_iter();
        let Some(mut whole) = parts.next() else { return Vec::new() };
        parts.for_each(|next| whole.append(next));
        whole.runs.pieces(&layout)
    }

    /// The runs of some rows.
    fn part(&self, rows: Stretch) -> Part {
        let mut part = Part::default();
        let mut own = Marked::default();
        for j in rows.numbers() {
            self.row(Axis::Z, j, &mut own.row);
            part.runs.mark(j, &mut own);
            if j == rows.first {
                part.first = own.clone();
            } else {
                part.runs.join_rows(&own, &part.last);
            }
            std::mem::swap(&mut own, &mut part.last);
        }
        part
    }
}

/// Rows of which the runs are found together.
const TOGETHER: u32 = 64;

/// A row, and for each of its pieces the run that it belongs to.
#[derive(Clone, Default)]
struct Marked {
    row: Row,
    runs: Vec<usize>,
}

/// The runs of neighbouring rows, with the first and the last of them.
#[derive(Default)]
struct Part {
    runs: Runs,
    first: Marked,
    last: Marked,
}

impl Part {
    /// Adds the rows that come next.
    fn append(&mut self, next: Self) {
        let Self { runs, mut first, mut last } = next;
        let before = self.runs.append(runs);
        for run in first.runs.iter_mut().chain(&mut last.runs) {
            *run += before;
        }
        self.runs.join_rows(&first, &self.last);
        self.last = last;
    }
}

/// The runs of those pieces of a neighbouring ray that overlap a piece.
fn touching<'a>(
    piece: &'a Interval,
    ray: &'a [Interval],
    runs: &'a [usize],
) -> impl Iterator<Item = usize> + 'a {
    let overlaps = |q: &Interval| piece.low < q.high && q.low < piece.high;
    ray.iter().zip(runs).filter(move |(q, _)| overlaps(q)).map(|(_, run)| *run)
}

/// Pieces of neighbouring rays of a row that overlap are one run, from ray to ray; runs that touch belong together.
#[derive(Default)]
struct Runs {
    groups: Groups,
    extents: Vec<Extent>,
}

/// How much a run holds, and how far it reaches: rays, rows, nm.
#[derive(Clone, Copy)]
struct Extent {
    sum: i64,
    i: (u32, u32),
    j: (u32, u32),
    z: (i32, i32),
}

impl Extent {
    const NOTHING: Extent = Extent { sum: 0, i: (u32::MAX, 0), j: (u32::MAX, 0), z: (i32::MAX, i32::MIN) };

    fn add(&mut self, other: &Extent) {
        self.sum += other.sum;
        self.i = (self.i.0.min(other.i.0), self.i.1.max(other.i.1));
        self.j = (self.j.0.min(other.j.0), self.j.1.max(other.j.1));
        self.z = (self.z.0.min(other.z.0), self.z.1.max(other.z.1));
    }
}

impl Runs {
    /// Marks the pieces of row `j`.
    fn mark(&mut self, j: u32, row: &mut Marked) {
        let Marked { row, runs: own } = row;
        own.clear();
        let (mut left, mut left_first): (&[Interval], usize) = (&[], 0);
        for (ray, i) in row.rays().zip(0..) {
            let first = own.len();
            for piece in ray {
                let beside = touching(piece, left, own.get(left_first..).unwrap_or_default());
                let run = self.joined(beside).unwrap_or_else(|| self.begin());
                self.extend(run, (i, j), piece);
                own.push(run);
            }
            (left, left_first) = (ray, first);
        }
    }

    /// Joins what touches in two neighbouring rows.
    fn join_rows(&mut self, row: &Marked, below: &Marked) {
        let (mut first, mut under_first) = (0, 0);
        for (ray, under) in row.row.rays().zip(below.row.rays()) {
            for (piece, run) in ray.iter().zip(row.runs.get(first..).unwrap_or_default()) {
                for other in touching(piece, under, below.runs.get(under_first..).unwrap_or_default()) {
                    self.groups.join(*run, other);
                }
            }
            (first, under_first) = (first + ray.len(), under_first + under.len());
        }
    }

    /// Adds other runs behind its own; tells how many those were.
    fn append(&mut self, other: Self) -> usize {
        let before = self.extents.len();
        self.extents.extend(other.extents);
        self.groups.parent.extend(other.groups.parent.iter().map(|up| up + before));
        before
    }

    fn begin(&mut self) -> usize {
        self.extents.push(Extent::NOTHING);
        self.groups.add()
    }

    /// Joins runs and gives the first of them.
    fn joined(&mut self, mut runs: impl Iterator<Item = usize>) -> Option<usize> {
        let first = runs.next()?;
        for other in runs {
            self.groups.join(first, other);
        }
        Some(first)
    }

    fn extend(&mut self, run: usize, (i, j): (u32, u32), piece: &Interval) {
        if let Some(extent) = self.extents.get_mut(run) {
            let sum = i64::from(piece.high - piece.low);
            extent.add(&Extent { sum, i: (i, i), j: (j, j), z: (piece.low, piece.high) });
        }
    }

    /// The pieces of the stock, largest first, equal ones by their first ray.
    fn pieces(mut self, layout: &GridLayout) -> Vec<StockPiece> {
        let mut whole: BTreeMap<usize, Extent> = BTreeMap::new();
        for (extent, run) in self.extents.iter().zip(0..) {
            whole.entry(self.groups.root(run)).or_insert(Extent::NOTHING).add(extent);
        }
        let mut found: Vec<Extent> = whole.into_values().collect();
        found.sort_by_key(|e| std::cmp::Reverse(e.sum));
        let scale = layout.cell_area() / NM_PER_MM;
        let corner = |i, j, z| Vec3::new(layout.u.at(i), layout.v.at(j), mm_from_nm(z));
        found
            .iter()
            .map(|e| StockPiece {
                volume: float(e.sum) * scale,
                bounds: Box3 { min: corner(e.i.0, e.j.0, e.z.0), max: corner(e.i.1, e.j.1, e.z.1) },
            })
            .collect()
    }
}

/// Disjoint sets of numbers (union by smaller root, with path halving).
#[derive(Default)]
struct Groups {
    parent: Vec<usize>,
}

impl Groups {
    /// Adds a number and gives it.
    fn add(&mut self) -> usize {
        self.parent.push(self.parent.len());
        self.parent.len() - 1
    }

    fn root(&mut self, mut n: usize) -> usize {
        while let Some(&up) = self.parent.get(n)
            && up != n
        {
            let above = self.parent.get(up).copied().unwrap_or(up);
            if let Some(slot) = self.parent.get_mut(n) {
                *slot = above;
            }
            n = above;
        }
        n
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        let (small, large) = (a.min(b), a.max(b));
        if let Some(slot) = self.parent.get_mut(large) {
            *slot = small;
        }
    }
}
