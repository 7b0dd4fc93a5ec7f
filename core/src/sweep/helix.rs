//! A helix about Z: cylinders by the angle through which they are over a ray, ball and cone along Z by a quadratic,
//! rounded corners along Z mostly by one safeguarded solve; the rest by [`super::chords`].

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::angle::{angles, in_one_turn};
use super::chords::Chords;
use super::lanes::{least, most, span_if, span_of};
use super::rounded::ALONG_PATH;
use super::sector::Sector;
use super::{merge, root};
use crate::cutter::{Body, half_chord};
use crate::geom::{Arc, Axis, Spans, Vec3};
use smallvec::SmallVec;
use std::f64::consts::{FRAC_PI_2, TAU};

/// A helix, unrolled: `tau` runs from 0 to `turn` whichever way it turns, and the tip is at height `climb * tau`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Helix {
    center: Vec3,
    radius: f64,
    start_angle: f64,
    /// +1 counter-clockwise, -1 clockwise.
    sense: f64,
    /// Angle swept, radians, positive.
    turn: f64,
    /// Rise per radian.
    climb: f64,
    chords: Chords,
}

impl Helix {
    pub(super) fn new(arc: &Arc) -> Self {
        let turn = arc.sweep.abs();
        Self {
            center: arc.center,
            radius: arc.radius,
            start_angle: arc.start_angle,
            sense: 1.0_f64.copysign(arc.sweep),
            turn,
            climb: arc.rise / turn,
            chords: Chords::new(arc),
        }
    }

    /// Ends between which the spans of all rays along Z within `half` of `(x, y)` lie; crossed where none is met: as if
    /// it went all round, at all its heights.
    #[inline(always)]
    pub(super) fn reach_along<const N: usize>(
        &self,
        body: &Body,
        (x, y): (&[f64; N], &[f64; N]),
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        let rise = self.climb * self.turn;
        let (bottom, top) = (self.center.z + least(rise, 0.0), self.center.z + most(rise, 0.0) + body.top());
        let mut d = *x;
        for (d, y) in d.iter_mut().zip(y) {
            let (p, q) = (*d - self.center.x, y - self.center.y);
            *d = most(((p * p + q * q).sqrt() - self.radius).abs() - diagonal, 0.0);
        }
        let under = body.lowers(&d);
        let radius = body.radius();
        for (((low, high), d), under) in low.iter_mut().zip(high).zip(d).zip(under) {
            (*low, *high) = span_if(d <= radius, bottom + under, top);
        }
    }

    /// True for a cylinder that is taller than the whole rise: wherever it is, its heights overlap, and a ray along Z
    /// has one span.
    pub(super) fn is_single_along(&self, body: &Body) -> bool {
        let taller = body.top() - body.bottom() >= self.climb.abs() * self.turn;
        taller && matches!(*body, Body::Frustum { r0, r1, .. } if same(r0, r1))
    }

    /// Spans of such a cylinder on rays along Z: from when it first comes over the ray until it last leaves it; crossed where
    /// it never does.
    ///
    /// It is over the ray while it stands within `half` of the ray's own direction, `sin^2(half / 2) = left / spread`.
    #[inline(always)]
    pub(super) fn along<const N: usize>(
        &self,
        body: &Body,
        (x, y): (&[f64; N], &[f64; N]),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let (c, big) = (&self.center, body.radius());
        let (mut p, mut q) = (*x, *y);
        let (mut left, mut spread) = ([0.0; N], [0.0; N]);
        let (mut cos, mut sin) = ([0.0; N], [0.0; N]);
        for k in 0..N {
            (p[k], q[k]) = (x[k] - c.x, y[k] - c.y);
            let rho = (p[k] * p[k] + q[k] * q[k]).sqrt();
            let gap = rho - self.radius;
            left[k] = (big - gap) * (big + gap);
            spread[k] = 4.0 * rho * self.radius;
            cos[k] = spread[k] - 2.0 * left[k];
            sin[k] = 2.0 * most(left[k] * (spread[k] - left[k]), 0.0).sqrt();
        }
        let (directions, halves) = (angles(&p, &q), angles(&cos, &sin));
        for k in 0..N {
            let half = halves[k];
            // The ray's own direction from the start, the way the tool turns, and the end from that.
            let ahead = in_one_turn(self.sense * (directions[k] - self.start_angle));
            let behind = in_one_turn(self.turn - ahead);
            let always = left[k] >= spread[k];
            let from_start = always | (ahead <= half) | (ahead + half >= TAU);
            let to_end = always | (behind <= half) | (behind + half >= TAU);
            let first = if from_start { 0.0 } else { ahead - half };
            let last = if to_end { self.turn } else { self.turn - (behind - half) };
            let met = (left[k] >= 0.0) & (first <= self.turn);
            let (a, b) = (self.climb * first, self.climb * most(first, last));
            let ends = (c.z + (least(a, b) + body.bottom()), c.z + (most(a, b) + body.top()));
            (low[k], high[k]) = span_if(met, ends.0, ends.1);
        }
    }

