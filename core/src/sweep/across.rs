//! A body on a straight line, met by a level ray (along X or Y).
//!
//! Seen along the ray, the body at parameter `t` of the move has the silhouette `|e| <= rho(h)` with
//! `e = side - t * shift.side` and `h = up - t * shift.up`; where the ray passes it, it meets the chord
//! `t * shift.along +- w`, `w = sqrt(rho(h)^2 - e^2)`. The body is convex, so `w` is a concave function of `(e, h)` and
//! the outer ends of all chords are the extremes of concave functions of `t` on one interval. Each `t` that is tried is
//! tried with its true chord: a candidate that is a little off never makes the span too long.

use super::root;
use crate::cutter::{Body, half_chord};

/// By how much the body moves, seen from the ray, millimetres.
pub(super) struct Shift {
    /// Along the ray.
    pub(super) along: f64,
    /// Square to the ray, level.
    pub(super) side: f64,
    /// Along Z.
    pub(super) up: f64,
}

/// Where parameters are this exact along the path, millimetres, so is the surface: a hundredth of a nanometre.
pub(super) const ALONG_PATH: f64 = 1e-8;

/// Squares of movements below this, mm^2, are no movement (1e-12 mm).
const NO_MOVE: f64 = 1e-24;

/// Span on the ray at `(side, up)`; coordinates relative to the tip at the start of the move.
pub(super) fn span(body: &Body, shift: &Shift, side: f64, up: f64) -> Option<(f64, f64)> {
    if shift.up.abs() <= 0.0 {
        let rho = body.radius_at(up)?;
        return discs(shift, side, (rho, 0.0, rho), (0.0, 1.0));
    }
    match *body {
        Body::Frustum { z0, z1, r0, r1 } => {
            let window = clip((0.0, 1.0), shift.up, up - z1)?;
            let window = clip(window, -shift.up, z0 - up)?;
            if r0 < r1 || r1 < r0 {
                let slope = (r1 - r0) / (z1 - z0);
                discs(shift, side, (r0 + slope * (up - z0), -slope * shift.up, body.radius()), window)
            } else {
                discs(shift, side, (r0, 0.0, r0), window)
            }
        }
        Body::HalfBall { z0, radius } => ball(shift, side, up - (z0 + radius), radius),
        Body::RoundedDisc { z0, radius, corner } => {
            rounded(shift, side, up - (z0 + corner), radius - corner, corner)
        }
    }
}

/// The part of a window where `bound <= t * rate`.
fn clip(window: (f64, f64), rate: f64, bound: f64) -> Option<(f64, f64)> {
    let (mut low, mut high) = window;
    if rate > 0.0 {
        low = low.max(bound / rate);
    } else if rate < 0.0 {
        high = high.min(bound / rate);
    } else if bound > 0.0 {
        return None;
    }
    (low <= high).then_some((low, high))
}

/// Extremes of `t * along +- w(t)` over the ends of the window and two inner candidates.
fn extremes(along: f64, window: (f64, f64), inner: [f64; 2], w: impl Fn(f64) -> f64) -> (f64, f64) {
    let mut out = (f64::INFINITY, f64::NEG_INFINITY);
    for t in [window.0, window.1, inner[0], inner[1]] {
        // A candidate that is not a number (no tangent there) is left out.
        if window.0 <= t && t <= window.1 {
            let (x, w) = (t * along, w(t));
            out = (out.0.min(x - w), out.1.max(x + w));
        }
    }
    out
}

/// Discs of radius `rho + t * growth`: level moves of any body, and cylinders and cones on any line.
///
/// The outline of a growing disc that moves by `L` has the outward normal `n` with `n . shift + growth = 0`: the outer
/// tangents of the first and the last disc. No disc is larger than `largest`: the sides of a thin cone are so flat
/// that rounding of a height shows in the radius.
fn discs(
    shift: &Shift,
    side: f64,
    (rho, growth, largest): (f64, f64, f64),
    window: (f64, f64),
) -> Option<(f64, f64)> {
    let window = clip(window, growth + shift.side, side - rho)?;
    let window = clip(window, growth - shift.side, -side - rho)?;
    let square = shift.along * shift.along + shift.side * shift.side;
    let mut inner = [f64::NAN; 2];
    if square > growth * growth && square > NO_MOVE {
        let length = square.sqrt();
        let (on_along, on_side) = (shift.along / length, shift.side / length);
        let n = -growth / length;
        let across = (1.0 - n * n).max(0.0).sqrt();
        inner = [n * on_side + across * on_along, n * on_side - across * on_along]
            .map(|n_side| (side - n_side * rho) / (shift.side + n_side * growth));
    }
    Some(extremes(shift.along, window, inner, |t| {
        half_chord((rho + t * growth).min(largest), side - t * shift.side)
    }))
}

