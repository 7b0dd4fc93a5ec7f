//! A body on a straight line, met by level rays (along X or Y).
//!
//! Seen along the ray, the body at parameter `t` of the move has the silhouette `|e| <= rho(h)` with
//! `e = side - t * shift.side` and `h = up - t * shift.up`; where the ray passes it, it meets the chord
//! `t * shift.along +- w`, `w = sqrt(rho(h)^2 - e^2)`. The body is convex, so `w` is a concave function of `(e, h)` and
//! the outer ends of all chords are the extremes of concave functions of `t` on one interval: they lie at the place
//! where the slope is zero, or where the interval comes nearest to it. Each `t` that is tried is tried with its true
//! chord: a candidate that is a little off never makes the span too long.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::ball::{Around, BallAcross, EndBounds};
use super::lanes::{MISSED_HIGH, MISSED_LOW, least, most, span_if, within};
use super::rounded;
use crate::cutter::{Body, half_chord};
use crate::geom::{Axis, Vec3};

/// By how much the body moves, seen from the ray, millimetres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shift {
    /// Along the ray.
    pub(super) along: f64,
    /// Square to the ray, level.
    pub(super) side: f64,
    /// Along Z.
    pub(super) up: f64,
}

impl Shift {
    /// A movement seen from level rays along an axis.
    pub(super) fn seen_along(axis: Axis, by: &Vec3) -> Self {
        let (u, v) = axis.others();
        let side = if u == Axis::Z { v } else { u };
        Self { along: axis.of(by), side: side.of(by), up: by.z }
    }
}

/// Squares of movements below this, mm^2, are no movement (1e-12 mm).
const NO_MOVE: f64 = 1e-24;

/// A straight move with everything worked out that does not depend on the ray.
#[derive(Clone, Copy, Debug)]
pub(super) struct LineAcross {
    body: Body,
    shift: Shift,
    kind: Kind,
}

#[derive(Clone, Copy, Debug)]
enum Kind {
    /// A level move: discs of one radius for each ray.
    Level(Tangents),
    /// A cylinder that rises or falls.
    Cylinder(Tangents),
    /// A cone that rises or falls: discs of radius `r + g t`.
    Cone(Growing),
    /// The lower half of a ball that moves across the ray.
    Ball(BallAcross),
    /// The same straight along the ray.
    BallAlong,
    /// A rounded corner: by a solve, ray by ray.
    Rounded { flat: f64, corner: f64 },
}

/// Outer tangents of equal discs: where along the move the highest and the lowest end of a chord lie.
#[derive(Clone, Copy, Debug)]
struct Tangents {
    /// Sideways part of the outward normal of the tangent on the high side.
    normal: f64,
    /// One over the sideways movement; 0 when there is none.
    per_side: f64,
    /// When there is none: the parameters of the high and of the low end.
    at_high: f64,
    at_low: f64,
}

impl Tangents {
    fn of(shift: &Shift) -> Self {
        if shift.side * shift.side <= NO_MOVE {
            let at_high = if shift.along > 0.0 { 1.0 } else { 0.0 };
            return Self { normal: 0.0, per_side: 0.0, at_high, at_low: 1.0 - at_high };
        }
        let length = (shift.along * shift.along + shift.side * shift.side).sqrt();
        let normal = -(shift.along / length).copysign(shift.along * shift.side);
        Self { normal, per_side: 1.0 / shift.side, at_high: 0.0, at_low: 0.0 }
    }

    /// Span of discs of radius `rho` at parameters `from..=to`; `rho < 0` meets nothing.
    #[inline(always)]
    fn span(&self, shift: &Shift, rho: f64, side: f64, (from, to): (f64, f64)) -> (f64, f64) {
        let high_t = within(self.at_high + (side - self.normal * rho) * self.per_side, from, to);
        let low_t = within(self.at_low + (side + self.normal * rho) * self.per_side, from, to);
        let (high_e, low_e) = (side - high_t * shift.side, side - low_t * shift.side);
        let high = high_t * shift.along + half_chord(rho, high_e);
        let low = low_t * shift.along - half_chord(rho, low_e);
        span_if((least(high_e.abs(), low_e.abs()) <= rho) & (from <= to), low, high)
    }
}

impl Tangents {
    /// The same for a whole move straight along the ray or square to it: both ends lie equally far from the middles of
    /// their discs, and one root serves both.
    #[inline(always)]
    fn square_span(&self, shift: &Shift, rho: f64, side: f64) -> (f64, f64) {
        let high_t = within(self.at_high + side * self.per_side, 0.0, 1.0);
        let low_t = within(self.at_low + side * self.per_side, 0.0, 1.0);
        let e = side - high_t * shift.side;
        let w = half_chord(rho, e);
        span_if(e.abs() <= rho, low_t * shift.along - w, high_t * shift.along + w)
    }
}

