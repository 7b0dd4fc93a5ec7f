//! From a proof to the result file: units, names and rounding.

use super::json::{
    BreakFound, ChangerResult, DimensionResult, FeatureResult, FinalResult, FindingResult, InputResult,
    LowestResult, MadeByResult, QuantityResult, RegionResult, ResultFile, SetupResult, ToolResult,
    UnprovenResult, VERSION,
};
use super::{Checked, deeds::deeds, names};
use crate::findings::{Amount, Finding, short_name};
use crate::geom::Vec3;
use crate::inspect::{self, DimensionValue, FinalPart, MadeBy, Measured};
use crate::job::{DimensionKind, Job};
use crate::proof::{Proof, SetupProof, ToolSection, Unproven, Verdict};
use crate::source::Diagnostic;
use crate::units::Unit;
use std::collections::{BTreeMap, BTreeSet};

/// Steps in one unit to which numbers are rounded.
const STEPS: f64 = 1.0e7;

/// The text of a result file, ending with a line end; the same bytes for the same result.
pub fn result_text(result: &ResultFile) -> String {
    // Plain structs of finite numbers and strings cannot fail to be written.
    let mut text = serde_json::to_string_pretty(result).unwrap_or_default();
    text.push('\n');
    text
}

/// The result file of a proof.
pub fn result_of(checked: &Checked) -> ResultFile {
    let Checked { job, proof, warnings } = checked;
    let of = Converter { job, proof };
    let inspection = proof.inspection.as_ref();
    ResultFile {
        proofcut: VERSION,
        job: job.name.clone(),
        units: Some(names::unit(job.unit).to_owned()),
        verdict: names::verdict(checked.verdict()).to_owned(),
        spacing: Some(of.length(proof.spacing)),
        setups: proof.setups.iter().enumerate().map(|(i, s)| of.setup(i, s)).collect(),
        findings: proof.findings.iter().map(|f| of.finding(f)).collect(),
        features: inspection.iter().flat_map(|i| &i.features).filter_map(|f| of.feature(f)).collect(),
        dimensions: inspection.iter().flat_map(|i| &i.dimensions).filter_map(|d| of.dimension(d)).collect(),
        regions: inspection.iter().flat_map(|i| &i.regions).map(|r| of.region(r)).collect(),
        final_part: proof.final_part.as_ref().map(|p| of.final_part(p)),
        changer: Some(of.changer()),
        unproven: proof.unproven.iter().map(|u| of.unproven(u)).collect(),
        input: warnings.iter().map(input).collect(),
    }
}

/// The result file of a job whose files hold mistakes: unproven, so that an older result cannot be taken for it.
pub fn result_of_mistakes(job_path: &str, mistakes: &[Diagnostic]) -> ResultFile {
    ResultFile {
        proofcut: VERSION,
        job: job_path.to_owned(),
        units: None,
        verdict: names::verdict(Verdict::Unproven).to_owned(),
        spacing: None,
        setups: Vec::new(),
        findings: Vec::new(),
        features: Vec::new(),
        dimensions: Vec::new(),
        regions: Vec::new(),
        final_part: None,
        changer: None,
        unproven: vec![UnprovenResult {
            setup: None,
            program: None,
            line: None,
            what: "the job's files hold mistakes: nothing was run".to_owned(),
        }],
        input: mistakes.iter().map(input).collect(),
    }
}

fn input(d: &Diagnostic) -> InputResult {
    let first = d.labels.first();
    let place = first.map(|l| l.source.place(l.span.start));
    InputResult {
        kind: d.kind.to_owned(),
        severity: d.severity.word().to_owned(),
        file: first.map(|l| l.source.name().to_owned()),
        line: place.map(|p| p.line),
        column: place.map(|p| p.column),
        message: d.message.clone(),
        notes: d.notes.clone(),
        help: d.help.clone(),
    }
}

