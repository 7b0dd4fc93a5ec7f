//! Faces of a proof: plain data for terminal, JSON and later HTML. Words and layout only.
//!
//! A report is a list of [`Part`]s; [`json`] is the result file. Words are chosen here, colours and widths of
//! columns by the face that shows them.
//!
//! *Invariant*: nothing is judged here.

mod deeds;
mod drawing;
mod found;
pub mod json;
mod json_of;
mod names;
mod overview;
mod setup;
pub mod snippet;
mod text;
mod verdict;

pub use deeds::deeds;
pub use json_of::{result_of, result_of_mistakes};
pub use text::{Column, Part, Role, Table, Text};

use crate::job::Job;
use crate::proof::Proof;
use crate::source::Diagnostic;

/// The whole report, in the order in which it is read. `width` is the page's, in columns.
pub fn report(job: &Job, proof: &Proof, width: usize) -> Vec<Part> {
    let mut parts = overview::head(job, proof);
    for index in 0..proof.setups.len() {
        parts.extend(setup::parts(job, proof, index));
    }
    parts.extend(setup::not_run(job, proof));
    parts.extend(overview::changer(job, proof));
    parts.extend(found::parts(job, proof, width));
    if let Some(inspection) = &proof.inspection {
        parts.extend(drawing::parts(job, inspection));
    }
    parts.extend(verdict::parts(job, proof));
    parts.extend(verdict::cautions(job, proof));
    parts
}

/// The short form: one line for each finding, then the verdict.
pub fn brief(job: &Job, proof: &Proof) -> Vec<Part> {
    let mut lines = found::brief(job, proof);
    lines.push(verdict::line(proof));
    vec![Part::Lines(lines)]
}

/// Mistakes in the job's files, and that nothing was run.
pub fn mistakes(mistakes: &[Diagnostic], width: usize) -> Vec<Part> {
    let mut parts: Vec<Part> = mistakes.iter().map(|d| Part::Lines(snippet::lines(d, None, width))).collect();
    let verdict = "the job's files hold mistakes, so nothing was run. Nothing here may be taken as a pass.";
    parts.push(Part::Lines(vec![
        Text::of(Role::Strong, "Verdict: ").and(Role::Unproven, format!("NOT PROVED: {verdict}")),
    ]));
    parts
}
