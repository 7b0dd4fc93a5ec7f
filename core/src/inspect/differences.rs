//! Where the finished part differs from the drawing by more than is permitted, ray by ray.

use super::bench::Bench;
use super::gaps::{Gap, SAME, gaps};
use super::makers::PROBE_BOUND;
use super::permitted::Permitted;
use super::result::RegionKind;
use crate::cutting::Piece;
use crate::geom::{Axis, Vec3};
use crate::solid::{Edge, OwnedSpan, OwnedSpans};
use crate::stock::{CutId, Interval, Row};
use crate::units::NM_PER_MM;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// A piece of a ray on which too much was taken or left.
#[derive(Clone, Copy, Debug)]
pub(super) struct Difference {
    pub(super) kind: RegionKind,
    pub(super) axis: Axis,
    /// Coordinate on `axis.others().0`.
    pub(super) u: f64,
    /// Coordinate on `axis.others().1`.
    pub(super) v: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Deepest of the places looked at.
    pub(super) at: Vec3,
    /// Never more than the distance from there to the drawing's surface.
    pub(super) depth: f64,
    /// Who cut the part's surface at one of its ends; `None` where both ends are the drawing's.
    pub(super) by: Option<CutId>,
}

/// What comparing all rays brought up.
#[derive(Default)]
pub(super) struct Comparison {
    pub(super) differences: Vec<Difference>,
    /// Which cuts left surfaces of which features.
    pub(super) made: BTreeSet<(usize, CutId)>,
}

/// Parts of a difference at which it is looked at first, and where else when nothing was too deep there.
const FIRST_LOOKS: [f64; 3] = [0.0, 0.5, 1.0];
const MORE_LOOKS: [f64; 6] = [0.125, 0.25, 0.375, 0.625, 0.75, 0.875];

pub(super) struct Comparer<'a> {
    pub(super) bench: Bench<'a>,
    pub(super) permitted: &'a Permitted,
    /// Edges with the largest leg up to which what is missing there is no gouge: the largest permitted, or the largest
    /// measured where that is told as too large. True when the break is told as wrong: then what is left there is no
    /// leftover as well.
    pub(super) edges: Vec<(&'a Edge, f64, bool)>,
}

