//! Speed, direction, tool names and tool changes, dwells.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "each stage of a block takes up its own codes and leaves the others to theirs"
)]

use super::codes::M;
use super::emit::Step;
use super::interpret::Interpreter;
use super::modes::Coordinate;
use super::words::Given;
use super::words::{Words, letters};
use super::{Fact, MoveKind, Place, SpindleTurn, ToolCall};
use crate::geom::Axis;
use crate::geom::Vec3;
use crate::job::{DwellWithoutPoint, SpindleStop};
use crate::source::Span;

impl Interpreter<'_> {
    pub(super) fn take_spindle_and_tool(&mut self, words: &Words) -> Result<(), Fact> {
        if let Some(rpm) = words.positive(b'S')? {
            self.modes.rpm = rpm;
        }
        let change = words.m.iter().find(|(m, _)| *m == M::ToolChange).map(|(_, span)| *span);
        if let Some(tool) = words.index(b'T', 99_999_999.0)? {
            let place = words.span_of(letters(b"T"), None);
            if tool != 0 && self.job.tool(tool).is_none() {
                self.notice(Fact::ToolNotInTable { place, tool });
            }
            self.modes.ready = Some(tool);
            if change.is_none() {
                self.event(place, ToolCall::Ready { tool });
            }
        }
        if let Some(span) = change {
            self.change_tool(words.span_of(letters(b"T"), Some(span)))?;
        }
        for (code, _) in &words.m {
            match code {
                M::SpindleClockwise => self.modes.spindle = SpindleTurn::Clockwise,
                M::SpindleCounterClockwise => self.modes.spindle = SpindleTurn::CounterClockwise,
                M::Orient => self.modes.spindle = SpindleTurn::Stopped,
                M::SpindleStop if self.control.spindle_stop == SpindleStop::BeforeMotion => {
                    self.modes.spindle = SpindleTurn::Stopped;
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// M6: straight up home, then the tool that the last T named. The spindle stands afterwards.
    fn change_tool(&mut self, place: Place) -> Result<(), Fact> {
        let Some(tool) = self.modes.ready else { return Err(Fact::ChangeWithoutTool { place }) };
        self.check_cycle_off(place);
        self.lift_home(place)?;
        if let (Some(register), Some(set)) = (self.modes.length_register, self.modes.length_place) {
            self.modes.stale_length = Some((register, set));
        }
        self.event(place, ToolCall::Change { tool });
        self.modes.tool = (tool != 0).then_some(tool);
        self.modes.radius_register = None;
        self.modes.spindle = SpindleTurn::Stopped;
        let height = self.home_height();
        let [_, _, z] = &mut self.modes.tip;
        *z = Coordinate::Home(height);
        Ok(())
    }

    /// Goes straight up to home height and leaves Z there.
    pub(super) fn lift_home(&mut self, place: Place) -> Result<(), Fact> {
        let [_, _, z] = self.modes.tip;
        let height = self.home_height();
        if let (Some(from), Coordinate::Known(low)) = (self.tip(), z)
            && low < height
        {
            let to = Vec3::new(from.x, from.y, height);
            self.emit(Step::line(place, MoveKind::Home, from, to))?;
        }
        let [_, _, z] = &mut self.modes.tip;
        *z = Coordinate::Home(z.height().map_or(height, |h| h.max(height)));
        Ok(())
    }

    /// Height of the tip with Z at home: reckoned where the job tells machine zeros and the tool's length, else the
    /// height above everything.
    pub(super) fn home_height(&self) -> f64 {
        self.in_setup(Axis::Z, 0.0).unwrap_or(self.clear_z)
    }

    /// G4: P in seconds, or X in seconds where there is no P. Without a decimal point P is milliseconds where the
    /// machine file says so.
    pub(super) fn dwell(&mut self, words: &Words, span: Span) -> Result<(), Fact> {
        let given = words.get(b'P').or_else(|| words.get(b'X'));
        let given = given.ok_or(Fact::WordMissing { place: words.at(span), letter: 'P' })?;
        if given.value < 0.0 {
            return Err(Fact::WordOutOfRange { place: words.at(given.span) });
        }
        let seconds = self.seconds(given);
        self.event(words.span_of(letters(b"P"), Some(span)), ToolCall::Dwell { seconds });
        Ok(())
    }

    /// A dwell in seconds.
    pub(super) fn seconds(&self, given: Given) -> f64 {
        let small = !given.point && self.control.dwell_without_point == Some(DwellWithoutPoint::Milliseconds);
        if small { given.value / 1000.0 } else { given.value }
    }
}