    pub(super) fn spans(&self, body: &Body, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        let c = &self.center;
        match (axis, body) {
            (Axis::Z, _) if self.is_single_along(body) => {
                let (mut low, mut high) = ([0.0], [0.0]);
                self.along(body, (&[u], &[v]), &mut low, &mut high);
                if let Some((low, high)) = span_of(low, high) {
                    merge::push(out, low, high);
                }
            }
            (Axis::Z, Body::Frustum { .. } | Body::HalfBall { .. }) => {
                self.upright(body, u - c.x, v - c.y, out);
            }
            (Axis::Z, Body::RoundedDisc { radius, corner, .. }) => {
                let (x, y) = (u - c.x, v - c.y);
                let flat = radius - corner;
                let rho = libm::hypot(x, y);
                // Within a quarter turn of the nearest place the corner touches once; on the flat alone, never. Rays
                // nearer the axis than that can have several touches.
                if rho * rho + self.radius * self.radius > radius * radius || rho + self.radius <= flat {
                    self.upright(body, x, y, out);
                } else {
                    self.chords.spans(body, axis, u, v, out);
                }
            }
            (Axis::X | Axis::Y, Body::Frustum { r0, r1, .. }) if same(*r0, *r1) => {
                self.across(body, axis, &mut Levels::new(), (u, v), out);
            }
            _ => self.chords.spans(body, axis, u, v, out),
        }
    }

    /// True when level rays along an axis are met in closed form, so that [`Helix::across`] tells all.
    pub(super) fn is_plain_across(body: &Body, axis: Axis) -> bool {
        axis != Axis::Z && matches!(*body, Body::Frustum { r0, r1, .. } if same(r0, r1))
    }

    /// A cylinder met by a level ray. What depends on the ray's height alone is kept in `levels`, for the next ray of the
    /// same helix and axis.
    pub(super) fn across(
        &self,
        body: &Body,
        axis: Axis,
        levels: &mut Levels,
        (u, v): (f64, f64),
        out: &mut Spans,
    ) {
        let c = &self.center;
        let (up, side, shift) =
            if axis == Axis::X { (v - c.z, u - c.y, c.x) } else { (u - c.z, v - c.x, c.y) };
        let known = levels.iter().find(|(level, _)| same(*level, up)).map(|(_, sector)| *sector);
        let sector = known.unwrap_or_else(|| {
            let found = self.sector_at(up, body.bottom(), body.top());
            let found = if axis == Axis::X { found } else { found.map(|s| s.flipped()) };
            levels.push((up, found));
            found
        });
        if let Some(sector) = sector {
            sector.disc_on_line(self.radius, body.radius(), side, shift, out);
        }
    }

    /// The part of the turn in which a cylinder from `z0` to `z1` over the tip holds the height `up`.
    fn sector_at(&self, up: f64, z0: f64, z1: f64) -> Option<Sector> {
        let (a, b) = ((up - z1) / self.climb, (up - z0) / self.climb);
        let (first, last) = (a.min(b).max(0.0), a.max(b).min(self.turn));
        if !(first <= last) {
            return None;
        }
        let start = self.start_angle + self.sense * if self.sense < 0.0 { last } else { first };
        Some(Sector::new(start, last - first))
    }

