//! How far each face of the part may deviate from the drawing, square to the face.
//!
//! * A face of a shape that adds may lose the general tolerance's `minus` and keep its `plus`; a face of a shape that
//!   cuts the other way round (a wider slot has lost material).
//! * A hole's wall may deviate by half its diameter's tolerance and by half its position zone (by the general
//!   tolerance where no zone is written); its floor by its depth's tolerance.
//! * A broken edge by its leg's tolerance square to the chamfer, on top of what the faces beside it may deviate.
//! * The two faces between which a `thickness` or `gap` is written may deviate by that tolerance in place of the
//!   general one: the tightest where several are written.
//! * Never less than one last decimal of the drawing: what no program can be asked to write.
//!
//! A tolerance belongs to its face alone: a place is permitted only within reach of that face.

use super::bench::Bench;
use crate::geom::{Axis, Vec3};
use crate::job::{DimensionKind, Drawing, Feature, FeatureKind, HoleBottom, Shape, Tolerance};
use crate::solid::{Near, NominalPart, StepRole};
use std::collections::BTreeMap;

/// Permitted deviation square to a face, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Band {
    /// How much may be missing.
    pub(super) missing: f64,
    /// How much may be left.
    pub(super) left: f64,
}

impl Band {
    fn least(self, floor: f64) -> Self {
        Self { missing: self.missing.max(floor), left: self.left.max(floor) }
    }

    fn plus(self, missing: f64, left: f64) -> Self {
        Self { missing: self.missing + missing, left: self.left + left }
    }
}

/// The bands of all faces.
pub(super) struct Permitted {
    /// For each step the band of its faces that have none of their own.
    steps: Vec<Band>,
    faces: BTreeMap<(u32, u32), Band>,
    /// For each step the band that holds for every face of it: the tightest of them.
    tightest: Vec<Band>,
    floor: f64,
    widest: Band,
}

/// Face of a step that stands for "any": what the lines along the axes found.
const ANY_FACE: u32 = u32::MAX;

impl Permitted {
    pub(super) fn new(bench: &Bench) -> Self {
        let (drawing, nominal) = (bench.drawing, bench.nominal);
        let floor = drawing.unit.to_mm(libm::pow(10.0, -f64::from(decimals(drawing))));
        let widest = Band { missing: floor, left: floor };
        let mut out = Self { steps: Vec::new(), faces: BTreeMap::new(), tightest: Vec::new(), floor, widest };
        for step in 0..nominal.steps() {
            let band = step_band(drawing, nominal, step);
            out.steps.push(band.least(floor));
            out.hole_floor(drawing, nominal, step);
        }
        out.dimensions(bench);
        out.tightest = out.steps.clone();
        for ((step, _), face) in &out.faces {
            if let Some(band) = out.tightest.get_mut(*step as usize) {
                band.missing = band.missing.min(face.missing);
                band.left = band.left.min(face.left);
            }
        }
        out.widest = out
            .steps
            .iter()
            .chain(out.faces.values())
            .fold(widest, |b, f| Band { missing: b.missing.max(f.missing), left: b.left.max(f.left) });
        out
    }

    /// The band of a face.
    pub(super) fn at(&self, near: &Near) -> Band {
        if near.face == ANY_FACE {
            return self.step(near.step);
        }
        self.faces.get(&(near.step, near.face)).copied().unwrap_or_else(|| self.own(near.step))
    }

    /// The band that holds for every face of a step: the tightest of them.
    pub(super) fn step(&self, step: u32) -> Band {
        self.tightest.get(step as usize).copied().unwrap_or_else(|| self.floor())
    }

    /// The band of a step's faces that have none of their own.
    fn own(&self, step: u32) -> Band {
        self.steps.get(step as usize).copied().unwrap_or_else(|| self.floor())
    }

    const fn floor(&self) -> Band {
        Band { missing: self.floor, left: self.floor }
    }

    /// The widest band of all.
    pub(super) const fn widest(&self) -> Band {
        self.widest
    }

    /// Both ends of a hole's own cylinder deviate with its depth.
    fn hole_floor(&mut self, drawing: &Drawing, nominal: &NominalPart, step: u32) {
        let Some(feature) = nominal.feature_of(step).and_then(|f| drawing.features.get(f)) else { return };
        let FeatureKind::Cut(Shape::Hole(hole)) = &feature.kind else { return };
        let blind = matches!(hole.bottom, HoleBottom::Blind { .. });
        if nominal.role_of(step) == Some(StepRole::Body) && blind {
            let band = opened(depth_tolerance(drawing, feature)).least(self.floor);
            self.faces.insert((step, 0), band);
            self.faces.insert((step, 1), band);
        }
    }

