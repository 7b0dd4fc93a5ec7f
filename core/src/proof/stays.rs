//! What a stay of a tool in the spindle does, in numbers.

use super::result::{LowestOver, ToolSection};
use super::time::seconds;
use crate::checks::Section;
use crate::checks::contact::{LOOK_WITHIN, SectionContact};
use crate::checks::workholding::Piece;
use crate::inspect::Inspection;
use crate::job::Job;
use crate::motion::{Move, MoveKind, Place, Run, ToolCall};

/// What a move took from the stock, for the counting.
pub(super) struct Taken<'a> {
    /// Volume taken by each move, mm3.
    pub(super) removed: &'a dyn Fn(usize) -> f64,
    /// Does it take material at all?
    pub(super) cuts: &'a dyn Fn(usize) -> bool,
}

/// Numbers of one stay.
pub(super) fn stay(
    job: &Job,
    run: &Run,
    section: &Section,
    contact: &SectionContact,
    pieces: &[Piece],
    taken: &Taken<'_>,
) -> ToolSection {
    let mut out = ToolSection {
        tool: section.tool,
        moves: section.moves.clone(),
        lines: lines(run, section),
        deepest: None,
        removed_volume: 0.0,
        cut_seconds: 0.0,
        air_seconds: 0.0,
        rapid_length: 0.0,
        feed_length: 0.0,
        lowest_over: lowest_over(contact, pieces, run),
        features: Vec::new(),
    };
    for index in section.moves.clone() {
        let Some(m) = run.moves.get(index) else { continue };
        out.removed_volume += (taken.removed)(index);
        match m.kind {
            MoveKind::Rapid => out.rapid_length += m.path.length(),
            MoveKind::Home => {}
            MoveKind::Feed | MoveKind::Thread => {
                out.feed_length += m.path.length();
                let time = seconds(job, m);
                if (taken.cuts)(index) {
                    out.cut_seconds += time;
                } else {
                    out.air_seconds += time;
                }
            }
        }
        deepest(&mut out.deepest, m);
    }
    out
}

fn deepest(known: &mut Option<(f64, Place)>, m: &Move) {
    let z = m.path.bounds().min.z;
    if m.kind != MoveKind::Home && known.is_none_or(|(k, _)| z < k) {
        *known = Some((z, m.place));
    }
}

/// First and last line of the stay's moves; the call's line when it makes none.
fn lines(run: &Run, section: &Section) -> (u32, u32) {
    let moves = run.moves.get(section.moves.clone()).unwrap_or_default();
    let own = moves.iter().filter(|m| m.place.source == 0).map(|m| m.place.line);
    let call = section.call.filter(|p| p.source == 0).map(|p| p.line);
    let (first, last) = own.chain(call).fold((u32::MAX, 0), |(a, b), line| (a.min(line), b.max(line)));
    if first > last { (0, 0) } else { (first, last) }
}

/// Lowest clearance first; equal ones in the order of the job file.
fn lowest_over(contact: &SectionContact, pieces: &[Piece], run: &Run) -> Vec<LowestOver> {
    let mut out: Vec<LowestOver> = contact
        .lowest
        .iter()
        .filter(|l| l.clearance < LOOK_WITHIN)
        .filter_map(|l| {
            Some(LowestOver {
                solid: pieces.get(l.piece)?.name.clone(),
                z: l.tip.z,
                at: l.tip,
                place: run.moves.get(l.move_index)?.place,
                clearance: l.clearance,
            })
        })
        .collect();
    out.sort_by(|a, b| a.clearance.total_cmp(&b.clearance));
    out
}

/// Time of a whole program: moves, tool changes and dwells; stops by M0 are not counted.
pub(super) fn cycle_seconds(job: &Job, run: &Run) -> f64 {
    let moves: f64 = run.moves.iter().map(|m| seconds(job, m)).sum();
    let change = job.machine.changer.seconds.unwrap_or(0.0);
    let others: f64 = run
        .events
        .iter()
        .map(|e| match e.call {
            ToolCall::Change { .. } => change,
            ToolCall::Dwell { seconds } => seconds,
            ToolCall::Ready { .. }
            | ToolCall::Stop { .. }
            | ToolCall::LengthOffset { .. }
            | ToolCall::RadiusOffset { .. }
            | ToolCall::End => 0.0,
        })
        .sum();
    moves + others
}

/// Features whose surfaces a stay left: it is named as their maker, with a line of this stay.
pub(super) fn features(inspection: &Inspection, setup: usize, section: &ToolSection) -> Vec<usize> {
    let made = |m: &crate::inspect::MadeBy| {
        m.setup == Some(setup)
            && m.tool == section.tool
            && m.lines.iter().any(|l| section.lines.0 <= *l && *l <= section.lines.1)
    };
    let mut out: Vec<usize> = inspection
        .features
        .iter()
        .filter(|f| f.made_by.iter().any(made) || f.breaks.iter().any(|b| b.made_by.iter().any(made)))
        .map(|f| f.feature)
        .collect();
    out.sort_unstable();
    out.dedup();
    out
}
