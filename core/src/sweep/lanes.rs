//! Small pieces of arithmetic for many rays at once.
//!
//! Everything that meets many rays is written for `N` of them, as plain loops without a branch that depends on the ray,
//! so that the compiler makes vectors of whatever width the processor has; one ray is `N == 1` of the same code.
//! Nothing is fused or reassociated, so every width gives the same bits.

/// A ray that meets nothing has its span from here ...
pub(super) const MISSED_LOW: f64 = f64::INFINITY;
/// ... to here.
pub(super) const MISSED_HIGH: f64 = f64::NEG_INFINITY;

/// The smaller; the second where the first is not a number.
#[inline(always)]
pub(super) fn least(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The larger; the second where the first is not a number.
#[inline(always)]
pub(super) fn most(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// `x` moved into `low..=high`; `low` where the two are crossed.
#[inline(always)]
pub(super) fn within(x: f64, low: f64, high: f64) -> f64 {
    most(least(x, high), low)
}

/// The span where `met`, otherwise none.
#[inline(always)]
pub(super) fn span_if(met: bool, low: f64, high: f64) -> (f64, f64) {
    (if met { low } else { MISSED_LOW }, if met { high } else { MISSED_HIGH })
}

/// `(low, high)` of one lane as an option.
#[inline(always)]
pub(super) fn span_of(low: [f64; 1], high: [f64; 1]) -> Option<(f64, f64)> {
    let ([low], [high]) = (low, high);
    (low <= high).then_some((low, high))
}
