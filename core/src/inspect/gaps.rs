//! Where drawing and part differ on a line.

use super::result::RegionKind;
use crate::cutting::Piece;
use crate::solid::OwnedSpan;
use crate::stock::CutId;
use smallvec::SmallVec;

/// Ends nearer than this are one place, millimetres: two of the stock's nanometres.
pub(super) const SAME: f64 = 2.0e-6;

/// Where a line changes between material and air, in the drawing or in the part.
#[derive(Clone, Copy)]
struct Change {
    at: f64,
    /// `None`: in the drawing; otherwise who cut the part there.
    by: Option<CutId>,
    enters: bool,
}

/// A piece of a line where drawing and part differ.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Gap {
    pub(super) kind: RegionKind,
    pub(super) low: f64,
    pub(super) high: f64,
    /// Who cut the ends that are the part's.
    pub(super) by: [Option<CutId>; 2],
    /// True where an end is the drawing's.
    pub(super) drawn: [bool; 2],
}

/// Every piece of a line, longer than [`SAME`], where drawing and part differ.
pub(super) fn gaps(drawn: &[OwnedSpan], cut: &[Piece]) -> SmallVec<[Gap; 4]> {
    if agree(drawn, cut) {
        return SmallVec::new();
    }
    let mut changes: SmallVec<[Change; 16]> = SmallVec::new();
    for s in drawn {
        changes.push(Change { at: s.low, by: None, enters: true });
        changes.push(Change { at: s.high, by: None, enters: false });
    }
    for m in cut {
        changes.push(Change { at: m.low, by: Some(m.low_by), enters: true });
        changes.push(Change { at: m.high, by: Some(m.high_by), enters: false });
    }
    changes.sort_by(|a, b| a.at.total_cmp(&b.at));
    let (mut in_drawn, mut in_cut) = (false, false);
    let mut out = SmallVec::new();
    for (a, b) in changes.iter().zip(changes.iter().skip(1)) {
        match a.by {
            None => in_drawn = a.enters,
            Some(_) => in_cut = a.enters,
        }
        if in_drawn != in_cut && b.at - a.at > SAME {
            let kind = if in_drawn { RegionKind::Gouge } else { RegionKind::Leftover };
            out.push(Gap {
                kind,
                low: a.at,
                high: b.at,
                by: [a.by, b.by],
                drawn: [a.by.is_none(), b.by.is_none()],
            });
        }
    }
    out
}

/// True when every piece of the drawing is one of the part with the same ends: on most lines, and told without
/// sorting. Between the two ends of a pair both stand in the same place but for [`SAME`]; false also where pairs are
/// so near each other that only the sorted ends tell.
fn agree(drawn: &[OwnedSpan], cut: &[Piece]) -> bool {
    let mut reached = f64::NEG_INFINITY;
    drawn.len() == cut.len()
        && drawn.iter().zip(cut).all(|(s, m)| {
            let same = (s.low - m.low).abs() <= SAME && (s.high - m.high).abs() <= SAME;
            let apart = reached < s.low.min(m.low) && s.low.max(m.low) < s.high.min(m.high);
            reached = s.high.max(m.high);
            same && apart
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(ends: &[(f64, f64)]) -> Vec<OwnedSpan> {
        ends.iter().map(|(low, high)| OwnedSpan { low: *low, high: *high, low_by: 0, high_by: 1 }).collect()
    }

    fn cut(ends: &[(f64, f64)]) -> Vec<Piece> {
        let piece =
            |(low, high): &(f64, f64)| Piece { low: *low, high: *high, low_by: CutId(7), high_by: CutId(8) };
        ends.iter().map(piece).collect()
    }

    #[test]
    fn lines_that_agree_have_no_gaps() {
        let lines: [&[(f64, f64)]; 3] = [&[], &[(0.0, 5.0)], &[(0.0, 5.0), (6.0, 7.0), (8.0, 9.0)]];
        for line in lines {
            let moved: Vec<(f64, f64)> = line.iter().map(|(a, b)| (a + 1.5e-6, b - 1.5e-6)).collect();
            assert!(agree(&drawn(line), &cut(line)) && agree(&drawn(line), &cut(&moved)));
            assert!(gaps(&drawn(line), &cut(&moved)).is_empty());
        }
    }

    #[test]
    fn what_is_missing_and_what_is_left_is_told_with_its_ends() {
        let found = gaps(&drawn(&[(0.0, 5.0), (6.0, 7.0)]), &cut(&[(0.0, 4.0), (6.0, 7.5)]));
        let gouge = Gap {
            kind: RegionKind::Gouge,
            low: 4.0,
            high: 5.0,
            by: [Some(CutId(8)), None],
            drawn: [false, true],
        };
        let left = Gap {
            kind: RegionKind::Leftover,
            low: 7.0,
            high: 7.5,
            by: [None, Some(CutId(8))],
            drawn: [true, false],
        };
        assert_eq!(found.as_slice(), [gouge, left]);
        assert_eq!(gaps(&drawn(&[(0.0, 5.0)]), &[]).len(), 1);
        assert_eq!(gaps(&[], &cut(&[(0.0, 5.0)])).len(), 1);
        // As many pieces, each shifted by 3 nm.
        assert_eq!(gaps(&drawn(&[(0.0, 5.0)]), &cut(&[(3.0e-6, 5.000_003)])).len(), 2);
    }
}
