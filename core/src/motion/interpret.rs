#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "each stage of a block takes up its own codes and leaves the others to theirs"
)]

use super::codes::{G, M, Motion};
use super::modes::{Coordinate, Feed, Mode, Modes};
use super::motion_words::{AXES, Plan, Use};
use super::words::{Given, Words, letters, no_value};
use super::{Cycle, Event, Fact, Move, MoveKind, Place, Run, SpindleTurn, ToolCall};
use crate::geom::{Axis, Path, Vec3};
use crate::job::{Control, Job, NumberWithoutPoint, Setup, SpindleStop, WorkOffset};
use crate::program::{Block, Program};
use crate::source::Span;
use crate::units::Unit;
use std::collections::BTreeMap;

/// Moves that a run may hold whatever its length, and on top of them for each block: far above any milling program (a
/// deep peck cycle makes a hundred), and a bound on time and memory for a small file.
const MOVES_TO_SPARE: usize = 20_000;
const MOVES_PER_BLOCK: usize = 256;

/// Feeds below this (in the program's unit) are none: no machine creeps so slowly.
const LEAST_FEED: f64 = 1e-6;

/// First parameter that the control uses itself (NISTIR 6556 Table 2 begins at 5161; others lie above 1000).
const FIRST_SYSTEM_PARAMETER: u32 = 1000;

/// Runs a program as the machine would.
///
/// `clear_z` is a height above everything, setup frame, millimetres: where the tool hangs at home. The setup
/// begins with an empty spindle, Z at home, X and Y not known. Where the program cannot be followed the run stops, the
/// reason is among its facts and [`Run::lost_from`] says where.
pub fn interpret(program: &Program, job: &Job, setup: usize, clear_z: f64) -> Run {
    let mut run = Run { sources: vec![program.source.clone()], ..Run::default() };
    let Some(of_setup) = job.setups.get(setup) else {
        run.lost_from = Some(Place { source: 0, line: 1, span: Span::default() });
        return run;
    };
    let most_moves = MOVES_TO_SPARE + MOVES_PER_BLOCK * program.blocks.len();
    let mut interpreter = Interpreter::new(job, of_setup, clear_z, run, most_moves);
    for block in &program.blocks {
        match interpreter.block(program, block) {
            Ok(Flow::On) => {}
            Ok(Flow::End) => return interpreter.run,
            Err(fact) => {
                interpreter.lose(fact);
                return interpreter.run;
            }
        }
    }
    if program.end_mark.is_none() {
        let last = program.blocks.last().map_or((1, Span::default()), |b| (b.line, b.span));
        interpreter.run.cut_off = Some(Place { source: 0, line: last.0, span: last.1 });
    }
    interpreter.run
}

/// What happens after a block.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Flow {
    On,
    End,
}

/// The state of a run between two blocks.
pub(super) struct Interpreter<'a> {
    pub(super) job: &'a Job,
    pub(super) setup: &'a Setup,
    pub(super) control: &'a Control,
    pub(super) clear_z: f64,
    pub(super) modes: Modes,
    pub(super) run: Run,
    parameters: BTreeMap<u32, f64>,
    units_noticed: bool,
    feed_noticed: bool,
    /// Moves thought of, also those without length: a bound on time.
    steps: usize,
    /// Moves that the run may hold.
    most_moves: usize,
}

impl<'a> Interpreter<'a> {
    fn new(job: &'a Job, setup: &'a Setup, clear_z: f64, run: Run, most_moves: usize) -> Self {
        let modes = Modes {
            mode: Mode::None,
            mode_place: None,
            sticky: None,
            plane: Axis::Z,
            unit: job.machine.unit,
            unit_stated: false,
            incremental: false,
            inverse_time: false,
            return_to_r: false,
            offset: WorkOffset(1),
            length_register: None,
            feed: Feed::Missing,
            rpm: 0.0,
            spindle: SpindleTurn::Stopped,
            tool: None,
            ready: None,
            tip: [Coordinate::Unknown, Coordinate::Unknown, Coordinate::Home(clear_z)],
        };
        let control = &job.machine.control;
        let parameters = BTreeMap::new();
        Self {
            job,
            setup,
            control,
            clear_z,
            modes,
            run,
            parameters,
            units_noticed: false,
            feed_noticed: false,
            steps: 0,
            most_moves,
        }
    }

