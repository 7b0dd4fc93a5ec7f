//! The moves of a program as the interpreter sees them: lines of text and data.
//!
//! Positions are counted from the zero of the work offset that is active, as the program writes them (shifts, rotation
//! and a wrong length register show in them), in the unit of the job file.

use super::names;
use crate::findings::short_name;
use crate::geom::{Axis, Path, Vec3};
use crate::job::{Job, Setup};
use crate::motion::{Event, Move, MoveKind, Place, Run, SpindleTurn, ToolCall};
use crate::source::SourceText;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::Write as _;

/// All moves of a job: what `proofcut moves JOB --json FILE` writes. Lengths in `units`.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct MovesFile {
    /// Version of this file: 1.
    pub proofcut: u32,
    /// Name of the job.
    pub job: String,
    /// Unit of every length: `inch` or `mm`.
    pub units: String,
    /// One per setup that was asked for.
    pub setups: Vec<SetupMoves>,
}

/// The moves of one setup.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct SetupMoves {
    /// Its name.
    pub name: String,
    /// Its program.
    pub program: String,
    /// Moves and what happens between them, in order.
    pub steps: Vec<Step>,
    /// Where the program could not be followed for certain any more: file and 1-based line; null when it could.
    pub lost_from: Option<(String, u32)>,
}

/// A move, or something that happens between moves.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Step {
    /// The file that `line` counts in.
    pub file: String,
    /// 1-based line.
    pub line: u32,
    /// The block.
    pub block: String,
    /// `rapid`, `feed`, `arc-cw`, `arc-ccw`, `thread`, `home`; or the event in words, such as `tool 4`.
    pub what: String,
    /// Start, from the active zero; null for an event.
    pub from: Option<[f64; 3]>,
    /// End, from the active zero; null for an event.
    pub to: Option<[f64; 3]>,
    /// Center of an arc, from the active zero; null for others.
    pub center: Option<[f64; 3]>,
    /// Axis of an arc: `x`, `y` or `z`; null for others.
    pub axis: Option<String>,
    /// Feed per minute along the path; null for a rapid, or where it is missing.
    pub feed: Option<f64>,
    /// Tool in the spindle; null for none.
    pub tool: Option<u32>,
    /// Spindle speed, revolutions per minute, negative for counter-clockwise, 0 when it stands.
    pub spindle: f64,
    /// Active work offset.
    pub offset: Option<String>,
    /// Active length register; null for none.
    pub length_register: Option<u32>,
}

/// All moves of the setups given by index, as data.
pub fn moves_file(job: &Job, runs: &[(usize, Run)]) -> MovesFile {
    let setups = runs.iter().filter_map(|(index, run)| {
        let setup = job.setups.get(*index)?;
        let list = List { job, setup, run };
        Some(SetupMoves {
            name: setup.name.clone(),
            program: short_name(job, &setup.program).to_owned(),
            steps: list.steps().collect(),
            lost_from: run.lost_from.map(|place| (list.file(place).to_owned(), place.line)),
        })
    });
    MovesFile {
        proofcut: super::json::VERSION,
        job: job.name.clone(),
        units: names::unit(job.unit).to_owned(),
        setups: setups.collect(),
    }
}

/// The text of a list of moves as JSON, ending with a line end.
pub fn moves_text(file: &MovesFile) -> String {
    // Plain structs of finite numbers and strings cannot fail to be written.
    let mut text = serde_json::to_string_pretty(file).unwrap_or_default();
    text.push('\n');
    text
}

/// The moves of one setup, one line each; `index`: which setup.
pub fn move_lines<'a>(job: &'a Job, index: usize, run: &'a Run) -> impl Iterator<Item = String> + 'a {
    let setup = job.setups.get(index);
    let head = setup.map(|s| format!("setup {}: {}, {}", index + 1, s.name, short_name(job, &s.program)));
    let steps = setup.into_iter().flat_map(move |setup| List { job, setup, run }.lines());
    let end = run.lost_from.map(|place| {
        let name = run.sources.get(usize::from(place.source)).map_or("", |s| short_name(job, s));
        format!("not followed for certain from {name}:{} on", place.line)
    });
    head.into_iter().chain(steps).chain(end)
}

#[derive(Clone, Copy)]
struct List<'a> {
    job: &'a Job,
    setup: &'a Setup,
    run: &'a Run,
}

