use crate::checks::workholding::{self, Holding};
use crate::geom::Box3;
use crate::job::{Job, Setup};
use crate::motion::{self, MoveKind, Run};
use crate::program::{self, Program};
use crate::stock::Stock;

/// How far home lies above everything, millimetres. Where home truly is the job does not say (it depends on the length
/// of each tool); a hand's breadth above the highest thing changes no result, only the length of the moves to and from
/// home.
const ABOVE: f64 = 100.0;
/// For a first reading: a height that no program reaches, millimetres above everything that stands there.
const OUT_OF_REACH: f64 = 1.0e5;

/// Reads the program of a setup as it stands on the machine: what holds the stock, the run, and how high home lies.
pub(super) fn read(job: &Job, index: usize, setup: &Setup, stock: &Stock) -> (Holding, Run, f64) {
    let holding = workholding::resolve(setup, stock);
    let things =
        holding.pieces.iter().fold(setup.frame.setup_box(&holding.stock), |b, p| b.union(p.shape.bounds()));
    let (run, home) = run_from_home(job, index, &program::parse(&setup.program), &things);
    (holding, run, home)
}

/// Runs a program with home set [`ABOVE`] the highest of stock, workholding and all that the program itself asks for.
///
/// The highest programmed place is known only after the program was followed once, with home out of reach.
pub(super) fn run_from_home(job: &Job, setup: usize, program: &Program, things: &Box3) -> (Run, f64) {
    let top = if things.is_empty() { 0.0 } else { things.max.z };
    let far = top + OUT_OF_REACH;
    let first = motion::interpret(program, job, setup, far);
    let highest = first
        .moves
        .iter()
        .filter(|m| m.kind != MoveKind::Home)
        .flat_map(|m| std::iter::once(&m.path).chain(&m.other_way))
        .flat_map(|p| [p.start().z, p.end().z, p.bounds().max.z])
        .filter(|z| *z < far - 1.0)
        .fold(top, f64::max);
    drop(first);
    let home = highest + ABOVE;
    (motion::interpret(program, job, setup, home), home)
}