    /// Keeps a fact, unless the run was lost before: what follows a loss says nothing.
    pub(super) fn notice(&mut self, fact: Fact) {
        if self.run.lost_from.is_none() {
            self.run.facts.push(fact);
        }
    }

    /// Keeps a fact after which nothing is proved.
    pub(super) fn lose(&mut self, fact: Fact) {
        let place = fact.place();
        self.notice(fact);
        self.run.lost_from.get_or_insert(place);
    }

    fn block(&mut self, program: &Program, block: &Block) -> Result<Flow, Fact> {
        if block.delete.is_some() && self.control.block_delete == Some(true) {
            return Ok(Flow::On);
        }
        let known = &self.parameters;
        let look_up = |number: u32| known.get(&number).copied();
        let words = Words::gather(program, block, &look_up)?;
        let mut settings = Vec::new();
        for setting in program.settings(block) {
            let place = words.at(setting.span);
            let value = |v| program.evaluate(v, &look_up).map_err(|fault| no_value(place, fault));
            let (index, value) = (value(setting.index)?, value(setting.value)?);
            let number = crate::program::parameter_number(index).ok_or(Fact::NoValue { place })?;
            if number >= FIRST_SYSTEM_PARAMETER {
                return Err(Fact::SystemParameter { place, number });
            }
            settings.push((number, value));
        }
        if block.delete.is_some()
            && self.control.block_delete.is_none()
            && !(words.harmless() && settings.is_empty())
        {
            self.notice(Fact::BlockDeleteNotStated { place: words.block });
        }
        for span in words.foreign_m.clone() {
            self.lose(Fact::UnknownWord { place: words.at(span) });
        }
        let flow = if words.is_empty() { Flow::On } else { self.execute(&words)? };
        self.parameters.extend(settings);
        Ok(flow)
    }

    /// Does what a block says in the order of NISTIR 6556 Table 8.
    fn execute(&mut self, words: &Words) -> Result<Flow, Fact> {
        self.run.blocks += 1;
        let plan = Plan::of(words, &self.modes, self.run.blocks == 1)?;
        self.take_units(words);
        self.check_units(words, &plan);
        self.take_feed(words)?;
        self.take_spindle_and_tool(words)?;
        if let Some(span) = plan.dwell {
            self.dwell(words, span)?;
        }
        self.modes.plane = plan.plane;
        self.take_offsets(words)?;
        self.take_mode(words, &plan);
        match plan.axis_use {
            Use::Nothing => {}
            Use::Home { second } => self.home(words, second)?,
            Use::Machine(motion) => self.machine_move(words, motion)?,
            Use::Motion(Motion::Rapid) => self.straight(words, &plan, MoveKind::Rapid)?,
            Use::Motion(Motion::Line) => self.straight(words, &plan, MoveKind::Feed)?,
            Use::Motion(Motion::Clockwise) => self.arc(words, &plan, true)?,
            Use::Motion(Motion::CounterClockwise) => self.arc(words, &plan, false)?,
            Use::Cycle(cycle) => self.cycle(words, &plan, cycle)?,
        }
        Ok(self.finish(words))
    }

    fn take_units(&mut self, words: &Words) {
        for (code, _) in &words.g {
            match code {
                G::Units(unit) => {
                    if self.modes.unit_stated && self.modes.unit != *unit {
                        // The report leaves the number as it is, other controls convert it: no feed is known.
                        self.modes.feed = Feed::Missing;
                    }
                    (self.modes.unit, self.modes.unit_stated) = (*unit, true);
                }
                G::Incremental(on) => self.modes.incremental = *on,
                G::InverseTime(on) => {
                    if self.modes.inverse_time != *on {
                        self.modes.feed = Feed::Missing;
                    }
                    self.modes.inverse_time = *on;
                }
                G::ReturnToR(on) => self.modes.return_to_r = *on,
                _ => {}
            }
        }
    }

    fn check_units(&mut self, words: &Words, plan: &Plan) {
        const LENGTHS: u32 = letters(b"XYZIJKRQF");
        if self.modes.unit_stated || self.units_noticed || !words.any(LENGTHS) || plan.dwell.is_some() {
            return;
        }
        let some = b"XYZIJKRQF".iter().filter_map(|l| words.get(*l)).any(|g| g.value.abs() > 0.0);
        if some {
            self.units_noticed = true;
            self.notice(Fact::UnitsNotStated { place: words.block });
        }
    }

