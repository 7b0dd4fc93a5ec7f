//! What a window knows of a job, without a window: what was checked, what is selected, which moment is shown, how it is
//! looked at.
//!
//! *Invariant*: nothing here waits for the stock or for a file; a result that the files on disk no longer say is never
//! shown as theirs.

mod check;
mod clock;
mod command;
#[cfg(test)]
pub(crate) mod demo;
mod detail;
mod lens;
mod looks;
mod measure;
mod moment;
mod partial;
mod section;
mod selection;
mod stage;
mod state;
#[cfg(test)]
mod tests;

pub use check::{Cut, Disk, Done, Proved, Wake};
pub use clock::Clock;
pub use command::{Command, Key};
pub use lens::{LensMaker, LensSaid, LensSpot, LensStaged, LensWish};
pub use looks::{Looks, Plane, look_word, tint_word};
pub use measure::{
    Between, Caliper, Distance, How, Lies, Measuring, Mode, On, Pick, Reading, Size, Snap, Taken, letter,
};
pub use moment::{At, Doing};
pub use selection::{Belongs, Picked, Selection, line_of, maker_at, own_place, stays};
pub use stage::{Stage, Staged, Wish};
pub use state::State;

use crate::scene::Bounds;
use check::{Check, Outcome, Watch};
use proofcut_core::proof::Verdict;
use proofcut_core::source::{Diagnostic, Severity};
use std::fmt;
use std::sync::Arc;

/// A job on the desk.
pub struct Session {
    path: String,
    disk: Arc<dyn Disk>,
    wake: Wake,
    state: State,
    check: Option<Check>,
    watch: Option<Watch>,
    changed: Option<String>,
    proved: Option<Arc<Proved>>,
    mistakes: Vec<Diagnostic>,
    selection: Option<Selection>,
    belongs: Belongs,
    measuring: Measuring,
    lens: Option<LensSpot>,
    at: At,
    /// Times as fast as the machine; `None`: held.
    running: Option<f64>,
    speed: f64,
    /// The time that the run has come to, seconds: within a dwell no move tells it.
    waited: f64,
    /// How the scene is looked at.
    pub looks: Looks,
    /// Set when all of the part is to be shown; whoever knows the scene's size does it and takes this back.
    pub wants_fit: bool,
    /// Box around the part as it is staged, setup frame.
    pub part: Bounds,
    /// What the scene that is drawn is of; whoever draws it tells.
    pub drawn_of: DrawnOf,
    /// How the lens that is drawn stands to what is wished for; whoever draws it tells.
    pub lens_said: LensSaid,
}

/// What the scene that is drawn is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum DrawnOf {
    /// Nothing, or the job as it was checked before.
    #[default]
    Before,
    /// This job, but another setup.
    OtherSetup,
    /// The setup that is shown.
    ThisSetup,
}

impl fmt::Debug for Session {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Session")
            .field("path", &self.path)
            .field("state", &self.state)
            .finish_non_exhaustive()
    }
}

impl Session {
    /// Opens a job and begins to check it.
    pub fn new(path: &str, disk: Arc<dyn Disk>, wake: Wake) -> Self {
        let check = Check::begin(path.to_owned(), Arc::clone(&disk), Arc::clone(&wake));
        Self {
            path: path.to_owned(),
            disk,
            wake,
            state: State::Computing,
            check: Some(check),
            watch: None,
            changed: None,
            proved: None,
            mistakes: Vec::new(),
            selection: None,
            belongs: Belongs::default(),
            measuring: Measuring::default(),
            lens: None,
            at: At::default(),
            running: None,
            speed: 1.0,
            waited: 0.0,
            looks: Looks::default(),
            wants_fit: true,
            part: Bounds::EMPTY,
            drawn_of: DrawnOf::Before,
            lens_said: LensSaid::Waiting,
        }
    }

    /// How what is shown stands to the files.
    pub const fn state(&self) -> State {
        self.state
    }

    /// The job as it was checked last; `None` before the first result and after a failed one.
    pub const fn proved(&self) -> Option<&Arc<Proved>> {
        self.proved.as_ref()
    }