/// The lower half of a ball; `up` from its centre. Seen along the ray the centre runs on a line at distance `c`, and
/// `w = sqrt(W^2 - tau^2)` with `W^2 = R^2 - c^2` and `tau` the way from the nearest point: a circle again.
fn ball(shift: &Shift, side: f64, up: f64, radius: f64) -> Option<(f64, f64)> {
    // The centre must not be below the ray.
    let window = clip((0.0, 1.0), shift.up, up)?;
    let square = shift.side * shift.side + shift.up * shift.up;
    if square <= NO_MOVE {
        let d = libm::hypot(side, up);
        return (d <= radius)
            .then(|| extremes(shift.along, window, [f64::NAN; 2], |_| half_chord(radius, d)));
    }
    let speed = square.sqrt();
    let c = (side * shift.up - up * shift.side).abs() / speed;
    if c > radius {
        return None;
    }
    let w = half_chord(radius, c);
    let nearest = (side * shift.side + up * shift.up) / square;
    let window = (window.0.max(nearest - w / speed), window.1.min(nearest + w / speed));
    if !(window.0 <= window.1) {
        return None;
    }
    let lean = w * shift.along / (speed * (square + shift.along * shift.along).sqrt());
    Some(extremes(shift.along, window, [nearest + lean, nearest - lean], |t| {
        half_chord(w, speed * (t - nearest))
    }))
}

/// A disc of radius `flat` with a rounded corner about it; `up` from the height of the corner's centres.
fn rounded(shift: &Shift, side: f64, up: f64, flat: f64, corner: f64) -> Option<(f64, f64)> {
    let window = rounded_window(shift, side, up, flat, corner)?;
    let length = (shift.along * shift.along + shift.side * shift.side + shift.up * shift.up).sqrt();
    let at = |t: f64| {
        let (e, h) = (side - t * shift.side, up - t * shift.up);
        let bow = half_chord(corner, h);
        (e, h, bow, half_chord(flat + bow, e))
    };
    // Sign of the slope of `t * along + w`, multiplied by `w` and by the corner's half chord so that it stays finite.
    let rise = |along: f64| {
        move |t: f64| {
            let (e, h, bow, w) = at(t);
            (w * along + e * shift.side) * bow + (flat + bow) * h * shift.up
        }
    };
    let tolerance = ALONG_PATH / length;
    let top = root::between(window.0, window.1, tolerance, rise(shift.along));
    let bottom = root::between(window.0, window.1, tolerance, rise(-shift.along));
    Some(extremes(shift.along, window, [top, bottom], |t| at(t).3))
}

/// The parameters at which the ray meets the rounded disc: from the first to the last over the three convex pieces of
/// its silhouette, a rectangle and two quarter discs.
fn rounded_window(shift: &Shift, side: f64, up: f64, flat: f64, corner: f64) -> Option<(f64, f64)> {
    let above = clip((0.0, 1.0), shift.up, up)?;
    let middle = clip(above, -shift.up, -corner - up)
        .and_then(|w| clip(w, shift.side, side - flat))
        .and_then(|w| clip(w, -shift.side, -side - flat));
    let circle = |e: f64| {
        let still = Shift { along: 0.0, ..*shift };
        let square = still.side * still.side + still.up * still.up;
        let c = (e * still.up - up * still.side).abs() / square.sqrt();
        if !(c <= corner) {
            return None;
        }
        let nearest = (e * still.side + up * still.up) / square;
        let half = half_chord(corner, c) / square.sqrt();
        let window = (above.0.max(nearest - half), above.1.min(nearest + half));
        (window.0 <= window.1).then_some(window)
    };
    [middle, circle(side - flat), circle(side + flat)]
        .into_iter()
        .flatten()
        .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}
