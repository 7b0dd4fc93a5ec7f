//! Distance in the half plane through the spindle axis.
//!
//! The distance from a point to a body of revolution depends only on the point's distance from the axis and on its
//! height, and it grows with the distance from the axis because the body is convex and holds its own axis. So a box
//! square to the axes, or an upright cylinder, is as near as the vertical line at its least distance from the axis.
//! Along that line the distance is a convex function of height: its least value is at the height nearest to the
//! body's widest place. Everything here is closed form; rounding is far below a nanometre.

use crate::cutter::Body;

/// Distance between a body and the vertical line at distance `rho >= 0` from its axis, from height `low` to `high`
/// above the tip, millimetres; 0 when they meet. Also the height on the line where it is least.
pub(super) fn to_upright_line(body: &Body, rho: f64, low: f64, high: f64) -> (f64, f64) {
    let (first, last) = nearest_heights(body, rho);
    let z = if high < first {
        high
    } else if low > last {
        low
    } else {
        first.max(low)
    };
    (to_point(body, rho, z), z)
}

/// Distance between a body and the point at distance `rho >= 0` from its axis and at height `z`.
pub(super) fn to_point(body: &Body, rho: f64, z: f64) -> f64 {
    match *body {
        Body::Frustum { z0, z1, r0, r1 } => to_frustum(rho, z, [z0, z1], [r0, r1]),
        Body::HalfBall { z0, radius } => to_rounded(rho, z, z0 + radius, radius, radius),
        Body::RoundedDisc { z0, radius, corner } => to_rounded(rho, z, z0 + corner, radius, corner),
    }
}

/// The heights at which a vertical line at `rho`, without ends, is nearest to the body.
fn nearest_heights(body: &Body, rho: f64) -> (f64, f64) {
    match *body {
        Body::HalfBall { z0, radius } => (z0 + radius, z0 + radius),
        Body::RoundedDisc { z0, corner, .. } => (z0 + corner, z0 + corner),
        Body::Frustum { z0, z1, r0, r1 } => {
            let (thin, wide) = (r0.min(r1), r0.max(r1));
            if rho <= thin || wide <= thin {
                return (z0, z1);
            }
            // Part of the height at which the side reaches out to `rho`; 1 at the widest end.
            let part = ((rho - thin) / (wide - thin)).min(1.0);
            if r1 > r0 { (z0 + (z1 - z0) * part, z1) } else { (z0, z1 - (z1 - z0) * part) }
        }
    }
}

/// Lower half of a disc with a rounded edge whose rounding is centred at height `zc`.
fn to_rounded(rho: f64, z: f64, zc: f64, radius: f64, corner: f64) -> f64 {
    if z > zc {
        return libm::hypot((rho - radius).max(0.0), z - zc);
    }
    (libm::hypot((rho - (radius - corner)).max(0.0), zc - z) - corner).max(0.0)
}

/// A trapezium from the axis to its side.
fn to_frustum(rho: f64, z: f64, [z0, z1]: [f64; 2], [r0, r1]: [f64; 2]) -> f64 {
    let part = ((z - z0) / (z1 - z0)).clamp(0.0, 1.0);
    if z0 <= z && z <= z1 && rho <= r0 + (r1 - r0) * part {
        return 0.0;
    }
    let side = to_segment([rho, z], [r0, z0], [r1, z1]);
    let below = libm::hypot((rho - r0).max(0.0), z - z0);
    let above = libm::hypot((rho - r1).max(0.0), z - z1);
    side.min(below).min(above)
}

fn to_segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
    let squared = dx * dx + dy * dy;
    let t = if squared > 0.0 { ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / squared } else { 0.0 };
    let t = t.clamp(0.0, 1.0);
    libm::hypot(p[0] - a[0] - dx * t, p[1] - a[1] - dy * t)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::distance::bodies::body;
    use proptest::prelude::*;

    /// Is the point inside, straight from the description of the body?
    fn inside(body: &Body, rho: f64, z: f64) -> bool {
        match *body {
            Body::Frustum { z0, z1, r0, r1 } => {
                z0 <= z && z <= z1 && rho <= r0 + (r1 - r0) * (z - z0) / (z1 - z0)
            }
            Body::HalfBall { z0, radius } => {
                z <= z0 + radius && rho * rho + (z - z0 - radius).powi(2) <= radius * radius
            }
            Body::RoundedDisc { z0, radius, corner } => {
                z0 <= z
                    && z <= z0 + corner
                    && rho <= radius
                    && (rho <= radius - corner
                        || (rho - radius + corner).powi(2) + (z - z0 - corner).powi(2) <= corner * corner)
            }
        }
    }

    proptest! {
        /// Against a dense sampling of the body and of the line, which shares no code with the closed form.
        #[test]
        fn agrees_with_dense_sampling(body in body(5.0), rho in 0.0..9.0, low in -6.0..9.0_f64, length in 0.0..6.0) {
            let high = low + length;
            let (gap, z) = to_upright_line(&body, rho, low, high);
            prop_assert!(low <= z && z <= high);
            let mut least = f64::INFINITY;
            let (bottom, top, widest) = (body.bottom(), body.top(), body.radius());
            for i in 0..=200 {
                for k in 0..=200 {
                    let (r, h) = (widest * f64::from(i) / 200.0, bottom + (top - bottom) * f64::from(k) / 200.0);
                    if inside(&body, r, h) {
                        let dz = (low - h).max(h - high).max(0.0);
                        least = least.min(libm::hypot(r - rho, dz));
                    }
                }
            }
            prop_assert!(gap <= least + 1e-9, "gap {gap} more than sampled {least}");
            prop_assert!(least <= gap + 0.15, "gap {gap}, sampled {least}");
        }
    }

    #[test]
    fn closed_forms() {
        let cylinder = Body::Frustum { z0: 0.0, z1: 20.0, r0: 5.0, r1: 5.0 };
        assert!((to_upright_line(&cylinder, 8.0, -3.0, 4.0).0 - 3.0).abs() < 1e-12);
        assert!((to_upright_line(&cylinder, 8.0, -9.0, -4.0).0 - 5.0).abs() < 1e-12);
        let cone = Body::Frustum { z0: 0.0, z1: 5.0, r0: 0.0, r1: 5.0 };
        // A 45 degree cone over an edge at distance 4, whose top is at height 0.
        assert!((to_upright_line(&cone, 4.0, -9.0, 0.0).0 - 8.0_f64.sqrt()).abs() < 1e-12);
        let ball = Body::HalfBall { z0: 0.0, radius: 3.0 };
        assert!((to_upright_line(&ball, 4.0, -9.0, 0.0).0 - 2.0).abs() < 1e-12);
    }
}
