use super::local::{LocalRay, join, split};
use super::mesh_near::NearMesh;
use super::owned::{common, without};
use super::profile::Profile;
use crate::geom::{Axis, Box3, Spans, Vec2, Vec3};
use std::sync::Arc;

/// A simple solid, part frame, millimetres.
#[derive(Clone, Debug)]
pub(super) enum Form {
    /// An outline drawn out along an axis, from `from` to `to`.
    Prism { axis: Axis, profile: Profile, from: f64, to: f64 },
    /// A cylinder or cone.
    Round(Cone),
    /// What breaking an outline's edge takes away: on one side of the outline, nearer to it than a leg that shrinks
    /// from `leg` on the face to 0 at `depth` below it.
    Chamfer {
        axis: Axis,
        profile: Profile,
        /// Height of the face.
        face: f64,
        /// +1 when the material lies above the face, -1 when below.
        into: f64,
        leg: f64,
        depth: f64,
        /// True when the material lies inside the outline.
        inside: bool,
    },
    /// The drawing's finished mesh.
    Mesh(Arc<NearMesh>),
}

/// A cylinder or cone along an axis: radius `r0` at `z0`, `r1` at `z1`, `z0 < z1`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cone {
    pub(super) axis: Axis,
    pub(super) center: Vec2,
    pub(super) z0: f64,
    pub(super) z1: f64,
    pub(super) r0: f64,
    pub(super) r1: f64,
}

impl Form {
    /// A box square to the axes.
    pub(super) fn block(b: &Box3) -> Self {
        let (min, from) = split(Axis::Z, &b.min);
        let (max, to) = split(Axis::Z, &b.max);
        Form::Prism { axis: Axis::Z, profile: Profile::rectangle(min, max), from, to }
    }

    /// The smallest box that holds it.
    pub(super) fn bounds(&self) -> Box3 {
        match self {
            Form::Prism { axis, profile, from, to } => {
                Box3::between(join(*axis, profile.min, *from), join(*axis, profile.max, *to))
            }
            Form::Round(Cone { axis, center, z0, z1, r0, r1 }) => {
                let r = Vec2::repeat(r0.max(*r1));
                Box3::between(join(*axis, center - r, *z0), join(*axis, center + r, *z1))
            }
            Form::Chamfer { axis, profile, face, into, leg, depth, inside } => {
                let r = Vec2::repeat(if *inside { 0.0 } else { *leg });
                Box3::between(
                    join(*axis, profile.min - r, *face),
                    join(*axis, profile.max + r, face + into * depth),
                )
            }
            Form::Mesh(mesh) => *mesh.solid.bounds(),
        }
    }

    /// The pieces inside it of the line along `ray` through `(u, v)` of `ray.others()`. Clears `out` first.
    pub(super) fn spans(&self, ray: Axis, u: f64, v: f64, out: &mut Spans) {
        out.clear();
        match self {
            Form::Prism { axis, profile, from, to } => match LocalRay::new(*axis, ray, u, v) {
                LocalRay::Along(p) => out.extend(profile.contains(&p).then_some((*from, *to))),
                LocalRay::Across { first, fixed, height } => {
                    if *from <= height && height < *to {
                        profile.inside(first, fixed, out);
                    }
                }
            },
            Form::Round(cone) => out.extend(cone.span(&LocalRay::new(cone.axis, ray, u, v))),
            Form::Chamfer { .. } => self.chamfer_spans(ray, u, v, out),
            Form::Mesh(mesh) => mesh.solid.spans(ray, u, v, out),
        }
    }

    fn chamfer_spans(&self, ray: Axis, u: f64, v: f64, out: &mut Spans) {
        let Form::Chamfer { axis, profile, face, into, leg, depth, inside } = self else { return };
        match LocalRay::new(*axis, ray, u, v) {
            LocalRay::Along(p) => {
                let distance = profile.distance(&p);
                if distance < *leg && profile.contains(&p) == *inside {
                    let far = face + into * depth * (1.0 - distance / leg);
                    out.push((face.min(far), face.max(far)));
                }
            }
            LocalRay::Across { first, fixed, height } => {
                let below = (height - face) * into;
                if 0.0 <= below && below < *depth {
                    let (mut near, mut within) = (Spans::new(), Spans::new());
                    profile.near(first, fixed, leg * (1.0 - below / depth), &mut near);
                    profile.inside(first, fixed, &mut within);
                    if *inside { common(&near, &within, out) } else { without(&near, &within, out) }
                }
            }
        }
    }

