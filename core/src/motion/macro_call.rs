//! G65: a call of a subprogram with letters as its parameters, and the call that G66 makes after each move.

use super::codes::G;
use super::flow::{Call, MOST_NUMBER, MOST_REPEATS, Next};
use super::interpret::Interpreter;
use super::variables::argument;
use super::words::{Words, letters};
use super::{Doubt, Fact};
use crate::job::NumberWithoutPoint;
use smallvec::SmallVec;

impl Interpreter<'_> {
    /// G65: a call with letters. G66: the same after each move that follows.
    pub(super) fn macro_call(&mut self, words: &Words) -> Result<Next, Fact> {
        let code = words.g.first().map_or(words.block.span, |(_, span)| *span);
        let modal = words.g.iter().any(|(g, _)| *g == G::ModalMacro);
        if let Some((_, span)) = words.g.get(1) {
            return Err(Fact::CodesExclude { place: words.at(*span), first: words.at(code) });
        }
        if let Some((_, span)) = words.m.first() {
            return Err(Fact::ReadTwoWays { place: words.at(*span), why: Doubt::ArgumentM });
        }
        let p = words.index(b'P', MOST_NUMBER)?;
        let number = p.ok_or(Fact::WordMissing { place: words.at(code), letter: 'P' })?;
        let place = words.span_of(letters(b"PL"), Some(code));
        let repeats = words.index(b'L', MOST_REPEATS)?.unwrap_or(1);
        if repeats == 0 {
            return Err(Fact::ReadTwoWays { place, why: Doubt::NoCalls });
        }
        let arguments = Some(self.arguments(words)?);
        let call = Call { place, number, packed: None, repeats, arguments, modal: false };
        if modal {
            return self.begin_modal_call(call, place).map(|()| Next::On);
        }
        if self.modal_call.as_ref().is_some_and(|m| self.calls.len() <= m.depth()) {
            // Does the macro that is called call the modal one after its moves?
            return Err(Fact::ReadTwoWays { place, why: Doubt::ModalCall });
        }
        Ok(Next::Call(call))
    }

    /// The parameters that the letters of a call set.
    fn arguments(&self, words: &Words) -> Result<SmallVec<[(usize, f64); 8]>, Fact> {
        let increments = self.control.number_without_point == NumberWithoutPoint::Increments;
        let single = (b'A'..=b'Z').filter(|l| !matches!(l, b'P' | b'L'));
        let given = single.filter_map(|letter| Some((letter, words.get(letter)?)));
        let mut given: SmallVec<[_; 8]> = given.chain(words.again.iter().copied()).collect();
        given.sort_by_key(|(_, given)| given.span.start);
        let mut arguments: SmallVec<[(usize, f64); 8]> = SmallVec::new();
        // I, J and K may stand several times: each time round they set the next three parameters.
        let (mut round, mut last) = (0, 0);
        for (letter, given) in given {
            let place = words.at(given.span);
            let number = argument(letter).ok_or(Fact::UnusedWord { place })?;
            if !given.point && increments && given.value.abs() > 0.0 {
                // Where the point stands depends on the letter, and on the control.
                return Err(Fact::ReadTwoWays { place, why: Doubt::ArgumentWithoutPoint });
            }
            let number = if matches!(letter, b'I'..=b'K') {
                round += usize::from(letter <= last);
                last = letter;
                number + 3 * round
            } else {
                number
            };
            if number > super::variables::LOCAL {
                return Err(Fact::UnusedWord { place });
            }
            // Backwards without being repeated, or two letters for one parameter: controls differ.
            let backwards = round > 0 && words.again.is_empty();
            if backwards || arguments.iter().any(|(n, _)| *n == number) {
                return Err(Fact::ReadTwoWays { place, why: Doubt::ArgumentOrder });
            }
            arguments.push((number, given.value));
        }
        Ok(arguments)
    }
}
