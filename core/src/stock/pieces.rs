use super::layout::GridLayout;
use super::model::Stock;
use super::nm::{float, mm_from_nm};
use super::op::Interval;
use crate::geom::{Axis, Box3, Vec3};
use crate::units::NM_PER_MM;

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
        let mut groups = Groups::default();
        let mut intervals: Vec<(u32, u32, Interval)> = Vec::new();
        let mut below: Vec<std::ops::Range<usize>> = vec![0..0; layout.u.count() as usize];
        for j in 0..layout.v.count() {
            let mut left = 0..0;
            for (i, under) in (0..layout.u.count()).zip(&mut below) {
                let start = intervals.len();
                for piece in self.ray(Axis::Z, i, j) {
                    intervals.push((i, j, piece));
                    groups.add();
                }
                let here = start..intervals.len();
                join(&mut groups, &intervals, &here, &left);
                join(&mut groups, &intervals, &here, under);
                left = here.clone();
                *under = here;
            }
        }
        collect(&layout, &mut groups, &intervals)
    }
}

/// Joins the overlapping intervals of two neighbouring rays.
fn join(
    groups: &mut Groups,
    intervals: &[(u32, u32, Interval)],
    a: &std::ops::Range<usize>,
    b: &std::ops::Range<usize>,
) {
    for m in a.clone() {
        for n in b.clone() {
            if let (Some((_, _, p)), Some((_, _, q))) = (intervals.get(m), intervals.get(n))
                && p.low < q.high
                && q.low < p.high
            {
                groups.join(m, n);
            }
        }
    }
}

fn collect(layout: &GridLayout, groups: &mut Groups, intervals: &[(u32, u32, Interval)]) -> Vec<StockPiece> {
    let mut found: Vec<(usize, i64, Box3)> = Vec::new();
    let mut number: Vec<Option<usize>> = vec![None; intervals.len()];
    for (n, (i, j, piece)) in intervals.iter().enumerate() {
        let root = groups.root(n);
        let Some(slot) = number.get_mut(root) else { continue };
        let index = *slot.get_or_insert_with(|| {
            found.push((root, 0, Box3::empty()));
            found.len() - 1
        });
        if let Some((_, sum, bounds)) = found.get_mut(index) {
            *sum += i64::from(piece.high - piece.low);
            let (x, y) = (layout.u.at(*i), layout.v.at(*j));
            *bounds = bounds.with(Vec3::new(x, y, mm_from_nm(piece.low))).with(Vec3::new(
                x,
                y,
                mm_from_nm(piece.high),
            ));
        }
    }
    found.sort_by_key(|(root, sum, _)| (std::cmp::Reverse(*sum), *root));
    let scale = layout.cell_area() / NM_PER_MM;
    found.iter().map(|(_, sum, bounds)| StockPiece { volume: float(*sum) * scale, bounds: *bounds }).collect()
}

/// Disjoint sets of numbers (union by smaller root, with path halving).
#[derive(Default)]
struct Groups {
    parent: Vec<usize>,
}

impl Groups {
    fn add(&mut self) {
        self.parent.push(self.parent.len());
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
