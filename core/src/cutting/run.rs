use super::contact::{Contact, contact};
use super::engagement::Engagement;
use super::history::History;
use super::plan::{Gear, Plan};
use crate::geom::Axis;
use crate::job::Job;
use crate::motion::Run;
use crate::stock::Stock;
use crate::units::NM_PER_MM;
use std::collections::BTreeMap;

/// What the moves of a setup did to the stock.
#[derive(Clone, Debug, Default)]
pub struct SetupCut {
    /// One per move of the run.
    pub moves: Vec<MoveCut>,
    /// Contacts in the order of the moves, then of their kinds.
    pub contacts: Vec<Contact>,
}

/// What one move took.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MoveCut {
    /// Volume taken, mm3, by whatever part of the tool: the mean of what the three grids count. The sum over the
    /// moves is the change of [`Stock::volume`] to rounding.
    pub removed: f64,
    /// Longest piece of material taken on one ray, mm. Rubbing along a finished wall may leave some hundredths here.
    pub longest: f64,
    /// How far the cutter was in the material; `None` for rapids, and where it met none along the spindle.
    pub engagement: Option<Engagement>,
}

/// Moves that are planned and cut at once: enough to keep the threads busy, few enough to tell progress often.
const AT_ONCE: usize = 4096;

/// Cuts one setup: takes from the stock what its moves sweep, in order, adds every cut to the history, and tells what
/// each took and what touched that must not. Moves without a tool, or with one that the table does not have, cut
/// nothing. `progress` is told the part of the moves that is done, 0 to 1.
pub fn cut_setup(
    stock: &mut Stock,
    history: &mut History,
    job: &Job,
    setup: usize,
    run: &Run,
    progress: &dyn Fn(f64),
) -> SetupCut {
    let mut out = SetupCut { moves: vec![MoveCut::default(); run.moves.len()], contacts: Vec::new() };
    let Some(frame) = job.setups.get(setup).map(|s| s.frame) else { return out };
    history.begin_setup(&frame);
    let mut gears: BTreeMap<u32, Gear> = BTreeMap::new();
    let spindle = frame.direction(Axis::Z).axis;
    let areas = Axis::ALL.map(|a| stock.grid(a).cell_area());
    let mut done = 0;
    for chunk in run.moves.chunks(AT_ONCE) {
        let mut plan = Plan::new(history, &frame, stock.raw_bounds());
        for (move_index, m) in (done..).zip(chunk) {
            if let Some(tool) = m.tool.and_then(|number| job.tool(number)) {
                let gear = gears.entry(tool.number).or_insert_with(|| Gear::of(tool));
                plan.add(move_index, m, gear);
            }
        }
        let (ops, meanings) = (plan.ops, plan.meanings);
        let records = stock.run(&frame, &ops);
        for ((op, meaning), record) in ops.iter().zip(&meanings).zip(&records) {
            let longest = record.longest.iter().copied().fold(0, i64::max);
            if longest == 0 {
                continue;
            }
            if op.mode != crate::stock::OpMode::Look
                && let Some(cut) = out.moves.get_mut(meaning.move_index)
            {
                let sums = record.met.iter().zip(&areas);
                let volumes = sums.map(|(nm, area)| crate::stock::float(*nm) / NM_PER_MM * area);
                cut.removed += volumes.sum::<f64>() / 3.0;
                cut.longest = cut.longest.max(crate::stock::float(longest) / NM_PER_MM);
                if op.mode == crate::stock::OpMode::Cut {
                    let met = Engagement::of(record, spindle);
                    cut.engagement = met.map(|met| met.with(cut.engagement)).or(cut.engagement);
                }
            }
            if let Some(kind) = meaning.contact {
                out.contacts.extend(contact(kind, meaning.move_index, &frame, op, record));
            }
        }
        done += chunk.len();
        progress(share(done, run.moves.len()));
    }
    out.contacts = one_of_each(out.contacts);
    out
}

/// Of several contacts of one kind in one move (pieces of a way, bodies of a holder, the other way of a rapid) the first
/// stands for all, with the greatest depth of any.
fn one_of_each(mut contacts: Vec<Contact>) -> Vec<Contact> {
    contacts.sort_by_key(|c| (c.move_index, c.kind));
    contacts.dedup_by(|later, first| {
        let same = (later.move_index, later.kind) == (first.move_index, first.kind);
        if same {
            first.depth = first.depth.max(later.depth);
        }
        same
    });
    contacts
}

/// `part` of `whole`, 0 to 1.
fn share(part: usize, whole: usize) -> f64 {
    let number = |n: usize| crate::stock::float(i64::try_from(n).unwrap_or(i64::MAX));
    number(part) / number(whole.max(1))
}
