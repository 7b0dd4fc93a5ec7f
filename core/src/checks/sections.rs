use crate::motion::{Place, Run, ToolCall};
use std::ops::Range;

/// One stay of a tool in the spindle.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// Tool number; `None` before any tool was called.
    pub tool: Option<u32>,
    /// Its moves.
    pub moves: Range<usize>,
    /// Its events: indices into [`Run::events`].
    pub events: Range<usize>,
    /// Where it was called.
    pub call: Option<Place>,
}

/// Splits a run into stays of tools in the spindle, in order. A stay without moves counts when a tool was called for it.
pub fn sections(run: &Run) -> Vec<Section> {
    let mut out = Vec::new();
    let mut open = Section { tool: None, moves: 0..0, events: 0..0, call: None };
    for (index, event) in run.events.iter().enumerate() {
        let ToolCall::Change { tool } = event.call else { continue };
        let next = event.before_move.min(run.moves.len()).max(open.moves.start);
        close(&mut out, &mut open, next, index);
        open.tool = (tool != 0).then_some(tool);
        open.call = Some(event.place);
    }
    close(&mut out, &mut open, run.moves.len(), run.events.len());
    out
}

fn close(out: &mut Vec<Section>, open: &mut Section, moves: usize, events: usize) {
    open.moves.end = moves;
    open.events.end = events;
    if !open.moves.is_empty() || open.tool.is_some() {
        out.push(open.clone());
    }
    open.moves = moves..moves;
    open.events = events..events;
}
