//! Facts of [`crate::inspect`] to findings.

use super::{
    Context, Finding, Kind, drawing_not_modelled, edge_break_outside, edge_break_undecided, edge_not_broken,
    feature_missing, feature_outside, feature_undecided, gouge, leftover, pieces_left, size_missing,
    size_outside, size_undecided, tap_drill_wrong, thread_missing, thread_too_short, wrong_tap,
};
use crate::geom::Vec3;
use crate::inspect::{
    BreakStatus, Fact, FeatureResult, FeatureStatus, FinalPart, Inspection, Quantity, Region, RegionKind,
    Verdict,
};

/// Kinds that this dispatcher makes.
pub(super) const KINDS: &[Kind] = &[
    drawing_not_modelled::KIND,
    edge_break_outside::KIND,
    edge_break_undecided::KIND,
    edge_not_broken::KIND,
    feature_missing::KIND,
    feature_outside::KIND,
    feature_undecided::KIND,
    gouge::KIND,
    leftover::KIND,
    pieces_left::KIND,
    size_missing::KIND,
    size_outside::KIND,
    size_undecided::KIND,
    tap_drill_wrong::KIND,
    thread_missing::KIND,
    thread_too_short::KIND,
    wrong_tap::KIND,
];

/// Findings of the finished part against its drawing: one mistake, one finding. What a missing feature, a sharp edge or a
/// hole that stops short leaves standing is not told as leftover as well.
pub fn from_inspect(ctx: &Context<'_>, inspection: &Inspection) -> Vec<Finding> {
    let mut out = Vec::new();
    for fact in &inspection.facts {
        out.push(of_fact(ctx, fact));
    }
    for feature in &inspection.features {
        of_feature(ctx, inspection, feature, &mut out);
    }
    of_dimensions(ctx, inspection, &mut out);
    for region in &inspection.regions {
        match region.kind {
            RegionKind::Gouge if a_size_tells(inspection, region) => {}
            RegionKind::Gouge => out.push(gouge::finding(ctx, region)),
            RegionKind::Leftover
                if told_already(inspection, region) || a_size_tells_leftover(inspection, region) => {}
            RegionKind::Leftover => out.push(leftover::finding(ctx, region)),
        }
    }
    out
}

/// Findings of the finished stock as a whole.
pub fn from_final_part(ctx: &Context<'_>, part: &FinalPart) -> Vec<Finding> {
    if part.pieces > 1 { vec![pieces_left::finding(ctx, part.pieces)] } else { Vec::new() }
}

fn of_fact(ctx: &Context<'_>, fact: &Fact) -> Finding {
    match *fact {
        Fact::Unclear(ref what) => drawing_not_modelled::finding(ctx, what),
        Fact::WrongTap { feature, setup, move_index } => wrong_tap::finding(ctx, feature, setup, move_index),
        Fact::NotTapped { feature } => thread_missing::finding(ctx, feature),
        Fact::ThreadTooShort { feature, setup, move_index, reached, asked } => {
            thread_too_short::finding(ctx, feature, (setup, move_index), reached, asked)
        }
        Fact::MeshNotClosed => drawing_not_modelled::mesh(ctx),
        Fact::NothingToCompare => drawing_not_modelled::nothing(ctx),
    }
}

