//! The words of the result file for things that have a fixed set of values.

use crate::inspect::{BreakStatus, FeatureStatus, RegionKind, Verdict as SizeVerdict};
use crate::job::{ChangerKind, DimensionKind, HoleEnd};
use crate::proof::Verdict;
use crate::units::Unit;

/// `inch` or `mm`, as in the job's files.
pub(super) const fn unit(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inch",
        Unit::Millimetre => "mm",
    }
}

/// `no-faults`, `warnings`, `faults`, `unproven`.
pub(super) const fn verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NoFaults => "no-faults",
        Verdict::Warnings => "warnings",
        Verdict::Faults => "faults",
        Verdict::Unproven => "unproven",
    }
}

/// `within`, `outside`, `undecided`, `missing`.
pub(super) const fn size_verdict(verdict: SizeVerdict) -> &'static str {
    match verdict {
        SizeVerdict::Within => "within",
        SizeVerdict::Outside => "outside",
        SizeVerdict::Undecided => "undecided",
        SizeVerdict::Missing => "missing",
    }
}

/// `made`, `outside`, `undecided`, `missing`.
pub(super) const fn feature_status(status: FeatureStatus) -> &'static str {
    match status {
        FeatureStatus::Made => "made",
        FeatureStatus::Outside => "outside",
        FeatureStatus::Undecided => "undecided",
        FeatureStatus::Missing => "missing",
    }
}

/// `broken`, `outside`, `undecided`, `missing`.
pub(super) const fn break_status(status: BreakStatus) -> &'static str {
    match status {
        BreakStatus::Broken => "broken",
        BreakStatus::Outside => "outside",
        BreakStatus::Undecided => "undecided",
        BreakStatus::Missing => "missing",
    }
}

/// `entry`, `exit`, or `edge` for a break feature.
pub(super) const fn break_end(end: Option<HoleEnd>) -> &'static str {
    match end {
        Some(HoleEnd::Entry) => "entry",
        Some(HoleEnd::Exit) => "exit",
        None => "edge",
    }
}

/// `gouge` or `leftover`.
pub(super) const fn region_kind(kind: RegionKind) -> &'static str {
    match kind {
        RegionKind::Gouge => "gouge",
        RegionKind::Leftover => "leftover",
    }
}

/// `overall`, `thickness`, `gap`, `line`.
pub(super) const fn dimension_kind(kind: &DimensionKind) -> &'static str {
    match kind {
        DimensionKind::Overall => "overall",
        DimensionKind::Thickness { .. } => "thickness",
        DimensionKind::Gap { .. } => "gap",
        DimensionKind::Line { .. } => "line",
    }
}

/// `carousel`, `arm`, `by-hand`.
pub(super) const fn changer(kind: ChangerKind) -> &'static str {
    match kind {
        ChangerKind::Carousel => "carousel",
        ChangerKind::Arm => "arm",
        ChangerKind::ByHand => "by-hand",
    }
}