    /// A ray along Z at `(x, y)` from the axis.
    ///
    /// `d^2 = (rho - r)^2 + 4 rho r sin^2(x / 2)`, `x` the angle from the ray's own direction: the tool is over the ray
    /// in windows of half width `2 asin(sqrt(m))` once per turn.
    fn upright(&self, body: &Body, x: f64, y: f64, out: &mut Spans) {
        let rho = libm::hypot(x, y);
        let big = body.radius();
        let gap = rho - self.radius;
        let spread = 4.0 * rho * self.radius;
        let left = (big - gap) * (big + gap);
        if left < 0.0 {
            return;
        }
        let ray = Ray { climb: self.climb, gap, spread };
        // Angle of the ray from the start, in the direction of the turn.
        let phi = (self.sense * (libm::atan2(y, x) - self.start_angle)).rem_euclid(TAU);
        if left >= spread {
            // Over the ray all the time: one window, which may be many turns long.
            self.push_window(body, &ray, (-phi, self.turn - phi), phi, out);
            return;
        }
        let half = 2.0 * libm::asin((left / spread).sqrt());
        let turns = (self.turn / TAU).ceil() + 1.0;
        let mut n = -1.0;
        while n <= turns {
            let middle = phi + n * TAU;
            let window = ((-half).max(-middle), half.min(self.turn - middle));
            if window.0 <= window.1 {
                self.push_window(body, &ray, window, middle, out);
            }
            n += 1.0;
        }
    }

    fn push_window(&self, body: &Body, ray: &Ray, window: (f64, f64), middle: f64, out: &mut Spans) {
        let base = self.center.z + self.climb * middle;
        let low = ray.lowest(body, window);
        let upside_down = match *body {
            Body::Frustum { z0, z1, r0, r1 } => Body::Frustum { z0: -z1, z1: -z0, r0: r1, r1: r0 },
            Body::HalfBall { radius, .. } | Body::RoundedDisc { radius, .. } => {
                Body::Frustum { z0: -body.top(), z1: -body.bottom(), r0: radius, r1: radius }
            }
        };
        let high = -Ray { climb: -ray.climb, ..*ray }.lowest(&upside_down, window);
        merge::push(out, base + low, base + high);
    }
}

/// Heights of level rays over a helix's centre, each with the part of the turn that has a cylinder there.
pub(super) type Levels = SmallVec<[(f64, Option<Sector>); 4]>;

fn same(a: f64, b: f64) -> bool {
    !(a < b || b < a)
}

/// A ray along Z seen from a helix: `d^2 = gap^2 + spread * sin^2(x / 2)`.
struct Ray {
    climb: f64,
    gap: f64,
    spread: f64,
}

impl Ray {
    /// Minimum of `climb * x + lower(d(x))` over a window of angles.
    ///
    /// Every candidate is tried with its true height; candidates outside the window are left out.
    fn lowest(&self, body: &Body, window: (f64, f64)) -> f64 {
        if let Body::Frustum { z0, r0, r1, .. } = *body
            && same(r0, r1)
        {
            // Over the ray in the whole window, and flat: lowest at one of its ends.
            return (self.climb * window.0 + z0).min(self.climb * window.1 + z0);
        }
        let height = |x: f64| {
            let s = libm::sin(0.5 * x);
            let d = (self.gap * self.gap + self.spread * s * s).sqrt().min(body.radius());
            body.lower_at(d).map_or(f64::INFINITY, |h| self.climb * x + h)
        };
        let mut best = height(window.0).min(height(window.1));
        let mut try_square = |q: f64| {
            // Also leaves out what is not a number.
            if !(0.0..=1.0).contains(&q) {
                return;
            }
            let angle = 2.0 * libm::asin(q.sqrt());
            // The same place in every turn that the window holds; the lowest of them is the outermost.
            for x in [angle, -angle] {
                let first = x + ((window.0 - x) / TAU).ceil() * TAU;
                let last = x + ((window.1 - x) / TAU).floor() * TAU;
                for x in [first, last] {
                    if window.0 <= x && x <= window.1 {
                        best = best.min(height(x));
                    }
                }
            }
        };
        try_square(0.0);
        for q in self.turning_points(body).into_iter().flatten() {
            try_square(q);
        }
        best
    }

