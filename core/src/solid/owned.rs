use crate::geom::Spans;
use smallvec::SmallVec;

/// A piece of a line inside a solid that is built up step by step; each end knows the step that made it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OwnedSpan {
    /// Lower end, millimetres.
    pub low: f64,
    /// Upper end, millimetres.
    pub high: f64,
    /// Step that made the lower end.
    pub low_by: u32,
    /// Step that made the upper end.
    pub high_by: u32,
}

/// Ascending, disjoint pieces of a line.
pub type OwnedSpans = SmallVec<[OwnedSpan; 4]>;

/// Pieces shorter than this and gaps narrower than this are rounding, not matter, millimetres: far under a
/// nanometre, far over what f64 loses at a metre.
const SLIVER: f64 = 1.0e-9;

/// Adds pieces; where they overlap or touch what is there, one piece remains.
pub(super) fn unite(spans: &mut OwnedSpans, pieces: &Spans, by: u32) {
    for (low, high) in pieces {
        let mut new = OwnedSpan { low: *low, high: *high, low_by: by, high_by: by };
        spans.retain(|s| {
            if s.high < new.low - SLIVER || new.high + SLIVER < s.low {
                return true;
            }
            if s.low <= new.low {
                (new.low, new.low_by) = (s.low, s.low_by);
            }
            if s.high >= new.high {
                (new.high, new.high_by) = (s.high, s.high_by);
            }
            false
        });
        let at = spans.iter().position(|s| s.low > new.low).unwrap_or(spans.len());
        spans.insert(at, new);
    }
}

/// Takes pieces away.
pub(super) fn subtract(spans: &mut OwnedSpans, pieces: &Spans, by: u32) {
    for (low, high) in pieces {
        let mut n = 0;
        while let Some(s) = spans.get_mut(n) {
            if s.high <= *low || *high <= s.low {
                n += 1;
                continue;
            }
            let below = (low - s.low > SLIVER).then_some(OwnedSpan { high: *low, high_by: by, ..*s });
            let above = (s.high - high > SLIVER).then_some(OwnedSpan { low: *high, low_by: by, ..*s });
            match (below, above) {
                (Some(below), Some(above)) => {
                    *s = below;
                    spans.insert(n + 1, above);
                    n += 2;
                }
                (Some(rest), None) | (None, Some(rest)) => {
                    *s = rest;
                    n += 1;
                }
                (None, None) => {
                    spans.remove(n);
                }
            }
        }
    }
}

/// Sorts pieces and joins those that overlap or touch.
pub(super) fn tidy(spans: &mut Spans) {
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut out = Spans::new();
    for (low, high) in spans.iter() {
        if low >= high {
            continue;
        }
        match out.last_mut() {
            Some(last) if *low <= last.1 => last.1 = last.1.max(*high),
            _ => out.push((*low, *high)),
        }
    }
    *spans = out;
}

/// The pieces that lie in both.
pub(super) fn common(a: &Spans, b: &Spans, out: &mut Spans) {
    out.clear();
    for (al, ah) in a {
        for (bl, bh) in b {
            let (low, high) = (al.max(*bl), ah.min(*bh));
            if low < high {
                out.push((low, high));
            }
        }
    }
}

/// The pieces of `a` that are not in `b`.
pub(super) fn without(a: &Spans, b: &Spans, out: &mut Spans) {
    out.clear();
    for (al, ah) in a {
        let mut low = *al;
        for (bl, bh) in b {
            if *bh <= low || *ah <= *bl {
                continue;
            }
            if low < *bl {
                out.push((low, *bl));
            }
            low = low.max(*bh);
        }
        if low < *ah {
            out.push((low, *ah));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use smallvec::smallvec;

    fn ends(s: &OwnedSpans) -> Vec<(f64, f64, u32, u32)> {
        s.iter().map(|s| (s.low, s.high, s.low_by, s.high_by)).collect()
    }

    #[test]
    fn pieces_join_split_and_keep_their_makers() {
        let mut s = OwnedSpans::new();
        unite(&mut s, &smallvec![(0.0, 1.0), (4.0, 5.0)], 1);
        unite(&mut s, &smallvec![(1.0, 2.0)], 2);
        assert_eq!(ends(&s), [(0.0, 2.0, 1, 2), (4.0, 5.0, 1, 1)]);
        unite(&mut s, &smallvec![(1.5, 4.5)], 3);
        assert_eq!(ends(&s), [(0.0, 5.0, 1, 1)]);
        subtract(&mut s, &smallvec![(2.0, 3.0), (4.0, 6.0)], 4);
        assert_eq!(ends(&s), [(0.0, 2.0, 1, 4), (3.0, 4.0, 4, 4)]);
        subtract(&mut s, &smallvec![(-1.0, 9.0)], 5);
        assert!(s.is_empty());
    }

    #[test]
    fn common_and_without_are_complements() {
        let a: Spans = smallvec![(0.0, 10.0), (20.0, 30.0)];
        let b: Spans = smallvec![(-1.0, 1.0), (5.0, 25.0)];
        let mut out = Spans::new();
        common(&a, &b, &mut out);
        assert_eq!(out.as_slice(), [(0.0, 1.0), (5.0, 10.0), (20.0, 25.0)]);
        without(&a, &b, &mut out);
        assert_eq!(out.as_slice(), [(1.0, 5.0), (25.0, 30.0)]);
        let mut c: Spans = smallvec![(3.0, 4.0), (0.0, 1.0), (1.0, 2.0), (3.5, 6.0), (7.0, 7.0)];
        tidy(&mut c);
        assert_eq!(c.as_slice(), [(0.0, 2.0), (3.0, 6.0)]);
    }
}
