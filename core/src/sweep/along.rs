//! A body on a straight line, met by a ray along Z.
//!
//! With `s` the level way along the line, `k` its climb, `c` the level distance of the ray from the line and `s0` the
//! way at which the ray is nearest, the body at `s` covers the heights from `k s + lower(d)` to `k s + upper(d)`, with
//! `d^2 = c^2 + (s - s0)^2`. `lower` is convex and grows with `d`, so the lowest point is the minimum of a convex
//! function on one interval; `upper` likewise upside down. As in [`super::across`], every candidate is tried with its
//! true height.

use super::across::ALONG_PATH;
use super::{STANDS_STILL, root};
use crate::cutter::{Body, half_chord};
use crate::geom::Vec3;

/// Span on the ray at `(x, y)`; coordinates relative to the tip at the start of the move.
pub(super) fn span(body: &Body, by: &Vec3, x: f64, y: f64) -> Option<(f64, f64)> {
    let length = (by.x * by.x + by.y * by.y).sqrt();
    let radius = body.radius();
    if length <= STANDS_STILL {
        let d = libm::hypot(x, y);
        let (low, high) = (body.lower_at(d)?, body.upper_at(d)?);
        return Some((low + by.z.min(0.0), high + by.z.max(0.0)));
    }
    let (ux, uy) = (by.x / length, by.y / length);
    let c = (x * uy - y * ux).abs();
    if c > radius {
        return None;
    }
    let s0 = x * ux + y * uy;
    let reach = half_chord(radius, c);
    let window = ((s0 - reach).max(0.0), (s0 + reach).min(length));
    if !(window.0 <= window.1) {
        return None;
    }
    let ray = Ray { climb: by.z / length, c, s0, window };
    let upside_down = match *body {
        Body::Frustum { z0, z1, r0, r1 } => Body::Frustum { z0: -z1, z1: -z0, r0: r1, r1: r0 },
        // Only their flat tops matter here.
        Body::HalfBall { radius, .. } | Body::RoundedDisc { radius, .. } => {
            Body::Frustum { z0: -body.top(), z1: -body.bottom(), r0: radius, r1: radius }
        }
    };
    let low = ray.lowest(body);
    let high = -Ray { climb: -ray.climb, ..ray }.lowest(&upside_down);
    Some((low, high))
}

/// A ray seen from a straight move.
struct Ray {
    climb: f64,
    c: f64,
    s0: f64,
    window: (f64, f64),
}

impl Ray {
    fn lowest(&self, body: &Body) -> f64 {
        let (first, last) = self.window;
        let height = |s: f64| {
            let x = s - self.s0;
            let d = (self.c * self.c + x * x).sqrt().min(body.radius());
            body.lower_at(d).map_or(f64::INFINITY, |h| self.climb * s + h)
        };
        let inner = self.s0 - self.back(body).copysign(self.climb);
        let ends = height(first).min(height(last));
        if first < inner && inner < last { ends.min(height(inner)) } else { ends }
    }

    /// How far behind the nearest point the lowest touch lies, seen in the direction in which the line climbs; not a
    /// number or anything outside the window where an end is lowest.
    fn back(&self, body: &Body) -> f64 {
        let climb = self.climb.abs();
        match *body {
            Body::Frustum { z0, z1, r0, r1 } if r0 < r1 => {
                // On the cone `(s0 - s) / d` equals the climb over the cone's own slope; on the flat the lowest point
                // is its rear edge.
                let q = climb * (r1 - r0) / (z1 - z0);
                let flat = if self.c < r0 && climb > 0.0 { half_chord(r0, self.c) } else { 0.0 };
                if q < 1.0 { flat.max(self.c * q / (1.0 - q * q).sqrt()) } else { f64::INFINITY }
            }
            Body::Frustum { r0, .. } => half_chord(r0, self.c),
            Body::HalfBall { radius, .. } => {
                half_chord(radius, self.c) * climb / (1.0 + climb * climb).sqrt()
            }
            Body::RoundedDisc { radius, corner, .. } => self.back_on_corner(radius, corner, climb),
        }
    }

    /// On a rounded corner: `tan(phi) * x / d = climb` with `d = flat + corner * sin(phi)`; the left side grows with
    /// `x`, the way behind.
    fn back_on_corner(&self, radius: f64, corner: f64, climb: f64) -> f64 {
        let flat = radius - corner;
        let first = if self.c < flat { half_chord(flat, self.c) } else { 0.0 };
        if climb <= 0.0 {
            return 0.0;
        }
        let last = half_chord(radius, self.c);
        root::between(first, last, ALONG_PATH, |x| {
            let d = (self.c * self.c + x * x).sqrt();
            let sin = ((d - flat) / corner).clamp(0.0, 1.0);
            sin * x - climb * d * half_chord(1.0, sin)
        })
    }
}
