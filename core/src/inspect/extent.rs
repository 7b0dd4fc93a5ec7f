//! How far the finished part reaches along an axis.

use super::finished::Finished;
use crate::geom::Axis;
use crate::stock::CutId;
use crate::units::NM_PER_MM;
use rayon::prelude::*;

/// Which end of the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Extreme {
    Lowest,
    Highest,
}

/// How often the step of the search for the very highest point is halved: from half the spacing to under a
/// five-hundredth of it, where a rounded end of any radius above the spacing is flat to 1e-6 of the spacing.
const HALVINGS: u32 = 9;

/// The outermost point of the part along an axis and who cut it; `None` when nothing is left.
///
/// Taken from the rays along that axis, then sharpened by single lines around the outermost one. A flat end is exact.
/// A sliver that stands out between two rays, thinner than their distance, can be missed.
pub(super) fn extreme(part: &dyn Finished, along: Axis, which: Extreme) -> Option<(f64, CutId)> {
    let sign = if which == Extreme::Highest { 1.0 } else { -1.0 };
    let (columns, rows) = part.counts(along);
    let best = (0..rows)
        .into_par_iter()
        .filter_map(|j| {
            (0..columns)
                .filter_map(|i| {
                    let ray = part.ray(along, i, j);
                    let end = if which == Extreme::Highest {
                        ray.last().map(|m| m.high)
                    } else {
                        ray.first().map(|m| m.low)
                    };
                    end.map(|e| (sign * f64::from(e) / NM_PER_MM, i, j))
                })
                .reduce(|a, b| if b.0 > a.0 { b } else { a })
        })
        // The first of equals wins, in the order of rows, whatever the number of threads.
        .reduce_with(|a, b| if b.0 > a.0 || (b.0 >= a.0 && (b.2, b.1) < (a.2, a.1)) { b } else { a })?;
    let end = |u: f64, v: f64| {
        let line = part.probe(along, u, v);
        match which {
            Extreme::Highest => line.last().map(|m| (sign * m.high, m.high_by)),
            Extreme::Lowest => line.first().map(|m| (sign * m.low, m.low_by)),
        }
    };
    let (mut u, mut v) = part.place(along, best.1, best.2);
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
