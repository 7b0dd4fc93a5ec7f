//! The findings: gravest first, each with the program lines that matter; long lists are cut with a count.

use super::Checked;
use super::snippet::{lines, one_line, role_of};
use super::text::{Part, Role, Text};
use crate::findings::{Finding, short_name, words};
use crate::job::Job;
use crate::proof::{Proof, Unproven};
use crate::source::{Diagnostic, Severity};

/// Most findings of one kind that are shown in full.
const MOST_IN_FULL: usize = 3;

/// Most places of further findings of a kind that are named.
const MOST_PLACES: usize = 12;

/// Most warnings about the job's files that are shown.
const MOST_WARNINGS: usize = 12;

/// Most entries of the list of what is not proved.
const MOST_UNPROVEN: usize = 12;

/// Gravest first: what stops the job, then what hides whether it should be stopped.
const ORDER: [Severity; 4] = [Severity::Fault, Severity::Unproven, Severity::Warning, Severity::Note];

/// The section of findings.
pub(super) fn parts(checked: &Checked, width: usize) -> Vec<Part> {
    let Checked { job, proof, warnings } = checked;
    let mut parts = vec![Part::Heading(format!("Findings: {}", counts(checked)))];
    if proof.findings.is_empty() && warnings.is_empty() {
        parts.push(Part::Paragraph("Nothing was found by simulation.".into()));
    }
    for severity in ORDER {
        let of_severity: Vec<&Finding> =
            proof.findings.iter().filter(|f| f.diagnostic.severity == severity).collect();
        let mut kinds: Vec<&str> = Vec::new();
        for f in &of_severity {
            if !kinds.contains(&f.kind.name) {
                kinds.push(f.kind.name);
            }
        }
        for kind in kinds {
            let of_kind: Vec<&Finding> =
                of_severity.iter().copied().filter(|f| f.kind.name == kind).collect();
            for f in of_kind.iter().take(MOST_IN_FULL) {
                parts.push(Part::Lines(lines(&f.diagnostic, Some(&place(job, f)), width)));
            }
            parts.extend(more(kind, severity, of_kind.get(MOST_IN_FULL..).unwrap_or(&[])));
        }
    }
    parts.extend(warnings.iter().take(MOST_WARNINGS).map(|d| Part::Lines(lines(d, None, width))));
    if warnings.len() > MOST_WARNINGS {
        parts.push(Part::Paragraph(
            format!("... and {} more about the job's files", warnings.len() - MOST_WARNINGS).into(),
        ));
    }
    parts.extend(unproven(job, proof));
    parts
}

/// The one-line form of each finding, gravest first.
pub(super) fn brief(checked: &Checked) -> Vec<Text> {
    let Checked { job, proof, warnings } = checked;
    let of = |severity| proof.findings.iter().filter(move |f: &&Finding| f.diagnostic.severity == severity);
    let found =
        ORDER.into_iter().flat_map(of).map(|f| one_line(&f.diagnostic, brief_place(job, f).as_deref()));
    found.chain(warnings.iter().map(|d| one_line(d, None))).collect()
}

fn brief_place(job: &Job, f: &Finding) -> Option<String> {
    let setup = || Some(job.setups.get(f.setup?)?.name.clone());
    f.file_and_line().or_else(|| super::snippet::place_of(&f.diagnostic)).or_else(setup)
}

/// `2 faults, 1 warning`; `none`.
pub(super) fn counts(checked: &Checked) -> String {
    let found = checked.proof.findings.iter().map(|f| &f.diagnostic).chain(&checked.warnings);
    let severities: Vec<Severity> = found.map(|d: &Diagnostic| d.severity).collect();
    let count = |s: Severity| severities.iter().filter(|f| **f == s).count();
    let named = [
        (count(Severity::Fault), "fault", "faults"),
        (count(Severity::Unproven), "not proved", "not proved"),
        (count(Severity::Warning), "warning", "warnings"),
        (count(Severity::Note), "note", "notes"),
    ];
    let words: Vec<String> =
        named.iter().filter(|(n, _, _)| *n > 0).map(|(n, one, many)| words::count(*n, one, many)).collect();
    if words.is_empty() { "none".to_owned() } else { words.join(", ") }
}

/// What stands behind the kind in the header: `pocket.nc:42 (N420), T3 10 mm end mill, G54, setup "Top"`.
fn place(job: &Job, f: &Finding) -> String {
    let mut words = Vec::new();
    if let Some(place) = brief_place(job, f) {
        let number = f.block.as_deref().and_then(block_number);
        words.push(number.map_or_else(|| place.clone(), |n| format!("{place} ({n})")));
    }
    words.extend(f.tool.map(|t| super::setup::tool_name(job, t)));
    words.extend(f.offset.map(|o| o.to_string()));
    if job.setups.len() > 1 {
        words.extend(f.setup.and_then(|s| job.setups.get(s)).map(|s| format!("setup \"{}\"", s.name)));
    }
    words.join(", ")
}

/// The sequence number that a block begins with, such as `N420`.
fn block_number(block: &str) -> Option<&str> {
    let block = block.trim_start_matches(['/', ' ']);
    let digits = block.strip_prefix(['N', 'n'])?;
    let length = digits.bytes().take_while(u8::is_ascii_digit).count();
    if length == 0 { None } else { block.get(..=length) }
}

fn more(kind: &str, severity: Severity, rest: &[&Finding]) -> Option<Part> {
    if rest.is_empty() {
        return None;
    }
    let places: Vec<String> = rest.iter().filter_map(|f| f.file_and_line()).collect();
    let at =
        if places.is_empty() { String::new() } else { format!(": {}", words::list(&places, MOST_PLACES)) };
    let name = format!("{}[{kind}]", severity.word());
    let text = Text::of(role_of(severity), name)
        .and(Role::Plain, format!(" and {} more of this kind{at}", rest.len()));
    Some(Part::Paragraph(text))
}

/// What is not proved, as a list with places.
fn unproven(job: &Job, proof: &Proof) -> Vec<Part> {
    if proof.unproven.is_empty() {
        return Vec::new();
    }
    let mut list: Vec<Text> =
        proof.unproven.iter().take(MOST_UNPROVEN).map(|u| entry(job, proof, u)).collect();
    if proof.unproven.len() > MOST_UNPROVEN {
        list.push(format!("and {} more", proof.unproven.len() - MOST_UNPROVEN).into());
    }
    vec![Part::Heading("Not proved".to_owned()), Part::List(list)]
}

fn entry(job: &Job, proof: &Proof, u: &Unproven) -> Text {
    let setup = u.setup.and_then(|s| job.setups.get(s));
    let sources = u.setup.and_then(|s| proof.setups.get(s)).map(|s| &s.run.sources);
    let name = u.place.and_then(|p| sources?.get(usize::from(p.source))).or_else(|| Some(&setup?.program));
    let place = match (name, u.place) {
        (Some(text), Some(place)) => format!("{}:{}: ", short_name(job, text), place.line),
        _ => setup.map_or_else(String::new, |s| format!("{}: ", s.name)),
    };
    Text::of(Role::Unproven, place).and(Role::Plain, u.what.clone())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sequence_number_is_read_off_a_block() {
        assert_eq!(block_number("N420 Z-3.2"), Some("N420"));
        assert_eq!(block_number("/ N5G0"), Some("N5"));
        assert_eq!(block_number("NX"), None);
        assert_eq!(block_number("G0 X1"), None);
    }
}
