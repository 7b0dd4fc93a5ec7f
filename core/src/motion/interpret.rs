#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "each stage of a block takes up its own codes and leaves the others to theirs"
)]

use super::codes::{FeedMode, G, Motion};
use super::compensation::Compensation;
use super::flow::{self, Next};
use super::heed::Said;
use super::library::Library;
use super::modal_call::ModalCall;
use super::modes::{Coordinate, Feed, Mode, Modes};
use super::motion_words::{Plan, Use};
use super::moves::Around;
use super::placing::Placing;
use super::variables::Variables;
use super::words::{Numbers, Words, no_value};
use super::{Event, Fact, MoveKind, Place, Run, SetBy, SpindleTurn, ToolCall};
use crate::geom::Axis;
use crate::job::{Control, Job, Setup, WorkOffset};
use crate::program::{Block, Parameter, Program};
use crate::source::Span;
use std::collections::BTreeMap;

/// Moves that a run may hold whatever its length, and on top of them for each block: far above any milling program (a
/// deep peck cycle makes a hundred), and a bound on time and memory for a small file.
const MOVES_TO_SPARE: usize = 20_000;
const MOVES_PER_BLOCK: usize = 256;
/// Moves to spare for a program with calls or loops, whose length tells nothing.
const MOVES_OF_LOOPS: usize = 400_000;

/// Comparisons between parts of compensated contours: less than a second, and enough for contours of some hundred thousand
/// pieces. Of longer ones it is said that this was not looked at.
const MOST_COMPARISONS: usize = 60_000_000;

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
    let library = Library::new(program, &of_setup.subprograms);
    run.sources = library.sources();
    let spare = if library.branches() { MOVES_OF_LOOPS } else { MOVES_TO_SPARE };
    let most_moves = spare + MOVES_PER_BLOCK * program.blocks.len();
    let mut interpreter = Interpreter::new(job, of_setup, clear_z, run, most_moves);
    flow::follow(&mut interpreter, &library);
    interpreter.run
}

