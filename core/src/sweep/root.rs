//! One safeguarded root finder for everything that has no closed form.

/// Most steps; bisection alone would need about 60 for any interval of numbers met here.
const MOST_STEPS: usize = 100;

/// A zero of a continuous function between `a` and `b`, where it has opposite signs (a zero counts as either).
///
/// The zero is bracketed all the time; the bracket shrinks to `tolerance` or to the spacing of the numbers. Steps are
/// inverse quadratic where that is safe and bisections elsewhere (T. R. Chandrupatla, "A new hybrid
/// quadratic/bisection algorithm for finding the zero of a nonlinear function without using derivatives", Advances in
/// Engineering Software 28, 1997).
///
/// Where both ends have the same sign, the end with the smaller value is returned.
pub(super) fn between(a: f64, b: f64, tolerance: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut a, mut b) = (a, b);
    let (mut fa, mut fb) = (f(a), f(b));
    if (fa < 0.0) == (fb < 0.0) {
        return if fa.abs() < fb.abs() { a } else { b };
    }
    let mut t = 0.5;
    for _ in 0..MOST_STEPS {
        let x = a + t * (b - a);
        let fx = f(x);
        let (c, fc);
        if (fx < 0.0) == (fa < 0.0) {
            (c, fc) = (a, fa);
        } else {
            (c, fc) = (b, fb);
            (b, fb) = (a, fa);
        }
        (a, fa) = (x, fx);
        let width = (b - a).abs();
        let step = (0.5 * tolerance + 2.0 * f64::EPSILON * a.abs()) / width;
        // Also when the width is zero.
        if !(step < 0.5) || fa.abs() <= 0.0 {
            break;
        }
        let xi = (a - b) / (c - b);
        let phi = (fa - fb) / (fc - fb);
        t = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            fa / (fb - fa) * (fc / (fb - fc)) + (c - a) / (b - a) * (fa / (fc - fa)) * (fb / (fc - fb))
        } else {
            0.5
        };
        t = t.clamp(step, 1.0 - step);
    }
    if fa.abs() < fb.abs() { a } else { b }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_zeros_of_smooth_steep_and_flat_functions() {
        assert!((between(0.0, 3.0, 1e-14, |x| x * x - 2.0) - 2.0_f64.sqrt()).abs() < 1e-13);
        assert!((between(0.0, 1.0, 1e-14, |x| if x < 0.3 { -1.0 } else { 1.0 }) - 0.3).abs() < 1e-13);
        assert!((between(-1.0, 2.0, 1e-12, |x| x * x * x * x * x)).abs() < 1e-9);
        assert!((between(0.0, 1.0, 1e-12, |x| 1.0 + x)).abs() < 1e-12, "no change of sign: the better end");
    }
}
