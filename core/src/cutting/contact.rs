use crate::geom::{Axis, Frame, Spans, Vec3};
use crate::stock::{Bite, OpRecord, RayMap};
use crate::sweep::Sweep;

/// What touched stock that it must not touch so.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ContactKind {
    /// The cutter, at rapid.
    RapidIntoStock,
    /// The part of the tip that cannot cut, going down.
    CenterIntoStock,
    /// The shank or neck.
    ShankIntoStock,
    /// The holder.
    HolderIntoStock,
}

/// A contact with stock. At most one of each kind for a move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// What touched.
    pub kind: ContactKind,
    /// Index into the run's moves.
    pub move_index: usize,
    /// The stock point that is touched first, as far as the rays show it, setup frame, mm.
    pub at: Vec3,
    /// Position of the tip then, setup frame, mm.
    pub tip: Vec3,
    /// How deep, mm: for a rapid and for a centre the greatest height of material met, along the spindle; for shank
    /// and holder by how much they would have to be smaller all round to pass.
    pub depth: f64,
}

/// Contact less deep than this, normal to the surface, is rounding (mm): 50 nm. Two sweeps along the same wall may
/// differ by 4 nm; no shop measures 50.
const NOISE: f64 = 50.0e-6;

/// Pieces of material along each axis that are looked at more closely: of the longest and of the earliest.
const CLOSER: usize = 16;

/// Halvings for the first moment of contact: a millionth of the path.
const MOMENT_STEPS: usize = 20;
/// Halvings for a depth: a micrometre in 10 mm and better.
const DEPTH_STEPS: usize = 16;

/// The contact that an op's record shows; `None` where there is none but for rounding.
pub(super) fn contact(
    kind: ContactKind,
    move_index: usize,
    frame: &Frame,
    sweep: &Sweep,
    record: &OpRecord,
) -> Option<Contact> {
    let smaller = Sweep::new(sweep.body().shrunk(NOISE)?, sweep.path());
    let real: Vec<&Bite> = record.bites.iter().filter(|b| meets(frame, &smaller, b).is_some()).collect();
    let bites = closer(&real, frame, sweep);
    let (moment, at) = first_moment(frame, &smaller, &bites)?;
    let depth = match kind {
        ContactKind::RapidIntoStock | ContactKind::CenterIntoStock => height(frame, &real),
        ContactKind::ShankIntoStock | ContactKind::HolderIntoStock => interference(frame, sweep, real),
    };
    Some(Contact { kind, move_index, at, tip: sweep.path().point(moment), depth })
}

/// The part of a piece of material that lies inside a sweep, part frame.
fn meets(frame: &Frame, sweep: &Sweep, bite: &Bite) -> Option<(f64, f64)> {
    let mut spans = Spans::new();
    RayMap::new(frame, bite.axis).spans(sweep, bite.u, bite.v, &mut spans);
    let inside = spans.iter().map(|s| (s.0.max(bite.low), s.1.min(bite.high)));
    inside.into_iter().find(|s| s.0 < s.1)
}

fn middle(frame: &Frame, bite: &Bite, (low, high): (f64, f64)) -> Vec3 {
    let (u, v) = bite.axis.others();
    let mut p = Vec3::zeros();
    u.set(&mut p, bite.u);
    v.set(&mut p, bite.v);
    bite.axis.set(&mut p, 0.5 * (low + high));
    frame.setup_from_part(&p)
}

/// Of each axis the longest few and the earliest few. (The rays along an axis see a face square to it exactly, those
/// across only to a spacing: none may crowd out the others.)
fn closer<'a>(bites: &[&'a Bite], frame: &Frame, sweep: &Sweep) -> Vec<&'a Bite> {
    let when = |b: &Bite| crate::stock::Swept::when(sweep, &middle(frame, b, (b.low, b.high)));
    let mut chosen = Vec::new();
    for axis in Axis::ALL {
        let mut long = bites.iter().copied().filter(|b| b.axis == axis);
        chosen.extend(long.by_ref().take(CLOSER));
        let mut rest: Vec<(f64, &Bite)> = long.map(|b| (when(b), b)).collect();
        rest.sort_by(|a, b| a.0.total_cmp(&b.0));
        chosen.extend(rest.into_iter().take(CLOSER).map(|(_, b)| b));
    }
    chosen
}

/// When, from 0 to 1 along the path, a piece of material is first met, and where.
fn first_moment(frame: &Frame, sweep: &Sweep, bites: &[&Bite]) -> Option<(f64, Vec3)> {
    let until = |t: f64| Sweep::new(*sweep.body(), &sweep.path().piece(0.0, t));
    let mut best: Option<(f64, Vec3)> = None;
    for bite in bites {
        let limit = best.map_or(1.0, |b| b.0);
        let Some(met) = meets(frame, &until(limit), bite) else { continue };
        let (mut before, mut after, mut span) = (0.0, limit, met);
        if let Some(met) = meets(frame, &until(0.0), bite) {
            return Some((0.0, middle(frame, bite, met)));
        }
        for _ in 0..MOMENT_STEPS {
            let t = 0.5 * (before + after);
            if let Some(met) = meets(frame, &until(t), bite) {
                (after, span) = (t, met);
            } else {
                before = t;
            }
        }
        best = Some((after, middle(frame, bite, span)));
    }
    best
}

/// Greatest length of material along the spindle; along any axis where no ray along the spindle met any.
fn height(frame: &Frame, bites: &[&Bite]) -> f64 {
    let up = frame.direction(Axis::Z).axis;
    let longest =
        |f: &dyn Fn(&Bite) -> bool| bites.iter().filter(|b| f(b)).map(|b| b.high - b.low).fold(0.0, f64::max);
    let along = longest(&|b| b.axis == up);
    if along > 0.0 { along } else { longest(&|_| true) }
}

/// By how much the body would have to be smaller all round to meet none of the material.
fn interference(frame: &Frame, sweep: &Sweep, mut bites: Vec<&Bite>) -> f64 {
    let body = sweep.body();
    let (mut meets_at, mut clear_at) = (NOISE, body.radius());
    for _ in 0..DEPTH_STEPS {
        let by = 0.5 * (meets_at + clear_at);
        let still: Vec<&Bite> = match body.shrunk(by) {
            Some(body) => {
                let sweep = Sweep::new(body, sweep.path());
                bites.iter().copied().filter(|b| meets(frame, &sweep, b).is_some()).collect()
            }
            None => Vec::new(),
        };
        if still.is_empty() {
            clear_at = by;
        } else {
            meets_at = by;
            bites = still;
        }
    }
    clear_at
}
