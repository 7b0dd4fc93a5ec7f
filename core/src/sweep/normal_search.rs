//! The normal of a sweep where no closed form stands: the place on the path that comes nearest to the point.

use super::normal::{BORDER, Best, Local, Rim, faces, slope, tip_and_way};
use crate::cutter::Body;
use crate::geom::{Path, Vec3};
use std::f64::consts::TAU;

/// Steps of the search on a path without turns, and per turn.
const STEPS: f64 = 48.0;
/// Most steps; a helix of more turns gets coarser steps.
const MOST_STEPS: f64 = 4096.0;
/// Rounds of golden section: the bracket of two steps shrinks to 1e-9 of itself.
const ROUNDS: u32 = 44;
/// How near the other face of a rim must be, mm, for the rim itself to be looked at.
const NEAR_RIM: f64 = 1.0e-4;

/// Offers the surface at the places where the body comes nearest to the point.
pub(super) fn search(body: &Body, path: &Path, point: &Vec3, best: &mut Best) {
    let turns = match path {
        Path::Line { .. } => 1.0,
        Path::Arc(arc) => (arc.sweep.abs() / TAU).ceil().max(1.0),
    };
    let steps = (turns * STEPS).min(MOST_STEPS);
    let over = |t: f64| beyond(body, &Local::of(&(point - place(path, t).0)));
    let step = 1.0 / steps;
    let longest = path.length() * step;
    // Three in a row; the ends count as their own neighbours.
    let (mut left, mut here) = (f64::INFINITY, over(0.0));
    let mut n = 0.0;
    while n <= steps {
        let right = if n < steps { over((n + 1.0) * step) } else { f64::INFINITY };
        if here <= left && here <= right && here <= longest + BORDER {
            // Each side by itself: a tool that swings past the point can be nearest twice within one step.
            for (low, high) in [(n - 1.0, n), (n, n + 1.0)] {
                let t = lowest(&over, (low * step).max(0.0), (high * step).min(1.0));
                offer(body, path, point, t, best);
            }
        }
        (left, here) = (here, right);
        n += 1.0;
    }
}

fn place(path: &Path, t: f64) -> (Vec3, Vec3) {
    match path {
        Path::Line { from, to } => (from + (to - from) * t, to - from),
        Path::Arc(arc) => tip_and_way(arc, t),
    }
}

/// How far a point lies beyond the body: negative inside, 0 on the surface, not more than the distance outside.
fn beyond(body: &Body, p: &Local) -> f64 {
    let (middle, flat, corner) = match *body {
        Body::Frustum { z0, z1, r0, .. } => {
            let g = slope(body);
            let side = (p.d - (r0 + g * (p.h - z0))) / (1.0 + g * g).sqrt();
            return side.max(z0 - p.h).max(p.h - z1);
        }
        Body::HalfBall { z0, radius } => (z0 + radius, 0.0, radius),
        Body::RoundedDisc { z0, radius, corner } => (z0 + corner, radius - corner, corner),
    };
    let (x, y) = ((p.d - flat).max(0.0), p.h - middle);
    let round = (x * x + y * y).sqrt() - corner;
    if x > 0.0 { round.max(y) } else { (-y - corner).max(y) }
}

/// Golden section.
fn lowest(f: &impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
    let (mut a, mut b) = (low, high);
    let (mut c, mut d) = (b - ratio * (b - a), a + ratio * (b - a));
    let (mut at_c, mut at_d) = (f(c), f(d));
    for _ in 0..ROUNDS {
        if at_c < at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - ratio * (b - a);
            at_c = f(c);
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + ratio * (b - a);
            at_d = f(d);
        }
    }
    // The ends of the path are reached by no section.
    [low, high].into_iter().fold(0.5 * (a + b), |t, end| if f(end) <= f(t) { end } else { t })
}

/// Offers what the body touches with at one place.
fn offer(body: &Body, path: &Path, point: &Vec3, t: f64, best: &mut Best) {
    let (tip, way) = place(path, t);
    let p = Local::of(&(point - tip));
    let at_end = t <= 0.0 || 1.0 <= t;
    let mut near: [Option<(f64, Vec3)>; 3] = [None; 3];
    faces(body, &p, |off, out, up| {
        if let Some(slot) = near.iter_mut().find(|s| s.is_none()) {
            *slot = Some((off, p.vector(out, up)));
        }
    });
    let rims: [Option<Rim>; 2] = match *body {
        Body::Frustum { z0, z1, r0, r1 } => [
            Some(Rim { radius: r0, height: z0, upper: false, slope: slope(body) }),
            Some(Rim { radius: r1, height: z1, upper: true, slope: slope(body) }),
        ],
        Body::HalfBall { .. } | Body::RoundedDisc { .. } => {
            [None, Some(Rim { radius: body.radius(), height: body.top(), upper: true, slope: 0.0 })]
        }
    };
    let on_rim = |r: &Rim| (p.h - r.height).abs() < NEAR_RIM && (p.d - r.radius).abs() < NEAR_RIM;
    if let Some(rim) = rims.iter().flatten().find(|r| !at_end && on_rim(r)) {
        rim.offer(&p, &way, best);
    }
    // Between the ends the way runs along the surface; at an end it may lead away from the path only.
    let slack = 1.0e-4 * way.norm();
    for (off, normal) in near.into_iter().flatten() {
        let lead = normal.dot(&way);
        let may = if t <= 0.0 {
            lead <= slack
        } else if t >= 1.0 {
            lead >= -slack
        } else {
            lead.abs() <= slack
        };
        if may {
            best.offer(off, normal);
        }
    }
}
