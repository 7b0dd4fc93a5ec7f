use super::{Command, Proved, Selection, Session, line_of, stays};
use proofcut_core::motion::{Place, Run};
use proofcut_core::source::SourceText;

/// A moment of a job.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct At {
    /// Index of the setup.
    pub setup: usize,
    /// Moves of its run that are made.
    pub made: usize,
    /// Part of the next move, 0 to 1, by which the tool is on its way.
    pub part: f64,
}

/// The text of which a block is being done.
#[derive(Clone, Debug)]
pub struct Doing {
    /// Its number among the run's texts: 0 is the setup's own program.
    pub source: u16,
    /// The program, or the file of a subprogram.
    pub text: SourceText,
    /// The block's line in it; `None` before the first move.
    pub line: Option<u32>,
    /// The line of the setup's own program that called, for a block of a subprogram.
    pub called_from: Option<u32>,
}

/// Slowest and fastest that the time runs, times the machine's own.
const SPEEDS: (f64, f64) = (0.125, 1024.0);

impl Session {
    fn setup_run(&self, setup: usize) -> Option<&Run> {
        Some(&self.proved.as_ref()?.checked.proof.setups.get(setup)?.run)
    }

    /// The run of the setup that is shown.
    pub fn run(&self) -> Option<&Run> {
        self.setup_run(self.at.setup)
    }

    /// After the last move of the last setup that was run.
    pub(super) fn last_moment(&self) -> At {
        let setups = self.proved.as_ref().map_or(0, |p| p.checked.proof.setups.len());
        let setup = setups.saturating_sub(1);
        At { setup, made: self.setup_run(setup).map_or(0, |r| r.moves.len()), part: 0.0 }
    }

    /// Goes to a moment; what lies beyond the end is the end.
    pub fn go(&mut self, setup: usize, made: usize) {
        let setups = self.proved.as_ref().map_or(0, |p| p.checked.proof.setups.len());
        let setup = setup.min(setups.saturating_sub(1));
        let made = made.min(self.setup_run(setup).map_or(0, |r| r.moves.len()));
        // Each setup has its own axes: the part may lie elsewhere.
        self.wants_fit |= setup != self.at.setup;
        self.at = At { setup, made, part: 0.0 };
    }

    /// Goes to a time of the setup that is shown, seconds.
    pub fn go_to_time(&mut self, seconds: f64) {
        let Some(clock) = self.proved.as_ref().and_then(|p| p.clocks.get(self.at.setup)) else { return };
        let (made, part) = clock.at(seconds.clamp(0.0, clock.total()));
        self.at = At { made, part, ..self.at };
    }

    /// The time that is shown, and that of the whole program, seconds.
    pub fn time(&self) -> (f64, f64) {
        let clock = self.proved.as_ref().and_then(|p: &std::sync::Arc<Proved>| p.clocks.get(self.at.setup));
        clock.map_or((0.0, 0.0), |c| (c.time(self.at.made, self.at.part), c.total()))
    }

    /// Lets time pass, seconds of the clock on the wall; true when the moment is another.
    pub fn tick(&mut self, passed: f64) -> bool {
        let Some(speed) = self.running else { return false };
        let (now, total) = self.time();
        // A dwell or a tool change lies between moves: the time there is kept until it is over.
        let next = self.waited.max(now) + passed.clamp(0.0, 0.5) * speed;
        self.go_to_time(next);
        self.waited = next;
        if next >= total {
            self.running = None;
            self.go(self.at.setup, usize::MAX);
        }
        true
    }

    pub(super) fn set_speed(&mut self, speed: f64) {
        self.speed = speed.clamp(SPEEDS.0, SPEEDS.1);
        if self.running.is_some() {
            self.running = Some(self.speed);
        }
    }

    /// The move that is being made, or was made last.
    fn current_move(&self) -> Option<usize> {
        if self.at.part > 0.0 { Some(self.at.made) } else { self.at.made.checked_sub(1) }
    }

    /// The line of the setup's own program that is being done; `None` before the first move.
    pub fn line(&self) -> Option<u32> {
        line_of(self.run()?, self.current_move()?)
    }

    /// The text and the block that are being done: of a subprogram, where one was called.
    pub fn doing(&self) -> Option<Doing> {
        let own = self.proved.as_ref()?.checked.job.setups.get(self.at.setup)?.program.clone();
        let begin = Doing { source: 0, text: own, line: None, called_from: None };
        let (Some(run), Some(index)) = (self.run(), self.current_move()) else { return Some(begin) };
        let Some(place) = run.moves.get(index).map(|m| m.place) else { return Some(begin) };
        let called_from = run.called_from(index).map(|call| call.line);
        let text = run.sources.get(usize::from(place.source)).cloned().unwrap_or(begin.text);
        Some(Doing { source: place.source, text, line: Some(place.line), called_from })
    }

