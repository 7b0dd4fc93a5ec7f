//! The end of a block, of a tool's work and of the program.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "each stage of a block takes up its own codes and leaves the others to theirs"
)]

use super::codes::M;
use super::flow::Next;
use super::interpret::Interpreter;
use super::modes::Mode;
use super::words::{Words, letters};
use super::{Fact, Place, SpindleTurn, ToolCall};
use crate::job::SpindleStop;

impl Interpreter<'_> {
    /// What is done after the motion.
    pub(super) fn finish(&mut self, words: &Words) -> Result<Next, Fact> {
        let mut next = Next::On;
        for (code, span) in &words.m {
            let place = words.at(*span);
            match code {
                M::SpindleStop if self.control.spindle_stop == SpindleStop::AfterMotion => {
                    self.modes.spindle = SpindleTurn::Stopped;
                }
                M::Stop { optional } => self.event(place, ToolCall::Stop { optional: *optional }),
                M::End => {
                    self.at_the_end(place)?;
                    self.event(place, ToolCall::End);
                    next = Next::End;
                }
                M::Call => next = self.call(words, place)?,
                M::Return => {
                    let to = words.index(b'P', 99_999_999.0)?;
                    next = Next::Return { place: words.span_of(letters(b"P"), Some(*span)), to };
                }
                _ => {}
            }
        }
        Ok(next)
    }

    /// What must not be left on when a program ends.
    fn at_the_end(&mut self, place: Place) -> Result<(), Fact> {
        if let Some(on) = &self.compensation {
            let set = on.set;
            self.notice(Fact::CompensationLeftOn { place, set });
            self.release(false)?;
        }
        self.check_cycle_off(place);
        // G52 goes with the end of the program; G92 stays on most controls.
        let shift = self.modes.shift_place.filter(|_| self.placing.shift.norm() > 0.0);
        let placed = self.placing.set.filter(|_| !self.placing.plain());
        let polar = self.modes.polar.map(|p| p.set);
        let modal = self.modal_call.as_ref().map(|m| m.set);
        for set in [shift, placed, polar, modal].into_iter().flatten() {
            self.notice(Fact::ShiftLeftOn { place, set });
        }
        Ok(())
    }

    /// Says that a canned cycle is still on at a tool change or at the end.
    pub(super) fn check_cycle_off(&mut self, place: Place) {
        if let Mode::Cycle(_) = self.modes.mode {
            let set = self.modes.mode_place;
            self.notice(Fact::CycleLeftOn { place, set });
        }
    }
}
