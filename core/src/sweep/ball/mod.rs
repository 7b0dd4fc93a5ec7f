//! The lower half of a ball on a straight line, met by rays along Z and by level rays.
//!
//! Seen along a ray, the centre runs on a straight way, and the ray is a point at distance `c` from it, nearest to
//! its place `at`. With `W^2 = R^2 - c^2`, `g` the climb of the centre along the ray and `e` the way from the nearest
//! place, a chord ends at `g (at + e) -+ sqrt(W^2 - e^2)`. The lower end is lowest, and the upper highest, at
//! `e = -+ W g / sqrt(1 + g^2)`, where it is `g at -+ W sqrt(1 + g^2)`, or at the end of the way that comes nearest
//! to that. Which of the three it is shows in squares, so that each end costs one square root.
//!
//! The way is turned so that `g` is not negative.

#![expect(clippy::indexing_slicing, reason = "lanes are counted by a constant")]

mod across;
mod along;
mod way;

pub(super) use across::BallAcross;
pub(super) use along::BallAlong;

use way::Patch;

/// Planes between which the ends of the spans lie on rays around each of `N` places.
#[derive(Clone, Copy, Debug)]
pub struct EndPlanes<const N: usize> {
    /// In the middle every end is above this; turned over (below minus this) where upper ends are meant.
    pub under: [f64; N],
    /// In the middle every end is below this where it is finite for the lower ends and for the upper ones; every ray then has a
    /// span. Infinite where that is not known.
    pub over: [f64; N],
    /// Rise for each millimetre along the two coordinates.
    pub slopes: ([f64; N], [f64; N]),
}

impl<const N: usize> EndPlanes<N> {
    /// Nothing known yet.
    pub const NONE: Self =
        Self { under: [f64::NEG_INFINITY; N], over: [f64::INFINITY; N], slopes: ([0.0; N], [0.0; N]) };

    #[inline(always)]
    fn put(&mut self, k: usize, from: f64, patch: &Patch) {
        self.under[k] = from + patch.under;
        self.over[k] = from + patch.over;
        (self.slopes.0[k], self.slopes.1[k]) = patch.slopes;
    }
}
