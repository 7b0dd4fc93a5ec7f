//! Angles of many directions at once.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, TAU};

/// Tangent of an eighth of half a turn.
const TAN_EIGHTH: f64 = 0.414_213_562_373_095_03;

/// `(atan(t) / t - 1) / t^2` as a polynomial in `t^2`, constant first: interpolated at the places that spread its error evenly
/// over `t <= tan(pi / 8)`. It is off by less than 5e-18 of `t`, so that rounding decides.
const ARC: [f64; 11] = [
    -0.333_333_333_333_333_3,
    0.199_999_999_999_955_16,
    -0.142_857_142_846_656_82,
    0.111_111_110_151_870_18,
    -0.090_909_045_753_064_9,
    0.076_921_831_253_768_92,
    -0.066_645_105_255_089_36,
    0.058_581_409_048_663_28,
    -0.050_854_078_345_894_844,
    0.039_230_447_784_793_09,
    -0.019_175_404_711_104_935,
];

/// The angle of each `(x, y)` from +x, radians, counter-clockwise, from -pi to pi; 0 for no direction. Right to 1e-15.
#[inline(always)]
pub(super) fn angles<const N: usize>(x: &[f64; N], y: &[f64; N]) -> [f64; N] {
    let mut out = *x;
    for (out, y) in out.iter_mut().zip(y) {
        let (x, y) = (*out, *y);
        let (across, up) = (x.abs(), y.abs());
        let steep = up > across;
        let (small, big) = if steep { (across, up) } else { (up, across) };
        // Near the diagonal the angle is counted from there.
        let far = small > TAN_EIGHTH * big;
        let (over, under) = if far { (small - big, small + big) } else { (small, big) };
        let t = over / if under > 0.0 { under } else { 1.0 };
        let s = t * t;
        let series = ARC.iter().rev().fold(0.0, |sum, c| sum * s + c);
        let from_axis = t + t * (s * series) + if far { FRAC_PI_4 } else { 0.0 };
        let turned = if steep { FRAC_PI_2 - from_axis } else { from_axis };
        let half = if x < 0.0 { PI - turned } else { turned };
        *out = if y < 0.0 { -half } else { half };
    }
    out
}

/// An angle less whole turns, from 0 to a turn but for rounding.
#[inline(always)]
pub(super) fn in_one_turn(angle: f64) -> f64 {
    angle - (angle / TAU).floor() * TAU
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn angles_are_those_of_the_library_all_round() {
        let mut worst = 0.0_f64;
        for k in -40_000..=40_000 {
            let a = f64::from(k) * (PI / 40_000.0);
            for size in [1.0e-9, 1.0, 37.0] {
                let (x, y) = (size * libm::cos(a), size * libm::sin(a));
                let [found] = angles(&[x], &[y]);
                worst = worst.max((found - libm::atan2(y, x)).abs());
            }
        }
        assert!(worst < 1.0e-15, "{worst}");
    }

    #[test]
    fn axes_and_diagonals_are_exact_and_sixteen_are_one() {
        let x = [1.0, 1.0, 0.0, -1.0, -1.0, -1.0, 0.0, 1.0, 0.0, 3.0, 0.5, -0.1, 1e-300, -7.0, 2.0, 1e9];
        let y = [0.0, 1.0, 1.0, 1.0, 0.0, -1.0, -1.0, -1.0, 0.0, 1.0, 3.0, 0.2, 1e-300, 2.9, -0.9, 1.0];
        let all = angles(&x, &y);
        for (k, (x, y)) in x.iter().zip(&y).enumerate() {
            let [one] = angles(&[*x], &[*y]);
            assert_eq!(all[k].to_bits(), one.to_bits());
            if k < 8 {
                assert!((one - libm::atan2(*y, *x)).abs() < 1e-300, "{x} {y} {one}");
            }
        }
        assert_eq!(all[8].to_bits(), 0.0_f64.to_bits());
    }

    #[test]
    fn turns_are_left_out() {
        for (angle, want) in [(0.5, 0.5), (-0.5, TAU - 0.5), (7.0 * TAU + 1.0, 1.0), (-3.0 * TAU + 2.0, 2.0)]
        {
            assert!((in_one_turn(angle) - want).abs() < 1e-14);
        }
    }
}
