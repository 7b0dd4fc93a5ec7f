use super::result::{Measured, Verdict};
use crate::job::Tolerance;

/// Judges a value: within its limits by at least the bound, outside by more than the bound, or undecided.
pub(super) fn judge(m: &Measured, nominal: f64, tolerance: &Tolerance) -> Verdict {
    judge_limits(m, nominal - tolerance.minus, nominal + tolerance.plus)
}

/// Judges a value against a lowest and a highest limit.
pub(super) fn judge_limits(m: &Measured, low: f64, high: f64) -> Verdict {
    if low <= m.value - m.bound && m.value + m.bound <= high {
        Verdict::Within
    } else if m.value + m.bound < low || high < m.value - m.bound {
        Verdict::Outside
    } else {
        Verdict::Undecided
    }
}

/// The graver of two verdicts: missing, then outside, then undecided, then within.
pub(super) fn worse(a: Verdict, b: Verdict) -> Verdict {
    let rank = |v: Verdict| match v {
        Verdict::Within => 0,
        Verdict::Undecided => 1,
        Verdict::Outside => 2,
        Verdict::Missing => 3,
    };
    if rank(b) > rank(a) { b } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_inside_the_bound_is_undecided() {
        let t = Tolerance { plus: 0.1, minus: 0.2 };
        let at = |value| judge(&Measured { value, bound: 0.01 }, 10.0, &t);
        assert_eq!(at(10.0), Verdict::Within);
        assert_eq!(at(10.085), Verdict::Within);
        assert_eq!(at(10.095), Verdict::Undecided);
        assert_eq!(at(10.105), Verdict::Undecided);
        assert_eq!(at(10.115), Verdict::Outside);
        assert_eq!(at(9.805), Verdict::Undecided);
        assert_eq!(at(9.78), Verdict::Outside);
        assert_eq!(at(f64::NAN), Verdict::Undecided);
        assert_eq!(worse(Verdict::Undecided, Verdict::Outside), Verdict::Outside);
        assert_eq!(worse(Verdict::Outside, Verdict::Within), Verdict::Outside);
    }
}