fn of_feature(ctx: &Context<'_>, inspection: &Inspection, result: &FeatureResult, out: &mut Vec<Finding>) {
    let index = result.feature;
    if result.status == FeatureStatus::Missing {
        out.push(feature_missing::finding(ctx, index));
        return;
    }
    for q in &result.quantities {
        // Threads that are missing or short are told by their facts, legs by the break's own result.
        let told = q.verdict != Some(Verdict::Undecided);
        let elsewhere = q.name == "thread_depth" && told || q.name == "leg";
        if elsewhere || q.verdict == Some(Verdict::Outside) && a_gouge_tells(inspection, q.at.as_ref()) {
            continue;
        }
        match q.verdict {
            Some(Verdict::Outside | Verdict::Missing) if q.name == "minor_diameter" => {
                out.push(tap_drill_wrong::finding(ctx, index, q));
            }
            Some(Verdict::Outside | Verdict::Missing) => out.push(feature_outside::finding(ctx, index, q)),
            Some(Verdict::Undecided) => out.push(feature_undecided::finding(ctx, index, q)),
            Some(Verdict::Within) | None => {}
        }
    }
    for edge in &result.breaks {
        match edge.status {
            BreakStatus::Broken => {}
            BreakStatus::Missing if a_gouge_tells(inspection, edge.at.as_ref()) => {}
            BreakStatus::Missing => out.push(edge_not_broken::finding(ctx, index, edge)),
            BreakStatus::Outside if edge.lost == edge.at && a_gouge_tells(inspection, edge.lost.as_ref()) => {
            }
            BreakStatus::Outside => out.push(edge_break_outside::finding(ctx, index, edge)),
            // Without a place it is not modelled, which its fact tells.
            BreakStatus::Undecided if edge.at.is_none() => {}
            BreakStatus::Undecided => out.push(edge_break_undecided::finding(ctx, index, edge)),
        }
    }
}

fn of_dimensions(ctx: &Context<'_>, inspection: &Inspection, out: &mut Vec<Finding>) {
    let Some(drawing) = &ctx.job.drawing else { return };
    for result in &inspection.dimensions {
        let Some(dimension) = drawing.dimensions.get(result.dimension) else { continue };
        match result.verdict {
            // A size of the drawing is always told, also where a gouge is the cause.
            Some(Verdict::Outside) => out.push(size_outside::finding(ctx, dimension, result)),
            Some(Verdict::Undecided) => out.push(size_undecided::finding(ctx, dimension, result)),
            Some(Verdict::Missing) => out.push(size_missing::finding(ctx, dimension)),
            Some(Verdict::Within) | None => {}
        }
    }
}

/// True when the place lies in a gouge that is told by itself: one mistake, one finding.
fn a_gouge_tells(inspection: &Inspection, at: Option<&Vec3>) -> bool {
    let gouges = inspection.regions.iter().filter(|r| r.kind == RegionKind::Gouge);
    let mut told = gouges.filter(|r| !a_size_tells(inspection, r));
    at.is_some_and(|at| told.any(|r| r.bounds.grown(BESIDE).contains(at)))
}

/// How far beside a gouge's box what it does to the faces around may be found, millimetres.
const BESIDE: f64 = 0.5;

/// True when a face as a whole was cut too deep and a size that ends on it tells so: the same tool in the same setup, and
/// nowhere deeper than the size is off.
fn a_size_tells(inspection: &Inspection, region: &Region) -> bool {
    let Some(maker) = &region.left_by else { return false };
    inspection.dimensions.iter().any(|d| {
        let same = d.off.as_ref().is_some_and(|o| (o.setup, o.tool) == (maker.setup, maker.tool));
        let slack = region.depth.bound.max(1.0e-3);
        let as_deep = d.off_by.is_some_and(|by| (by - region.depth.value).abs() <= slack);
        d.verdict == Some(Verdict::Outside) && same && as_deep
    })
}

/// True when what is left is what a size is off by, at the end where it is off.
fn a_size_tells_leftover(inspection: &Inspection, region: &Region) -> bool {
    inspection.dimensions.iter().any(|d| {
        let there = d.off_at.is_some_and(|at| region.bounds.grown(BESIDE).contains(&at));
        let as_much = d.off_by.is_some_and(|by| by > 0.9 * region.depth.value);
        d.verdict == Some(Verdict::Outside) && there && as_much
    })
}

/// True when what is left here is told as a missing feature or as a hole that stops short.
fn told_already(inspection: &Inspection, region: &Region) -> bool {
    let short = |q: &Quantity| {
        let less = q.measured.is_some_and(|m| m.value < q.nominal);
        let told = !a_gouge_tells(inspection, q.at.as_ref());
        q.name == "depth" && q.verdict == Some(Verdict::Outside) && less && told
    };
    let feature = region.feature.and_then(|i| inspection.features.get(i));
    feature.is_some_and(|f| f.status == FeatureStatus::Missing || f.quantities.iter().any(short))
}
