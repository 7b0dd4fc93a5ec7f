//! Between millimetres in floating point and whole nanometres.

#![expect(
    clippy::cast_possible_truncation,
    reason = "every conversion is clamped to its range, or rounds on purpose, in this file only"
)]

use crate::units::NM_PER_MM;

/// Farthest from the part's zero that the stock may reach, and longest edge of the stock, nm: 2.1 m. Kept under
/// `i32::MAX` so that the difference of two ends never overflows.
pub(crate) const REACH: i32 = 2_100_000_000;

/// An overlap of this many nanometres or fewer is rounding, not a cut: the face keeps its first cutter.
pub(crate) const NOISE: i32 = 1;

/// A piece of material this thin or thinner, nm, is rounding between two cuts that meet, and goes with them.
pub(crate) const FILM: i32 = 2;

/// An end that lies beyond all stock; with room to add [`NOISE`] and [`FILM`] without overflow.
pub(crate) const FAR: i32 = i32::MAX - 16;

/// Adding this to a number under 2^31 leaves the nearest whole number in the low bits of the sum, as two's complement:
/// 1.5 * 2^52, so that the last bit of the sum is worth one. Ties go to the even number.
const WHOLE: f64 = 6_755_399_441_055_744.0;

/// The same for numbers of half the figures, under 2^22: 1.5 * 2^23.
const SHORT_WHOLE: f32 = 12_582_912.0;

/// See [`Sums`].
const PIECE: f32 = 4096.0;

/// Nearest whole nanometre, clamped to [`REACH`].
#[inline(always)]
pub(crate) fn nm_from_mm(mm: f64) -> i32 {
    low_half(nm_in_low_half(mm))
}

/// The same in the low half of the bits: lanes of a number's own width, where those of half the width would be put together from
/// several vectors.
#[inline(always)]
pub(crate) fn nm_in_low_half(mm: f64) -> u64 {
    let reach = f64::from(REACH);
    let nm = mm * NM_PER_MM;
    let nm = if nm < reach { nm } else { reach };
    let nm = if nm > -reach { nm } else { -reach };
    whole_in_low_half(nm)
}

/// The nearest whole number of one under 2^31, in the low half of the bits: not a cast of the number, which would look at every
/// lane by itself for numbers out of range.
#[inline(always)]
pub(crate) const fn whole_in_low_half(x: f64) -> u64 {
    (x + WHOLE).to_bits()
}

/// Sums of a place, not farther than [`REACH`], and numbers with half the figures, whole nanometres. What lies farther away than
/// [`REACH`], which may be anywhere, stays beyond it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sums {
    from: i32,
    least: f32,
    most: f32,
}

impl Sums {
    /// From a place.
    #[inline(always)]
    pub(crate) fn from(from: i32) -> Self {
        // Far enough beyond for rounding of numbers of this size, and far enough within what whole numbers hold.
        let beyond = f64::from(REACH) + 2e7;
        Self { from, least: short(-beyond - f64::from(from)), most: short(beyond - f64::from(from)) }
    }

    /// The place and a number.
    #[inline(always)]
    pub(crate) fn add(self, nm: f32) -> i32 {
        let nm = if nm < self.most { nm } else { self.most };
        let nm = if nm > self.least { nm } else { self.least };
        // Whole pieces of 4096 and what is left, each as in [`nm_in_low_half`]. No vector of half the width is needed.
        let pieces = nm * (1.0 / PIECE) + SHORT_WHOLE;
        let rest = nm - (pieces - SHORT_WHOLE) * PIECE + SHORT_WHOLE;
        let whole = |x: f32| x.to_bits().wrapping_sub(SHORT_WHOLE.to_bits()).cast_signed();
        self.from.wrapping_add(whole(pieces) << 12).wrapping_add(whole(rest))
    }
}

/// A number with half the figures.
#[inline(always)]
pub(crate) const fn short(x: f64) -> f32 {
    x as f32
}

/// What [`nm_in_low_half`] holds.
#[inline(always)]
pub(crate) const fn low_half(bits: u64) -> i32 {
    bits as i32
}

/// Millimetres of a whole number of nanometres.
pub(crate) fn mm_from_nm(nm: i32) -> f64 {
    f64::from(nm) / NM_PER_MM
}

/// Half nanometres in a millimetre.
pub(crate) const HALVES_PER_MM: f64 = 2.0 * NM_PER_MM;

/// Nearest floating-point number (exact under 2^53).
#[expect(
    clippy::cast_precision_loss,
    reason = "sums of lengths stay far under 2^53 or lose only their last bit"
)]
pub(crate) const fn float(n: i64) -> f64 {
    n as f64
}

/// A number as an index: floor, clamped to `0..=limit`; NaN gives 0.
#[expect(clippy::cast_sign_loss, reason = "clamped to not negative just before")]
pub(crate) fn index(x: f64, limit: u32) -> u32 {
    x.clamp(0.0, f64::from(limit)) as u32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn float_to_nearest(x: f32) -> i64 {
        f64::from(x).round_ties_even() as i64
    }

    #[test]
    fn rounds_to_the_nearest_and_clamps() {
        assert_eq!(nm_from_mm(25.4), 25_400_000);
        assert_eq!(nm_from_mm(-0.000_000_6), -1);
        assert_eq!(nm_from_mm(0.000_000_4), 0);
        assert_eq!(nm_from_mm(-0.000_000_4), 0);
        assert_eq!(nm_from_mm(0.000_000_6), 1);
        assert_eq!(nm_from_mm(2_099.999_999_6), REACH);
        assert_eq!(nm_from_mm(1.0e9), REACH);
        assert_eq!(nm_from_mm(f64::NEG_INFINITY), -REACH);
        for from in [0, 1_234_567, REACH, -REACH] {
            let sums = Sums::from(from);
            for nm in [0.0_f32, 0.6, -0.6, 4096.0, 6143.0, 6145.0, -2049.0, 1.5e6, -7.77e8, 1e9] {
                let sum = i64::from(from) + float_to_nearest(nm);
                if sum.abs() <= i64::from(REACH) {
                    assert_eq!(i64::from(sums.add(nm)), sum, "{from} {nm}");
                }
            }
            assert!(sums.add(f32::INFINITY) > REACH && sums.add(f32::NEG_INFINITY) < -REACH, "{from}");
        }
        assert_eq!(index(f64::NAN, 7), 0);
        assert_eq!(index(3.9, 7), 3);
    }
}