    /// True when the point lies inside.
    pub(super) fn contains(&self, p: &Vec3) -> bool {
        match self {
            Form::Prism { axis, profile, from, to } => {
                let (plane, height) = split(*axis, p);
                *from <= height && height < *to && profile.contains(&plane)
            }
            Form::Round(Cone { axis, center, z0, z1, r0, r1 }) => {
                let (plane, height) = split(*axis, p);
                let r = r0 + (r1 - r0) * (height - z0) / (z1 - z0);
                *z0 <= height && height < *z1 && (plane - center).norm_squared() < r * r
            }
            Form::Chamfer { axis, profile, face, into, leg, depth, inside } => {
                let (plane, height) = split(*axis, p);
                let below = (height - face) * into;
                0.0 <= below
                    && below < *depth
                    && profile.contains(&plane) == *inside
                    && profile.distance(&plane) < leg * (1.0 - below / depth)
            }
            Form::Mesh(mesh) => mesh.solid.contains(p),
        }
    }

    /// Points of its surface near `p`, one or more per smooth face: the nearest point of each face is among them.
    /// The second value tells the faces apart: 0 and 1 are the lower and upper end, others are side faces.
    pub(super) fn near_points(&self, p: &Vec3, out: &mut Vec<(Vec3, u32)>) {
        match self {
            Form::Prism { axis, profile, from, to } => {
                let (plane, height) = split(*axis, p);
                if profile.contains(&plane) {
                    out.push((join(*axis, plane, *from), 0));
                    out.push((join(*axis, plane, *to), 1));
                }
                for (piece, face) in profile.pieces.iter().zip(2..) {
                    let q = piece.nearest(&plane);
                    out.push((join(*axis, q, height.clamp(*from, *to)), face));
                    out.push((join(*axis, q, *from), 0));
                    out.push((join(*axis, q, *to), 1));
                }
            }
            Form::Round(Cone { axis, center, z0, z1, r0, r1 }) => {
                let (plane, height) = split(*axis, p);
                let away = plane - center;
                let rho = away.norm();
                let unit = away.try_normalize(1.0e-12).unwrap_or_else(Vec2::x);
                out.push((join(*axis, center + unit * rho.min(*r0), *z0), 0));
                out.push((join(*axis, center + unit * rho.min(*r1), *z1), 1));
                let (a, b) = (Vec2::new(*r0, *z0), Vec2::new(*r1, *z1));
                let d = b - a;
                let t = ((Vec2::new(rho, height) - a).dot(&d) / d.norm_squared()).clamp(0.0, 1.0);
                let q = a + d * t;
                out.push((join(*axis, center + unit * q.x, q.y), 2));
            }
            Form::Chamfer { axis, profile, face, into, leg, depth, inside } => {
                let (plane, height) = split(*axis, p);
                let below = (height - face) * into;
                for piece in &profile.pieces {
                    let q = piece.nearest(&plane);
                    let off = plane - q;
                    let from_edge = off.norm();
                    let unit = if from_edge > 1.0e-9 {
                        off / from_edge
                    } else {
                        profile.inward(piece, 0.5) * side_sign(*inside)
                    };
                    let (a, b) = (Vec2::new(*leg, 0.0), Vec2::new(0.0, *depth));
                    let d = b - a;
                    let t = ((Vec2::new(from_edge, below) - a).dot(&d) / d.norm_squared()).clamp(0.0, 1.0);
                    let s = a + d * t;
                    out.push((join(*axis, q + unit * s.x, face + into * s.y), 2));
                }
            }
            Form::Mesh(mesh) => out.extend(mesh.nearest(p).map(|q| (q, 0))),
        }
    }
}

fn side_sign(inside: bool) -> f64 {
    if inside { 1.0 } else { -1.0 }
}

impl Cone {
    /// The piece of a ray inside it.
    fn span(&self, ray: &LocalRay) -> Option<(f64, f64)> {
        let Cone { center, z0, z1, r0, r1, .. } = *self;
        match ray {
            LocalRay::Along(p) => {
                let rho = (p - center).norm();
                if rho >= r0.max(r1) {
                    return None;
                }
                // Height at which the wall has this radius; the narrow end is cut off there.
                let at = |r: f64| z0 + (r - r0) / (r1 - r0) * (z1 - z0);
                let low = if rho < r0 { z0 } else { at(rho) };
                let high = if rho < r1 { z1 } else { at(rho) };
                (low < high).then_some((low, high))
            }
            LocalRay::Across { first, fixed, height } => {
                if !(z0 <= *height && *height < z1) {
                    return None;
                }
                let (along, across) = if *first { (center.x, center.y) } else { (center.y, center.x) };
                let r = r0 + (r1 - r0) * (height - z0) / (z1 - z0);
                let half = r * r - (fixed - across) * (fixed - across);
                (half > 0.0).then(|| (along - half.sqrt(), along + half.sqrt()))
            }
        }
    }
}
