//! What is said about how a program is written: its safe line, decimal points, units and the length of its lines.

#![expect(clippy::wildcard_enum_match_arm, reason = "only the codes that a safe line has are named")]

use super::codes::G;
use super::interpret::Interpreter;
use super::motion_words::{Plan, Use};
use super::moves::UnsafeStart;
use super::words::{Given, Words, letters};
use super::{Fact, Place};
use crate::program::{Block, Program, Word};
use crate::source::Span;

impl Interpreter<'_> {
    /// Words beyond the characters that a control reads of a line.
    pub(super) fn check_length(&mut self, program: &Program, block: &Block, source: u16, start: usize) {
        let words = program.words(block).iter().map(Word::span);
        let settings = program.settings(block).iter().map(|s| s.span);
        let statement = program.statement(block).map(|(_, span)| span);
        let most = self.control.line_length;
        let beyond = |span: &Span| span.end - start > most;
        if let Some(span) = words.chain(settings).chain(statement).filter(beyond).min_by_key(|s| s.start) {
            self.lose(Fact::LineTooLong { place: Place { source, line: block.line, span }, most });
        }
    }

    /// Until the first motion: is everything said that it depends on?
    pub(super) fn watch_head(&mut self, words: &Words, plan: &Plan) {
        let Some(said) = &mut self.said else { return };
        for (code, _) in &words.g {
            match code {
                G::Plane(_) => said.plane = true,
                G::CompensationOff => said.compensation = true,
                G::Length(_) | G::LengthMinus => said.length = true,
                G::CancelCycle => said.cycle = true,
                G::Incremental(_) => said.distance = true,
                _ => {}
            }
        }
        if !matches!(plan.axis_use, Use::Motion(_) | Use::Cycle(_)) {
            return;
        }
        let missing = said.missing();
        if !missing.is_empty() {
            self.run.unsafe_start = Some(UnsafeStart { place: words.block, missing });
        }
        self.said = None;
    }

    /// A length without a point where both ways to read it are possible.
    pub(super) fn check_points(&mut self, words: &Words, plan: &Plan) {
        let doubtful = |g: &Given| !g.point && g.value.abs() > 0.0;
        let dwells = plan.dwell.is_some() || matches!(plan.axis_use, Use::Cycle(_));
        let dwell = words.get(b'P').or_else(|| words.get(b'X').filter(|_| plan.dwell.is_some()));
        let dwell = dwell.filter(|_| dwells && self.control.dwell_without_point.is_none());
        let lengths: &[u8] = match plan.axis_use {
            Use::Nothing => b"",
            _ if plan.dwell.is_some() => b"",
            _ => b"XYZIJKRQ",
        };
        if let Some(given) = lengths.iter().filter_map(|l| words.get(*l)).chain(dwell).find(doubtful) {
            self.point_noticed = true;
            self.notice(Fact::PointMissing { place: words.at(given.span) });
        }
    }

    pub(super) fn check_units(&mut self, words: &Words, plan: &Plan) {
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
}

/// What a safe line says before the first motion.
#[expect(clippy::struct_excessive_bools, reason = "each is one modal group of the language")]
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Said {
    plane: bool,
    compensation: bool,
    length: bool,
    cycle: bool,
    distance: bool,
}

impl Said {
    fn missing(self) -> Vec<&'static str> {
        let all = [
            (self.plane, "G17"),
            (self.compensation, "G40"),
            (self.length, "G49"),
            (self.cycle, "G80"),
            (self.distance, "G90"),
        ];
        all.into_iter().filter(|(said, _)| !said).map(|(_, code)| code).collect()
    }
}