    /// Chooses a line of the text that is shown: selects a line of the setup's own program; goes to the next time that a line
    /// of a subprogram is done, or to the last when it is not done again.
    pub fn choose_line(&mut self, source: u16, line: u32) {
        let At { setup, made, .. } = self.at;
        let Some(run) = self.run() else { return };
        let of =
            |i: &usize| run.moves.get(*i).is_some_and(|m| (m.place.source, m.place.line) == (source, line));
        let called = |i: &usize| of(i) && run.called_from(*i).is_some();
        let done = (made..run.moves.len()).find(called).or_else(|| (0..made).rev().find(called));
        match done {
            Some(index) => {
                let call = line_of(run, index);
                self.select(call.map(|line| Selection::Line { setup, line }));
                self.go(setup, index + 1);
            }
            None if source == 0 => self.select(Some(Selection::Line { setup, line })),
            None => {}
        }
    }

    /// The stay of a tool at the moment.
    pub fn stay(&self) -> Option<usize> {
        let index = self.current_move()?;
        stays(self.proved.as_ref()?, self.at.setup).iter().position(|s| s.moves.contains(&index))
    }

    /// Setup and block in words.
    pub fn moment_words(&self) -> Option<String> {
        let job = &self.proved.as_ref()?.checked.job;
        let setup = job.setups.get(self.at.setup)?;
        let moves = self.run()?.moves.len();
        Some(match self.line() {
            None => format!("{}, before the first move", setup.name),
            Some(_) if self.at.made == moves => format!("{}, after the last move", setup.name),
            Some(line) => {
                let called = self.doing().filter(|d| d.called_from.is_some());
                let inside = called.and_then(|d| {
                    let name = proofcut_core::findings::short_name(job, &d.text);
                    Some(format!(", in {name}:{}", d.line?))
                });
                format!("{}, line {line}{}", setup.name, inside.unwrap_or_default())
            }
        })
    }

    /// Goes a step.
    #[expect(clippy::wildcard_enum_match_arm, reason = "every other command is no step in time")]
    pub(super) fn step(&mut self, command: Command) {
        let At { setup, made, part } = self.at;
        let was_running = self.running.take();
        match command {
            Command::NextBlock => self.go(setup, self.next_block(made)),
            Command::PreviousBlock => {
                let back = if part > 0.0 { made } else { self.block_before(made) };
                self.go(setup, back);
            }
            Command::NextTool => {
                let next = self.stay_ends(setup).into_iter().find(|end| *end > made);
                match next {
                    Some(end) => self.go(setup, end),
                    None if self.setup_run(setup + 1).is_some() => self.go(setup + 1, 0),
                    None => self.go(setup, usize::MAX),
                }
            }
            Command::PreviousTool => {
                let before = self.stay_ends(setup).into_iter().rev().find(|end| *end < made);
                match (before, setup.checked_sub(1)) {
                    (Some(end), _) => self.go(setup, end),
                    (None, _) if made > 0 => self.go(setup, 0),
                    (None, Some(setup)) => self.go(setup, usize::MAX),
                    (None, None) => {}
                }
            }
            Command::NextSetup if self.setup_run(setup + 1).is_some() => self.go(setup + 1, usize::MAX),
            Command::PreviousSetup if setup > 0 => self.go(setup - 1, usize::MAX),
            Command::ToStart => self.go(setup, 0),
            Command::ToEnd => self.go(setup, usize::MAX),
            Command::Play if was_running.is_none() => {
                if made == self.run().map_or(0, |r| r.moves.len()) {
                    self.go(setup, 0);
                }
                self.waited = 0.0;
                self.running = self.run().map(|_| self.speed);
            }
            _ => {}
        }
    }

    fn stay_ends(&self, setup: usize) -> Vec<usize> {
        let proved = self.proved.as_ref();
        proved.map_or_else(Vec::new, |p| stays(p, setup).iter().map(|s| s.moves.end).collect())
    }

    /// Moves made once the next block is done, also one of a subprogram.
    fn next_block(&self, made: usize) -> usize {
        let Some(run) = self.run() else { return made };
        let block = block_of(run, made);
        let same = |i: &usize| block_of(run, *i) == block;
        made + (made..run.moves.len()).take_while(same).count()
    }

    /// Moves made before the block that was done last.
    fn block_before(&self, made: usize) -> usize {
        let (Some(run), Some(last)) = (self.run(), made.checked_sub(1)) else { return 0 };
        let block = block_of(run, last);
        let same = |i: &usize| block_of(run, *i) == block;
        made - (0..made).rev().take_while(same).count()
    }
}

/// The block that makes a move, and the one of the setup's own program that called for it.
fn block_of(run: &Run, move_index: usize) -> Option<[(u16, u32); 2]> {
    let own: Place = run.moves.get(move_index)?.place;
    let call = run.called_from(move_index).unwrap_or(own);
    Some([own, call].map(|p| (p.source, p.line)))
}
