use super::contact::{Contact, contact};
use super::engagement::Engagement;
use super::history::History;
use super::keyframes::Keyframes;
use super::plan::{Plan, Planner};
use crate::geom::{Axis, Frame};
use crate::job::Job;
use crate::motion::Run;
use crate::stock::{Met, OpMode, Stock, StockError};
use crate::units::NM_PER_MM;
use std::ops::ControlFlow;

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

/// Moves that are planned and cut at once, first and later: what is cut again by the next level is then still near the
/// processor. Few at first, so that little waits while they are planned; few enough to tell progress often.
const AT_ONCE: (usize, usize) = (4096, 32768);

/// Cuts one setup: takes from the stock what its moves sweep, in order, adds every cut to the history, and tells what
/// each took and what touched that must not. Moves without a tool, or with one that the table does not have, cut
/// nothing. Moments on the way are offered to `keep`; `progress` is told the part of the moves that is done, 0 to 1, and may
/// break off: then the stock and what is told are worth nothing.
///
/// # Errors
/// [`StockError::Overfull`] when the stock comes to take more memory than its limit; it is then worth nothing.
pub fn cut_setup(
    stock: &mut Stock,
    history: &mut History,
    job: &Job,
    setup: usize,
    run: &Run,
    mut keep: Option<&mut Keyframes>,
    progress: &dyn Fn(f64) -> ControlFlow<()>,
) -> Result<SetupCut, StockError> {
    let mut out = SetupCut { moves: vec![MoveCut::default(); run.moves.len()], contacts: Vec::new() };
    let Some(frame) = job.setups.get(setup).map(|s| s.frame) else { return Ok(out) };
    let own = history.begin_setup(&frame);
    let scale = Scale {
        spindle: frame.direction(Axis::Z).axis,
        volumes: Axis::ALL.map(|a| stock.grid(a).cell_area() / NM_PER_MM / 3.0),
        frame,
    };
    let mut planner = Planner::new(job, (own, &frame), history.next_id(), stock.raw_bounds());
    let most = keep.as_ref().map_or(AT_ONCE.1, |k| k.moves_between());
    let (mut begun, mut at_once) = (0, AT_ONCE.0);
    let mut plan_next = || {
        let first = begun;
        begun = run.moves.len().min(first + at_once.min(most));
        at_once = AT_ONCE.1.min(2 * at_once);
        let chunk = run.moves.get(first..begun).filter(|chunk| !chunk.is_empty())?;
        Some((begun, planner.plan(first, chunk)))
    };
    let mut next = plan_next();
    let mut last: Option<(Plan, Met)> = None;
    while let Some((done, plan)) = next {
        // While this chunk is cut, what was met by the one before is told and the one behind it is planned.
        let (met, ahead) = rayon::join(
            || stock.run(&frame, &plan.ops()),
            || {
                if let Some((plan, met)) = last.take() {
                    out.tell(&scale, &plan, met);
                    history.add_all(plan.into_cuts());
                }
                plan_next()
            },
        );
        let met = met?;
        if let Some(keyframes) = &mut keep {
            keyframes.offer(stock, plan.next, ahead.is_none());
        }
        (last, next) = (Some((plan, met)), ahead);
        if progress(share(done, run.moves.len())).is_break() {
            break;
        }
    }
    if let Some((plan, met)) = last {
        out.tell(&scale, &plan, met);
        history.add_all(plan.into_cuts());
    }
    out.contacts = one_of_each(out.contacts);
    Ok(out)
}

/// What turns records into volumes and depths.
struct Scale {
    frame: Frame,
    /// Part axis along the spindle.
    spindle: Axis,
    /// Volume, mm3, that a nanometre on a ray of the grids along X, Y and Z stands for: of each a third is told.
    volumes: [f64; 3],
}

impl SetupCut {
    /// Adds what the ops of a plan met.
    fn tell(&mut self, scale: &Scale, plan: &Plan, met: Met) {
        let mut ops = plan.with_meanings().enumerate();
        met.each(|number, record| {
            let Some((_, (op, meaning))) = ops.find(|(n, _)| *n == number) else { return };
            if op.mode != OpMode::Look
                && let Some(cut) = self.moves.get_mut(meaning.move_index)
            {
                let sums = record.met.iter().zip(&scale.volumes);
                cut.removed += sums.map(|(nm, volume)| crate::stock::float(*nm) * volume).sum::<f64>();
                let longest = record.longest.iter().copied().fold(0, i64::max);
                cut.longest = cut.longest.max(crate::stock::float(longest) / NM_PER_MM);
                if op.mode == OpMode::Cut {
                    let met = Engagement::of(record, scale.spindle);
                    cut.engagement = met.map(|met| met.with(cut.engagement)).or(cut.engagement);
                }
            }
            if let Some(kind) = meaning.contact {
                self.contacts.extend(contact(kind, meaning.move_index, &scale.frame, op.sweep, record));
            }
        });
    }
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
