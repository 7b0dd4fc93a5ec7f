//! Interpreter tests. A small job is made here so that they need no loader.

#![expect(clippy::float_cmp, reason = "compared after rounding to the decimals of a program")]
#![expect(clippy::disallowed_methods, reason = "the published cases lie in a file; tests may read it")]

use super::{Fact, Move, MoveKind, Run, interpret};
use crate::cutter::{Hand, Tool, ToolKind};
use crate::geom::{Axis, Box3, Direction, Frame, Path, Vec3};
use crate::job::{
    ArcCenters, Changer, ChangerKind, Control, HelixFeed, HomeMoves, Job, JobPlace, Machine,
    NumberWithoutPoint, RadiusRegister, RapidPath, RawStock, Setup, Spindle, SpindleStop, WorkOffset,
};
use crate::program::parse;
use crate::source::{SourceText, Span};
use crate::units::Unit;

mod arcs;
pub(super) mod compensation;
mod compensation_arc;
mod cycles;
mod errors;
mod examples;
mod flow;
mod properties;
mod settings;
mod state;

/// Height of home in these tests.
pub(super) const CLEAR: f64 = 500.0;

fn tool(number: u32) -> Tool {
    Tool {
        number,
        name: format!("tool {number}"),
        kind: ToolKind::EndMill,
        diameter: 10.0,
        flutes: Some(3),
        flute_length: 20.0,
        shank_diameter: 10.0,
        stickout: 30.0,
        gauge_length: Some(100.0 + f64::from(number)),
        holder: Vec::new(),
        length_offset: number,
        radius_offset: number,
        center_cutting: true,
        hand: Hand::Right,
    }
}

/// A millimetre job with G54 at the part's zero and G55 100 mm to the right of it; tools 1 to 3.
pub(super) fn job() -> Job {
    let place = JobPlace { source: SourceText::new("job.json", "{}"), span: Span::new(0, 2) };
    let up = Direction::new(Axis::Z, true);
    let right = Direction::new(Axis::X, true);
    let control = Control {
        number_without_point: NumberWithoutPoint::Units,
        arc_centers: ArcCenters::Incremental,
        arc_tolerance: 0.002,
        peck_clearance: 0.5,
        chip_break_lift: 0.25,
        rapid_path: RapidPath::Straight,
        home_moves: HomeMoves::NamedAxes,
        spindle_stop: SpindleStop::AfterMotion,
        helix_feed: HelixFeed::AlongPath,
        radius_register: RadiusRegister::ToolRadius,
        block_delete: None,
        compensation: crate::job::CompensationRules::default(),
        expressions: None,
        subprogram_depth: 4,
        subprogram_repeats: None,
        scale_increment: 0.001,
        m_codes_per_block: 4,
        point_reading_stated: true,
        dwell_without_point: Some(crate::job::DwellWithoutPoint::Seconds),
        cycle_return: crate::job::CycleReturn::InitialLevel,
        peck_retract: crate::job::PeckRetract::RLevel,
        zero_repeats_refused: false,
        offset_data_l20: None,
        line_length: 256,
        motion_without_axes: crate::job::Allowance::Accepted,
        motion_codes_together: crate::job::Allowance::Accepted,
        circle_without_end: crate::job::Allowance::Accepted,
    };
    let changer =
        Changer { kind: ChangerKind::Arm, pockets: Some(10), seconds: None, same_pocket_return: false };
    Job {
        name: "test".to_owned(),
        unit: Unit::Millimetre,
        material: None,
        machine: Machine {
            name: "mill".to_owned(),
            unit: Unit::Millimetre,
            travel: None,
            rapid: Vec3::repeat(10_000.0),
            max_feed: None,
            acceleration: None,
            spindle: Spindle::default(),
            changer,
            control,
        },
        tools: (1..=3).map(tool).collect(),
        drawing: None,
        stock: RawStock::Box(Box3::between(Vec3::zeros(), Vec3::repeat(10.0))),
        spacing: None,
        clearance: 1.0,
        registers: None,
        setups: vec![Setup {
            name: "top".to_owned(),
            program: SourceText::new("top.nc", ""),
            subprograms: Vec::new(),
            frame: Frame::new(up, right, Vec3::zeros()).unwrap(),
            zeros: vec![(WorkOffset(1), Vec3::zeros()), (WorkOffset(2), Vec3::new(100.0, 0.0, 0.0))],
            machine_zeros: Vec::new(),
            workholding: Vec::new(),
            place: place.clone(),
        }],
        place,
    }
}

pub(super) fn run_with(job: &Job, text: &str) -> Run {
    interpret(&parse(&SourceText::new("top.nc", text)), job, 0, CLEAR)
}

pub(super) fn run(text: &str) -> Run {
    run_with(&job(), text)
}

/// Runs `text` with the tip brought to a place first; the moves of bringing it there are left out.
pub(super) fn run_from(at: [f64; 3], text: &str) -> Run {
    run_from_with(&job(), at, text)
}

pub(super) fn run_from_with(job: &Job, at: [f64; 3], text: &str) -> Run {
    let [x, y, z] = at;
    let head = format!("G21 G90 G17 G94 F100\nG0 X{x:.6} Y{y:.6}\nZ{z:.6}\n");
    let mut run = run_with(job, &(head + text));
    run.moves.retain(|m| m.place.line > 3);
    run
}

/// Kind and end of a move, the ends rounded to a nanometre.
pub(super) fn ends(run: &Run) -> Vec<(MoveKind, [f64; 3])> {
    run.moves.iter().map(|m| (m.kind, rounded(m.path.end()))).collect()
}

pub(super) fn rounded(p: Vec3) -> [f64; 3] {
    [p.x, p.y, p.z].map(|c| libm::round(c * 1e6) / 1e6 + 0.0)
}

/// Facts by name and line.
pub(super) fn facts(run: &Run) -> Vec<(String, u32)> {
    let name = |fact: &Fact| format!("{fact:?}").split([' ', '{']).next().unwrap_or("").to_owned();
    run.facts.iter().map(|f| (name(f), f.place().line)).collect()
}

/// Asserts one fact, and whether the run was lost there.
#[track_caller]
pub(super) fn expect_fact(text: &str, name: &str, line: u32, lost: bool) {
    let run = run(text);
    assert_eq!(facts(&run), [(name.to_owned(), line)], "{text}");
    assert_eq!(run.lost_from.map(|p| p.line), lost.then_some(line), "{text}");
}

#[track_caller]
pub(super) fn expect_clean(run: &Run) {
    assert_eq!(facts(run), [], "{:?}", run.sources);
    assert_eq!(run.lost_from, None);
}

/// The only arc of a run.
#[track_caller]
pub(super) fn only_arc(run: &Run) -> (crate::geom::Arc, Move) {
    match run.moves.as_slice() {
        [m @ Move { path: Path::Arc(arc), .. }] => (*arc, m.clone()),
        other => panic!("not one arc: {other:?}"),
    }
}
