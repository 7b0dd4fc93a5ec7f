use super::build::Builder;
use super::edge::Edge;
use super::form::Form;
use super::mesh::MeshFault;
use super::mesh_near::NearMesh;
use super::owned::{OwnedSpans, subtract, unite};
use crate::geom::{Axis, Box3, Spans, Vec3};
use crate::job::{Drawing, HoleEnd, Mesh};
use std::sync::Arc;

/// The part that the drawing asks for, at nominal sizes: features put on and taken away in their order. Part frame,
/// millimetres.
#[derive(Clone, Debug, Default)]
pub struct NominalPart {
    pub(super) steps: Vec<Step>,
    pub(super) edges: Vec<Edge>,
    pub(super) unclear: Vec<Unclear>,
}

/// One step of building the part up.
#[derive(Clone, Debug)]
pub(super) struct Step {
    /// Index of the drawing's feature that it belongs to; `None` for the drawing's mesh.
    pub(super) feature: Option<usize>,
    /// What it is within the feature.
    pub(super) role: StepRole,
    /// True when it puts material.
    pub(super) adds: bool,
    pub(super) form: Form,
    pub(super) bounds: Box3,
}

/// What a step of the nominal part is within its feature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StepRole {
    /// The shape itself, or a hole's full diameter.
    Body,
    /// The point below a blind hole.
    Point,
    /// A hole's counterbore.
    Counterbore,
    /// A hole's countersink.
    Countersink,
    /// The broken edge at an end of a hole, or (`None`) the break of a `break` feature.
    Break(Option<HoleEnd>),
}

/// Something that the drawing asks for and that cannot be modelled: it is never judged as made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unclear {
    /// The edge at this end of a hole does not lie in one plane square to the hole.
    HoleEndNotFlat {
        /// Index of the feature.
        feature: usize,
        /// Which end.
        end: HoleEnd,
    },
    /// The break of a blind hole's far end, of a countersunk mouth, or without a break on the print.
    HoleEndWithoutEdge {
        /// Index of the feature.
        feature: usize,
        /// Which end.
        end: HoleEnd,
    },
    /// A `break` feature of a face that its shape does not have, or that is not an end of its outline.
    BreakFace {
        /// Index of the break feature.
        feature: usize,
    },
    /// An edge that the finished part no longer has anywhere, or that is too short to be measured.
    EdgeGone {
        /// Index of the feature that lists it.
        feature: usize,
        /// Which end, for a hole.
        end: Option<HoleEnd>,
    },
}

/// A face of the nominal part near a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// Distance, millimetres.
    pub distance: f64,
    /// The point of the surface.
    pub point: Vec3,
    /// Step that made the face.
    pub step: u32,
    /// Which face of that step: 0 and 1 are its lower and upper end, others its sides.
    pub face: u32,
}

/// Half edge of the little cube that tells whether a point lies on the surface, millimetres. A surface point found
/// with it is right to `1.8 * PROBE`.
const PROBE: f64 = 1.0e-6;

impl NominalPart {
    /// Builds the part from the features of the drawing.
    pub fn from_drawing(drawing: &Drawing) -> Self {
        Builder::build(drawing)
    }

    /// The part that the drawing's finished mesh shows: one step that belongs to no feature.
    ///
    /// # Errors
    /// When the mesh is not the surface of a solid.
    pub fn from_mesh(mesh: &Mesh) -> Result<Self, MeshFault> {
        let form = Form::Mesh(Arc::new(NearMesh::new(mesh)?));
        let bounds = form.bounds();
        let step = Step { feature: None, role: StepRole::Body, adds: true, form, bounds };
        Ok(Self { steps: vec![step], ..Self::default() })
    }

    /// True when the drawing has no feature that puts material: nothing can be compared.
    pub fn is_empty(&self) -> bool {
        !self.steps.iter().any(|s| s.adds)
    }

    /// The smallest box that holds all material ever put; empty without any.
    pub fn bounds(&self) -> Box3 {
        self.steps.iter().filter(|s| s.adds).fold(Box3::empty(), |b, s| b.union(&s.bounds))
    }

