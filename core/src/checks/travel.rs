//! Does the machine reach where the program sends it?

use super::fact::Fact;
use crate::geom::{Axis, Box3, Vec3};
use crate::job::{Job, Setup, WorkOffset};
use crate::motion::{Move, MoveKind, Run};

/// Positions beyond travel by less than this, millimetres, are at its end: rounding of file units.
const SLACK: f64 = 1.0e-4;

/// Judges one setup's run against the machine's travel. With machine zeros each position is known; without, only whether
/// the range needed fits at all. Z is judged where the length of the tool is known: by its register, or by its gauge
/// length.
pub fn look(job: &Job, setup: &Setup, run: &Run) -> Vec<Fact> {
    let Some((low, high)) = job.machine.travel else { return Vec::new() };
    if setup.machine_zeros.is_empty() {
        return too_far(run, &(high - low));
    }
    let mut facts: Vec<Fact> = Vec::new();
    for axis in Axis::ALL {
        let limits = (axis.of(&low), axis.of(&high));
        // The first move beyond each end; a whole contour beyond is one mistake.
        for (end, sign) in [(limits.0, -1.0), (limits.1, 1.0)] {
            let beyond = run.moves.iter().enumerate().find_map(|(i, m)| {
                if m.kind == MoveKind::Home {
                    return None;
                }
                let (from, to) = machine_range(job, setup, m, axis)?;
                let reached = if sign > 0.0 { to } else { from };
                (sign * (reached - end) > SLACK).then_some((i, reached))
            });
            if let Some((move_index, reached)) = beyond {
                facts.push(Fact::OutsideTravel { move_index, axis, reached, end });
            }
        }
    }
    facts
}

/// Lowest and highest machine coordinate of a move; `None` when it is not known.
fn machine_range(job: &Job, setup: &Setup, m: &Move, axis: Axis) -> Option<(f64, f64)> {
    let pair = |offset| Some((setup.zero_in_setup(offset)?, machine_zero(setup, offset)?));
    // An offset that the program itself sets is not listed; any other listed one joins machine and setup as well.
    let (zero, machine_zero) =
        pair(m.offset).or_else(|| setup.machine_zeros.iter().find_map(|(offset, _)| pair(*offset)))?;
    let mut shift = axis.of(&(machine_zero - zero));
    if axis == Axis::Z {
        shift += spindle_over_tip(job, m)?;
    }
    let b = range(m);
    Some((axis.of(&b.min) + shift, axis.of(&b.max) + shift))
}

fn machine_zero(setup: &Setup, offset: WorkOffset) -> Option<Vec3> {
    setup.machine_zeros.iter().find(|(o, _)| *o == offset).map(|(_, z)| *z)
}

/// Height of the spindle's gauge line over the tip of the tool.
fn spindle_over_tip(job: &Job, m: &Move) -> Option<f64> {
    let tool = job.tool(m.tool?)?;
    tool.gauge_length.or_else(|| job.registers.as_ref()?.length.get(&m.length_register?).copied())
}

/// All places of the tip in a move, by either way.
fn range(m: &Move) -> Box3 {
    m.other_way.iter().fold(m.path.bounds(), |b, p| b.union(&p.bounds()))
}

/// Without machine zeros: axes along which the whole run needs more room than there is.
fn too_far(run: &Run, room: &Vec3) -> Vec<Fact> {
    let needed = needed(run);
    if needed.is_empty() {
        return Vec::new();
    }
    let size = needed.size();
    // Z needs the lengths of the tools as well, which shift it.
    [Axis::X, Axis::Y]
        .into_iter()
        .filter(|a| a.of(&size) > a.of(room) + SLACK)
        .map(|axis| Fact::TravelTooShort { axis, needed: axis.of(&size), room: axis.of(room) })
        .collect()
}

/// All places that the tip goes to other than home, setup frame: the travel that the program needs.
pub fn needed(run: &Run) -> Box3 {
    run.moves.iter().filter(|m| m.kind != MoveKind::Home).fold(Box3::empty(), |b, m| b.union(&range(m)))
}
