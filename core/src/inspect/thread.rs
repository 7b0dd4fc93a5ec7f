//! Threads: who tapped them, how deep, and in which hole.

use super::fact::Fact;
use super::holes::{HoleBench, HoleFound, Placed};
use super::judge::{judge, judge_limits};
use super::makers::PROBE_BOUND;
use super::result::{MadeBy, Measured, Quantity, Verdict};
use crate::geom::{Axis, Vec3};
use crate::job::{Setup, Thread, Tolerance, ToolKind};
use crate::motion::{Cycle, Move, MoveKind};
use crate::stock::CutId;

/// Turns of a tap's tip that do not cut full thread, where the tool table does not tell: bottoming taps have 1 to 2, plug
/// taps 3 to 5, taper taps 7 to 10 (common practice). The depth is then known within these.
const CHAMFER_TURNS: (f64, f64) = (1.0, 10.0);

/// How far a tap may stand beside the hole's axis and still be meant for it, millimetres (a float holder follows the
/// drilled hole).
const BESIDE_AXIS: f64 = 0.25;

/// Part by which a tap's pitch or diameter may differ from the designation: rounding of inch pitches.
const SAME_THREAD: f64 = 2.0e-3;

/// The deepest tapping move at a hole.
struct Tapped {
    setup: usize,
    move_index: usize,
    /// Depth of the tip below the mouth.
    tip: f64,
    /// True when the tap came from the mouth's side.
    from_mouth: bool,
    right_tap: bool,
    /// Turns at the tip that cut no full thread, where the tool table tells.
    chamfer_turns: Option<f64>,
    deviation: f64,
}