    /// Mistakes in the files, when [`State::Failed`].
    pub fn mistakes(&self) -> &[Diagnostic] {
        &self.mistakes
    }

    /// What is selected.
    pub const fn selection(&self) -> Option<&Selection> {
        self.selection.as_ref()
    }

    /// What belongs to what is selected.
    pub const fn belongs(&self) -> &Belongs {
        &self.belongs
    }

    /// The moment that is shown.
    pub const fn at(&self) -> At {
        self.at
    }

    /// True while the time runs.
    pub const fn is_running(&self) -> bool {
        self.running.is_some()
    }

    /// Times as fast as the machine that the time runs, or would.
    pub const fn speed(&self) -> f64 {
        self.speed
    }

    /// What the check does now, and how much of it is done; `None` while none runs.
    pub fn progress(&self) -> Option<Done> {
        self.check.as_ref().map(Check::done)
    }

    /// Takes in what other threads have to tell; true when something is new.
    pub fn poll(&mut self) -> bool {
        let mut news = false;
        if let Some((outcome, marks)) = self.check.as_ref().and_then(Check::outcome) {
            news = true;
            self.check = None;
            self.finish(outcome);
            if self.state != State::Stopped {
                self.watch = Some(Watch::begin(marks, Arc::clone(&self.disk), Arc::clone(&self.wake)));
            }
        }
        if let Some(path) = self.watch.as_ref().and_then(Watch::changed) {
            news = true;
            self.watch = None;
            self.changed = Some(path);
            if self.check.is_none() {
                self.state = State::Stale;
            }
        }
        news
    }

