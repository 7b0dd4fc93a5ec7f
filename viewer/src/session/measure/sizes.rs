//! The size of the drawing to which a reading belongs.

use super::caliper::{Between, is_square, stretch_at};
use super::form::End;
use super::snap::Now;
use proofcut_core::geom::Axis;
use proofcut_core::job::{Dimension, DimensionKind, Tolerance};

/// A size of the drawing beside a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Index of the size.
    pub size: usize,
    /// What the drawing asks for, millimetres.
    pub nominal: f64,
    /// Permitted deviation; `None`: none is written.
    pub tolerance: Option<Tolerance>,
    /// How the reading stands to its limits; `None` without limits, and where the size is not the same all over its faces, so
    /// that a reading beside the drawing's own place says nothing.
    pub lies: Option<Lies>,
}

/// How a reading stands to limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lies {
    /// Within them by at least its bound.
    In,
    /// Beyond them by more than its bound.
    Out,
    /// A limit lies inside the bound.
    Undecided,
}

impl Lies {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::In => "within its limits",
            Self::Out => "OUTSIDE its limits",
            Self::Undecided => "UNDECIDED: a limit lies inside the bound",
        }
    }
}

/// Error of an end by itself, millimetres, as the inspection of sizes has it: 2 nm square to a surface that may be met
/// aslant, and rounding.
const END_BOUND: f64 = 1.0e-5;
/// Ends nearer than this to those of a size, millimetres, are its ends, and farther ones where its tolerance is wider.
const SAME: f64 = 0.05;

/// The size whose ends a reading's are, nearest ends first.
pub(super) fn of(now: &Now<'_>, along: Axis, between: Between, ends: &[End; 2]) -> Option<Size> {
    let drawing = now.proved.checked.job.drawing.as_ref()?;
    let off = |(index, d): (usize, &Dimension)| {
        let nominal = d.nominal.filter(|_| d.along == along)?;
        let [low, high] = own_ends(now, d, between)?;
        let [a, b] = [(&ends[0], low), (&ends[1], high)].map(|(e, own)| (along.of(&e.at) - own).abs());
        let room = d.tolerance.map_or(0.0, |t| t.plus + t.minus).max(SAME);
        (a.max(b) <= room).then_some((a.max(b), index, nominal, d.tolerance))
    };
    let found = drawing.dimensions.iter().enumerate().filter_map(off);
    let (_, size, nominal, tolerance) = found.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let limits = tolerance.filter(|_| is_square(now, along, ends));
    let lies = limits.map(|t| {
        let value = along.of(&ends[1].at) - along.of(&ends[0].at);
        judged(value, ends.iter().map(|e| bound(now, e)).sum(), nominal - t.minus, nominal + t.plus)
    });
    Some(Size { size, nominal, tolerance, lies })
}

/// Where the ends of a size are in the stock of this moment; `None` for a size of another kind.
fn own_ends(now: &Now<'_>, d: &Dimension, between: Between) -> Option<[f64; 2]> {
    let at = match (d.kind, between) {
        (DimensionKind::Overall, Between::Material) => {
            let bounds = now.proved.checked.proof.final_part.as_ref()?.bounds;
            return Some([d.along.of(&bounds.min), d.along.of(&bounds.max)]);
        }
        (DimensionKind::Thickness { at }, Between::Material) | (DimensionKind::Gap { at }, Between::Gap) => {
            at
        }
        _ => return None,
    };
    let own = stretch_at(now, d.along, &at, between)?;
    Some(own.ends.map(|e| d.along.of(&e.at)))
}

/// Largest error of an end, millimetres.
fn bound(now: &Now<'_>, end: &End) -> f64 {
    let made = now.proved.cut.as_ref().and_then(|cut| {
        let origin = cut.history.origin(end.by)?;
        cut.runs.get(origin.setup)?.moves.get(origin.move_index)
    });
    END_BOUND + made.map_or(0.0, |m| m.deviation)
}

fn judged(value: f64, bound: f64, low: f64, high: f64) -> Lies {
    if low <= value - bound && value + bound <= high {
        Lies::In
    } else if value + bound < low || high < value - bound {
        Lies::Out
    } else {
        Lies::Undecided
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_inside_the_bound_is_undecided() {
        assert_eq!(judged(10.0, 0.01, 9.9, 10.1), Lies::In);
        assert_eq!(judged(10.095, 0.01, 9.9, 10.1), Lies::Undecided);
        assert_eq!(judged(10.105, 0.01, 9.9, 10.1), Lies::Undecided);
        assert_eq!(judged(10.12, 0.01, 9.9, 10.1), Lies::Out);
        assert_eq!(judged(9.8, 0.01, 9.9, 10.1), Lies::Out);
        assert_eq!(judged(f64::NAN, 0.01, 9.9, 10.1), Lies::Undecided);
    }
}