impl HoleBench<'_> {
    /// Measures the thread of a hole.
    pub(super) fn thread(&self, index: usize, thread: &Thread, found: &mut HoleFound, facts: &mut Vec<Fact>) {
        let tapped = self.tapped(thread);
        let need = thread.depth.unwrap_or_else(|| self.drawn_depth());
        let best = tapped.iter().filter(|t| t.right_tap).max_by(|a, b| a.tip.total_cmp(&b.tip));
        let at = self.point(&self.center, need);
        let depth = |measured, verdict| Quantity {
            name: "thread_depth",
            nominal: need,
            tolerance: None,
            measured,
            verdict: Some(verdict),
            at: Some(at),
            made_by: best.and_then(|t| self.tapped_by(t)),
        };
        found.quantities.push(match best {
            None => depth(None, Verdict::Missing),
            Some(t) => {
                let (least, most) = t.chamfer_turns.map_or(CHAMFER_TURNS, |n| (n, n));
                let (least, most) = (least * thread.pitch, most * thread.pitch);
                // From the far side every turn is whole once the ground tip has come out of the mouth.
                let reached = |ground: f64| match t.from_mouth {
                    true => t.tip - ground,
                    false if t.tip <= -ground => need,
                    false => 0.0,
                };
                let (low, high) = (reached(most), reached(least));
                let unknown = 0.5 * (high - low);
                let m = Measured { value: low + unknown, bound: PROBE_BOUND + t.deviation + unknown };
                depth(Some(m), judge_limits(&m, need - PROBE_BOUND, f64::INFINITY))
            }
        });
        match (best, tapped.iter().find(|t| !t.right_tap)) {
            (Some(t), _) => {
                let last = found.quantities.last();
                let short = last.filter(|q| q.verdict == Some(Verdict::Outside)).and_then(|q| q.measured);
                facts.extend(short.map(|m| Fact::ThreadTooShort {
                    feature: index,
                    setup: t.setup,
                    move_index: t.move_index,
                    reached: m.value + m.bound,
                    asked: need,
                }));
            }
            (None, Some(t)) => {
                facts.push(Fact::WrongTap { feature: index, setup: t.setup, move_index: t.move_index });
            }
            (None, None) => facts.push(Fact::NotTapped { feature: index }),
        }
        self.minor(thread, found);
    }

    fn minor(&self, thread: &Thread, found: &mut HoleFound) {
        let Some((low, high)) = thread.minor_limits else { return };
        // A print may ask for a usual drill that is a hair outside the table: its own nominal size then is the limit.
        let nominal = self.hole.diameter;
        let tolerance = Tolerance {
            plus: (high - nominal).max(PROBE_BOUND * 4.0),
            minus: (nominal - low).max(PROBE_BOUND * 4.0),
        };
        let worst = found.diameter.map(|(a, b)| {
            let off = |p: &Placed| (p.0.value - 0.5 * (low + high)).abs();
            if off(&b) > off(&a) { b } else { a }
        });
        let by_tap = found.by.iter().find_map(|id| self.tap_of(*id));
        let verdict = match (worst, by_tap) {
            // The tap itself cut the wall: the hole was drilled under the tap's own minor diameter.
            (Some(_), Some(())) => Verdict::Outside,
            (Some((m, ..)), None) => judge(&m, nominal, &tolerance),
            (None, _) => Verdict::Undecided,
        };
        found.quantities.push(Quantity {
            name: "minor_diameter",
            nominal,
            tolerance: Some(tolerance),
            measured: worst.map(|w| w.0),
            verdict: Some(verdict),
            at: worst.map(|w| w.1),
            made_by: self.maker(worst.and_then(|w| w.2)),
        });
    }

    fn tapped_by(&self, t: &Tapped) -> Option<MadeBy> {
        let m = self.bench.runs.get(t.setup)?.moves.get(t.move_index)?;
        Some(MadeBy { setup: Some(t.setup), tool: m.tool, lines: vec![m.place.line] })
    }

    fn tap_of(&self, id: CutId) -> Option<()> {
        let (_, m) = self.bench.makers().move_of(id)?;
        let tool = self.bench.job.tool(m.tool?)?;
        matches!(tool.kind, ToolKind::Tap { .. }).then_some(())
    }

    /// Every tapping move at this hole.
    fn tapped(&self, thread: &Thread) -> Vec<Tapped> {
        let mut out = Vec::new();
        for (setup, run) in self.bench.runs.iter().enumerate() {
            let Some(frame) = self.bench.job.setups.get(setup) else { continue };
            if frame.frame.direction(Axis::Z).axis != self.hole.into.axis {
                continue;
            }
            for (move_index, m) in run.moves.iter().enumerate() {
                if m.kind == MoveKind::Thread || m.cycle == Some(Cycle::Tap) && m.kind != MoveKind::Rapid {
                    out.extend(self.tap_move(thread, frame, (setup, move_index), m));
                }
            }
        }
        out
    }

    fn tap_move(&self, thread: &Thread, setup: &Setup, at: (usize, usize), m: &Move) -> Option<Tapped> {
        let tool = self.bench.job.tool(m.tool?)?;
        let ToolKind::Tap { pitch, chamfer_turns } = tool.kind else { return None };
        let from_mouth = setup.frame.direction(Axis::Z).positive != self.hole.into.positive;
        let ends = [m.path.start(), m.path.end()].map(|p| setup.frame.part_from_setup(&p));
        if ends.iter().any(|p| self.beside(p) > BESIDE_AXIS) {
            return None;
        }
        let depth = |p: &Vec3| (self.hole.into.axis.of(p) - self.mouth) * self.hole.into.sign();
        let tips = ends.map(|p| depth(&p));
        let [a, b] = tips;
        let tip = if from_mouth { a.max(b) } else { a.min(b) };
        let entered = if from_mouth { tip > 0.0 } else { tip < self.drawn_depth() };
        let same = |a: f64, b: f64| (a - b).abs() <= SAME_THREAD * b;
        let right_tap = same(pitch, thread.pitch) && same(tool.diameter, thread.major_diameter);
        let (setup, move_index) = at;
        entered.then_some(Tapped {
            setup,
            move_index,
            tip,
            from_mouth,
            right_tap,
            chamfer_turns,
            deviation: m.deviation,
        })
    }

    /// Distance of a point from the hole's axis.
    fn beside(&self, p: &Vec3) -> f64 {
        let (u, v) = self.hole.into.axis.others();
        libm::hypot(u.of(p) - self.center.x, v.of(p) - self.center.y)
    }
}
