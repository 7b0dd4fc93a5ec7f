//! The tool changer over the whole job.

use super::fact::JobFact;
use crate::job::{ChangerKind, Job};
use crate::motion::{Place, Run, ToolCall};

/// What the changer must hold.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pockets {
    /// Tools called over all setups, ascending.
    pub called: Vec<u32>,
    /// Pocket numbers that none of them has; empty for a change by hand.
    pub free: Vec<u32>,
    /// What is wrong.
    pub facts: Vec<JobFact>,
}

/// More pockets than any magazine has: a bound on the list of free ones.
const MOST_POCKETS: u32 = 1000;

/// Judges the changer over all runs, in the job's order.
pub fn look(job: &Job, runs: &[Run]) -> Pockets {
    let calls = first_calls(runs);
    let mut called: Vec<u32> = calls.iter().map(|c| c.tool).collect();
    called.sort_unstable();
    let changer = &job.machine.changer;
    let Some(pockets) = changer.pockets.filter(|_| changer.kind != ChangerKind::ByHand) else {
        return Pockets { called, ..Pockets::default() };
    };
    let free: Vec<u32> =
        (1..=pockets.min(MOST_POCKETS)).filter(|p| called.binary_search(p).is_err()).collect();
    let beyond = |c: &&Call| changer.kind == ChangerKind::Carousel && c.tool > pockets;
    let too_many = usize::try_from(pockets).is_ok_and(|p| calls.len() > p);
    let mut facts = Vec::new();
    if too_many {
        // The tool without a pocket of its number, or the first that finds all pockets taken.
        let one =
            calls.iter().find(beyond).or_else(|| usize::try_from(pockets).ok().and_then(|p| calls.get(p)));
        facts.extend(one.map(|c| JobFact::TooManyTools {
            setup: c.setup,
            place: c.place,
            tool: c.tool,
            called: called.clone(),
            pockets,
            free: free.clone(),
        }));
    } else {
        facts.extend(calls.iter().filter(beyond).map(|c| JobFact::ToolWithoutPocket {
            setup: c.setup,
            place: c.place,
            tool: c.tool,
            pockets,
            free: free.clone(),
        }));
    }
    Pockets { called, free, facts }
}

struct Call {
    setup: usize,
    place: Place,
    tool: u32,
}

fn first_calls(runs: &[Run]) -> Vec<Call> {
    let mut calls: Vec<Call> = Vec::new();
    for (setup, run) in runs.iter().enumerate() {
        for event in &run.events {
            if let ToolCall::Change { tool } = event.call
                && tool != 0
                && calls.iter().all(|c| c.tool != tool)
            {
                calls.push(Call { setup, place: event.place, tool });
            }
        }
    }
    calls
}
