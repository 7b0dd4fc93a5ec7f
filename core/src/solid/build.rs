//! From the drawing's features to the steps of the nominal part.

use super::edge::Edge;
use super::form::{Cone, Form};
use super::local::split;
use super::nominal::{NominalPart, Step, StepRole, Unclear};
use super::owned::OwnedSpans;
use super::profile::Profile;
use crate::geom::{Direction, Vec2};
use crate::job::{Drawing, EdgeBreak, Feature, FeatureKind, Hole, HoleBottom, HoleEnd, RoundBar, Shape};
use std::f64::consts::TAU;

/// How far a through hole is drawn out past the material, millimetres.
const BEYOND: f64 = 1.0;

/// Ends of holes are looked at on this many lines around the hole.
const LOOKS: u32 = 24;

/// Faces that differ by less lie in one plane, millimetres.
const SAME_PLANE: f64 = 1.0e-6;

/// A nominal part in the making.
pub(super) struct Builder<'a> {
    drawing: &'a Drawing,
    part: NominalPart,
}

impl<'a> Builder<'a> {
    pub(super) fn build(drawing: &'a Drawing) -> NominalPart {
        let mut b = Builder { drawing, part: NominalPart::default() };
        for (i, feature) in drawing.features.iter().enumerate() {
            match &feature.kind {
                FeatureKind::Add(shape) => b.shape(i, feature, shape, true),
                FeatureKind::Cut(shape) => b.shape(i, feature, shape, false),
                FeatureKind::Break { of, face, edge, angle } => {
                    match b.edge_of(i, *of, *face, edge, libm::tan(*angle)) {
                        Some(edge) => b.break_edge(edge),
                        None => b.part.unclear.push(Unclear::BreakFace { feature: i }),
                    }
                }
            }
        }
        b.part
    }

    fn push(&mut self, feature: usize, role: StepRole, adds: bool, form: Form) {
        let bounds = form.bounds();
        self.part.steps.push(Step { feature: Some(feature), role, adds, form, bounds });
    }

    fn shape(&mut self, index: usize, feature: &Feature, shape: &Shape, adds: bool) {
        let form = match shape {
            Shape::Box(b) => Form::block(b),
            Shape::Cylinder(bar) => cylinder(bar),
            Shape::Prism { along, from, to, outline } => Form::Prism {
                axis: *along,
                profile: Profile::from_outline(*along, outline),
                from: *from,
                to: *to,
            },
            Shape::Hole(hole) => return self.hole(index, feature, hole),
        };
        self.push(index, StepRole::Body, adds, form);
    }

    fn hole(&mut self, index: usize, feature: &Feature, hole: &Hole) {
        let (center, mouth) = split(hole.into.axis, &hole.at);
        let sign = hole.into.sign();
        let r = hole.diameter / 2.0;
        // The ends are found on the material that stands before the hole.
        let planes: Vec<(HoleEnd, Option<f64>)> =
            feature.breaks.iter().map(|end| (*end, self.end_plane(hole, *end))).collect();
        let at = |depth: f64| mouth + sign * depth;
        let cone = |z0: f64, r0: f64, z1: f64, r1: f64| round(hole.into, center, (z0, r0), (z1, r1));
        match hole.bottom {
            HoleBottom::Through => {
                let b = self.part.bounds();
                let far =
                    if hole.into.positive { hole.into.axis.of(&b.max) } else { hole.into.axis.of(&b.min) };
                let far = far + sign * BEYOND;
                if (far - mouth) * sign > 0.0 {
                    self.push(index, StepRole::Body, false, cone(mouth, r, far, r));
                }
            }
            HoleBottom::Blind { depth, point_angle } => {
                self.push(index, StepRole::Body, false, cone(mouth, r, at(depth), r));
                if let Some(angle) = point_angle {
                    let tip = depth + r / libm::tan(angle / 2.0);
                    self.push(index, StepRole::Point, false, cone(at(depth), r, at(tip), 0.0));
                }
            }
        }
        if let Some(bore) = hole.counterbore {
            let r = bore.diameter / 2.0;
            self.push(index, StepRole::Counterbore, false, cone(mouth, r, at(bore.depth), r));
        }
        if let Some((diameter, angle)) = hole.countersink {
            let depth = diameter / 2.0 / libm::tan(angle / 2.0);
            self.push(index, StepRole::Countersink, false, cone(mouth, diameter / 2.0, at(depth), 0.0));
        }
        for (end, plane) in planes {
            self.hole_break(index, hole, end, plane);
        }
    }

    fn hole_break(&mut self, index: usize, hole: &Hole, end: HoleEnd, plane: Option<f64>) {
        let without = match end {
            HoleEnd::Entry => hole.countersink.is_some(),
            HoleEnd::Exit => hole.bottom != HoleBottom::Through,
        };
        let Some(edge) = self.drawing.break_edges.filter(|_| !without) else {
            self.part.unclear.push(Unclear::HoleEndWithoutEdge { feature: index, end });
            return;
        };
        let Some(face) = plane else {
            self.part.unclear.push(Unclear::HoleEndNotFlat { feature: index, end });
            return;
        };
        let (center, _) = split(hole.into.axis, &hole.at);
        let into = if end == HoleEnd::Entry { hole.into.sign() } else { -hole.into.sign() };
        let profile = Profile::circle(center, end_radius(hole, end));
        self.break_edge(Edge {
            feature: index,
            end: Some(end),
            axis: hole.into.axis,
            face,
            into,
            profile,
            inside: false,
            asked: edge,
            slope: 1.0,
        });
    }

