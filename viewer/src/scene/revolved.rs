//! Bodies of revolution as meshes.

use super::solids::EDGE_WIDTH;
use super::{LineSet, MeshBuilder, Pattern};
use crate::colour::Colour;
use glam::{Mat4, Vec2, Vec3};
use proofcut_core::cutter::Body;
use std::f32::consts::{FRAC_PI_2, TAU};

/// The outline of a body of revolution from its lowest point on the axis to its highest: stretches that are smooth in
/// themselves, with a crisp ring where one ends and the next begins.
#[derive(Clone, Debug, Default)]
pub(super) struct Profile {
    /// Each: points (radius, height) with outward normals (outwards, up).
    stretches: Vec<Vec<(Vec2, Vec2)>>,
}

/// Pieces of a full turn: the facets of a 20 mm cutter are then within 0.01 mm of round.
const TURN: u16 = 96;
/// Pieces of a rounded corner.
const CORNER: u16 = 12;

#[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
fn at(radius: f64, height: f64) -> Vec2 {
    Vec2::new(radius as f32, height as f32)
}

impl Profile {
    /// Between two heights with a radius at each.
    pub(super) fn frustum(z0: f64, z1: f64, r0: f64, r1: f64) -> Self {
        let mut out = Self::default();
        out.straight(at(0.0, z0), at(r0, z0));
        out.straight(at(r0, z0), at(r1, z1));
        out.straight(at(r1, z1), at(0.0, z1));
        out
    }

    /// A body of a tool.
    pub(super) fn of(body: &Body) -> Self {
        match *body {
            Body::Frustum { z0, z1, r0, r1 } => Self::frustum(z0, z1, r0, r1),
            Body::HalfBall { z0, radius } => Self::rounded(z0, radius, radius),
            Body::RoundedDisc { z0, radius, corner } => Self::rounded(z0, radius, corner),
        }
    }

    fn rounded(z0: f64, radius: f64, corner: f64) -> Self {
        let mut out = Self::default();
        let flat = radius - corner;
        out.straight(at(0.0, z0), at(flat, z0));
        let middle = at(flat, z0 + corner);
        let reach = at(corner, 0.0).x;
        let arc = (0..=CORNER).map(|k| {
            let angle = FRAC_PI_2 * (f32::from(k) / f32::from(CORNER) - 1.0);
            let normal = Vec2::from_angle(angle);
            (middle + normal * reach, normal)
        });
        out.stretches.push(arc.collect());
        out.straight(at(radius, z0 + corner), at(0.0, z0 + corner));
        out
    }

    fn straight(&mut self, from: Vec2, to: Vec2) {
        let along = to - from;
        if along.length_squared() > 0.0 {
            let normal = Vec2::new(along.y, -along.x).normalize();
            self.stretches.push(vec![(from, normal), (to, normal)]);
        }
    }
}

/// Adds a body of revolution about the Z axis of a frame, with rings where its outline has corners.
pub(super) fn revolved(
    profile: &Profile,
    place: &Mat4,
    tint: u16,
    edge: Colour,
    out: &mut MeshBuilder,
    edges: &mut LineSet,
) {
    let spokes: Vec<Vec2> =
        (0..=TURN).map(|k| Vec2::from_angle(TAU * f32::from(k % TURN) / f32::from(TURN))).collect();
    let point = |p: Vec2, spoke: &Vec2| place.transform_point3((*spoke * p.x).extend(p.y));
    for stretch in &profile.stretches {
        for (lower, upper) in stretch.iter().zip(stretch.iter().skip(1)) {
            out.make_room(2 * usize::from(TURN));
            let mut last: Option<(u32, u32)> = None;
            for spoke in &spokes {
                let mut make = |(p, n): &(Vec2, Vec2)| {
                    let normal: Vec3 = place.transform_vector3((*spoke * n.x).extend(n.y));
                    out.vertex(point(*p, spoke), normal, tint)
                };
                let here = (make(lower), make(upper));
                if let Some(before) = last {
                    // On the axis a side has no length.
                    if lower.0.x > 0.0 {
                        out.triangle([before.0, here.0, here.1]);
                    }
                    if upper.0.x > 0.0 {
                        out.triangle([before.0, here.1, before.1]);
                    }
                }
                last = Some(here);
            }
        }
        if let Some((end, _)) = stretch.last().filter(|(p, _)| p.x > 0.0) {
            let ring: Vec<Vec3> = spokes.iter().map(|s| point(*end, s)).collect();
            edges.chain(&ring, edge, EDGE_WIDTH, Pattern::Full);
        }
    }
}
