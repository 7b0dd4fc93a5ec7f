//! How far the finished part reaches along an axis.

use super::finished::Finished;
use crate::geom::Direction;
use crate::stock::CutId;

/// How often the step of the search for the very highest point is halved: from half the spacing to under a
/// five-hundredth of it, where a rounded end of any radius above the spacing is flat to 1e-6 of the spacing.
const HALVINGS: u32 = 9;

/// The outermost point of the part in a direction and who cut it; `None` when nothing is left.
///
/// Taken from the rays along that axis, then sharpened by single lines around the outermost one. A flat end is exact.
/// A sliver that stands out between two rays, thinner than their distance, can be missed.
pub(super) fn extreme(part: &dyn Finished, toward: Direction) -> Option<(f64, CutId)> {
    let (along, sign) = (toward.axis, toward.sign());
    let best = part.outermost(toward)?;
    let end = |u: f64, v: f64| {
        let line = part.probe(along, u, v);
        if toward.positive {
            line.last().map(|m| (sign * m.high, m.high_by))
        } else {
            line.first().map(|m| (sign * m.low, m.low_by))
        }
    };
    let (mut u, mut v) = part.place(along, best.i, best.j);
    let mut top = end(u, v)?;
    let (mut du, mut dv) = part.steps(along);
    for _ in 0..HALVINGS {
        (du, dv) = (du / 2.0, dv / 2.0);
        for (a, b) in [(du, 0.0), (-du, 0.0), (0.0, dv), (0.0, -dv)] {
            if let Some(found) = end(u + a, v + b).filter(|f| f.0 > top.0 + 1.0e-9) {
                (top, u, v) = (found, u + a, v + b);
            }
        }
    }
    Some((sign * top.0, top.1))
}
