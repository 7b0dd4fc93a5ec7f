//! From findings to a verdict, and what a verdict of "unproven" takes away from every result.

use super::result::{Unproven, Verdict};
use crate::findings::{self, Context, Finding};
use crate::inspect::{BreakStatus, FeatureStatus, Inspection, Verdict as SizeVerdict};
use crate::job::Job;
use crate::motion::{Place, Run};
use crate::source::Severity;

/// The verdict of a job. A run that was lost, or anything not modelled, makes it unproven whatever else was found.
pub(super) fn verdict(findings: &[Finding], unproven: &[Unproven]) -> Verdict {
    let worst = |s: Severity| findings.iter().any(|f| f.kind.severity == s);
    if !unproven.is_empty() || worst(Severity::Unproven) {
        Verdict::Unproven
    } else if worst(Severity::Fault) {
        Verdict::Faults
    } else if worst(Severity::Warning) {
        Verdict::Warnings
    } else {
        Verdict::NoFaults
    }
}

/// What the programs of the first setups say that is not modelled or not certain, in order.
pub(super) fn unproven_programs(job: &Job, runs: &[Run]) -> Vec<Finding> {
    let ctx = Context::new(job, runs);
    let told = runs.iter().enumerate().flat_map(|(n, run)| findings::from_motion(&ctx, n, &run.facts));
    told.filter(|f| f.kind.severity == Severity::Unproven).collect()
}

/// What could not be proved: every finding of that severity, and for each lost run the place from which on nothing was
/// looked at.
pub(super) fn unproven(findings: &[Finding], runs: &[Run]) -> Vec<Unproven> {
    let mut out: Vec<Unproven> = findings
        .iter()
        .filter(|f| f.kind.severity == Severity::Unproven)
        .map(|f| Unproven { setup: f.setup, place: place(f, runs), what: f.diagnostic.message.clone() })
        .collect();
    for (setup, run) in runs.iter().enumerate() {
        if let Some(place) = run.lost_from {
            let what = "the program cannot be followed for certain from here on: nothing after it is proved";
            out.push(Unproven { setup: Some(setup), place: Some(place), what: what.to_owned() });
        }
    }
    out
}

/// Where a finding stands in its setup's run.
fn place(finding: &Finding, runs: &[Run]) -> Option<Place> {
    let label = finding.diagnostic.labels.iter().find(|l| l.primary)?;
    let run = runs.get(finding.setup?)?;
    let source = run.sources.iter().position(|s| *s == label.source)?;
    Some(Place { source: u16::try_from(source).ok()?, line: finding.line?, span: label.span })
}

/// Takes every pass out of an inspection: of an unproven job nothing may read as one. What is outside or missing stays.
pub(super) fn no_passes(inspection: &mut Inspection) {
    for d in &mut inspection.dimensions {
        no_pass(&mut d.verdict);
    }
    for f in &mut inspection.features {
        if f.status == FeatureStatus::Made {
            f.status = FeatureStatus::Undecided;
        }
        for q in &mut f.quantities {
            no_pass(&mut q.verdict);
        }
        for b in &mut f.breaks {
            if b.status == BreakStatus::Broken {
                b.status = BreakStatus::Undecided;
            }
        }
    }
}

fn no_pass(verdict: &mut Option<SizeVerdict>) {
    if *verdict == Some(SizeVerdict::Within) {
        *verdict = Some(SizeVerdict::Undecided);
    }
}

/// By setup, then program line, then kind; what belongs to no setup or line comes first.
pub(super) fn sort(findings: &mut [Finding]) {
    findings.sort_by(|a, b| {
        let key = |f: &Finding| (f.setup.map_or(0, |s| s + 1), f.line.unwrap_or(0));
        key(a).cmp(&key(b)).then_with(|| a.kind.name.cmp(b.kind.name)).then_with(|| a.column.cmp(&b.column))
    });
}