/// Rounded to steps; never `-0`; what is not finite becomes 0 (JSON has no other number).
fn rounded(value: f64) -> f64 {
    let value = (value * STEPS).round() / STEPS;
    if value.is_finite() && value.abs() > 0.0 { value } else { 0.0 }
}

/// A bound rounded up, so that it covers the rounding of its value too.
fn rounded_up(bound: f64) -> f64 {
    let bound = ((bound * STEPS) + 0.5).ceil() / STEPS;
    if bound.is_finite() { bound } else { f64::MAX }
}

struct Converter<'a> {
    job: &'a Job,
    proof: &'a Proof,
}

impl Converter<'_> {
    const fn unit(&self) -> Unit {
        self.job.unit
    }

    fn length(&self, mm: f64) -> f64 {
        rounded(self.unit().from_mm(mm))
    }

    fn bound(&self, mm: f64) -> f64 {
        rounded_up(self.unit().from_mm(mm))
    }

    fn volume(&self, mm3: f64) -> f64 {
        rounded(self.cubic(mm3))
    }

    fn cubic(&self, mm3: f64) -> f64 {
        let unit = self.unit();
        unit.from_mm(unit.from_mm(unit.from_mm(mm3)))
    }

    fn point(&self, p: &Vec3) -> [f64; 3] {
        [self.length(p.x), self.length(p.y), self.length(p.z)]
    }

    fn setup_name(&self, setup: Option<usize>) -> Option<String> {
        Some(self.job.setups.get(setup?)?.name.clone())
    }

    fn setup(&self, index: usize, s: &SetupProof) -> SetupResult {
        let setup = self.job.setups.get(index);
        SetupResult {
            name: setup.map_or_else(String::new, |s| s.name.clone()),
            program: setup.map_or_else(String::new, |s| short_name(self.job, &s.program).to_owned()),
            blocks: s.run.blocks,
            moves: s.run.moves.len(),
            rapid_length: self.length(s.rapid_length),
            feed_length: self.length(s.feed_length),
            cycle_seconds: rounded(s.cycle_seconds),
            volume_before: self.volume(s.volume_before),
            volume_after: self.volume(s.volume_after),
            tools: self.tools(index, s),
        }
    }

    /// One entry per tool number in order of first use, made of all its stays in the spindle.
    fn tools(&self, index: usize, s: &SetupProof) -> Vec<ToolResult> {
        let mut order: Vec<Option<u32>> = Vec::new();
        for section in &s.sections {
            if !order.contains(&section.tool) && (section.tool.is_some() || !section.moves.is_empty()) {
                order.push(section.tool);
            }
        }
        let of = |number| s.sections.iter().filter(|x| x.tool == number).collect::<Vec<_>>();
        order.into_iter().map(|number| self.tool(index, s, number, &of(number))).collect()
    }

    fn tool(&self, index: usize, s: &SetupProof, number: Option<u32>, stays: &[&ToolSection]) -> ToolResult {
        let inspected = self.proof.inspection.is_some();
        let sum = |f: fn(&ToolSection) -> f64| stays.iter().map(|x| f(x)).sum::<f64>();
        let deepest = stays.iter().filter_map(|x| x.deepest).min_by(|a, b| a.0.total_cmp(&b.0));
        let nearest =
            stays.iter().flat_map(|x| &x.lowest_over).min_by(|a, b| a.clearance.total_cmp(&b.clearance));
        let tool = number.and_then(|n| self.job.tool(n));
        ToolResult {
            number,
            name: tool.map_or_else(String::new, |t| t.name.clone()),
            does: stays.iter().map(|x| deeds(self.job, index, &s.run, x, inspected)).collect(),
            calls: stays.len(),
            first_line: stays.iter().map(|x| x.lines.0).min().unwrap_or(0),
            last_line: stays.iter().map(|x| x.lines.1).max().unwrap_or(0),
            deepest_z: deepest.map(|(z, _)| self.length(z)),
            deepest_line: deepest.map(|(_, place)| place.line),
            removed_volume: self.volume(sum(|x| x.removed_volume)),
            cut_seconds: rounded(sum(|x| x.cut_seconds)),
            air_seconds: rounded(sum(|x| x.air_seconds)),
            rapid_length: self.length(sum(|x| x.rapid_length)),
            feed_length: self.length(sum(|x| x.feed_length)),
            lowest_over_workholding: nearest.map(|n| LowestResult {
                solid: n.solid.clone(),
                z: self.length(n.z),
                at: self.point(&n.at),
                line: n.place.line,
                // Down, so that it is never more than the truth.
                clearance: (self.unit().from_mm(n.clearance.max(0.0)) * STEPS).floor() / STEPS,
            }),
        }
    }

    fn finding(&self, f: &Finding) -> FindingResult {
        FindingResult {
            kind: f.kind.name.to_owned(),
            severity: f.diagnostic.severity.word().to_owned(),
            setup: self.setup_name(f.setup),
            program: f.program.clone(),
            line: f.line,
            column: f.column,
            block: f.block.clone(),
            tool: f.tool,
            at: f.at.map(|p| self.point(&p)),
            at_part: f.at_part.map(|p| self.point(&p)),
            amount: f.amount.map(|a| match a {
                Amount::Length(mm) => self.length(mm),
                Amount::Number(n) => rounded(n),
            }),
            message: f.diagnostic.message.clone(),
            notes: f.diagnostic.notes.clone(),
            help: f.diagnostic.help.clone(),
        }
    }

    fn made_by(&self, m: &MadeBy) -> MadeByResult {
        MadeByResult { setup: self.setup_name(m.setup), tool: m.tool, lines: m.lines.clone() }
    }

    fn all_made_by(&self, list: &[MadeBy]) -> Vec<MadeByResult> {
        list.iter().map(|m| self.made_by(m)).collect()
    }

    fn feature(&self, f: &inspect::FeatureResult) -> Option<FeatureResult> {
        let feature = self.job.drawing.as_ref()?.features.get(f.feature)?;
        let value = |m: Option<Measured>| m.map(|m| self.length(m.value));
        Some(FeatureResult {
            id: feature.id.clone(),
            status: names::feature_status(f.status).to_owned(),
            made_by: self.all_made_by(&f.made_by),
            measured: f.quantities.iter().map(|q| (q.name.to_owned(), value(q.measured))).collect(),
            quantities: f.quantities.iter().map(|q| self.quantity(q)).collect(),
            breaks: f
                .breaks
                .iter()
                .map(|b| (names::break_end(b.end).to_owned(), self.broken(b)))
                .collect::<BTreeMap<_, _>>(),
        })
    }

    fn quantity(&self, q: &inspect::Quantity) -> QuantityResult {
        QuantityResult {
            name: q.name.to_owned(),
            nominal: self.length(q.nominal),
            plus: q.tolerance.map(|t| self.length(t.plus)),
            minus: q.tolerance.map(|t| self.length(t.minus)),
            measured: q.measured.map(|m| self.length(m.value)),
            bound: q.measured.map(|m| self.bound(m.bound)),
            deviation: q.measured.map(|m| self.length(m.value - q.nominal)),
            verdict: q.verdict.map(|v| names::size_verdict(v).to_owned()),
            at_part: q.at.map(|p| self.point(&p)),
            made_by: q.made_by.as_ref().map(|m| self.made_by(m)),
        }
    }

    fn broken(&self, b: &inspect::BreakResult) -> BreakFound {
        let worst = super::drawing::worst_leg(b);
        BreakFound {
            leg: worst.map_or(0.0, |m| self.length(m.value)),
            legs: b.leg.map(|(least, most)| [self.length(least.value), self.length(most.value)]),
            bound: worst.map(|m| self.bound(m.bound)),
            nominal: self.length(b.nominal),
            plus: self.length(b.tolerance.plus),
            minus: self.length(b.tolerance.minus),
            status: names::break_status(b.status).to_owned(),
            at_part: b.at.map(|p| self.point(&p)),
            made_by: self.all_made_by(&b.made_by),
        }
    }

    fn dimension(&self, d: &inspect::DimensionResult) -> Option<DimensionResult> {
        let drawn = self.job.drawing.as_ref()?.dimensions.get(d.dimension)?;
        let is_line = matches!(drawn.kind, DimensionKind::Line { .. });
        let measured = if let DimensionValue::Size(m) = d.value { Some(m) } else { None };
        let intervals = match &d.value {
            DimensionValue::Intervals(list) => {
                Some(list.iter().map(|(a, b)| [self.length(*a), self.length(*b)]).collect())
            }
            DimensionValue::Nothing if is_line => Some(Vec::new()),
            DimensionValue::Size(_) | DimensionValue::Nothing => None,
        };
        Some(DimensionResult {
            id: drawn.id.clone(),
            kind: names::dimension_kind(&drawn.kind).to_owned(),
            along: drawn.along.letter().to_string(),
            nominal: drawn.nominal.map(|n| self.length(n)),
            plus: drawn.tolerance.map(|t| self.length(t.plus)),
            minus: drawn.tolerance.map(|t| self.length(t.minus)),
            measured: measured.map(|m| self.length(m.value)),
            bound: measured.map(|m| self.bound(m.bound)),
            deviation: measured.and_then(|m| Some(self.length(m.value - drawn.nominal?))),
            verdict: d.verdict.map(|v| names::size_verdict(v).to_owned()),
            intervals,
            made_by: self.all_made_by(&d.made_by),
        })
    }

    fn region(&self, r: &inspect::Region) -> RegionResult {
        let drawing = self.job.drawing.as_ref();
        RegionResult {
            kind: names::region_kind(r.kind).to_owned(),
            min: self.point(&r.bounds.min),
            max: self.point(&r.bounds.max),
            at_part: self.point(&r.at),
            depth: self.length(r.depth.value),
            bound: self.bound(r.depth.bound),
            volume: self.volume(r.volume),
            feature: r.feature.and_then(|i| Some(drawing?.features.get(i)?.id.clone())),
            made_by: r.made_by.as_ref().map(|m| self.made_by(m)),
        }
    }

    fn final_part(&self, part: &FinalPart) -> FinalResult {
        FinalResult {
            volume: self.volume(part.volume),
            volume_bound: rounded_up(self.cubic(part.volume_bound)),
            min: self.point(&part.bounds.min),
            max: self.point(&part.bounds.max),
            pieces: part.pieces,
            gouge_volume: part.gouge_volume.map(|v| self.volume(v)),
            leftover_volume: part.leftover_volume.map(|v| self.volume(v)),
        }
    }

    fn changer(&self) -> ChangerResult {
        let changer = &self.job.machine.changer;
        ChangerResult {
            kind: names::changer(changer.kind).to_owned(),
            pockets: changer.pockets,
            tools: tools_called(self.proof),
            free: self.proof.free_pockets.clone(),
        }
    }

    fn unproven(&self, u: &Unproven) -> UnprovenResult {
        let setup = u.setup.and_then(|s| self.job.setups.get(s));
        let run = u.setup.and_then(|s| self.proof.setups.get(s)).map(|s| &s.run);
        let text =
            u.place.and_then(|p| run?.sources.get(usize::from(p.source))).or_else(|| Some(&setup?.program));
        UnprovenResult {
            setup: setup.map(|s| s.name.clone()),
            program: text.map(|t| short_name(self.job, t).to_owned()),
            line: u.place.map(|p| p.line),
            what: u.what.clone(),
        }
    }
}

/// Numbers of the tools that the programs bring into the spindle, ascending.
pub(super) fn tools_called(proof: &Proof) -> Vec<u32> {
    let sections = proof.setups.iter().flat_map(|s| &s.sections);
    sections.filter_map(|s| s.tool).filter(|n| *n > 0).collect::<BTreeSet<u32>>().into_iter().collect()
}
