//! Words for what is selected and listed.

use crate::session::Session;
use proofcut_core::findings::Finding;
use proofcut_core::geom::Vec3;
use proofcut_core::inspect::{FeatureStatus, Verdict};
use proofcut_core::job::Job;

/// `T3  6 mm end mill`; `no tool`.
pub(super) fn tool(job: &Job, number: Option<u32>) -> String {
    match number {
        None => "no tool".to_owned(),
        Some(n) => job.tool(n).map_or_else(|| format!("T{n}"), |t| format!("T{n}  {}", t.name)),
    }
}

/// `top.nc:42, T3`.
pub(super) fn place(job: &Job, finding: &Finding) -> String {
    let mut words = Vec::new();
    match (&finding.program, finding.line, finding.setup.and_then(|s| job.setups.get(s))) {
        (Some(program), Some(line), _) => words.push(format!("{program}:{line}")),
        (_, _, Some(setup)) => words.push(setup.name.clone()),
        _ => {}
    }
    words.extend(finding.tool.map(|t| format!("T{t}")));
    words.join(", ")
}

/// `X1.0000 Y0.5000 Z-0.2500 in`, counted from the part's zero.
pub(super) fn at(job: &Job, at: &Vec3) -> String {
    let [x, y, z] = [at.x, at.y, at.z].map(|v| job.unit.number(v));
    format!("X{x} Y{y} Z{z} {}", job.unit.sign())
}

/// `1:07.5`.
pub(super) fn time(seconds: f64) -> String {
    let minutes = (seconds / 60.0).floor();
    format!("{minutes:.0}:{:04.1}", (seconds - 60.0 * minutes).min(59.9))
}

pub(super) const fn verdict(verdict: Option<Verdict>) -> &'static str {
    match verdict {
        None => "told, not judged",
        Some(Verdict::Within) => "within",
        Some(Verdict::Outside) => "OUTSIDE",
        Some(Verdict::Undecided) => "UNDECIDED",
        Some(Verdict::Missing) => "MISSING",
    }
}

pub(super) const fn status(status: FeatureStatus) -> &'static str {
    match status {
        FeatureStatus::Made => "made",
        FeatureStatus::Outside => "OUTSIDE",
        FeatureStatus::Undecided => "UNDECIDED",
        FeatureStatus::Missing => "MISSING",
    }
}

/// Name of a feature of the drawing.
pub(super) fn feature(session: &Session, n: usize) -> String {
    let drawing = session.proved().and_then(|p| p.checked.job.drawing.as_ref());
    drawing.and_then(|d| d.features.get(n)).map_or_else(String::new, |f| f.id.clone())
}

/// Name of a size of the drawing.
pub(super) fn size(session: &Session, n: usize) -> String {
    let drawing = session.proved().and_then(|p| p.checked.job.drawing.as_ref());
    drawing.and_then(|d| d.dimensions.get(n)).map_or_else(String::new, |d| d.id.clone())
}