/// The state of a run between two blocks.
pub(super) struct Interpreter<'a> {
    pub(super) job: &'a Job,
    pub(super) setup: &'a Setup,
    pub(super) control: &'a Control,
    pub(super) clear_z: f64,
    pub(super) modes: Modes,
    pub(super) placing: Placing,
    pub(super) run: Run,
    pub(super) variables: Variables,
    /// Registers as the program itself has set them (G10).
    pub(super) lengths: BTreeMap<u32, f64>,
    pub(super) radii: BTreeMap<u32, f64>,
    /// Cutter compensation, while it is on.
    pub(super) compensation: Option<Compensation>,
    /// G66, while it is on.
    pub(super) modal_call: Option<ModalCall>,
    /// Calls that are open, outermost first.
    pub(super) calls: Vec<Place>,
    /// What the head of the program has said; `None` once motion has begun.
    pub(super) said: Option<Said>,
    pub(super) point_noticed: bool,
    pub(super) units_noticed: bool,
    pub(super) feed_noticed: bool,
    /// Moves thought of, also those without length: a bound on time.
    pub(super) steps: usize,
    /// Moves that the run may hold.
    pub(super) most_moves: usize,
    /// Comparisons left for finding over-cuts: a bound on time.
    pub(super) comparisons: usize,
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
            incremental_place: None,
            plane_place: None,
            feed_mode: FeedMode::PerMinute,
            feed_mode_place: None,
            return_to_r: false,
            offset: WorkOffset(1),
            radius_register: None,
            length_place: None,
            stale_length: None,
            shift_place: None,
            length_register: None,
            length_minus: false,
            polar: None,
            feed: Feed::Missing,
            rpm: 0.0,
            spindle: SpindleTurn::Stopped,
            tool: None,
            ready: None,
            tip: [Coordinate::Unknown, Coordinate::Unknown, Coordinate::Home(clear_z)],
        };
        Self {
            job,
            setup,
            control: &job.machine.control,
            clear_z,
            modes,
            placing: Placing::default(),
            run,
            variables: Variables::new(),
            lengths: BTreeMap::new(),
            radii: BTreeMap::new(),
            compensation: None,
            modal_call: None,
            calls: Vec::new(),
            said: Some(Said::default()),
            point_noticed: control_states_point(job),
            units_noticed: false,
            feed_noticed: false,
            steps: 0,
            most_moves,
            comparisons: MOST_COMPARISONS,
        }
    }

    /// Keeps a fact, unless the run was lost before: what follows a loss says nothing.
    pub(super) fn notice(&mut self, fact: Fact) {
        if self.run.lost_from.is_none() {
            self.run.facts.push(fact);
            let called_from = self.calls.first().copied();
            self.run.around.push(Around {
                tool: self.modes.tool,
                mode_place: self.modes.mode_place,
                called_from,
                set_by: self.set_by(),
            });
        }
    }

    /// Where the modes were set that are not as most programs have them.
    fn set_by(&self) -> SetBy {
        let modes = &self.modes;
        SetBy {
            incremental: modes.incremental_place.filter(|_| modes.incremental),
            plane: modes.plane_place.filter(|_| modes.plane != Axis::Z),
            feed_mode: modes.feed_mode_place.filter(|_| modes.feed_mode != FeedMode::PerMinute),
            placing: self.placing.set.filter(|_| !self.placing.plain() || self.placing.fresh),
            polar: modes.polar.map(|p| p.set),
            modal_call: self.modal_call.as_ref().map(|m| m.set),
        }
    }

    /// Keeps a fact after which nothing is proved.
    pub(super) fn lose(&mut self, fact: Fact) {
        let place = fact.place();
        self.notice(fact);
        self.run.lost_from.get_or_insert(place);
    }

    /// Does one block; `first`: it begins a program, so that its number (O) may stand in it.
    pub(super) fn block(
        &mut self,
        program: &Program,
        block: &Block,
        source: u16,
        first: bool,
    ) -> Result<Next, Fact> {
        let left_out = |number: u8| self.control.block_delete.is_some_and(|s| s.leaves_out(number));
        if block.delete.is_some_and(left_out) {
            return Ok(Next::On);
        }
        let start = program.source.line_span(usize::try_from(block.line).unwrap_or(1)).start;
        if block.span.end - start > self.control.line_length {
            self.check_length(program, block, source, start);
        }
        let parameter = |number: u32| self.parameter(number);
        let (reading, most_m) = (self.control.expressions, self.control.m_codes_per_block);
        let numbers = Numbers { source, reading, parameter: &parameter, most_m };
        let words = Words::gather(program, block, &numbers)?;
        let mut next = Next::On;
        if let Some((statement, span)) = program.statement(block) {
            if !words.is_empty() {
                return Err(Fact::UnusedWord { place: words.first_word() });
            }
            let evaluate = |value| program.evaluate(value, reading, &parameter);
            match flow::decide(statement, words.at(span), &evaluate)? {
                Some(decided) => next = decided,
                None => return Ok(Next::On),
            }
        }
        let mut settings = Vec::new();
        for setting in program.settings(block) {
            let place = words.at(setting.span);
            let value = |v| program.evaluate(v, reading, &parameter).map_err(|fault| no_value(place, fault));
            let (index, value) = (value(setting.index)?, value(setting.value)?);
            let index = index.ok_or(Fact::NoValue { place })?;
            let number = crate::program::parameter_number(index).ok_or(Fact::NoValue { place })?;
            if number >= FIRST_SYSTEM_PARAMETER {
                return Err(Fact::SystemParameter { place, number });
            }
            settings.push((number, value));
        }
        if block.delete.is_some()
            && self.control.block_delete.is_none()
            && !(words.harmless() && settings.is_empty() && next == Next::On)
        {
            self.notice(Fact::BlockDeleteNotStated { place: words.block });
        }
        for span in words.foreign_m.clone() {
            self.lose(Fact::UnknownWord { place: words.at(span) });
        }
        if words.is_empty() {
            self.count_idle_block();
        } else {
            next = self.execute(&words, first)?;
        }
        for (number, value) in settings {
            self.variables.set(number, value);
        }
        Ok(next)
    }

    /// What a parameter holds, those that the control keeps itself among them.
    fn parameter(&self, number: u32) -> Parameter {
        if number < FIRST_SYSTEM_PARAMETER {
            return self.variables.get(number);
        }
        let shift = self.placing.shift;
        let lengths = [(5211, shift.x), (5212, shift.y), (5213, shift.z)];
        match lengths.into_iter().find(|(n, _)| *n == number) {
            Some((_, mm)) => Parameter::Number(self.modes.unit.from_mm(mm)),
            None if number == 5220 && self.modes.offset.0 <= 9 => {
                Parameter::Number(f64::from(self.modes.offset.0))
            }
            None => Parameter::Unknown,
        }
    }

    /// Does what a block says in the order of NISTIR 6556 Table 8.
    fn execute(&mut self, words: &Words, first: bool) -> Result<Next, Fact> {
        self.run.blocks += 1;
        if words.g.iter().any(|(g, _)| matches!(g, G::Macro | G::ModalMacro)) {
            return self.macro_call(words);
        }
        if words.g.iter().any(|(g, _)| *g == G::ModalMacroOff) {
            self.modal_call = None;
        }
        let plan = Plan::of(words, &self.modes, self.control, first)?;
        self.check_under_compensation(words, &plan)?;
        if self.said.is_some() {
            self.watch_head(words, &plan);
        }
        self.take_units(words);
        self.check_units(words, &plan);
        if !self.point_noticed {
            self.check_points(words, &plan);
        }
        self.take_feed(words)?;
        self.take_spindle_and_tool(words)?;
        if let Some(span) = plan.dwell {
            self.dwell(words, span)?;
        }
        self.modes.plane = plan.plane;
        self.take_offsets(words)?;
        self.take_compensation(words, &plan)?;
        self.take_mode(words, &plan);
        let moves = self.run.moves.len();
        match plan.axis_use {
            Use::Nothing => {}
            Use::Home { second } => self.home(words, second)?,
            Use::Machine(motion) => self.machine_move(words, motion)?,
            Use::Motion(Motion::Rapid) => self.straight(words, &plan, MoveKind::Rapid)?,
            Use::Motion(Motion::Line) => self.straight(words, &plan, MoveKind::Feed)?,
            Use::Motion(Motion::Clockwise) => self.arc(words, &plan, true)?,
            Use::Motion(Motion::CounterClockwise) => self.arc(words, &plan, false)?,
            Use::Cycle(cycle) => self.cycle(words, &plan, cycle)?,
            Use::Setting(setting) => {
                self.set(words, setting, plan.setting_span.unwrap_or(words.block.span))?;
            }
        }
        self.count_idle();
        let moved = self.run.moves.len() > moves;
        let next = self.finish(words)?;
        self.after_block(words, plan.axis_use, moved, next)
    }

    fn take_units(&mut self, words: &Words) {
        for (code, span) in &words.g {
            match code {
                G::Units(unit) => {
                    let unlike = *unit != self.job.unit && *unit != self.job.machine.unit;
                    if unlike && !self.modes.unit_stated {
                        self.notice(Fact::UnitsUnlikeJob { place: words.at(*span), unit: *unit });
                    }
                    if self.modes.unit_stated && self.modes.unit != *unit {
                        // The report leaves the number as it is, other controls convert it: no feed is known.
                        self.modes.feed = Feed::Missing;
                    }
                    (self.modes.unit, self.modes.unit_stated) = (*unit, true);
                }
                G::Incremental(on) => {
                    (self.modes.incremental, self.modes.incremental_place) = (*on, Some(words.at(*span)));
                }
                G::Plane(_) => self.modes.plane_place = Some(words.at(*span)),
                G::FeedMode(mode) => {
                    if self.modes.feed_mode != *mode {
                        self.modes.feed = Feed::Missing;
                    }
                    self.modes.feed_mode = *mode;
                    self.modes.feed_mode_place = Some(words.at(*span));
                }
                G::ReturnToR(on) => self.modes.return_to_r = *on,
                _ => {}
            }
        }
    }

    fn take_feed(&mut self, words: &Words) -> Result<(), Fact> {
        let mode = self.modes.feed_mode;
        if mode == FeedMode::InverseTime {
            self.modes.feed = Feed::Missing;
        }
        let Some(feed) = words.positive(b'F')? else { return Ok(()) };
        self.feed_noticed = false;
        self.modes.feed = match mode {
            _ if feed < LEAST_FEED => Feed::Missing,
            FeedMode::InverseTime => Feed::Seconds(60.0 / feed),
            FeedMode::PerMinute => Feed::PerMinute(self.modes.unit.to_mm(feed)),
            FeedMode::PerTurn => Feed::PerTurn(self.modes.unit.to_mm(feed)),
        };
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

    /// Adds an event before the next move.
    pub(super) fn event(&mut self, place: Place, call: ToolCall) {
        if !self.hold_event(place, &call) {
            self.run.events.push(Event { before_move: self.run.moves.len(), place, call });
        }
    }
}

/// True when the machine file says what a number without a point means.
const fn control_states_point(job: &Job) -> bool {
    job.machine.control.point_reading_stated
}