    fn take_feed(&mut self, words: &Words) -> Result<(), Fact> {
        if self.modes.inverse_time {
            self.modes.feed = Feed::Missing;
        }
        let Some(feed) = words.positive(b'F')? else { return Ok(()) };
        self.feed_noticed = false;
        self.modes.feed = if feed < LEAST_FEED {
            Feed::Missing
        } else if self.modes.inverse_time {
            Feed::Seconds(60.0 / feed)
        } else {
            Feed::PerMinute(self.modes.unit.to_mm(feed))
        };
        Ok(())
    }

    fn take_offsets(&mut self, words: &Words) -> Result<(), Fact> {
        for (code, span) in &words.g {
            match code {
                G::Length(true) => {
                    let place = words.at(*span);
                    let register =
                        words.index(b'H', 9999.0)?.ok_or(Fact::WordMissing { place, letter: 'H' })?;
                    self.modes.length_register = (register != 0).then_some(register);
                    let register = self.modes.length_register;
                    self.event(
                        words.span_of(letters(b"H"), Some(*span)),
                        ToolCall::LengthOffset { register },
                    );
                }
                G::Length(false) => {
                    self.modes.length_register = None;
                    self.event(words.at(*span), ToolCall::LengthOffset { register: None });
                }
                G::Offset(offset) => {
                    if self.setup.zero_in_setup(*offset).is_none() {
                        return Err(Fact::OffsetWithoutZero { place: words.at(*span), offset: *offset });
                    }
                    self.modes.offset = *offset;
                }
                _ => {}
            }
        }
        if let Some(register) = words.index(b'D', 9999.0)? {
            self.event(words.span_of(letters(b"D"), None), ToolCall::RadiusOffset { register });
        }
        Ok(())
    }

    fn take_mode(&mut self, words: &Words, plan: &Plan) {
        let was_cycle = matches!(self.modes.mode, Mode::Cycle(_));
        let same = self.modes.mode == plan.mode;
        self.modes.mode = plan.mode;
        if let Some(span) = plan.mode_span {
            self.modes.mode_place = Some(words.at(span));
        } else if plan.mode == Mode::None {
            self.modes.mode_place = None;
        }
        match plan.mode {
            Mode::Cycle(_) if was_cycle && !same => self.next_cycle(),
            Mode::Cycle(_) if !was_cycle => self.first_cycle(),
            Mode::Cycle(_) => {}
            Mode::None | Mode::Motion(_) => self.modes.sticky = None,
        }
    }

    /// What is done after the motion.
    fn finish(&mut self, words: &Words) -> Flow {
        let mut flow = Flow::On;
        for (code, span) in &words.m {
            let place = words.at(*span);
            match code {
                M::SpindleStop if self.control.spindle_stop == SpindleStop::AfterMotion => {
                    self.modes.spindle = SpindleTurn::Stopped;
                }
                M::Stop { optional } => self.event(place, ToolCall::Stop { optional: *optional }),
                M::End => {
                    self.event(place, ToolCall::End);
                    flow = Flow::End;
                }
                _ => {}
            }
        }
        flow
    }

    /// Adds an event before the next move.
    pub(super) fn event(&mut self, place: Place, call: ToolCall) {
        self.run.events.push(Event { before_move: self.run.moves.len(), place, call });
    }

    /// A length in millimetres, read as the control reads it.
    pub(super) fn length(&self, given: Given) -> f64 {
        let whole = given.point || self.control.number_without_point == NumberWithoutPoint::Units;
        // One increment is the last decimal that the control has: 0.0001 in or 0.001 mm.
        let increment = match self.modes.unit {
            Unit::Inch => 1e4,
            Unit::Millimetre => 1e3,
        };
        self.modes.unit.to_mm(if whole { given.value } else { given.value / increment })
    }

    /// Zero of the active work offset, setup frame.
    pub(super) fn zero(&self, place: Place) -> Result<Vec3, Fact> {
        let offset = self.modes.offset;
        self.setup.zero_in_setup(offset).ok_or(Fact::OffsetWithoutZero { place, offset })
    }

    /// How far the true tip hangs above where the control believes it to be.
    ///
    /// Only known when the job tells what is entered at the machine and how long the tool is; otherwise the tip is where
    /// the program puts it. A register that is not listed holds the length of the tool that it belongs to.
    pub(super) fn length_shift(&self) -> f64 {
        let shift = || {
            let registers = self.job.registers.as_ref()?;
            let register = self.modes.length_register?;
            let gauge = self.job.tool(self.modes.tool?)?.gauge_length?;
            let owner = || self.job.tools.iter().find(|t| t.length_offset == register)?.gauge_length;
            Some(registers.length.get(&register).copied().or_else(owner)? - gauge)
        };
        shift().unwrap_or(0.0)
    }