    /// Values of `q = sin^2(x / 2)` at which the height may have an extreme.
    fn turning_points(&self, body: &Body) -> [Option<f64>; 3] {
        let (k2, gap2, half) = (self.climb * self.climb, self.gap * self.gap, 0.5 * self.spread);
        match *body {
            // Cone of slope m: k + m (spread / 2) sin(x) / (2 d) = 0, with sin^2(x) = 4 q (1 - q).
            Body::Frustum { z0, z1, r0, r1 } if r0 < r1 => {
                let m = (z1 - z0) / (r1 - r0);
                // (m half)^2 q (1 - q) = k^2 (gap^2 + spread q)
                let a = m * half * m * half;
                let [p, q] = quadratic(a, a - k2 * self.spread, k2 * gap2);
                [p, q, Some(((r0 - self.gap) * (r0 + self.gap)) / self.spread)]
            }
            // Ball: k + (spread / 2) sin(x) / (2 sqrt(R^2 - d^2)) = 0.
            Body::HalfBall { radius, .. } => {
                let left = (radius - self.gap) * (radius + self.gap);
                // half^2 q (1 - q) = k^2 (left - spread q)
                let a = half * half;
                let [p, q] = quadratic(a, a + k2 * self.spread, k2 * left);
                [p, q, None]
            }
            Body::RoundedDisc { radius, corner, .. } => [self.corner_touch(radius, corner), None, None],
            Body::Frustum { .. } => [None; 3],
        }
    }
}

impl Ray {
    /// Where a rounded corner touches lowest, as `sin^2(x / 2)`: `tan(phi) spread sin(x) / (4 d) = climb` with
    /// `d = flat + corner sin(phi)`. Up to a quarter turn the left side grows with `x`: its logarithm has the slope
    /// `1/q - 1/(1 - q)` in `q` or more, which is not negative for `q <= 1/2`.
    fn corner_touch(&self, radius: f64, corner: f64) -> Option<f64> {
        let flat = radius - corner;
        let angle = |reach: f64| {
            let square = ((reach - self.gap) * (reach + self.gap) / self.spread).clamp(0.0, 1.0);
            2.0 * libm::asin(square.sqrt())
        };
        let (first, last) = (angle(flat), angle(radius).min(FRAC_PI_2));
        if !(first < last) {
            return None;
        }
        // `d` changes by at most half the square root of `spread` per radian, as fast as the tip at the ray's distance.
        let tolerance = ALONG_PATH / self.spread.sqrt().max(radius);
        let x = root::between(first, last, tolerance, |x| {
            let half = libm::sin(0.5 * x);
            let d = (self.gap * self.gap + self.spread * half * half).sqrt();
            let sin = ((d - flat) / corner).clamp(0.0, 1.0);
            sin * self.spread * libm::sin(x) - 4.0 * self.climb.abs() * d * half_chord(1.0, sin)
        });
        let half = libm::sin(0.5 * x);
        Some(half * half)
    }
}

/// Roots of `a q^2 - b q + c = 0`, `a >= 0`, without cancellation. A discriminant just below zero counts as zero.
fn quadratic(a: f64, b: f64, c: f64) -> [Option<f64>; 2] {
    let square = b * b - 4.0 * a * c;
    if square < -1e-12 * b * b {
        return [None; 2];
    }
    let root = square.max(0.0).sqrt();
    let big = if b < 0.0 { b - root } else { b + root };
    [Some(2.0 * c / big), Some(big / (2.0 * a))]
}

#[cfg(test)]
mod tests {
    use super::quadratic;

    #[test]
    fn quadratic_keeps_its_small_root() {
        let [small, big] = quadratic(1.0, 1.0, 1e-18);
        assert!((small.unwrap() - 1e-18).abs() < 1e-32 && (big.unwrap() - 1.0).abs() < 1e-15);
        assert_eq!(quadratic(1.0, 1.0, 1.0), [None; 2]);
    }
}
