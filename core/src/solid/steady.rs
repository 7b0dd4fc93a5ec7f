//! For how long neighbouring rays meet a form in the same pieces.

use super::form::{Cone, Form};
use super::local::LocalRay;
use super::profile::Profile;
use crate::geom::{Axis, Spans, Vec2};

/// Kept away from where rounding decides, millimetres: distances and coordinates are rounded to a millionth of this.
const SLACK: f64 = 1.0e-6;

/// The pieces stay the same for ever, or as long as the rays meet the form's box.
const ALWAYS: f64 = f64::INFINITY;

/// The pieces may differ on the very next ray.
const NEVER: f64 = f64::NEG_INFINITY;

impl Form {
    /// The pieces inside it on a ray (see [`Form::spans`]), and the place `until`: on every ray from this one on whose
    /// first coordinate is less than that, with the same second one, the pieces are the same to the bit.
    pub(super) fn steady_spans(&self, ray: Axis, u: f64, v: f64, out: &mut Spans) -> f64 {
        self.spans(ray, u, v, out);
        let local = |axis: Axis| LocalRay::new(axis, ray, u, v);
        // Along a row the first coordinate runs: a ray across a form runs through its heights, or stays at one.
        let climbs = |axis: Axis| ray.others().0 == axis;
        match self {
            Form::Prism { axis, profile, from, to } => match local(*axis) {
                LocalRay::Along(p) => profile.next_crossing(&p),
                LocalRay::Across { height, .. } if climbs(*axis) => next_of([*from, *to], height),
                LocalRay::Across { height, .. } if height < *from || *to <= height => ALWAYS,
                LocalRay::Across { first, fixed, .. } => profile.steady_inside(first, fixed),
            },
            Form::Round(cone) => match local(cone.axis) {
                LocalRay::Along(p) => u + cone.steady_along(&p),
                LocalRay::Across { height, .. } if climbs(cone.axis) => {
                    let within = cone.z0 <= height && height < cone.z1;
                    if within && cone.tapers() { NEVER } else { next_of([cone.z0, cone.z1], height) }
                }
                LocalRay::Across { height, .. } if height < cone.z0 || cone.z1 <= height => ALWAYS,
                LocalRay::Across { first, fixed, .. } => {
                    let across = if first { cone.center.y } else { cone.center.x };
                    u + (fixed - across).abs() - cone.widest() - SLACK
                }
            },
            Form::Chamfer { axis, profile, face, into, leg, depth, inside } => match local(*axis) {
                LocalRay::Along(p) => {
                    let crossing = profile.next_crossing(&p);
                    if profile.contains(&p) == *inside {
                        // Nearer to the outline than the leg, the depth follows the distance.
                        crossing.min(u + profile.distance(&p) - leg - profile.loose - SLACK)
                    } else {
                        crossing
                    }
                }
                LocalRay::Across { height, .. } => {
                    let below = (height - face) * into;
                    if climbs(*axis) || 0.0 <= below && below < *depth { NEVER } else { ALWAYS }
                }
            },
            Form::Mesh(_) => NEVER,
        }
    }
}

/// The first of two places, ascending, that lies after another.
fn next_of([low, high]: [f64; 2], at: f64) -> f64 {
    if at < low {
        low
    } else if at < high {
        high
    } else {
        ALWAYS
    }
}

impl Cone {
    fn tapers(&self) -> bool {
        self.r0.to_bits() != self.r1.to_bits()
    }

    fn widest(&self) -> f64 {
        self.r0.max(self.r1)
    }

    /// How far from a ray along it others meet the same piece: as far as they stay inside the narrow end or outside
    /// the wide one.
    fn steady_along(&self, p: &Vec2) -> f64 {
        let rho = (p - self.center).norm();
        (self.r0.min(self.r1) - rho).max(rho - self.widest()) - SLACK
    }
}

impl Profile {
    /// Where the ray through `p` along its outline's axis, led on along the plane's first coordinate, next changes
    /// between inside and outside. [`Profile::contains`] asks the same crossings.
    fn next_crossing(&self, p: &Vec2) -> f64 {
        let crossings = self.pieces.iter().filter_map(|piece| piece.crossing(p.y));
        crossings.filter(|u| *u > p.x).fold(ALWAYS, f64::min)
    }

    /// As long as a line in the outline's plane crosses only sides square to it, [`Profile::inside`] finds the same
    /// pieces until the line comes to the next corner.
    fn steady_inside(&self, first: bool, fixed: f64) -> f64 {
        let mut until = ALWAYS;
        for piece in self.pieces_for(first) {
            if piece.crossing(fixed).is_some()
                && (piece.arc.is_some() || piece.a.x.to_bits() != piece.b.x.to_bits())
            {
                return NEVER;
            }
            if piece.a.y > fixed {
                until = until.min(piece.a.y);
            }
        }
        until
    }
}