    /// Where the axis words send the tip, setup frame; `None` for an axis that stays.
    pub(super) fn target(&self, words: &Words) -> Result<[Option<f64>; 3], Fact> {
        let mut target = [None; 3];
        if !words.any(AXES) {
            return Ok(target);
        }
        let zero = self.zero(words.block)?;
        for ((slot, tip), axis) in target.iter_mut().zip(self.modes.tip).zip(Axis::ALL) {
            let Some(given) = words.get(axis_letter(axis)) else { continue };
            let value = self.length(given);
            *slot = if !self.modes.incremental {
                let shift = if axis == Axis::Z { self.length_shift() } else { 0.0 };
                Some(axis.of(&zero) + value + shift)
            } else if value.abs() > 0.0 {
                let unknown = Fact::StartUnknown { place: words.at(given.span) };
                Some(tip.number().ok_or(unknown)? + value)
            } else {
                None
            };
        }
        Ok(target)
    }

    /// The tip, where all three coordinates have a height.
    pub(super) fn tip(&self) -> Option<Vec3> {
        let [x, y, z] = self.modes.tip;
        Some(Vec3::new(x.height()?, y.height()?, z.height()?))
    }

    /// Counts a move that may turn out to have no length; an error when a run goes on for ever.
    pub(super) fn count_step(&mut self, place: Place) -> Result<(), Fact> {
        self.steps += 1;
        if self.steps > 4 * self.most_moves { Err(Fact::TooManyMoves { place }) } else { Ok(()) }
    }

    /// Adds a move along a path, and leaves the tip where it is.
    pub(super) fn emit(&mut self, step: Step) -> Result<(), Fact> {
        if self.run.moves.len() >= self.most_moves {
            return Err(Fact::TooManyMoves { place: step.place });
        }
        let (feed, seconds) = match (step.kind, self.modes.feed) {
            (MoveKind::Rapid | MoveKind::Home, _) | (_, Feed::Missing) => (None, None),
            (_, Feed::PerMinute(feed)) => (Some(feed * step.feed_factor), None),
            (_, Feed::Seconds(seconds)) => {
                let length = step.path.length();
                (Some(length / seconds * 60.0), Some(seconds))
            }
        };
        let earlier = self.modes.mode_place.filter(|p| p.line != step.place.line);
        self.run.moves.push(Move {
            place: step.place,
            mode_place: earlier,
            kind: step.kind,
            path: step.path,
            deviation: step.deviation,
            other_way: step.other_way,
            tool: self.modes.tool,
            spindle: self.modes.spindle,
            rpm: self.modes.rpm,
            feed,
            seconds,
            offset: self.modes.offset,
            length_register: self.modes.length_register,
            cycle: step.cycle,
        });
        Ok(())
    }

    /// Says once, until the next F, that a feed is missing.
    pub(super) fn need_feed(&mut self, place: Place) {
        if self.modes.feed == Feed::Missing && !self.feed_noticed {
            // Under G93 every block needs its own F, so every block without is told.
            self.feed_noticed = !self.modes.inverse_time;
            self.notice(Fact::FeedMissing { place });
        }
    }
}

/// A move about to be added.
pub(super) struct Step {
    pub(super) place: Place,
    pub(super) kind: MoveKind,
    pub(super) path: Path,
    pub(super) deviation: f64,
    pub(super) other_way: Vec<Path>,
    /// What the programmed feed is multiplied by to get the feed along the path.
    pub(super) feed_factor: f64,
    pub(super) cycle: Option<Cycle>,
}

impl Step {
    /// A straight move.
    pub(super) fn line(place: Place, kind: MoveKind, from: Vec3, to: Vec3) -> Self {
        let path = Path::Line { from, to };
        Self { place, kind, path, deviation: 0.0, other_way: Vec::new(), feed_factor: 1.0, cycle: None }
    }
}

/// The letter of an axis.
pub(super) const fn axis_letter(axis: Axis) -> u8 {
    match axis {
        Axis::X => b'X',
        Axis::Y => b'Y',
        Axis::Z => b'Z',
    }
}
