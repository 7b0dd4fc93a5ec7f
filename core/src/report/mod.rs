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
mod moves;
mod names;
mod overview;
mod setup;
pub mod snippet;
#[cfg(test)]
mod tests;
mod text;
mod verdict;

pub use deeds::deeds;
pub use json::schemas;
pub use json_of::{result_of, result_of_mistakes, result_text};
pub use moves::{MovesFile, SetupMoves, Step, move_lines, moves_file, moves_text};
pub use text::{Column, Part, Role, Table, Text};

use crate::job::Job;
use crate::proof::{Proof, Verdict};
use crate::source::Diagnostic;

/// A job that could be read and was proved: all that a report is made of.
#[derive(Debug)]
pub struct Checked {
    /// The job.
    pub job: Job,
    /// What is possible in its files but probably not meant.
    pub warnings: Vec<Diagnostic>,
    /// What is known of it.
    pub proof: Proof,
}

impl Checked {
    /// The judgement of the whole, warnings about the files among it.
    pub const fn verdict(&self) -> Verdict {
        if matches!(self.proof.verdict, Verdict::NoFaults) && !self.warnings.is_empty() {
            return Verdict::Warnings;
        }
        self.proof.verdict
    }
}

/// The whole report, in the order in which it is read. `width` is the page's, in columns.
pub fn report(checked: &Checked, width: usize) -> Vec<Part> {
    let Checked { job, proof, .. } = checked;
    let mut parts = overview::head(job, proof);
    for index in 0..proof.setups.len() {
        parts.extend(setup::parts(job, proof, index));
    }
    parts.extend(setup::not_run(job, proof));
    parts.extend(overview::changer(job, proof));
    parts.extend(found::parts(checked, width));
    if let Some(inspection) = &proof.inspection {
        parts.extend(drawing::parts(job, inspection));
    }
    parts.extend(verdict::parts(checked));
    parts.extend(verdict::cautions(job, proof));
    parts
}

/// The short form: one line for each finding, then the verdict.
pub fn brief(checked: &Checked) -> Vec<Part> {
    let mut lines = found::brief(checked);
    lines.push(verdict::line(checked));
    vec![Part::Lines(lines)]
}

/// Mistakes in the job's files, and that nothing was run. `width` is the page's, in columns.
pub fn mistakes(mistakes: &[Diagnostic], width: usize) -> Vec<Part> {
    let shown = mistakes.iter().take(MOST_MISTAKES);
    let mut parts: Vec<Part> = shown.map(|d| Part::Lines(snippet::lines(d, None, width))).collect();
    if mistakes.len() > MOST_MISTAKES {
        parts.push(Part::Paragraph(format!("... and {} more", mistakes.len() - MOST_MISTAKES).into()));
    }
    let words = "NOT PROVED: the job's files hold mistakes, so nothing was run.";
    parts.push(Part::Lines(vec![Text::of(Role::Strong, "Verdict: ").and(Role::Unproven, words)]));
    parts
}

/// Most mistakes that are shown at a time.
const MOST_MISTAKES: usize = 25;
