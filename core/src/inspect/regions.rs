//! From differences on rays to connected places.

use super::differences::{Comparer, Difference};
use super::makers::PROBE_BOUND;
use super::result::{Measured, Region, RegionKind};
use crate::geom::{Axis, Box3, Vec3};
use crate::stock::CutId;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Cells along the longest edge in which connection is looked for; never finer than two rays.
const MOST_CELLS: f64 = 160.0;

/// Differences of a region, the deepest and as many from all over, that are measured exactly.
const STARTS: usize = 24;

/// How many of them a search for a deeper place starts from.
const SEARCHES: usize = 3;

/// Places of a gouge at which is asked who cut there first.
const FIRSTS: usize = 48;

/// How far inside what is missing that is asked, millimetres: far over rounding, far under any tolerance.
const INSIDE: f64 = 1.0e-4;

/// Parts of a difference between which it is measured.
const LOOKS: u32 = 8;

/// How often that search halves its step.
const HALVINGS: u32 = 6;

/// Most regions that are told; the largest are.
const MOST_REGIONS: usize = 200;

/// Cells of space with a label each.
struct Cells {
    origin: Vec3,
    size: f64,
    counts: [usize; 3],
    /// 0: empty; 1: marked; from 2 on: label of a connected place.
    labels: Vec<u32>,
}

impl Comparer<'_> {
    /// Connected places, largest volume first; equal ones by place.
    pub(super) fn regions(&self, differences: &[Difference]) -> Vec<Region> {
        let mut groups = Vec::new();
        for kind in [RegionKind::Gouge, RegionKind::Leftover] {
            let own: Vec<&Difference> = differences.iter().filter(|d| d.kind == kind).collect();
            groups.extend(self.connected(&own).into_iter().map(|g| (self.volume(&g), kind, g)));
        }
        groups.sort_by(|a, b| b.0.total_cmp(&a.0));
        groups.truncate(MOST_REGIONS);
        groups.par_iter().filter_map(|(_, kind, group)| self.region(*kind, group)).collect()
    }

    fn connected<'d>(&self, differences: &[&'d Difference]) -> Vec<Vec<&'d Difference>> {
        let bounds =
            differences.iter().fold(Box3::empty(), |b, d| b.with(end(d, d.low)).with(end(d, d.high)));
        if bounds.is_empty() {
            return Vec::new();
        }
        let spacing = Axis::ALL
            .into_iter()
            .map(|a| self.bench.finished.steps(a))
            .fold(0.0, |s: f64, (u, v)| s.max(u).max(v));
        let mut cells = Cells::over(&bounds, (2.0 * spacing).max(bounds.size().max() / MOST_CELLS));
        for d in differences {
            cells.mark(d);
        }
        cells.label();
        let mut groups: BTreeMap<u32, Vec<&Difference>> = BTreeMap::new();
        for d in differences {
            groups.entry(cells.label_of(d)).or_default().push(d);
        }
        groups.into_values().collect()
    }

    fn region(&self, kind: RegionKind, group: &[&Difference]) -> Option<Region> {
        let (best, left) = self.deepest(group)?;
        let by = best.by.or_else(|| group.iter().find_map(|d| d.by));
        let makers = self.bench.makers();
        let maker = |id: Option<CutId>| id.and_then(|id| makers.made_by([id]).into_iter().next());
        let gouge = kind == RegionKind::Gouge;
        let bound = by.map_or(PROBE_BOUND, |id| makers.bound(id)) + left;
        let near = self.bench.nominal.near(&best.at);
        Some(Region {
            kind,
            bounds: group.iter().fold(Box3::empty(), |b, d| b.with(end(d, d.low)).with(end(d, d.high))),
            at: best.at,
            depth: Measured { value: best.depth, bound },
            volume: self.volume(group),
            made_by: maker(self.first_cut(group, &best).or(by)).filter(|_| gouge),
            left_by: maker(by).filter(|_| gouge),
            feature: near.and_then(|n| self.bench.nominal.feature_of(n.step)),
        })
    }

    /// The first cut that took any of the places that are too deep, as far as they are looked at.
    fn first_cut(&self, group: &[&Difference], best: &Difference) -> Option<CutId> {
        let stride = (group.len() / FIRSTS).max(1);
        let all_over = group.iter().step_by(stride).map(|d| d.at);
        // A place on the surface itself is neither here nor there: look a little inside what is missing.
        let inside = |p: Vec3| {
            let near = self.bench.nominal.near(&p)?;
            (p - near.point).try_normalize(0.0).map(|out| p - out * INSIDE)
        };
        all_over
            .chain([best.at])
            .filter_map(inside)
            .filter_map(|p| self.bench.finished.first_through(&p))
            .min()
    }

    /// The largest of what the three grids see.
    fn volume(&self, group: &[&Difference]) -> f64 {
        let seen = Axis::ALL.into_iter().map(|axis| {
            let (du, dv) = self.bench.finished.steps(axis);
            group.iter().filter(|d| d.axis == axis).map(|d| (d.high - d.low) * du * dv).sum::<f64>()
        });
        seen.fold(0.0, f64::max)
    }

    /// The deepest place of a group, its depth being the distance to the drawing's surface, and the last step of the
    /// search for it.
    fn deepest(&self, group: &[&Difference]) -> Option<(Difference, f64)> {
        let mut starts: Vec<&Difference> = group.to_vec();
        starts.sort_by(|a, b| b.depth.total_cmp(&a.depth));
        // Some from all over: what `Difference::depth` says is less than the truth near faces that are no longer there.
        let stride = (group.len() / STARTS).max(1);
        let all_over = group.iter().step_by(stride).take(STARTS + 1);
        let mut measured: Vec<Difference> =
            starts.iter().take(STARTS).chain(all_over).filter_map(|d| self.measured(d)).collect();
        measured.sort_by(|a, b| b.depth.total_cmp(&a.depth));
        let found = measured.iter().take(SEARCHES).map(|d| self.sharpen(d));
        found.reduce(|a, b| if b.0.depth > a.0.depth { b } else { a })
    }

    /// The same difference with its deepest place by the true distance to the drawing's surface.
    fn measured(&self, d: &Difference) -> Option<Difference> {
        let looks = (0..=LOOKS).map(|k| d.low + (d.high - d.low) * f64::from(k) / f64::from(LOOKS));
        let places = looks.map(|t| end(d, t)).chain([d.at]);
        let depths = places.filter_map(|p| self.bench.nominal.near(&p).map(|n| (p, n.distance)));
        let (at, depth) = depths.reduce(|a, b| if b.1 > a.1 { b } else { a })?;
        Some(Difference { at, depth, ..*d })
    }

    /// Looks around a difference for a deeper place by single lines; gives the last step with it.
    fn sharpen(&self, from: &Difference) -> (Difference, f64) {
        let (mut du, mut dv) = self.bench.finished.steps(from.axis);
        let mut best = *from;
        for _ in 0..HALVINGS {
            for (a, b) in [(du, 0.0), (-du, 0.0), (0.0, dv), (0.0, -dv)] {
                let found = self.on_line(best.axis, best.u + a, best.v + b, &best);
                let found = found.and_then(|f| self.measured(&f));
                if let Some(found) = found.filter(|f| f.depth > best.depth + PROBE_BOUND) {
                    best = found;
                }
            }
            (du, dv) = (du / 2.0, dv / 2.0);
        }
        (best, du.max(dv))
    }
}

