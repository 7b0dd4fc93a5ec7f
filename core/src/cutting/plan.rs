use super::contact::ContactKind;
use super::history::{Cut, CutOrigin};
use crate::cutter::{Assembly, Body, Part, PartRole, Tool};
use crate::geom::{Axis, Box3, Frame, Path};
use crate::job::Job;
use crate::motion::{Move, MoveKind};
use crate::stock::{CutId, Op, OpMode};
use crate::sweep::Sweep;
use smallvec::{SmallVec, smallvec};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, PI};

/// Steepest way down, as height over length in the plane, that a tool which cannot cut at its centre may take into
/// material: 3 degrees. Our own choice, at the low end of what makers of such tools allow.
const RAMP: f64 = 0.052_4;

/// A tool as the stock meets it.
pub(super) struct Gear {
    parts: Vec<Part>,
    /// What cannot cut at the tip.
    core: Option<Body>,
}

impl Gear {
    pub(super) fn of(tool: &Tool) -> Self {
        Self { parts: Assembly::of(tool).parts, core: Assembly::core(tool) }
    }
}

/// What an op stands for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Meaning {
    pub(super) move_index: usize,
    /// What it means when it meets material; `None`: that it cuts.
    pub(super) contact: Option<ContactKind>,
    mode: OpMode,
    /// Where among the cuts of the plan, or among what it only looks at, its sweep is.
    place: usize,
}

/// Ops in order, and what each stands for.
pub(super) struct Plan {
    /// What is cut, for the history to keep.
    cuts: Vec<Cut>,
    /// What is only looked at.
    looks: Vec<Sweep>,
    meanings: Vec<Meaning>,
    /// The marks that the first cut gets, and the next one after them.
    first: CutId,
    pub(super) next: CutId,
}

impl Plan {
    const fn from(first: CutId) -> Self {
        Self { cuts: Vec::new(), looks: Vec::new(), meanings: Vec::new(), first, next: first }
    }

    /// The ops.
    pub(super) fn ops(&self) -> Vec<Op<&Sweep>> {
        self.with_meanings().map(|(op, _)| op).collect()
    }

    /// The ops, each with what it stands for.
    pub(super) fn with_meanings(&self) -> impl Iterator<Item = (Op<&Sweep>, &Meaning)> {
        self.meanings.iter().filter_map(|meaning| {
            let (place, mode) = (meaning.place, meaning.mode);
            let (id, sweep) = match mode {
                OpMode::Look => (CutId::RAW, self.looks.get(place)?),
                OpMode::Cut | OpMode::CutAndReport => (self.first.later(place), &self.cuts.get(place)?.sweep),
            };
            Some((Op { id, sweep, mode }, meaning))
        })
    }

    /// What is cut.
    pub(super) fn into_cuts(self) -> Vec<Cut> {
        self.cuts
    }
}

/// Makes ops of a setup's moves.
pub(super) struct Planner<'a> {
    job: &'a Job,
    setup: usize,
    frame: Frame,
    /// Nothing outside needs to be done, part frame.
    stock: Box3,
    gears: BTreeMap<u32, Gear>,
    plan: Plan,
}

impl<'a> Planner<'a> {
    /// For a setup whose first cut gets a mark, and stock of which nothing lies outside a box.
    pub(super) fn new(job: &'a Job, (setup, frame): (usize, &Frame), first: CutId, stock: &Box3) -> Self {
        Self { job, setup, frame: *frame, stock: *stock, gears: BTreeMap::new(), plan: Plan::from(first) }
    }

    /// The ops of some moves, of which the first has the given index.
    pub(super) fn plan(&mut self, first: usize, moves: &[Move]) -> Plan {
        // Mostly one each.
        self.plan.cuts.reserve(moves.len());
        self.plan.meanings.reserve(moves.len());
        for (move_index, m) in (first..).zip(moves) {
            if let Some(tool) = m.tool.and_then(|number| self.job.tool(number)) {
                let gear = self.gears.remove(&tool.number).unwrap_or_else(|| Gear::of(tool));
                self.add(move_index, m, &gear);
                self.gears.insert(tool.number, gear);
            }
        }
        let next = self.plan.first.later(self.plan.cuts.len());
        self.plan.next = next;
        std::mem::replace(&mut self.plan, Plan::from(next))
    }

    /// Adds a move.
    ///
    /// What must not touch is looked at, or cut with, in the order in which the machine gets there: going up, shank
    /// and holder come to a height before the cutter below them has passed it; going down, after. For a way that
    /// only goes up or only goes down this order is exact, so other ways are taken in pieces.
    fn add(&mut self, move_index: usize, m: &Move, gear: &Gear) {
        let rapid = matches!(m.kind, MoveKind::Rapid | MoveKind::Home);
        for path in m.other_way.iter().flat_map(steady) {
            for part in &gear.parts {
                self.op(move_index, part, &path, OpMode::Look, contact_of(part.role, true));
            }
        }
        for path in steady(&m.path) {
            if let Some(core) = gear.core.filter(|_| !rapid && steep(&path)) {
                let part = Part { role: PartRole::Cutter, body: core };
                self.op(move_index, &part, &path, OpMode::Look, Some(ContactKind::CenterIntoStock));
            }
            let cutter_last = path.end().z > path.start().z;
            for cutters in [!cutter_last, cutter_last] {
                for part in gear.parts.iter().filter(|p| (p.role == PartRole::Cutter) == cutters) {
                    let contact = contact_of(part.role, rapid);
                    let mode = if contact.is_some() { OpMode::CutAndReport } else { OpMode::Cut };
                    self.op(move_index, part, &path, mode, contact);
                }
            }
        }
    }