    /// Height of the plane in which a hole's end lies on the material as it stands; `None` when the edge does not lie
    /// in one plane square to the hole, or there is no material.
    fn end_plane(&self, hole: &Hole, end: HoleEnd) -> Option<f64> {
        let axis = hole.into.axis;
        let (center, mouth) = split(axis, &hole.at);
        let leg = self.drawing.break_edges.map_or(0.0, |e| e.leg + e.tolerance.plus);
        let mut spans = OwnedSpans::new();
        let mut plane: Option<f64> = None;
        for i in 0..LOOKS {
            let angle = TAU * (f64::from(i) + 0.37) / f64::from(LOOKS);
            let unit = Vec2::new(libm::cos(angle), libm::sin(angle));
            for r in [end_radius(hole, end) * (1.0 + 1.0e-9), end_radius(hole, end) + leg] {
                let p = center + unit * r;
                self.part.owned_spans(axis, p.x, p.y, &mut spans);
                let Some(height) = end_height(&spans, hole.into, mouth, end) else { continue };
                match plane {
                    None => plane = Some(height),
                    Some(known) if (known - height).abs() <= SAME_PLANE => {}
                    Some(_) => return None,
                }
            }
        }
        plane.filter(|p| end == HoleEnd::Exit || (p - mouth).abs() <= SAME_PLANE)
    }

    fn edge_of(
        &self,
        feature: usize,
        of: usize,
        face: Direction,
        edge: &EdgeBreak,
        slope: f64,
    ) -> Option<Edge> {
        let (shape, inside) = match &self.drawing.features.get(of)?.kind {
            FeatureKind::Add(shape) => (shape, true),
            FeatureKind::Cut(shape) => (shape, false),
            FeatureKind::Break { .. } => return None,
        };
        let end = |from: f64, to: f64| if face.positive { to } else { from };
        let (profile, height) = match shape {
            Shape::Box(b) => {
                let ((min, from), (max, to)) = (split(face.axis, &b.min), split(face.axis, &b.max));
                (Profile::rectangle(min, max), end(from, to))
            }
            Shape::Cylinder(bar) if bar.axis == face.axis => {
                (Profile::circle(split(bar.axis, &bar.center).0, bar.radius), end(bar.from, bar.to))
            }
            Shape::Prism { along, from, to, outline } if *along == face.axis => {
                (Profile::from_outline(*along, outline), end(*from, *to))
            }
            Shape::Hole(hole) if hole.into.axis == face.axis => {
                let end = if hole.into.positive == face.positive { HoleEnd::Exit } else { HoleEnd::Entry };
                let blind = hole.bottom != HoleBottom::Through && end == HoleEnd::Exit;
                if blind || (end == HoleEnd::Entry && hole.countersink.is_some()) {
                    return None;
                }
                let center = split(face.axis, &hole.at).0;
                (Profile::circle(center, end_radius(hole, end)), self.drilled_plane(of, hole, end)?)
            }
            Shape::Cylinder(_) | Shape::Prism { .. } | Shape::Hole(_) => return None,
        };
        let into = -face.sign();
        let (asked, end) = (*edge, None);
        Some(Edge { feature, end, axis: face.axis, face: height, into, profile, inside, asked, slope })
    }

    /// Like [`Builder::end_plane`] for a hole that is already drilled.
    fn drilled_plane(&self, of: usize, hole: &Hole, end: HoleEnd) -> Option<f64> {
        let standing = Builder {
            drawing: self.drawing,
            part: NominalPart {
                steps: self.part.steps.iter().filter(|s| s.feature != Some(of)).cloned().collect(),
                ..NominalPart::default()
            },
        };
        standing.end_plane(hole, end)
    }

    fn break_edge(&mut self, edge: Edge) {
        let form = Form::Chamfer {
            axis: edge.axis,
            profile: edge.profile.clone(),
            face: edge.face,
            into: edge.into,
            leg: edge.asked.leg,
            depth: edge.asked.leg * edge.slope,
            inside: edge.inside,
        };
        self.push(edge.feature, StepRole::Break(edge.end), false, form);
        self.part.edges.push(edge);
    }
}

/// Where a line beside a hole leaves the material at one of the hole's ends; `None`: no material there.
fn end_height(spans: &OwnedSpans, into: Direction, mouth: f64, end: HoleEnd) -> Option<f64> {
    let sign = into.sign();
    // Depths below the mouth, entering and leaving, in the order in which the drill meets them.
    let mut pieces: Vec<(f64, f64)> = spans
        .iter()
        .map(|s| {
            let (a, b) = ((s.low - mouth) * sign, (s.high - mouth) * sign);
            (a.min(b), a.max(b))
        })
        .filter(|(_, leaves)| *leaves > SAME_PLANE)
        .collect();
    pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
    let depth = match end {
        HoleEnd::Entry => pieces.first()?.0,
        HoleEnd::Exit => pieces.last()?.1,
    };
    Some(mouth + sign * depth)
}

/// Radius of a hole where it meets the face at one of its ends.
fn end_radius(hole: &Hole, end: HoleEnd) -> f64 {
    let bore = hole.counterbore.filter(|_| end == HoleEnd::Entry);
    bore.map_or(hole.diameter, |b| b.diameter.max(hole.diameter)) / 2.0
}

fn cylinder(bar: &RoundBar) -> Form {
    let (center, _) = split(bar.axis, &bar.center);
    Form::Round(Cone { axis: bar.axis, center, z0: bar.from, z1: bar.to, r0: bar.radius, r1: bar.radius })
}

/// A cone between two heights given in any order.
fn round(into: Direction, center: Vec2, near: (f64, f64), far: (f64, f64)) -> Form {
    let (low, high) = if near.0 <= far.0 { (near, far) } else { (far, near) };
    Form::Round(Cone { axis: into.axis, center, z0: low.0, z1: high.0, r0: low.1, r1: high.1 })
}