    fn finish(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Proved(proved) => {
                let has_drawing = proved.checked.job.drawing.is_some();
                self.state = if has_drawing { State::Ready } else { State::NoDrawing };
                self.mistakes.clear();
                self.take(Arc::new(*proved));
            }
            Outcome::Mistakes(mistakes) => {
                (self.state, self.mistakes) = (State::Failed, mistakes);
                self.forget();
            }
            Outcome::BrokeOff => {
                self.state = State::Failed;
                self.mistakes.clear();
                self.forget();
            }
            Outcome::Cancelled => {
                self.state = if self.proved.is_some() { State::Stale } else { State::Stopped };
            }
        }
    }

    fn forget(&mut self) {
        self.proved = None;
        self.running = None;
        self.dismiss();
        self.select(None);
    }

    fn take(&mut self, proved: Arc<Proved>) {
        let first = self.proved.is_none();
        let at = self.at;
        self.proved = Some(proved);
        self.running = None;
        // What was selected may be gone or another; the moment stays where it was as well as it can.
        self.selection = None;
        self.belongs = Belongs::default();
        self.measuring.clear();
        self.at = if first { self.last_moment() } else { at };
        self.go(self.at.setup, self.at.made);
        self.wants_fit |= first;
    }

    /// Reads and checks the job anew; a check that runs is dropped.
    pub fn check_again(&mut self) {
        self.watch = None;
        self.changed = None;
        self.check = Some(Check::begin(self.path.clone(), Arc::clone(&self.disk), Arc::clone(&self.wake)));
        self.state = State::Computing;
    }

    /// Selects something, and goes to its moment; `None` selects nothing.
    pub fn select(&mut self, selection: Option<Selection>) {
        self.belongs = match (&self.proved, &selection) {
            (Some(proved), Some(selection)) => Belongs::to(proved, selection),
            _ => Belongs::default(),
        };
        self.selection = selection;
        if matches!(selection, Some(Selection::Surface(_))) {
            return;
        }
        if let Some(setup) = self.belongs.setup {
            let made = self.belongs.move_index.map_or(usize::MAX, |i| i + 1);
            self.running = None;
            self.go(setup, made);
        } else if selection.is_some() && self.belongs.at_part.is_some() {
            self.at = self.last_moment();
        }
    }

    /// Findings in the order in which they are shown: gravest first.
    pub fn findings(&self) -> Vec<usize> {
        let Some(proved) = &self.proved else { return Vec::new() };
        let findings = &proved.checked.proof.findings;
        let rank = |n: &usize| match findings.get(*n).map(|f| f.diagnostic.severity) {
            Some(Severity::Fault) => 0,
            Some(Severity::Unproven) => 1,
            Some(Severity::Warning) => 2,
            Some(Severity::Note) | None => 3,
        };
        let mut all: Vec<usize> = (0..findings.len()).collect();
        all.sort_by_key(rank);
        all
    }

    /// The state in one line: what is so and what to do.
    pub fn state_line(&self) -> String {
        match self.state {
            State::Computing => {
                let (what, done) = self.progress().unwrap_or_default();
                let percent = (0..=100).rev().find(|p| f64::from(*p) <= done * 100.0).unwrap_or(0);
                let before = if self.proved.is_some() { "; what is shown is from before" } else { "" };
                format!("{what}, {percent} %{before}")
            }
            State::Stale => match &self.changed {
                Some(path) => format!("{path} on disk is newer than what is shown. Check again (F5)"),
                None => "the check was stopped; what is shown is from before. Check again (F5)".to_owned(),
            },
            State::Failed if self.mistakes.is_empty() => {
                "NOT PROVED: the check broke off. Nothing is known of this job".to_owned()
            }
            State::Failed => "NOT PROVED: the job's files hold mistakes, so nothing was run".to_owned(),
            State::Stopped => "the check was stopped: nothing is proved. Check again (F5)".to_owned(),
            State::NoDrawing | State::Ready => self.verdict_line(),
        }
    }

    fn verdict_line(&self) -> String {
        let Some(proved) = &self.proved else { return String::new() };
        let drawing = if self.state == State::NoDrawing { "; compared with no drawing" } else { "" };
        let words = match proved.checked.verdict() {
            Verdict::NoFaults => "no faults found by simulation",
            Verdict::Warnings => "warnings: look at them before cycle start",
            Verdict::Faults => "FAULTS: do not run this job as it is",
            Verdict::Unproven => "NOT PROVED: nothing here may be taken as a pass",
        };
        format!("{words}{drawing}")
    }

    /// What a window's frame says: job, state, what is selected and measured, where it is cut open, moment.
    pub fn title(&self) -> String {
        let mut parts =
            vec![self.proved.as_ref().map_or_else(|| self.path.clone(), |p| p.checked.job.name.clone())];
        parts.push(if self.state.is_current() {
            format!("{}: {}", self.state.word(), self.verdict_line())
        } else {
            self.state.word().to_owned()
        });
        parts.extend(self.selection_words());
        parts.extend(self.measured_words());
        parts.extend(self.section_words());
        parts.extend(self.moment_words());
        parts.push("Proofcut".to_owned());
        parts.join(" - ")
    }

    /// What is selected, in a few words.
    pub fn selection_words(&self) -> Option<String> {
        let checked = &self.proved.as_ref()?.checked;
        let drawing = checked.job.drawing.as_ref();
        Some(match self.selection? {
            Selection::Finding(n) => {
                let all = self.findings();
                let number = all.iter().position(|f| *f == n)? + 1;
                format!("finding {number} of {}: {}", all.len(), checked.proof.findings.get(n)?.kind.name)
            }
            Selection::Feature(n) => format!("feature {}", drawing?.features.get(n)?.id),
            Selection::Size(n) => format!("size {}", drawing?.dimensions.get(n)?.id),
            Selection::Line { line, .. } => format!("line {line} selected"),
            Selection::Stay { .. } => "tool selected".to_owned(),
            Selection::Surface(picked) => {
                let run =
                    picked.by.and_then(|(setup, index)| Some((checked.proof.setups.get(setup)?, index)));
                match run
                    .and_then(|(s, index)| Some((line_of(&s.run, index)?, s.run.moves.get(index)?.tool?)))
                {
                    Some((line, tool)) => format!("surface cut by T{tool}, line {line}"),
                    None => "raw surface".to_owned(),
                }
            }
        })
    }

    /// Does what a key or a button asks for.
    pub fn apply(&mut self, command: Command) {
        match command {
            Command::CheckAgain => self.check_again(),
            Command::StopOrClear => {
                if let Some(check) = &self.check {
                    check.cancel();
                } else if !self.leave_measuring() {
                    self.select(None);
                }
            }
            Command::NextFinding => self.step_finding(true),
            Command::PreviousFinding => self.step_finding(false),
            Command::NextBlock
            | Command::PreviousBlock
            | Command::NextTool
            | Command::PreviousTool
            | Command::NextSetup
            | Command::PreviousSetup
            | Command::ToStart
            | Command::ToEnd
            | Command::Play => self.step(command),
            Command::Faster => self.set_speed(self.speed * 2.0),
            Command::Slower => self.set_speed(self.speed * 0.5),
            Command::Stand(view) => {
                self.looks.camera.stand(view);
                self.wants_fit = true;
            }
            Command::Fit => self.wants_fit = true,
            Command::Perspective => self.turn_perspective(),
            Command::Workholding => self.looks.workholding = looks::next_look(self.looks.workholding),
            Command::Tool => self.looks.tool = looks::next_look(self.looks.tool),
            Command::Tint => {
                let has_drawing = self.proved.as_ref().is_some_and(|p| p.checked.job.drawing.is_some());
                self.looks.tint = looks::next_tint(self.looks.tint, has_drawing);
            }
            Command::Section => self.looks.next_section(&self.part.clone()),
            Command::Flip => {
                if let Some(plane) = &mut self.looks.section {
                    plane.positive = !plane.positive;
                }
            }
            Command::SectionOut => self.nudge_section(1.0),
            Command::SectionIn => self.nudge_section(-1.0),
            Command::SectionFarOut => self.nudge_section(10.0),
            Command::SectionFarIn => self.nudge_section(-10.0),
            Command::Measure => self.turn_measure(),
            Command::Caliper => self.turn_caliper(),
            Command::Lens => self.turn_lens(),
            Command::Dismiss => self.dismiss(),
            Command::Path => self.looks.path = !self.looks.path,
            Command::Clearance => self.looks.clearance = !self.looks.clearance,
            Command::Dark => self.looks.dark = !self.looks.dark,
        }
    }

    fn turn_perspective(&mut self) {
        use crate::camera::Projection;
        let camera = &mut self.looks.camera;
        match camera.projection {
            Projection::Parallel => *camera = camera.in_perspective(),
            Projection::Perspective { .. } => camera.projection = Projection::Parallel,
        }
    }

    fn step_finding(&mut self, forward: bool) {
        let all = self.findings();
        let Some(last) = all.len().checked_sub(1) else { return };
        let now = match self.selection {
            Some(Selection::Finding(n)) => all.iter().position(|f| *f == n),
            _ => None,
        };
        let next = match (now, forward) {
            (None, true) => 0,
            (None | Some(0), false) => last,
            (Some(i), true) => {
                if i == last {
                    0
                } else {
                    i + 1
                }
            }
            (Some(i), false) => i - 1,
        };
        self.select(all.get(next).map(|n| Selection::Finding(*n)));
    }

    /// Takes in which scene is drawn.
    pub fn note_drawn(&mut self, staged: Option<&Staged>) {
        self.drawn_of = match (staged, &self.proved) {
            (Some(s), Some(proved)) if Arc::ptr_eq(&s.wish.proved, proved) => {
                if s.wish.setup == self.at.setup { DrawnOf::ThisSetup } else { DrawnOf::OtherSetup }
            }
            _ => DrawnOf::Before,
        };
    }

    /// What is to be staged; `None` while there is nothing to show.
    pub fn wish(&self) -> Option<Wish> {
        let proved = self.proved.as_ref().filter(|p| p.cut.is_some())?;
        Some(Wish {
            proved: Arc::clone(proved),
            setup: self.at.setup,
            made: self.at.made,
            part: self.at.part,
            tint: self.looks.tint,
            path: self.looks.path,
            clearance: self.looks.clearance,
            dark: self.looks.dark,
        })
    }
}
