//! Adding moves to the run.

use super::codes::FeedMode;
use super::interpret::Interpreter;
use super::modes::Feed;
use super::{Cycle, Fact, Move, MoveKind, Place};
use crate::geom::{Path, Vec3};

impl Interpreter<'_> {
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
        if self.modes.stale_length.is_some() {
            self.check_stale_length(&step);
        }
        let (feed, seconds) = match (step.kind, self.modes.feed) {
            (MoveKind::Rapid | MoveKind::Home, _) | (_, Feed::Missing) => (None, None),
            (_, Feed::PerMinute(feed)) => (Some(feed * step.feed_factor), None),
            (_, Feed::PerTurn(feed)) => {
                let feed = feed * self.modes.rpm * step.feed_factor;
                ((feed > 0.0).then_some(feed), None)
            }
            (_, Feed::Seconds(seconds)) => {
                let length = step.path.length();
                (Some(length / seconds * 60.0), Some(seconds))
            }
        };
        let here = (step.place.source, step.place.line);
        let earlier = self.modes.mode_place.filter(|p| (p.source, p.line) != here);
        let m = Move {
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
        };
        if self.compensation.is_none() {
            self.run.moves.push(m);
            return Ok(());
        }
        let given_back = self.hold(m)?;
        self.run.moves.extend(given_back);
        Ok(())
    }

    /// The first move down of a tool whose own length offset was not called up.
    fn check_stale_length(&mut self, step: &Step) {
        /// Heights within this of home, millimetres, are home.
        const AT_HOME: f64 = 1e-6;
        let Some((register, set)) = self.modes.stale_length else { return };
        let down = step.path.bounds().min.z < self.home_height() - AT_HOME;
        if down && step.kind != MoveKind::Home && self.modes.tool.is_some() {
            self.modes.stale_length = None;
            self.notice(Fact::LengthOffsetOfBefore { place: step.place, register, set });
        }
    }

    /// Says once, until the next F, that a feed is missing.
    pub(super) fn need_feed(&mut self, place: Place) {
        if self.modes.feed == Feed::Missing && !self.feed_noticed {
            // Under G93 every block needs its own F, so every block without is told.
            self.feed_noticed = self.modes.feed_mode != FeedMode::InverseTime;
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
