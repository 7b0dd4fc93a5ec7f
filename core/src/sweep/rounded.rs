//! A disc with a rounded corner (a piece of a torus) on a line that rises or falls: the one family of straight moves
//! without a closed form. Its extremes are bracketed zeros, one ray at a time.

use super::across::Shift;
use super::root;
use crate::cutter::half_chord;

/// Where parameters are this exact along the path, millimetres, so is the surface: a hundredth of a nanometre.
pub(super) const ALONG_PATH: f64 = 1e-8;

/// Span on a level ray: a disc of radius `flat` with a rounded corner about it; `up` from the height of the corner's
/// centres.
pub(super) fn across(shift: &Shift, side: f64, up: f64, flat: f64, corner: f64) -> Option<(f64, f64)> {
    let window = window(shift, side, up, flat, corner)?;
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
fn window(shift: &Shift, side: f64, up: f64, flat: f64, corner: f64) -> Option<(f64, f64)> {
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

/// How far behind the nearest point a ray along Z touches the corner of a body that climbs: `tan(phi) * x / d = climb`
/// with `d = flat + corner * sin(phi)`; the left side grows with `x`, the way behind. `c` is the level distance of the
/// ray from the line.
pub(super) fn back(c: f64, (radius, corner): (f64, f64), climb: f64) -> f64 {
    let flat = radius - corner;
    let first = if c < flat { half_chord(flat, c) } else { 0.0 };
    if climb <= 0.0 {
        return 0.0;
    }
    let last = half_chord(radius, c);
    root::between(first, last, ALONG_PATH, |x| {
        let d = (c * c + x * x).sqrt();
        let sin = ((d - flat) / corner).clamp(0.0, 1.0);
        sin * x - climb * d * half_chord(1.0, sin)
    })
}