    /// What the drawing asks for and this part does not model.
    pub fn unclear(&self) -> &[Unclear] {
        &self.unclear
    }

    /// Edges that must be broken.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// The drawing's feature that a step belongs to.
    pub fn feature_of(&self, step: u32) -> Option<usize> {
        self.step(step)?.feature
    }

    /// What a step is within its feature.
    pub fn role_of(&self, step: u32) -> Option<StepRole> {
        self.step(step).map(|s| s.role)
    }

    /// True when the step puts material.
    pub fn adds(&self, step: u32) -> bool {
        self.step(step).is_some_and(|s| s.adds)
    }

    /// Number of steps.
    pub fn steps(&self) -> u32 {
        u32::try_from(self.steps.len()).unwrap_or(u32::MAX)
    }

    fn step(&self, step: u32) -> Option<&Step> {
        self.steps.get(usize::try_from(step).ok()?)
    }

    /// The pieces inside the part of the line parallel to `axis` through `(u, v)`, the coordinates on
    /// `axis.others()`. Clears `out` first. Exact to rounding.
    pub fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        let mut owned = OwnedSpans::new();
        self.owned_spans(axis, u, v, &mut owned);
        out.clear();
        out.extend(owned.iter().map(|s| (s.low, s.high)));
    }

    /// The pieces of a line inside the part, each end with the step that made it. Clears `out` first.
    pub fn owned_spans(&self, axis: Axis, u: f64, v: f64, out: &mut OwnedSpans) {
        out.clear();
        let (first, second) = axis.others();
        let mut pieces = Spans::new();
        for (step, index) in self.steps.iter().zip(0..) {
            let b = &step.bounds;
            let meets = first.of(&b.min) <= u
                && u <= first.of(&b.max)
                && second.of(&b.min) <= v
                && v <= second.of(&b.max);
            if !meets || (out.is_empty() && !step.adds) {
                continue;
            }
            step.form.spans(axis, u, v, &mut pieces);
            if step.adds {
                unite(out, &pieces, index);
            } else {
                subtract(out, &pieces, index);
            }
        }
    }

    /// True when the point lies inside the part.
    pub fn contains(&self, p: &Vec3) -> bool {
        inside(&self.steps, p)
    }

    /// Points all over what a feature puts (and nothing takes again) or takes away from what stood before it (and nothing
    /// puts again), at most `n` along each edge of its box.
    pub fn samples(&self, feature: usize, n: u32) -> Vec<Vec3> {
        let mut out = Vec::new();
        for (i, step) in self.steps.iter().enumerate().filter(|(_, s)| s.feature == Some(feature)) {
            let before = self.steps.get(..i).unwrap_or(&[]);
            for k in 0..n * n * n {
                let part = |k: u32| (f64::from(k % n) + 0.5) / f64::from(n);
                let parts = Vec3::new(part(k), part(k / n), part(k / n / n));
                let p = step.bounds.min + step.bounds.size().component_mul(&parts);
                if step.form.contains(&p)
                    && self.contains(&p) == step.adds
                    && (step.adds || inside(before, &p))
                {
                    out.push(p);
                }
            }
        }
        out
    }

    /// The first step that takes away the material at a point; `None` when the point is in the part or was never in it.
    #[cfg(test)]
    pub(crate) fn first_cut(&self, p: &Vec3) -> Option<u32> {
        let holds = |s: &Step| s.form.contains(p);
        let first = self.steps.iter().position(|s| s.adds && holds(s))?;
        let cut = self.steps.iter().skip(first).position(|s| !s.adds && holds(s))?;
        u32::try_from(first + cut).ok().filter(|_| !self.contains(p))
    }

    /// True when the part's surface passes within `1.8 * PROBE` of the point.
    pub fn on_surface(&self, p: &Vec3) -> bool {
        let corner = |i: u32| {
            let sign = |bit: u32| if i & bit == 0 { -PROBE } else { PROBE };
            self.contains(&(p + Vec3::new(sign(1), sign(2), sign(4))))
        };
        let first = corner(0);
        (1..8).any(|i| corner(i) != first)
    }

    /// Never more than the distance from the point to the part's surface (faces that later steps removed count too).
    pub fn distance_at_least(&self, p: &Vec3) -> f64 {
        let mut points = Vec::new();
        let mut least = f64::INFINITY;
        for s in &self.steps {
            if box_distance(&s.bounds, p) < least {
                points.clear();
                s.form.near_points(p, &mut points);
                least = points.iter().map(|(q, _)| (q - p).norm()).fold(least, f64::min);
            }
        }
        least
    }

    /// The nearest face that is really there. Its distance is never less than the truth (but for `1.8 * PROBE`); it is
    /// the truth unless the nearest place is an edge between two features. `None` without a surface.
    pub fn near(&self, p: &Vec3) -> Option<Near> {
        self.maybe_near(p, f64::INFINITY).into_iter().find(|n| self.on_surface(&n.point))
    }

    /// How far a point lies outside the part (positive: material would be left there) or inside it (negative), mm, told
    /// as `reach` where it is farther than that. Never less in size than the truth, but for `1.8 * PROBE`; where it is more
    /// than `fine` it is the truth unless the nearest place is an edge between two features and on none of the
    /// three lines through the point.
    ///
    /// For colouring pictures: faces are looked at nearest first and no farther than needed.
    pub fn signed_distance(&self, p: &Vec3, fine: f64, reach: f64) -> f64 {
        let mut points: Vec<(Vec3, u32)> = Vec::new();
        for s in self.steps.iter().filter(|s| box_distance(&s.bounds, p) <= reach) {
            s.form.near_points(p, &mut points);
        }
        let mut by_distance: Vec<(f64, Vec3)> = points.iter().map(|(q, _)| ((q - p).norm(), *q)).collect();
        by_distance.retain(|(d, _)| *d <= reach);
        by_distance.sort_by(|a, b| a.0.total_cmp(&b.0));
        let there = by_distance.iter().find(|(_, q)| self.on_surface(q));
        let mut distance = there.map_or(reach, |(d, _)| *d);
        if distance > fine {
            let mut found = Vec::new();
            self.along_axes(p, &mut found);
            distance = found.iter().map(|n| n.distance).fold(distance, f64::min);
        }
        if self.contains(p) { -distance } else { distance }
    }

    /// Every face not further than `reach` from a point, nearest first: the nearest point of each face of each step, whether it is still there
    /// (see [`NominalPart::on_surface`]) or not, and the surface points on the three lines through `p`.
    pub fn maybe_near(&self, p: &Vec3, reach: f64) -> Vec<Near> {
        let mut found: Vec<Near> = Vec::new();
        let mut points = Vec::new();
        for (s, step) in self.steps.iter().zip(0..) {
            if box_distance(&s.bounds, p) > reach {
                continue;
            }
            points.clear();
            s.form.near_points(p, &mut points);
            found.extend(points.iter().map(|(q, face)| Near {
                distance: (q - p).norm(),
                point: *q,
                step,
                face: *face,
            }));
        }
        self.along_axes(p, &mut found);
        found.retain(|n| n.distance <= reach);
        found.sort_by(|a, b| a.distance.total_cmp(&b.distance));
        found
    }

    /// The surface points next to `p` on the three lines through it.
    fn along_axes(&self, p: &Vec3, found: &mut Vec<Near>) {
        let mut spans = OwnedSpans::new();
        for axis in Axis::ALL {
            let (u, v) = axis.others();
            self.owned_spans(axis, u.of(p), v.of(p), &mut spans);
            for (at, step) in spans.iter().flat_map(|s| [(s.low, s.low_by), (s.high, s.high_by)]) {
                let mut point = *p;
                axis.set(&mut point, at);
                found.push(Near { distance: (at - axis.of(p)).abs(), point, step, face: u32::MAX });
            }
        }
    }
}

/// Distance from a point to a box; 0 inside.
fn box_distance(b: &Box3, p: &Vec3) -> f64 {
    (b.min - p).sup(&(p - b.max)).sup(&Vec3::zeros()).norm()
}

/// True when the last of the steps that holds the point puts material.
fn inside(steps: &[Step], p: &Vec3) -> bool {
    steps.iter().rev().find(|s| s.bounds.contains(p) && s.form.contains(p)).is_some_and(|s| s.adds)
}
