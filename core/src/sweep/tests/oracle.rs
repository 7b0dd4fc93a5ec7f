//! A slow judge of sweeps that shares no code with them: it walks along the path in small steps, asks the body's own
//! distance function at each, and refines the best places by golden section.
//!
//! `depth(p)` is the least signed distance of `p` from the body over all positions: negative inside the sweep, zero on
//! its surface. Its error: golden section finds each minimum to 1e-9 of a step, which is less than 1e-9 mm here; a
//! minimum can only be missed when two lie within one step of each other. So a span's end with `depth` of 2e-6 mm is
//! 2 nm off, measured normal to the surface.

#![expect(
    clippy::disallowed_methods,
    reason = "the judge uses other sine and cosine than the code it judges"
)]

use crate::cutter::Body;
use crate::geom::{Axis, Path, Vec3};

/// Steps per path without turns, and per turn.
const STEPS: u32 = 480;

pub(super) struct Oracle<'a> {
    body: &'a Body,
    path: &'a Path,
    steps: u32,
    tips: Vec<Vec3>,
}

impl<'a> Oracle<'a> {
    pub(super) fn new(body: &'a Body, path: &'a Path) -> Self {
        let turns = match path {
            Path::Line { .. } => 1.0,
            Path::Arc(arc) => (arc.sweep.abs() / std::f64::consts::TAU).ceil().max(1.0),
        };
        let mut steps = 0;
        while f64::from(steps) < turns * f64::from(STEPS) {
            steps += STEPS;
        }
        let tips = (0..=steps).map(|i| tip(path, f64::from(i) / f64::from(steps))).collect();
        Self { body, path, steps, tips }
    }

    pub(super) fn depth(&self, p: &Vec3) -> f64 {
        let at: Vec<f64> = self.tips.iter().map(|tip| distance(self.body, &(p - tip))).collect();
        let least = at.iter().copied().fold(f64::INFINITY, f64::min);
        let step = 1.0 / f64::from(self.steps);
        let longest = self.tips.windows(2).map(|w| (w[1] - w[0]).norm()).fold(0.0, f64::max);
        let mut best = least;
        for i in 0..at.len() {
            let left = at[i.saturating_sub(1)];
            let right = at[(i + 1).min(at.len() - 1)];
            if at[i] <= left && at[i] <= right && at[i] <= least + 2.0 * longest {
                let middle = f64::from(u32::try_from(i).unwrap()) * step;
                best = best.min(self.refine(p, (middle - step).max(0.0), (middle + step).min(1.0)));
            }
        }
        best
    }

    fn refine(&self, p: &Vec3, low: f64, high: f64) -> f64 {
        let f = |t: f64| distance(self.body, &(p - tip(self.path, t)));
        let ratio = (5.0_f64.sqrt() - 1.0) / 2.0;
        let (mut a, mut b) = (low, high);
        let (mut c, mut d) = (b - ratio * (b - a), a + ratio * (b - a));
        let (mut fc, mut fd) = (f(c), f(d));
        for _ in 0..44 {
            if fc < fd {
                (b, d, fd) = (d, c, fc);
                c = b - ratio * (b - a);
                fc = f(c);
            } else {
                (a, c, fc) = (c, d, fd);
                d = a + ratio * (b - a);
                fd = f(d);
            }
        }
        fc.min(fd)
    }
}

/// A point inside a body at the tip of the tool, from three numbers between 0 and 1.
pub(super) fn inner_point(body: &Body, a: f64, b: f64, c: f64) -> Vec3 {
    let (low, high, big) = match *body {
        Body::Frustum { z0, z1, r0, r1 } => (z0, z1, if r0 > r1 { r0 } else { r1 }),
        Body::HalfBall { z0, radius } => (z0, z0 + radius, radius),
        Body::RoundedDisc { z0, radius, corner } => (z0, z0 + corner, radius),
    };
    let h = low + (high - low) * a;
    let angle = b * std::f64::consts::TAU;
    let mut r = big * c;
    while distance(body, &Vec3::new(r, 0.0, h)) > 0.0 {
        r *= 0.9;
    }
    Vec3::new(r * angle.cos(), r * angle.sin(), h)
}

/// Tip at parameter `t`, straight from the definition of a path.
pub(super) fn tip(path: &Path, t: f64) -> Vec3 {
    match path {
        Path::Line { from, to } => from * (1.0 - t) + to * t,
        Path::Arc(a) => {
            let angle = a.start_angle + t * a.sweep;
            let (c, s) = (a.radius * angle.cos(), a.radius * angle.sin());
            a.center
                + match a.axis {
                    Axis::Z => Vec3::new(c, s, t * a.rise),
                    Axis::Y => Vec3::new(s, t * a.rise, c),
                    Axis::X => Vec3::new(t * a.rise, c, s),
                }
        }
    }
}

/// Signed distance of a point from a body whose tip is at the origin.
fn distance(body: &Body, p: &Vec3) -> f64 {
    let (d, h) = ((p.x * p.x + p.y * p.y).sqrt(), p.z);
    match *body {
        Body::Frustum { z0, z1, r0, r1 } => {
            let edges = [((0.0, z0), (r0, z0)), ((r0, z0), (r1, z1)), ((r1, z1), (0.0, z1))];
            let near = edges.iter().map(|(a, b)| to_segment(*a, *b, (d, h))).fold(f64::INFINITY, f64::min);
            let side = (d - r0) * (z1 - z0) - (h - z0) * (r1 - r0);
            if z0 <= h && h <= z1 && side <= 0.0 { -near } else { near }
        }
        Body::HalfBall { z0, radius } => round(d, h - (z0 + radius), 0.0, radius),
        Body::RoundedDisc { z0, radius, corner } => round(d, h - (z0 + corner), radius - corner, corner),
    }
}

/// Lower half of a disc of radius `flat` grown by a ball of radius `corner`; `h` from its top.
fn round(d: f64, h: f64, flat: f64, corner: f64) -> f64 {
    if h > 0.0 {
        let out = (d - flat - corner).max(0.0);
        return (out * out + h * h).sqrt();
    }
    let out = (d - flat).max(0.0);
    let below = (out * out + h * h).sqrt() - corner;
    if below > 0.0 { below } else { below.max(h) }
}

fn to_segment(a: (f64, f64), b: (f64, f64), p: (f64, f64)) -> f64 {
    let (vx, vy) = (b.0 - a.0, b.1 - a.1);
    let (wx, wy) = (p.0 - a.0, p.1 - a.1);
    let square = vx * vx + vy * vy;
    let t = if square > 0.0 { ((wx * vx + wy * vy) / square).clamp(0.0, 1.0) } else { 0.0 };
    let (ex, ey) = (wx - t * vx, wy - t * vy);
    (ex * ex + ey * ey).sqrt()
}
