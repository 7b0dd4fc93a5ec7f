//! Keeping spans ascending and disjoint.

use crate::geom::Spans;

/// Gaps shorter than this, millimetres, are closed: a tenth of a nanometre. Pieces that touch along a seam (the end
/// disc of an arc and its sector) must not be torn apart by rounding; near a tangent point, rounding of 1e-15 mm
/// normal to the surface moves an end by up to its square root along the ray.
pub(super) const JOIN: f64 = 1e-7;

/// Adds a span to ascending disjoint spans and keeps them so. Empty spans are dropped.
pub(super) fn push(spans: &mut Spans, low: f64, high: f64) {
    // Written so that ends that are not numbers are dropped.
    if !(low < high) {
        return;
    }
    let (mut low, mut high) = (low, high);
    // The usual case: the spans come in order.
    let Some(last) = spans.last() else {
        spans.push((low, high));
        return;
    };
    if last.1 + JOIN < low {
        spans.push((low, high));
        return;
    }
    let mut at = 0;
    let mut i = 0;
    spans.retain(|s| {
        let touches = s.0 <= high + JOIN && low <= s.1 + JOIN;
        if touches {
            low = low.min(s.0);
            high = high.max(s.1);
        } else if s.1 < low {
            at = i + 1;
        }
        i += usize::from(!touches);
        !touches
    });
    spans.insert(at, (low, high));
}

/// True when the spans hold the whole piece.
pub(super) fn covers(spans: &Spans, low: f64, high: f64) -> bool {
    spans.iter().any(|s| s.0 <= low && high <= s.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_stay_ascending_and_disjoint_in_any_order() {
        let mut s = Spans::new();
        for (a, b) in [(5.0, 6.0), (1.0, 2.0), (3.0, 4.0), (8.0, 7.0), (9.0, 9.0), (2.0 + JOIN / 2.0, 2.5)] {
            push(&mut s, a, b);
        }
        assert_eq!(s.as_slice(), &[(1.0, 2.5), (3.0, 4.0), (5.0, 6.0)]);
        push(&mut s, 2.4, 5.5);
        assert_eq!(s.as_slice(), &[(1.0, 6.0)]);
        push(&mut s, f64::NAN, 7.0);
        assert_eq!(s.as_slice(), &[(1.0, 6.0)]);
        assert!(covers(&s, 2.0, 3.0) && !covers(&s, 0.5, 3.0));
    }
}
