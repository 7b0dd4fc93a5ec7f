//! The lower half of a ball on a straight line, met by rays along Z and by level rays.
//!
//! Seen along a ray, the centre runs on a straight way, and the ray is a point at distance `c` from it, nearest to
//! its place `at`. With `W^2 = R^2 - c^2`, `g` the climb of the centre along the ray and `e` the way from the nearest
//! place, a chord ends at `g (at + e) -+ sqrt(W^2 - e^2)`. The lower end is lowest, and the upper highest, at
//! `e = -+ W g / sqrt(1 + g^2)`, where it is `g at -+ W sqrt(1 + g^2)`, or at the end of the way that comes nearest
//! to that. Which of the three it is shows in squares, so that each end costs one square root.
//!
//! The way is turned so that `g` is not negative.

mod across;
mod along;
mod rough;
mod way;

pub(super) use across::BallAcross;
pub(super) use along::BallAlong;
pub(super) use rough::Seen;
pub use rough::{Around, EndBounds, EndPlanes};