    fn dimensions(&mut self, bench: &Bench) {
        let mut written: BTreeMap<(u32, u32), Band> = BTreeMap::new();
        for d in &bench.drawing.dimensions {
            let Some(t) = d.tolerance else { continue };
            let (at, band) = match d.kind {
                DimensionKind::Thickness { at } => (at, kept(t)),
                DimensionKind::Gap { at } => (at, opened(t)),
                DimensionKind::Overall | DimensionKind::Line { .. } => continue,
            };
            let gap = matches!(d.kind, DimensionKind::Gap { .. });
            for end in ends_of(bench, d.along, &at, gap) {
                let Some(near) = bench
                    .nominal
                    .near(&end)
                    .filter(|n| n.face != ANY_FACE && bench.nominal.feature_of(n.step).is_some())
                else {
                    continue;
                };
                let band = band.least(self.floor);
                let entry = written.entry((near.step, near.face)).or_insert(band);
                entry.missing = entry.missing.min(band.missing);
                entry.left = entry.left.min(band.left);
            }
        }
        self.faces.extend(written);
    }
}

/// The drawing's surface points at both ends of the size at a point.
fn ends_of(bench: &Bench, along: Axis, at: &Vec3, gap: bool) -> Vec<Vec3> {
    let slack = 1.0e-6;
    let here = along.of(at);
    let line = bench.nominal_line(along, at);
    let holds = |a: f64, b: f64| a - slack <= here && here <= b + slack;
    let ends = if gap {
        line.iter().zip(line.iter().skip(1)).map(|(a, b)| (a.1, b.0)).find(|(a, b)| holds(*a, *b))
    } else {
        line.iter().copied().find(|(a, b)| holds(*a, *b))
    };
    let point = |value: f64| {
        let mut p = *at;
        along.set(&mut p, value);
        p
    };
    ends.map_or_else(Vec::new, |(a, b)| vec![point(a), point(b)])
}

fn decimals(drawing: &Drawing) -> u32 {
    u32::try_from(drawing.unit.decimals()).unwrap_or(3)
}

/// No general tolerance: only the drawing's last decimal is free.
const NOTHING: Tolerance = Tolerance { plus: 0.0, minus: 0.0 };

fn general(drawing: &Drawing) -> Tolerance {
    drawing.general_tolerance.unwrap_or(NOTHING)
}

/// A size of material: too small has lost, too large has kept.
fn kept(t: Tolerance) -> Band {
    Band { missing: t.minus, left: t.plus }
}

/// A size of air: too large has lost material, too small has kept some.
fn opened(t: Tolerance) -> Band {
    Band { missing: t.plus, left: t.minus }
}

fn depth_tolerance(drawing: &Drawing, feature: &Feature) -> Tolerance {
    feature.depth.unwrap_or_else(|| general(drawing))
}

/// How far a feature may stand off its place.
fn shift(drawing: &Drawing, feature: &Feature) -> f64 {
    let g = general(drawing);
    feature.position.map_or(g.plus.max(g.minus).max(0.0), |zone| zone / 2.0)
}

fn step_band(drawing: &Drawing, nominal: &NominalPart, step: u32) -> Band {
    let g = general(drawing);
    let feature = nominal.feature_of(step).and_then(|f| drawing.features.get(f));
    // A mesh does not tell whose faces they are: the general tolerance, the same to both sides.
    let (Some(feature), Some(role)) = (feature, nominal.role_of(step)) else {
        let either = g.plus.min(g.minus);
        return kept(Tolerance { plus: either, minus: either });
    };
    let shift = shift(drawing, feature);
    let hole = match &feature.kind {
        FeatureKind::Cut(Shape::Hole(hole)) => Some(hole),
        FeatureKind::Add(_) | FeatureKind::Cut(_) | FeatureKind::Break { .. } => None,
    };
    match (role, hole) {
        (StepRole::Body, Some(hole)) => {
            let limits = feature.thread.as_ref().and_then(|t| t.minor_limits);
            let by_thread = limits.map(|(low, high)| Tolerance {
                plus: (high - hole.diameter).max(0.0),
                minus: (hole.diameter - low).max(0.0),
            });
            let t = feature.diameter.or(by_thread).unwrap_or(g);
            opened(Tolerance { plus: t.plus / 2.0, minus: t.minus / 2.0 }).plus(shift, shift)
        }
        (StepRole::Body, None) if nominal.adds(step) => kept(g),
        (StepRole::Body, None) => opened(g),
        (StepRole::Point, _) => opened(depth_tolerance(drawing, feature)).plus(shift, shift),
        (StepRole::Counterbore | StepRole::Countersink, _) => opened(g).plus(shift, shift),
        (StepRole::Break(_), _) => break_band(drawing, feature).plus(shift, shift),
    }
}

/// The leg's tolerance, square to the chamfer.
fn break_band(drawing: &Drawing, feature: &Feature) -> Band {
    let (edge, slope) = match &feature.kind {
        FeatureKind::Break { edge, angle, .. } => (Some(*edge), libm::tan(*angle)),
        FeatureKind::Add(_) | FeatureKind::Cut(_) => (drawing.break_edges, 1.0),
    };
    let t = edge.map_or(NOTHING, |e| e.tolerance);
    let square = slope / (1.0 + slope * slope).sqrt();
    opened(Tolerance { plus: t.plus * square, minus: t.minus * square })
}
