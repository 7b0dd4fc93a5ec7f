//! Tool bodies for the tests of distances.

use crate::cutter::Body;
use proptest::prelude::*;

/// Any body, frustums up to a height.
pub(super) fn body(tallest: f64) -> impl Strategy<Value = Body> {
    prop_oneof![
        (0.0..4.0, 0.1..tallest, 0.0..6.0, 0.1..6.0).prop_map(|(z0, h, r0, r1)| Body::Frustum {
            z0,
            z1: z0 + h,
            r0,
            r1
        }),
        (0.0..4.0, 0.2..6.0).prop_map(|(z0, radius)| Body::HalfBall { z0, radius }),
        (0.0..4.0, 1.0..6.0, 0.05..0.95).prop_map(|(z0, radius, part)| Body::RoundedDisc {
            z0,
            radius,
            corner: radius * part
        }),
    ]
}