impl<'a> List<'a> {
    /// Moves and events in the order in which they happen.
    fn steps(self) -> impl Iterator<Item = Step> + 'a {
        let mut events = self.run.events.iter().peekable();
        let mut moves = self.run.moves.iter().enumerate().peekable();
        std::iter::from_fn(move || {
            let next = moves.peek().map_or(usize::MAX, |(i, _)| *i);
            if let Some(event) = events.next_if(|e| e.before_move <= next) {
                return Some(self.event(event));
            }
            moves.next().map(|(_, m)| self.step(m))
        })
    }

    fn lines(self) -> impl Iterator<Item = String> + 'a {
        let mut earlier = (String::new(), String::new());
        self.steps().map(move |step| {
            let mut line = format!("{}:{:<5} {:<8}", step.file, step.line, step.what);
            if let Some(to) = step.to {
                let _ = write!(line, " {}", self.point(&to));
            }
            if let (Some(center), Some(axis)) = (step.center, &step.axis) {
                let _ = write!(line, "  about {axis} at {}", self.point(&center));
            }
            if let Some(feed) = step.feed {
                let _ = write!(line, "  F{feed:.1}");
            }
            // What is the same as in the line before is not written again.
            let tool = step.tool.map_or("no tool".to_owned(), |t| format!("T{t}"));
            let register = step.length_register.map_or("no H".to_owned(), |h| format!("H{h}"));
            let state = (tool, format!("{} {register}", step.offset.as_deref().unwrap_or("")));
            if step.to.is_some() && state != earlier {
                let _ = write!(line, "  [{} {} S{:.0}]", state.0, state.1, step.spindle);
                earlier = state;
            }
            let _ = write!(line, "  | {}", step.block);
            line
        })
    }

    fn point(self, p: &[f64; 3]) -> String {
        let decimals = self.job.unit.decimals();
        let [x, y, z] = p;
        format!("X{x:.decimals$} Y{y:.decimals$} Z{z:.decimals$}")
    }

    fn source(self, place: Place) -> Option<&'a SourceText> {
        self.run.sources.get(usize::from(place.source))
    }

    fn file(self, place: Place) -> &'a str {
        self.source(place).map_or("", |s| short_name(self.job, s))
    }

    fn block(self, place: Place) -> String {
        let line = usize::try_from(place.line).unwrap_or(0);
        self.source(place).map_or("", |s| s.line(line)).trim().chars().filter(|c| !c.is_control()).collect()
    }

    fn step(self, m: &Move) -> Step {
        let zero = self.setup.zero_in_setup(m.offset).unwrap_or_else(Vec3::zeros);
        let at = |p: Vec3| {
            let p = p - zero;
            // No sign before a zero that rounding left.
            [p.x, p.y, p.z].map(|c| {
                let rounded = libm::round(self.job.unit.from_mm(c) * 1e7) / 1e7;
                if rounded.abs() > 0.0 { rounded } else { 0.0 }
            })
        };
        let (what, center, axis) = match (&m.path, m.kind) {
            (_, MoveKind::Rapid) => ("rapid", None, None),
            (_, MoveKind::Home) => ("home", None, None),
            (_, MoveKind::Thread) => ("thread", None, None),
            (Path::Line { .. }, MoveKind::Feed) => ("feed", None, None),
            (Path::Arc(arc), MoveKind::Feed) => {
                let what = if arc.sweep < 0.0 { "arc-cw" } else { "arc-ccw" };
                (what, Some(at(arc.center)), Some(axis_name(arc.axis)))
            }
        };
        Step {
            file: self.file(m.place).to_owned(),
            line: m.place.line,
            block: self.block(m.place),
            what: what.to_owned(),
            from: Some(at(m.path.start())),
            to: Some(at(m.path.end())),
            center,
            axis,
            feed: m.feed.map(|f| libm::round(self.job.unit.from_mm(f) * 1e4) / 1e4),
            tool: m.tool,
            spindle: match m.spindle {
                SpindleTurn::Stopped => 0.0,
                SpindleTurn::Clockwise => m.rpm,
                SpindleTurn::CounterClockwise => -m.rpm,
            },
            offset: Some(m.offset.to_string()),
            length_register: m.length_register,
        }
    }

    fn event(self, event: &Event) -> Step {
        let what = match event.call {
            ToolCall::Ready { tool } => format!("tool {tool} made ready"),
            ToolCall::Change { tool } => format!("tool {tool}"),
            ToolCall::Dwell { seconds } => format!("dwell {seconds} s"),
            ToolCall::Stop { optional: true } => "optional stop".to_owned(),
            ToolCall::Stop { optional: false } => "stop".to_owned(),
            ToolCall::LengthOffset { register: Some(h) } => format!("length offset H{h}"),
            ToolCall::LengthOffset { register: None } => "length offset off".to_owned(),
            ToolCall::RadiusOffset { register } => format!("radius register D{register}"),
            ToolCall::End => "end".to_owned(),
        };
        Step {
            file: self.file(event.place).to_owned(),
            line: event.place.line,
            block: self.block(event.place),
            what,
            from: None,
            to: None,
            center: None,
            axis: None,
            feed: None,
            tool: None,
            spindle: 0.0,
            offset: None,
            length_register: None,
        }
    }
}

fn axis_name(axis: Axis) -> String {
    axis.letter().to_ascii_lowercase().to_string()
}