    fn op(
        &mut self,
        move_index: usize,
        part: &Part,
        path: &Path,
        mode: OpMode,
        contact: Option<ContactKind>,
    ) {
        let sweep = Sweep::new(part.body, path);
        if !self.frame.part_box(sweep.bounds()).meets(&self.stock) {
            return;
        }
        let place = if mode == OpMode::Look {
            self.plan.looks.push(sweep);
            self.plan.looks.len() - 1
        } else {
            let origin = CutOrigin { setup: self.setup, move_index, role: part.role };
            self.plan.cuts.push(Cut { origin, sweep });
            self.plan.cuts.len() - 1
        };
        self.plan.meanings.push(Meaning { move_index, contact, mode, place });
    }
}

const fn contact_of(role: PartRole, rapid: bool) -> Option<ContactKind> {
    match role {
        PartRole::Cutter if rapid => Some(ContactKind::RapidIntoStock),
        PartRole::Cutter => None,
        PartRole::Shank => Some(ContactKind::ShankIntoStock),
        PartRole::Holder => Some(ContactKind::HolderIntoStock),
    }
}

/// True for a way down steeper than [`RAMP`].
fn steep(path: &Path) -> bool {
    let down = path.start().z - path.end().z;
    let along = match path {
        Path::Line { from, to } => libm::hypot(to.x - from.x, to.y - from.y),
        Path::Arc(arc) if arc.axis == Axis::Z => arc.radius * arc.sweep.abs(),
        // In an upright plane the steepest place counts; taking the chord's height over its width is kinder, so
        // count the way as going straight down.
        Path::Arc(_) => 0.0,
    };
    down > RAMP * along
}

/// A way in pieces that each only rise or only fall.
fn steady(path: &Path) -> SmallVec<[Path; 1]> {
    let Path::Arc(arc) = path else { return smallvec![*path] };
    // Angles at which an upright arc is highest or lowest, from the first axis of its plane.
    let turn = match arc.axis {
        Axis::Z => return smallvec![*path],
        Axis::X => FRAC_PI_2,
        Axis::Y => 0.0,
    };
    let (low, high) =
        (arc.start_angle.min(arc.start_angle + arc.sweep), arc.start_angle.max(arc.start_angle + arc.sweep));
    if !(high - low).is_finite() || high - low > 1000.0 * PI {
        return smallvec![*path];
    }
    let mut cuts = vec![0.0, 1.0];
    let mut k = ((low - turn) / PI).ceil();
    while turn + k * PI < high {
        let t = (turn + k * PI - arc.start_angle) / arc.sweep;
        if 1e-9 < t && t < 1.0 - 1e-9 {
            cuts.push(t);
        }
        k += 1.0;
    }
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2).filter_map(|w| if let [a, b] = w { Some(path.piece(*a, *b)) } else { None }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Arc, Vec3};

    #[test]
    fn upright_arcs_come_in_pieces_that_rise_or_fall() {
        for axis in [Axis::X, Axis::Y] {
            for (start, sweep) in [(0.3, 5.0), (0.0, 2.0 * PI), (-2.0, -7.0), (1.0, 0.1)] {
                let arc = Arc {
                    center: Vec3::new(1.0, 2.0, 3.0),
                    axis,
                    radius: 4.0,
                    start_angle: start,
                    sweep,
                    rise: 0.0,
                };
                let pieces = steady(&Path::Arc(arc));
                let mut length = 0.0;
                for p in &pieces {
                    length += p.length();
                    let z: Vec<f64> = (0..=50).map(|k| p.point(f64::from(k) / 50.0).z).collect();
                    let rises = z.windows(2).all(|w| w[1] >= w[0] - 1e-12);
                    let falls = z.windows(2).all(|w| w[1] <= w[0] + 1e-12);
                    assert!(rises || falls, "{axis:?} {start} {sweep}");
                }
                assert!((length - arc.length()).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn steep_means_more_than_three_degrees_down() {
        let line = |dx: f64, dz: f64| Path::Line { from: Vec3::zeros(), to: Vec3::new(dx, 0.0, dz) };
        assert!(steep(&line(0.0, -1.0)) && steep(&line(10.0, -0.53)));
        assert!(!steep(&line(10.0, -0.5)) && !steep(&line(0.0, 1.0)) && !steep(&line(5.0, 0.0)));
    }
}
