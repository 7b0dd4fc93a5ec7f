//! The least distance while a tool goes along a straight line past a convex solid.
//!
//! The distance between two convex bodies is a convex function of their relative position, so along a straight line it
//! falls, may stay, and rises. Golden-section search keeps a stretch that holds the least value and shortens it; the
//! distance changes by at most the way moved, which turns the shortest stretch into a bound (both facts: S. Boyd and
//! L. Vandenberghe, "Convex Optimization", 2004, sections 3.2.5 and A.1).

use super::Nearest;
use crate::geom::Vec3;

/// Stretch at which the search ends, millimetres: half of the resolution promised.
const SHORT: f64 = 0.4 * super::RESOLUTION;
/// (sqrt(5) - 1) / 2.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Longest line looked at in one search, steps: 10 m down to `SHORT` takes 51.
const MOST_STEPS: usize = 80;

/// Least value of a distance function on a line; see [`Nearest`]. `distance` also gives the nearest point.
pub(super) fn least(from: Vec3, to: Vec3, cutoff: f64, distance: impl Fn(Vec3) -> (f64, Vec3)) -> Nearest {
    let length = (to - from).norm();
    let at = |t: f64| {
        let (gap, on) = distance(from + (to - from) * t);
        Nearest { gap, on_shape: on, along: t }
    };
    let (first, last) = (at(0.0), at(1.0));
    let mut best = if last.gap < first.gap { last } else { first };
    let lipschitz = ((first.gap + last.gap - length) * 0.5).max(0.0);
    if best.gap <= 0.0 || lipschitz >= cutoff || length <= SHORT {
        // Under 0.4 micrometres of way the ends say it all.
        return Nearest { gap: if best.gap <= 0.0 { 0.0 } else { lipschitz.max(best.gap - length) }, ..best };
    }
    let (mut low, mut high) = (0.0, 1.0);
    let mut left = at(1.0 - GOLDEN);
    let mut right = at(GOLDEN);
    for _ in 0..MOST_STEPS {
        for seen in [left, right] {
            if seen.gap < best.gap {
                best = seen;
            }
        }
        if best.gap <= 0.0 || (high - low) * length <= SHORT {
            break;
        }
        if left.gap <= right.gap {
            high = right.along;
            right = left;
            left = at(high - GOLDEN * (high - low));
        } else {
            low = left.along;
            left = right;
            right = at(low + GOLDEN * (high - low));
        }
    }
    Nearest { gap: (best.gap - (high - low) * length).max(0.0), ..best }
}