/// Discs that grow or shrink as they move.
#[derive(Clone, Copy, Debug)]
struct Growing {
    /// Radius at height 0 over the tip, and by how much it grows with the height.
    radius: f64,
    slope: f64,
    /// Growth over the whole move.
    growth: f64,
    /// No disc is larger: the sides of a thin cone are so flat that rounding of a height shows in the radius.
    largest: f64,
    /// Sideways parts of the outward normals `n` with `n . shift + growth = 0`, and one over `side + n growth`; not
    /// numbers where there is no outer tangent.
    normals: [(f64, f64); 2],
    /// Rates at which the disc leaves the ray on both sides, and one over each.
    leaves: [(f64, f64); 2],
}

impl Growing {
    fn of(shift: &Shift, (z0, z1): (f64, f64), (r0, r1): (f64, f64)) -> Self {
        let slope = (r1 - r0) / (z1 - z0);
        let growth = -slope * shift.up;
        let square = shift.along * shift.along + shift.side * shift.side;
        let mut normals = [(f64::NAN, f64::NAN); 2];
        if square > growth * growth && square > NO_MOVE {
            let length = square.sqrt();
            let (on_along, on_side) = (shift.along / length, shift.side / length);
            let n = -growth / length;
            let across = (1.0 - n * n).max(0.0).sqrt();
            normals = [n * on_side + across * on_along, n * on_side - across * on_along]
                .map(|n_side| (n_side, 1.0 / (shift.side + n_side * growth)));
        }
        let leaves = [growth + shift.side, growth - shift.side].map(|rate| (rate, one_over(rate)));
        Self { radius: r0 - slope * z0, slope, growth, largest: most(r0, r1), normals, leaves }
    }

    #[inline(always)]
    fn span(&self, shift: &Shift, side: f64, up: f64, window: (f64, f64)) -> (f64, f64) {
        let rho = self.radius + self.slope * up;
        let window = clip(window, self.leaves[0], side - rho);
        let (from, to) = clip(window, self.leaves[1], -side - rho);
        let met = from <= to;
        let (mut low, mut high) = (MISSED_LOW, MISSED_HIGH);
        let tangent = |(n_side, per): (f64, f64)| (side - n_side * rho) * per;
        for t in [from, to, tangent(self.normals[0]), tangent(self.normals[1])] {
            // A candidate that is not a number (no tangent there) becomes an end.
            let t = within(t, from, to);
            let w = half_chord(least(rho + t * self.growth, self.largest), side - t * shift.side);
            low = least(t * shift.along - w, low);
            high = most(t * shift.along + w, high);
        }
        span_if(met, low, high)
    }
}

impl LineAcross {
    pub(super) fn new(body: &Body, shift: Shift, after: bool) -> Self {
        let is_ball = matches!(body, Body::HalfBall { .. });
        let kind = if shift.up.abs() <= 0.0 && !is_ball {
            Kind::Level(Tangents::of(&shift))
        } else {
            match *body {
                Body::Frustum { r0, r1, .. } if !(r0 < r1 || r1 < r0) => Kind::Cylinder(Tangents::of(&shift)),
                Body::Frustum { z0, z1, r0, r1 } => Kind::Cone(Growing::of(&shift, (z0, z1), (r0, r1))),
                Body::HalfBall { .. } if shift.side * shift.side + shift.up * shift.up <= NO_MOVE => {
                    Kind::BallAlong
                }
                Body::HalfBall { radius, .. } => {
                    let by = (shift.side, shift.up);
                    Kind::Ball(BallAcross::new((radius, body.top()), by, shift.along, after))
                }
                Body::RoundedDisc { radius, corner, .. } => Kind::Rounded { flat: radius - corner, corner },
            }
        };
        Self { body: *body, shift, kind }
    }

    /// Spans on rays at `(side, up)`, coordinates relative to the tip at the start of the move.
    #[inline(always)]
    pub(super) fn spans<const N: usize>(
        &self,
        side: &[f64; N],
        up: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let shift = &self.shift;
        match self.kind {
            Kind::Level(ref tangents) => {
                let rho = self.body.radii(up);
                if shift.side.abs() <= 0.0 || shift.along.abs() <= 0.0 {
                    for k in 0..N {
                        (low[k], high[k]) = tangents.square_span(shift, rho[k], side[k]);
                    }
                    return;
                }
                for k in 0..N {
                    (low[k], high[k]) = tangents.span(shift, rho[k], side[k], (0.0, 1.0));
                }
            }
            Kind::Cylinder(ref tangents) => {
                let (rho, z, rate) =
                    (self.body.radius(), (self.body.bottom(), self.body.top()), Rate::of(shift.up));
                for k in 0..N {
                    let window = rate.heights(up[k], z);
                    (low[k], high[k]) = tangents.span(shift, rho, side[k], window);
                }
            }
            Kind::Cone(ref growing) => {
                let (z, rate) = ((self.body.bottom(), self.body.top()), Rate::of(shift.up));
                for k in 0..N {
                    let window = rate.heights(up[k], z);
                    (low[k], high[k]) = growing.span(shift, side[k], up[k], window);
                }
            }
            Kind::Ball(ref ball) => ball.spans(side, up, low, high),
            Kind::BallAlong => {
                let (radius, centre) = (self.body.radius(), self.body.top());
                let (back, ahead) = (least(shift.along, 0.0), most(shift.along, 0.0));
                for k in 0..N {
                    let h = up[k] - centre;
                    let d = (side[k] * side[k] + h * h).sqrt();
                    let w = half_chord(radius, d);
                    (low[k], high[k]) = span_if((d <= radius) & (h <= 0.0), back - w, ahead + w);
                }
            }
            Kind::Rounded { flat, corner } => {
                let centre = self.body.top();
                for k in 0..N {
                    (low[k], high[k]) = rounded::across(shift, side[k], up[k] - centre, flat, corner)
                        .unwrap_or((MISSED_LOW, MISSED_HIGH));
                }
            }
        }
    }