/// A point of a difference's ray.
fn end(d: &Difference, at: f64) -> Vec3 {
    let (u, v) = d.axis.others();
    let mut p = Vec3::zeros();
    u.set(&mut p, d.u);
    v.set(&mut p, d.v);
    d.axis.set(&mut p, at);
    p
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "cell numbers are clamped to 0..=MOST_CELLS before the cast"
)]
fn cell(x: f64) -> usize {
    x.floor().clamp(0.0, MOST_CELLS) as usize
}

impl Cells {
    fn over(bounds: &Box3, size: f64) -> Self {
        let counts = [bounds.size().x, bounds.size().y, bounds.size().z].map(|l| cell(l / size) + 1);
        let total = counts.iter().product();
        Self { origin: bounds.min, size, counts, labels: vec![0; total] }
    }

    fn index(&self, p: &Vec3) -> usize {
        let [nx, ny, nz] = self.counts;
        let at = (p - self.origin) / self.size;
        let (x, y, z) = (cell(at.x).min(nx - 1), cell(at.y).min(ny - 1), cell(at.z).min(nz - 1));
        (z * ny + y) * nx + x
    }

    fn mark(&mut self, d: &Difference) {
        let mut at = d.low;
        while at < d.high {
            self.set(&end(d, at));
            at += self.size;
        }
        self.set(&end(d, d.high));
    }

    fn set(&mut self, p: &Vec3) {
        let i = self.index(p);
        if let Some(label) = self.labels.get_mut(i) {
            *label = 1;
        }
    }

    fn label_of(&self, d: &Difference) -> u32 {
        self.labels.get(self.index(&end(d, d.low))).copied().unwrap_or(0)
    }

    /// Gives each connected place (cells that touch, also at corners) a label of its own.
    fn label(&mut self) {
        let mut next = 2;
        let mut todo = Vec::new();
        for start in 0..self.labels.len() {
            if self.labels.get(start) != Some(&1) {
                continue;
            }
            todo.push(start);
            while let Some(i) = todo.pop() {
                let Some(label) = self.labels.get_mut(i).filter(|l| **l == 1) else { continue };
                *label = next;
                self.neighbours(i, &mut todo);
            }
            next += 1;
        }
    }

    fn neighbours(&self, i: usize, todo: &mut Vec<usize>) {
        let [nx, ny, nz] = self.counts;
        let (x, y, z) = (i % nx, i / nx % ny, i / nx / ny);
        let range = |c: usize, n: usize| c.saturating_sub(1)..=(c + 1).min(n - 1);
        for c in range(z, nz) {
            for b in range(y, ny) {
                let row = range(x, nx).map(|a| (c * ny + b) * nx + a);
                todo.extend(row.filter(|j| self.labels.get(*j) == Some(&1)));
            }
        }
    }
}