impl Comparer<'_> {
    /// Compares every ray of the three grids.
    pub(super) fn all(&self, progress: &dyn Fn(f64)) -> Comparison {
        let mut all = Comparison::default();
        for (axis, done) in Axis::ALL.into_iter().zip([0.0, 1.0, 2.0]) {
            progress(done / 3.0);
            let finished = self.bench.finished;
            let (columns, rows) = finished.counts(axis);
            let places: Vec<f64> = (0..columns).map(|i| finished.place(axis, i, 0).0).collect();
            let row = |rays: &mut Row, j| self.row(axis, j, &places, rays);
            let parts: Vec<Comparison> = (0..rows).into_par_iter().map_init(Row::default, row).collect();
            for part in parts {
                all.differences.extend(part.differences);
                all.made.extend(part.made);
            }
        }
        progress(1.0);
        all
    }

    /// Compares the rays of a row; `places` are their first coordinates.
    fn row(&self, axis: Axis, j: u32, places: &[f64], rays: &mut Row) -> Comparison {
        let finished = self.bench.finished;
        finished.row(axis, j, rays);
        let (_, v) = finished.place(axis, 0, j);
        let mut drawn = self.bench.nominal.row(axis, v);
        let mut out = Comparison::default();
        let mut last = None;
        let mut cut: Vec<Piece> = Vec::new();
        let mut agreed: Option<&[Interval]> = None;
        for (ray, &u) in rays.rays().zip(places) {
            let changed = drawn.go_on(u);
            // The same drawing and the same material as next door, where they agreed: nothing new.
            if !changed && agreed == Some(ray) {
                continue;
            }
            cut.clear();
            cut.extend(ray.iter().map(piece));
            self.makers_of(drawn.spans(), &cut, &mut last, &mut out.made);
            let found = gaps(drawn.spans(), &cut);
            agreed = found.is_empty().then_some(ray);
            for gap in found {
                out.differences.extend(self.judge(axis, u, v, &gap, drawn.spans()));
            }
        }
        out
    }

    /// Which cuts left the drawing's faces on this ray: the part's ends within the faces' bands.
    fn makers_of(
        &self,
        drawn: &[OwnedSpan],
        cut: &[Piece],
        last: &mut Option<(usize, CutId)>,
        made: &mut BTreeSet<(usize, CutId)>,
    ) {
        let mut note = |at: f64, step: u32, end: fn(&Piece) -> (f64, CutId)| {
            let band = self.permitted.step(step);
            let reach = band.missing.max(band.left);
            let nearest = cut
                .iter()
                .map(end)
                .filter(|e| (e.0 - at).abs() <= reach)
                .min_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
            if let Some(pair) = self.bench.nominal.feature_of(step).zip(nearest.map(|n| n.1))
                && *last != Some(pair)
            {
                *last = Some(pair);
                made.insert(pair);
            }
        };
        for s in drawn {
            note(s.low, s.low_by, |m| (m.low, m.low_by));
            note(s.high, s.high_by, |m| (m.high, m.high_by));
        }
    }

    /// The difference on one line found by a probe that is nearest to a known one: for finding the deepest place.
    pub(super) fn on_line(&self, axis: Axis, u: f64, v: f64, like: &Difference) -> Option<Difference> {
        let cut = self.bench.finished.probe(axis, u, v);
        let mut drawn = OwnedSpans::new();
        self.bench.nominal.owned_spans(axis, u, v, &mut drawn);
        gaps(&drawn, &cut)
            .into_iter()
            .filter(|g| g.kind == like.kind && g.low <= like.high && like.low <= g.high)
            .filter_map(|g| self.judge(axis, u, v, &g, &drawn))
            .reduce(|a, b| if b.depth > a.depth { b } else { a })
    }

    /// The difference, when some place of it is deeper than permitted.
    fn judge(&self, axis: Axis, u: f64, v: f64, gap: &Gap, drawn: &[OwnedSpan]) -> Option<Difference> {
        if self.within_band(gap, drawn) {
            return None;
        }
        let point = |t: f64| {
            let (first, second) = axis.others();
            let mut p = Vec3::zeros();
            first.set(&mut p, u);
            second.set(&mut p, v);
            axis.set(&mut p, t);
            p
        };
        let bound =
            gap.by.iter().flatten().map(|id| self.bench.makers().bound(*id)).fold(PROBE_BOUND, f64::max);
        let deepest = |looks: &[f64]| {
            let places = looks.iter().map(|part| point(gap.low + (gap.high - gap.low) * part));
            let deep = places.filter_map(|p| self.too_deep(gap.kind, &p, bound).map(|depth| (p, depth)));
            deep.reduce(|a, b| if b.1 > a.1 { b } else { a })
        };
        let (at, depth) = deepest(&FIRST_LOOKS).or_else(|| deepest(&MORE_LOOKS))?;
        let [low_by, high_by] = gap.by;
        let nearer_high = axis.of(&at) > 0.5 * (gap.low + gap.high);
        let by = if nearer_high { high_by.or(low_by) } else { low_by.or(high_by) };
        Some(Difference { kind: gap.kind, axis, u, v, low: gap.low, high: gap.high, at, depth, by })
    }

    /// True when the whole difference lies within the band of the face at one of its ends.
    fn within_band(&self, gap: &Gap, drawn: &[OwnedSpan]) -> bool {
        let length = gap.high - gap.low;
        let reach = |at: f64| {
            drawn
                .iter()
                .flat_map(|s: &OwnedSpan| [(s.low, s.low_by), (s.high, s.high_by)])
                .filter(|e| (e.0 - at).abs() <= SAME)
                .map(|e| {
                    let band = self.permitted.step(e.1);
                    if gap.kind == RegionKind::Gouge { band.missing } else { band.left }
                })
                .fold(0.0, f64::max)
        };
        let [low, high] = gap.drawn;
        (low && length <= reach(gap.low)) || (high && length <= reach(gap.high))
    }

    /// How deep a place lies (never more than the truth), when that is more than any face near it permits.
    fn too_deep(&self, kind: RegionKind, p: &Vec3, bound: f64) -> Option<f64> {
        let widest = self.widest(kind);
        let least = self.bench.nominal.distance_at_least(p);
        if self.in_break(kind, p) || least <= widest + bound && self.permitted_at(kind, p, bound) {
            return None;
        }
        Some(least)
    }

    /// The widest band of any face.
    fn widest(&self, kind: RegionKind) -> f64 {
        let widest = self.permitted.widest();
        if kind == RegionKind::Gouge { widest.missing } else { widest.left }
    }

    fn permitted_at(&self, kind: RegionKind, p: &Vec3, bound: f64) -> bool {
        let reach = self.widest(kind) + bound;
        self.bench.nominal.maybe_near(p, reach).iter().any(|n| {
            let band = self.permitted.at(n);
            let reach = if kind == RegionKind::Gouge { band.missing } else { band.left };
            n.distance <= reach + bound && self.bench.nominal.on_surface(&n.point)
        })
    }

    /// True where the largest permitted break of a listed edge takes the material away, or where the break of an edge
    /// is missing and told of already.
    fn in_break(&self, kind: RegionKind, p: &Vec3) -> bool {
        self.edges.iter().any(|(edge, most, wrong)| match kind {
            RegionKind::Gouge => edge.takes(*most, p, PROBE_BOUND),
            // The wall and the face beside may stand off by their own tolerance: a leg more in every direction.
            RegionKind::Leftover => *wrong && edge.takes(edge.asked.leg, p, edge.asked.leg),
        })
    }
}

/// A piece of a ray of the grid in millimetres.
fn piece(m: &Interval) -> Piece {
    Piece {
        low: f64::from(m.low) / NM_PER_MM,
        high: f64::from(m.high) / NM_PER_MM,
        low_by: m.low_by,
        high_by: m.high_by,
    }
}
