//! The end of a report: the finished part, the verdict in one line, and what must still be looked at at the machine.

use super::Checked;
use super::found::counts;
use super::overview::{size, volume};
use super::text::{Part, Role, Text};
use crate::findings::words;
use crate::job::Job;
use crate::proof::{Proof, Verdict};

/// The finished part and the verdict.
pub(super) fn parts(checked: &Checked) -> Vec<Part> {
    let finished = finished(&checked.job, &checked.proof);
    vec![Part::Heading("Result".to_owned()), finished, Part::Lines(vec![line(checked)])]
}

/// The finished part in one line.
fn finished(job: &Job, proof: &Proof) -> Part {
    let unit = job.unit;
    let Some(part) = &proof.final_part else {
        return Part::Paragraph(Text::plain(
            "The run was not finished, so nothing is known of the finished part.",
        ));
    };
    let pieces = words::count(part.pieces, "piece", "pieces");
    let mut text =
        format!("Left at the end: {}, {}, {pieces}", size(unit, &part.bounds), volume(unit, part.volume));
    if let (Some(gouge), Some(leftover)) = (part.gouge_volume, part.leftover_volume) {
        let (gouge, leftover) = (volume(unit, gouge), volume(unit, leftover));
        text = format!("{text}; against the drawing {gouge} too much taken, {leftover} too much left");
    }
    Part::Paragraph(Text::plain(text + "."))
}

/// The verdict in one plain line.
pub(super) fn line(checked: &Checked) -> Text {
    let found = counts(checked);
    let (role, words) = match checked.verdict() {
        Verdict::NoFaults => (Role::Good, "no faults found by simulation.".to_owned()),
        Verdict::Warnings => (Role::Warning, format!("{found}. Look at them before cycle start.")),
        Verdict::Faults => (Role::Fault, format!("{found}. Do not run this job as it is.")),
        Verdict::Unproven => {
            (Role::Unproven, format!("NOT PROVED ({found}). Nothing here may be taken as a pass."))
        }
    };
    Text::of(Role::Strong, "Verdict: ").and(role, words)
}

/// What simulation cannot see.
pub(super) fn cautions(job: &Job, proof: &Proof) -> Vec<Part> {
    let mut list = vec![
        "Checked by simulation only. It knows nothing of a wrong offset, a wrong tool in a pocket, a part that slips or \
         a worn tool. The operator decides."
            .to_owned(),
        "Before cycle start compare with this report: work offset, every length and radius register, tool against \
         pocket, stickout, direction of rotation, clamping."
            .to_owned(),
        first_run(job, proof),
        "At the first approach of every tool watch the distance to go; stop when it does not fit the gap you see."
            .to_owned(),
        "After any change of an offset or a program, the next run is a first run again. Start in mid-program only at a \
         block that calls tool, offset, plane and spindle anew."
            .to_owned(),
        "Doors closed, eye protection on, hands away from the turning cutter. Measure the first part completely."
            .to_owned(),
    ];
    let points = list.drain(..).map(Text::from).collect();
    vec![Part::Heading("At the machine".to_owned()), Part::List(points)]
}

/// How high Z must be raised for a dry first run: above the deepest cut of each setup.
fn first_run(job: &Job, proof: &Proof) -> String {
    let deepest = |s: &crate::proof::SetupProof| {
        s.sections
            .iter()
            .filter_map(|t| t.deepest)
            .map(|(z, _)| z)
            .min_by(f64::total_cmp)
            .filter(|z| *z < 0.0)
    };
    let named: Vec<String> = (job.setups.iter().zip(&proof.setups))
        .filter_map(|(setup, s)| Some(format!("{} {}", setup.name, job.unit.write(-deepest(s)?))))
        .collect();
    let by = if named.is_empty() { String::new() } else { format!(" ({})", words::list(&named, 6)) };
    format!(
        "First run: work offset raised in Z by more than the deepest cut{by}, rapid override low, single block, a hand \
         on feed hold."
    )
}
