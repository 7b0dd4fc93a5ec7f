//! G66 and G67: a macro that is called after every block that moves.

use super::codes::Setting;
use super::flow::{Call, Next};
use super::interpret::Interpreter;
use super::motion_words::Use;
use super::variables::LOCAL;
use super::words::Words;
use super::{Doubt, Fact, Place};

/// A modal call that is on.
#[derive(Clone, Debug)]
pub(super) struct ModalCall {
    /// Where it was turned on.
    pub(super) set: Place,
    call: Call,
    /// Calls that were open there: blocks of the macro itself call nothing.
    depth: usize,
    /// Parameters that the macro has changed since it was given them: some controls give them anew at the next call,
    /// some do not.
    pub(super) unsure: [bool; LOCAL],
}

impl ModalCall {
    /// Calls that were open where it was turned on.
    pub(super) const fn depth(&self) -> usize {
        self.depth
    }
}

impl Interpreter<'_> {
    /// G66.
    pub(super) fn begin_modal_call(&mut self, call: Call, place: Place) -> Result<(), Fact> {
        if let Some(on) = &self.compensation {
            return Err(Fact::NotWhileActive { place, mode: Some(on.set), what: "cutter compensation" });
        }
        if self.modal_call.is_some() {
            // Some controls put the calls into each other, some replace the first.
            return Err(Fact::ReadTwoWays { place, why: Doubt::ModalCall });
        }
        let depth = self.calls.len();
        self.modal_call = Some(ModalCall { set: place, call, depth, unsure: [false; LOCAL] });
        Ok(())
    }

    /// What runs after a block while G66 is on: the macro, if the block has moved the tool.
    pub(super) fn after_block(
        &self,
        words: &Words,
        used: Use,
        moved: bool,
        next: Next,
    ) -> Result<Next, Fact> {
        let Some(modal) = &self.modal_call else { return Ok(next) };
        let two_ways = Fact::ReadTwoWays { place: words.block, why: Doubt::ModalCall };
        if self.calls.len() > modal.depth {
            return Ok(next);
        }
        match used {
            // The end of the program ends the modal call too.
            Use::Nothing | Use::Setting(_) if next == Next::End => Ok(next),
            Use::Setting(Setting::Probe) | Use::Home { .. } | Use::Machine(_) | Use::Cycle(_) => {
                Err(two_ways)
            }
            Use::Nothing | Use::Setting(_) => self.nothing_moved(next, modal, two_ways),
            Use::Motion(_) if moved && next == Next::On => Ok(Next::Call(modal.call.at(words.block, true))),
            Use::Motion(_) => Err(two_ways),
        }
    }

    fn nothing_moved(&self, next: Next, modal: &ModalCall, two_ways: Fact) -> Result<Next, Fact> {
        // Does a subprogram call the macro after its own moves, and does the caller after those of the program that turned
        // it on?
        let calls = matches!(next, Next::Call(_)) || self.calls.len() < modal.depth;
        let returns = matches!(next, Next::Return { .. });
        if calls || returns { Err(two_ways) } else { Ok(next) }
    }
}
