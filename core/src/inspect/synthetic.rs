//! A finished part that is known in closed form: another drawing's nominal part, with planted mistakes.

use super::finished::Finished;
use crate::cutter::PartRole;
use crate::cutter::{Hand, Tool, ToolKind};
use crate::cutting::{CutOrigin, Piece};
use crate::geom::{Axis, Box3, Direction, Frame, Path, Vec3};
use crate::job::{
    ArcCenters, Changer, ChangerKind, Control, Drawing, HelixFeed, HomeMoves, Job, Machine,
    NumberWithoutPoint, RadiusRegister, RapidPath, RawStock, Setup, Spindle, SpindleStop, WorkOffset,
};
use crate::motion::{Move, MoveKind, Place, Run, SpindleTurn};
use crate::solid::{NominalPart, OwnedSpans, sample};
use crate::source::{SourceText, Span};
use crate::stock::{CutId, Interval, Outermost, Row};
use crate::units::{NM_PER_MM, Unit};

pub(super) struct Made {
    pub(super) part: NominalPart,
    over: Box3,
    spacing: f64,
}

impl Made {
    pub(super) fn new(made: &Drawing, spacing: f64) -> Self {
        let part = NominalPart::from_drawing(made);
        Self { over: part.bounds(), part, spacing }
    }

    /// Surfaces of what was added are raw; each later step is a cut by move `step`.
    fn id(&self, step: u32) -> CutId {
        if self.part.adds(step) { CutId::RAW } else { CutId(step) }
    }

    #[expect(clippy::cast_possible_truncation, reason = "small test parts")]
    fn ray(&self, axis: Axis, i: u32, j: u32) -> Vec<Interval> {
        let (u, v) = self.place(axis, i, j);
        let nm = |x: f64| (x * NM_PER_MM).round() as i32;
        let pieces = self.probe(axis, u, v).into_iter();
        pieces
            .map(|m| Interval { low: nm(m.low), high: nm(m.high), low_by: m.low_by, high_by: m.high_by })
            .collect()
    }
}

impl Finished for Made {
    fn probe(&self, axis: Axis, u: f64, v: f64) -> Vec<Piece> {
        let mut spans = OwnedSpans::new();
        self.part.owned_spans(axis, u, v, &mut spans);
        spans
            .iter()
            .map(|s| Piece {
                low: s.low,
                high: s.high,
                low_by: self.id(s.low_by),
                high_by: self.id(s.high_by),
            })
            .collect()
    }

    fn origin(&self, id: CutId) -> Option<CutOrigin> {
        (id != CutId::RAW).then_some(CutOrigin {
            setup: 0,
            move_index: id.0 as usize,
            role: PartRole::Cutter,
        })
    }

    fn first_through(&self, p: &Vec3) -> Option<CutId> {
        self.part.first_cut(p).map(|step| self.id(step))
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small test grids")]
    fn counts(&self, axis: Axis) -> (u32, u32) {
        let n = |a: Axis| (a.of(&self.over.size()) / self.spacing) as u32;
        let (u, v) = axis.others();
        (n(u), n(v))
    }

    fn place(&self, axis: Axis, i: u32, j: u32) -> (f64, f64) {
        let (u, v) = axis.others();
        let at = |a: Axis, k: u32| a.of(&self.over.min) + (f64::from(k) + 0.5) * self.spacing + 0.5e-6;
        (at(u, i), at(v, j))
    }

    fn steps(&self, _axis: Axis) -> (f64, f64) {
        (self.spacing, self.spacing)
    }

    fn row(&self, axis: Axis, j: u32, out: &mut Row) {
        out.clear();
        for i in 0..self.counts(axis).0 {
            out.push(self.ray(axis, i, j));
        }
    }

    fn outermost(&self, toward: Direction) -> Option<Outermost> {
        let (columns, rows) = self.counts(toward.axis);
        let mut best: Option<Outermost> = None;
        for (j, i) in (0..rows).flat_map(|j| (0..columns).map(move |i| (j, i))) {
            let ends = self.ray(toward.axis, i, j).into_iter().flat_map(|m| [m.low, m.high]);
            let end = if toward.positive { ends.max() } else { ends.min() };
            let beyond = |a: i32, b: i32| if toward.positive { a > b } else { a < b };
            best = match (best, end) {
                (Some(b), Some(end)) if !beyond(end, b.end) => Some(b),
                (_, Some(end)) => Some(Outermost { end, i, j }),
                (b, None) => b,
            };
        }
        best
    }
}

pub(super) fn feed(line: u32, tool: u32, from: Vec3, to: Vec3) -> Move {
    Move {
        place: Place { source: 0, line, span: Span::new(0, 0) },
        mode_place: None,
        kind: MoveKind::Feed,
        path: Path::Line { from, to },
        deviation: 0.0,
        other_way: Vec::new(),
        tool: Some(tool),
        spindle: SpindleTurn::Clockwise,
        rpm: 1000.0,
        feed: Some(100.0),
        seconds: None,
        offset: WorkOffset(1),
        length_register: Some(tool),
        cycle: None,
    }
}

/// One setup in the part frame; move `k` stands on line `100 + k` and is made by tool `k`.
pub(super) fn run(moves: u32) -> Run {
    let far = Vec3::repeat(500.0);
    Run { moves: (0..moves).map(|k| feed(100 + k, k, far, far)).collect(), ..Run::default() }
}

pub(super) fn tap(number: u32, diameter: f64, pitch: f64) -> Tool {
    Tool {
        number,
        name: "tap".to_owned(),
        kind: ToolKind::Tap { pitch, chamfer_turns: Some(1.5) },
        diameter,
        flutes: None,
        flute_length: 20.0,
        shank_diameter: diameter,
        stickout: 40.0,
        gauge_length: None,
        holder: Vec::new(),
        length_offset: number,
        radius_offset: number,
        center_cutting: false,
        hand: Hand::Right,
    }
}

pub(super) fn job(tools: Vec<Tool>) -> Job {
    Job {
        name: "sample".to_owned(),
        unit: Unit::Millimetre,
        material: None,
        machine: machine(),
        tools,
        drawing: None,
        stock: RawStock::Box(Box3 { min: Vec3::zeros(), max: Vec3::repeat(10.0) }),
        spacing: None,
        clearance: 1.0,
        registers: None,
        setups: vec![Setup {
            name: "one".to_owned(),
            program: SourceText::new("one.nc", ""),
            subprograms: Vec::new(),
            frame: Frame::part(),
            zeros: vec![(WorkOffset(1), Vec3::zeros())],
            machine_zeros: Vec::new(),
            workholding: Vec::new(),
            place: sample::place(),
        }],
        place: sample::place(),
    }
}

fn machine() -> Machine {
    Machine {
        name: "mill".to_owned(),
        unit: Unit::Millimetre,
        travel: None,
        rapid: Vec3::repeat(1000.0),
        max_feed: None,
        acceleration: None,
        spindle: Spindle::default(),
        changer: Changer {
            kind: ChangerKind::ByHand,
            pockets: None,
            seconds: None,
            same_pocket_return: false,
        },
        control: Control {
            number_without_point: NumberWithoutPoint::Units,
            arc_centers: ArcCenters::Incremental,
            arc_tolerance: 0.01,
            peck_clearance: 1.0,
            chip_break_lift: 1.0,
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
        },
    }
}
