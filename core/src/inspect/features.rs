//! Every feature of the drawing: was it made, by whom, and as it should be?

use super::bench::Bench;
use super::fact::Fact;
use super::finished::matter_at;
use super::holes::{HoleBench, HoleFound};
use super::result::{
    BreakResult, BreakStatus, FeatureResult, FeatureStatus, Measured, Quantity, Region, Verdict,
};
use crate::geom::Axis;
use crate::job::{Feature, FeatureKind, HoleEnd, Shape, Tolerance};
use crate::solid::{Edge, Unclear};
use crate::stock::CutId;

/// Points along each edge of a feature's box at which is asked whether it was cut at all.
const SAMPLES: u32 = 6;

/// A feature's result, who left its measured surfaces, and what else was noticed.
pub(super) struct FeatureFound {
    pub(super) result: FeatureResult,
    pub(super) by: Vec<CutId>,
    pub(super) facts: Vec<Fact>,
}

impl<'a> Bench<'a> {
    /// Measures everything of a feature but what the comparison of the whole part tells. `unclear` is what the drawing asks
    /// for and the nominal part does not model.
    pub(super) fn feature(
        &self,
        index: usize,
        feature: &'a Feature,
        breaks: &[(&Edge, Option<BreakResult>)],
        unclear: &[Unclear],
    ) -> FeatureFound {
        let mut facts = Vec::new();
        let mut result = FeatureResult {
            feature: index,
            status: FeatureStatus::Made,
            made_by: Vec::new(),
            quantities: Vec::new(),
            breaks: Vec::new(),
        };
        let mut by = Vec::new();
        let mut missing = self.untouched(index, feature);
        if let FeatureKind::Cut(Shape::Hole(hole)) = &feature.kind {
            let bench = HoleBench::new(*self, feature, hole);
            let mut found: HoleFound = bench.measure(self.drawing.general_tolerance);
            missing = found.missing;
            if let Some(thread) = &feature.thread
                && !missing
            {
                bench.thread(index, thread, &mut found, &mut facts);
            }
            result.quantities = found.quantities;
            by = found.by;
        }
        for (edge, found) in breaks.iter().filter(|(e, _)| e.feature == index) {
            match found {
                Some(found) => {
                    if edge.end.is_none() {
                        result.quantities.push(leg_quantity(found));
                    }
                    result.breaks.push(found.clone());
                }
                None => facts.push(Fact::Unclear(Unclear::EdgeGone { feature: index, end: edge.end })),
            }
        }
        let gone = facts.iter().filter_map(|f| if let Fact::Unclear(u) = f { Some(*u) } else { None });
        self.unclear_breaks(index, unclear.iter().copied().chain(gone), &mut result);
        result.status = if missing { FeatureStatus::Missing } else { status_of(&result) };
        FeatureFound { result, by, facts }
    }

    /// A break that is not modelled is told as undecided, so that nothing reads as a pass.
    fn unclear_breaks(
        &self,
        index: usize,
        unclear: impl Iterator<Item = Unclear>,
        result: &mut FeatureResult,
    ) {
        let ends = unclear.filter_map(|u| match u {
            Unclear::HoleEndNotFlat { feature, end } | Unclear::HoleEndWithoutEdge { feature, end } => {
                (feature == index).then_some(Some(end))
            }
            Unclear::BreakFace { feature } => (feature == index).then_some(None),
            Unclear::EdgeGone { feature, end } => (feature == index).then_some(end),
        });
        let none = Tolerance { plus: 0.0, minus: 0.0 };
        let asked = |end: Option<HoleEnd>| match self.drawing.features.get(index).map(|f| &f.kind) {
            Some(FeatureKind::Break { edge, .. }) if end.is_none() => Some(*edge),
            _ => self.drawing.break_edges,
        };
        for end in ends {
            let edge = asked(end);
            result.breaks.push(BreakResult {
                end,
                status: BreakStatus::Undecided,
                leg: None,
                nominal: edge.map_or(0.0, |e| e.leg),
                tolerance: edge.map_or(none, |e| e.tolerance),
                at: None,
                lost: None,
                made_by: Vec::new(),
            });
        }
    }

    /// True when nothing of a cut was cut, or nothing of what is added is there.
    fn untouched(&self, index: usize, feature: &Feature) -> bool {
        let adds = match feature.kind {
            FeatureKind::Add(_) => true,
            FeatureKind::Cut(_) => false,
            FeatureKind::Break { .. } => return false,
        };
        let samples = self.nominal.samples(index, SAMPLES);
        let material = |p: &crate::geom::Vec3| matter_at(&self.finished.line(Axis::Z, p), p.z, 0.0).is_some();
        !samples.is_empty() && samples.iter().all(|p| material(p) != adds)
    }
}

/// Status from what was measured.
fn status_of(result: &FeatureResult) -> FeatureStatus {
    let verdicts = result.quantities.iter().filter_map(|q| q.verdict);
    let breaks = result.breaks.iter().map(|b| match b.status {
        BreakStatus::Broken => Verdict::Within,
        BreakStatus::Outside | BreakStatus::Missing => Verdict::Outside,
        BreakStatus::Undecided => Verdict::Undecided,
    });
    match verdicts.chain(breaks).fold(Verdict::Within, super::judge::worse) {
        Verdict::Within => FeatureStatus::Made,
        Verdict::Undecided => FeatureStatus::Undecided,
        Verdict::Outside | Verdict::Missing => FeatureStatus::Outside,
    }
}

/// A region of too much taken or left belongs to the feature whose face it is nearest to.
pub(super) fn add_regions(features: &mut [FeatureResult], regions: &[Region]) {
    for index in regions.iter().filter_map(|r| r.feature) {
        if let Some(f) = features.get_mut(index)
            && f.status != FeatureStatus::Missing
        {
            f.status = FeatureStatus::Outside;
        }
    }
}

/// The graver leg of a `break` feature as a quantity.
fn leg_quantity(found: &BreakResult) -> Quantity {
    let off = |m: &Measured| {
        let middle = found.nominal + 0.5 * (found.tolerance.plus - found.tolerance.minus);
        (m.value - middle).abs()
    };
    let verdict = match found.status {
        BreakStatus::Broken => Verdict::Within,
        BreakStatus::Outside => Verdict::Outside,
        BreakStatus::Undecided => Verdict::Undecided,
        BreakStatus::Missing => Verdict::Missing,
    };
    Quantity {
        name: "leg",
        nominal: found.nominal,
        tolerance: Some(found.tolerance),
        measured: found.leg.map(|(a, b)| if off(&b) > off(&a) { b } else { a }),
        verdict: Some(verdict),
        at: found.at,
        made_by: found.made_by.iter().find(|m| m.setup.is_some()).cloned(),
    }
}