    /// Ends between which the spans of all rays within `half` of `(side, up)` lie; crossed where none is met.
    #[inline(always)]
    pub(super) fn reach<const N: usize>(
        &self,
        side: &[f64; N],
        up: &[f64; N],
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        if let Kind::Ball(ball) = &self.kind {
            let mut ends = EndBounds::NONE;
            let (side, up) = (Around::of(side), Around::of(up));
            ball.reach((side.seen_from(0.0), up.seen_from(0.0)), half, &mut ends);
            ends.widened(low, high);
            return;
        }
        if let Kind::BallAlong = &self.kind {
            self.reach_straight(side, up, half, low, high);
            return;
        }
        let shift = &self.shift;
        let (left, right) = (least(shift.side, 0.0), most(shift.side, 0.0));
        let (down, rise) = (least(shift.up, 0.0), most(shift.up, 0.0));
        let largest = self.body.radius();
        let per_side = if shift.side * shift.side <= NO_MOVE { 0.0 } else { 1.0 / shift.side };
        for k in 0..N {
            let rho = self.body.widest(up[k] - half.1 - rise, up[k] + half.1 - down);
            // How far beside the way of the axis the nearest of these rays is.
            let e = most((side[k] - within(side[k], left, right)).abs() - half.0, 0.0);
            let w = half_chord(rho, e);
            // Parameters at which the body is over any of these rays.
            let (a, b) = if per_side.abs() > 0.0 {
                let (p, q) =
                    ((side[k] - half.0 - largest) * per_side, (side[k] + half.0 + largest) * per_side);
                (within(least(p, q), 0.0, 1.0), within(most(p, q), 0.0, 1.0))
            } else {
                (0.0, 1.0)
            };
            let (p, q) = (a * shift.along, b * shift.along);
            (low[k], high[k]) = span_if(e <= rho, least(p, q) - w, most(p, q) + w);
        }
    }

    /// The same for a ball that moves straight along the rays.
    #[inline(always)]
    fn reach_straight<const N: usize>(
        &self,
        side: &[f64; N],
        up: &[f64; N],
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let (radius, centre) = (self.body.radius(), self.body.top());
        let (back, ahead) = (least(self.shift.along, 0.0), most(self.shift.along, 0.0));
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        for k in 0..N {
            let h = up[k] - centre;
            let d = most((side[k] * side[k] + h * h).sqrt() - diagonal, 0.0);
            let w = half_chord(radius, d);
            (low[k], high[k]) = span_if((d <= radius) & (h - half.1 <= 0.0), back - w, ahead + w);
        }
    }

    /// The lower half of a ball, where that is what goes across the rays.
    #[inline(always)]
    pub(super) const fn ball(&self) -> Option<&BallAcross> {
        if let Kind::Ball(ball) = &self.kind { Some(ball) } else { None }
    }
}

/// A rate and one over it (0 for none).
#[derive(Clone, Copy)]
struct Rate((f64, f64));

impl Rate {
    fn of(rate: f64) -> Self {
        Self((rate, one_over(rate)))
    }

    /// Parameters at which a body from `z0` to `z1` over a tip that climbs at this rate has the height `up`.
    #[inline(always)]
    fn heights(&self, up: f64, (z0, z1): (f64, f64)) -> (f64, f64) {
        let window = clip((0.0, 1.0), self.0, up - z1);
        clip(window, (-self.0.0, -self.0.1), z0 - up)
    }
}

fn one_over(rate: f64) -> f64 {
    if rate.abs() > 0.0 { 1.0 / rate } else { 0.0 }
}

/// The part of a window where `bound <= t * rate`; crossed when there is none. The rate comes with one over it.
#[inline(always)]
pub(super) fn clip((from, to): (f64, f64), (rate, per): (f64, f64), bound: f64) -> (f64, f64) {
    let t = bound * per;
    let (from, to) =
        (if rate > 0.0 { most(t, from) } else { from }, if rate < 0.0 { least(t, to) } else { to });
    // A rate of nothing leaves all or nothing.
    let never = !(rate.abs() > 0.0) & (bound > 0.0);
    (if never { MISSED_LOW } else { from }, to)
}
