//! What runs next: subprograms, macro calls, jumps and loops, each with a bound.

use super::codes::G;
use super::interpret::Interpreter;
use super::library::{Library, Spot};
use super::moves::CallRange;
use super::variables::argument;
use super::words::{Words, letters, no_value};
use super::{Doubt, Fact, Place};
use crate::job::NumberWithoutPoint;
use crate::job::SubprogramRepeats;
use crate::program::{EvaluationFault, Statement, Value};
use smallvec::SmallVec;

/// Blocks that a run may do on top of those written, once it has jumped or called: far above any program, and a bound on
/// time.
const MOST_BLOCKS: usize = 2_000_000;

/// Most calls of one M98 or G65.
const MOST_REPEATS: f64 = 9999.0;

/// Largest number of a subprogram: eight digits.
const MOST_NUMBER: f64 = 99_999_999.0;

/// What happens after a block.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Next {
    On,
    End,
    Call(Call),
    /// M99, to a block of the caller where a number is given.
    Return {
        place: Place,
        to: Option<u32>,
    },
    /// GOTO.
    Jump {
        place: Place,
        number: u32,
    },
    /// The condition of a WHILE does not hold: on behind its END.
    Leave {
        place: Place,
    },
    /// END: back to the DO or WHILE of its number.
    Again {
        place: Place,
    },
}

/// M98 or G65.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Call {
    place: Place,
    number: u32,
    /// The other way to read P where controls differ: number and calls.
    packed: Option<(u32, u32)>,
    repeats: u32,
    /// Parameters and values of G65; `None` for M98, which has no parameters of its own.
    arguments: Option<SmallVec<[(usize, f64); 8]>>,
    /// By G66, after a move.
    modal: bool,
}

impl Call {
    /// The same call from another block.
    pub(super) fn at(&self, place: Place, modal: bool) -> Call {
        Call { place, modal, ..self.clone() }
    }
}

/// A call that is open.
struct Open {
    entry: Spot,
    back: Spot,
    left: u32,
    call: Call,
    /// Moves made before it.
    moves: usize,
}

/// Runs a program from its first block to its end.
pub(super) fn follow(interpreter: &mut Interpreter, library: &Library) {
    let mut walker = Walker {
        texts: library,
        at: Spot::default(),
        open: Vec::new(),
        seen: std::collections::BTreeMap::new(),
        blocks: 0,
        last_jump: None,
    };
    let most = MOST_BLOCKS + library.blocks();
    let mut first = true;
    loop {
        let Some(block) = library.block(walker.at) else {
            walker.out_of_text(interpreter);
            break;
        };
        walker.blocks += 1;
        let here = walker.at;
        let (source, program) = (here.source(), library.program(here));
        let done = interpreter.block(program, block, source, first);
        let next = match done {
            Ok(Next::On) => {
                walker.at.block += 1;
                first = false;
                continue;
            }
            Ok(Next::End) => {
                walker.text_after(interpreter);
                break;
            }
            Ok(next) => next,
            Err(fact) => {
                interpreter.lose(fact);
                break;
            }
        };
        match walker.go(interpreter, next) {
            Ok(entered) => first = entered,
            Err(fact) => {
                interpreter.lose(fact);
                break;
            }
        }
        if walker.blocks > most {
            let place = walker.last_jump.unwrap_or(Place { source, line: block.line, span: block.span });
            interpreter.lose(Fact::RunsForever { place });
            break;
        }
    }
    // What was held when the program could not be followed any more; further facts would say nothing.
    if let Err(fact) = interpreter.release(false) {
        interpreter.lose(fact);
    }
    walker.close(interpreter, 0);
}

/// What a statement decides; `None`: its block does nothing.
pub(super) fn decide(
    statement: Statement,
    place: Place,
    evaluate: &dyn Fn(Value) -> Result<Option<f64>, EvaluationFault>,
) -> Result<Option<Next>, Fact> {
    let holds = |condition| -> Result<bool, Fact> {
        let value = evaluate(condition).map_err(|fault| no_value(place, fault))?;
        Ok(value.is_some_and(|v| v.abs() > 0.0))
    };
    let target = |value| -> Result<Next, Fact> {
        let value = evaluate(value).map_err(|fault| no_value(place, fault))?;
        let number = value.and_then(|v| super::words::whole(v, MOST_NUMBER));
        Ok(Next::Jump { place, number: number.ok_or(Fact::NoValue { place })? })
    };
    Ok(match statement {
        Statement::Goto(to) => Some(target(to)?),
        Statement::IfGoto(condition, to) => Some(if holds(condition)? { target(to)? } else { Next::On }),
        Statement::IfThen(condition) => holds(condition)?.then_some(Next::On),
        Statement::While(None, _) => Some(Next::On),
        Statement::While(Some(condition), _) => {
            Some(if holds(condition)? { Next::On } else { Next::Leave { place } })
        }
        Statement::End(_) => Some(Next::Again { place }),
    })
}

impl Interpreter<'_> {
    /// M98: the call of its block.
    pub(super) fn call(&self, words: &Words, code: Place) -> Result<Next, Fact> {
        let given = words.index(b'P', MOST_NUMBER)?;
        let p = given.ok_or(Fact::WordMissing { place: code, letter: 'P' })?;
        let place = words.span_of(letters(b"PL"), Some(code.span));
        let l = words.index(b'L', MOST_REPEATS)?;
        let in_p = (p > 9999).then_some((p % 10_000, p / 10_000));
        let (number, repeats, packed) = match (self.control.subprogram_repeats, in_p) {
            (Some(SubprogramRepeats::InP), Some((number, repeats))) => match l {
                Some(_) => return Err(Fact::ReadTwoWays { place, why: Doubt::CallsInP }),
                None => (number, repeats, None),
            },
            (None, Some(other)) if l.is_none() => (p, 1, Some(other)),
            _ => (p, l.unwrap_or(1), None),
        };
        if repeats == 0 {
            // Some controls skip the call, some make it once.
            return Err(Fact::ReadTwoWays { place, why: Doubt::NoCalls });
        }
        Ok(Next::Call(Call { place, number, packed, repeats, arguments: None, modal: false }))
    }

    /// G65: a call with letters. G66: the same after each move that follows.
    pub(super) fn macro_call(&mut self, words: &Words) -> Result<Next, Fact> {
        let code = words.g.first().map_or(words.block.span, |(_, span)| *span);
        let modal = words.g.iter().any(|(g, _)| *g == G::ModalMacro);
        if let Some((_, span)) = words.g.get(1) {
            return Err(Fact::CodesExclude { place: words.at(*span), first: words.at(code) });
        }
        if let Some((_, span)) = words.m.first() {
            return Err(Fact::UnusedWord { place: words.at(*span) });
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

struct Walker<'a> {
    texts: &'a Library<'a>,
    at: Spot,
    open: Vec<Open>,
    /// How often parameters had changed when a block was last jumped back to.
    seen: std::collections::BTreeMap<(Spot, usize), u64>,
    blocks: usize,
    last_jump: Option<Place>,
}

impl Walker<'_> {
    /// Goes where a block says; true when a program or subprogram begins there.
    fn go(&mut self, interpreter: &mut Interpreter, next: Next) -> Result<bool, Fact> {
        match next {
            Next::On | Next::End => self.at.block += 1,
            Next::Call(call) => return self.enter(interpreter, call).map(|()| true),
            Next::Return { place, to } => return self.leave(interpreter, place, to),
            Next::Jump { place, number } => {
                let to = self.texts.label(self.at, number, place)?;
                self.jump(interpreter, place, to)?;
            }
            Next::Leave { place } => {
                self.at = self.texts.end_of(self.at).ok_or(Fact::LoopNotClosed { place })?;
                self.at.block += 1;
            }
            Next::Again { place } => {
                let to = self.texts.begin_of(self.at).ok_or(Fact::LoopNotClosed { place })?;
                self.jump(interpreter, place, to)?;
            }
        }
        Ok(false)
    }

    /// Jumps; backwards only while something has changed since the last time.
    fn jump(&mut self, interpreter: &Interpreter, place: Place, to: Spot) -> Result<(), Fact> {
        self.last_jump = Some(place);
        if to <= self.at {
            let changes = interpreter.variables.changes;
            if self.seen.insert((self.at, self.open.len()), changes) == Some(changes) {
                return Err(Fact::RunsForever { place });
            }
        }
        self.at = to;
        Ok(())
    }

    fn enter(&mut self, interpreter: &mut Interpreter, call: Call) -> Result<(), Fact> {
        let (entry, call) = self.find(call)?;
        let most = interpreter.control.subprogram_depth;
        if let Some(same) = self.open.iter().find(|o| o.entry == entry) {
            return Err(Fact::CallsItself { place: call.place, first: same.call.place });
        }
        if self.open.len() >= most {
            return Err(Fact::CallsTooDeep { place: call.place, most });
        }
        if let Some(arguments) = &call.arguments {
            interpreter.variables.push(arguments);
            if let Some(modal) = interpreter.modal_call.as_ref().filter(|_| call.modal) {
                interpreter.variables.forget(&modal.unsure);
            }
        }
        interpreter.calls.push(call.place);
        self.last_jump = Some(call.place);
        let back = Spot { block: self.at.block + 1, ..self.at };
        let held = interpreter.compensation.is_some();
        let moves = if held { usize::MAX } else { interpreter.run.moves.len() };
        self.open.push(Open { entry, back, left: call.repeats, call, moves });
        self.at = entry;
        Ok(())
    }

    /// The subprogram of a call, and the call as it is to be read.
    fn find(&self, call: Call) -> Result<(Spot, Call), Fact> {
        let here = self.texts.subprogram(call.number, call.place)?;
        let Some((number, repeats)) = call.packed else {
            let missing = Fact::SubprogramMissing { place: call.place, number: call.number };
            return here.map(|spot| (spot, call)).ok_or(missing);
        };
        let packed = self.texts.subprogram(number, call.place)?;
        match (here, packed) {
            (Some(_), Some(_)) => Err(Fact::ReadTwoWays { place: call.place, why: Doubt::CallsInP }),
            (Some(spot), None) => Ok((spot, call)),
            (None, Some(spot)) => Ok((spot, Call { number, repeats, ..call })),
            (None, None) => Err(Fact::SubprogramMissing { place: call.place, number: call.number }),
        }
    }

    /// M99; true when the subprogram begins again.
    fn leave(&mut self, interpreter: &mut Interpreter, place: Place, to: Option<u32>) -> Result<bool, Fact> {
        let Some(open) = self.open.last_mut() else {
            let Some(number) = to else { return Err(Fact::RunsForever { place }) };
            let to = self.texts.label(self.at, number, place)?;
            return self.jump(interpreter, place, to).map(|()| false);
        };
        if open.left > 1 {
            if to.is_some() {
                return Err(Fact::ReadTwoWays { place, why: Doubt::ReturnOfSeveral });
            }
            open.left -= 1;
            self.at = open.entry;
            if let Some(arguments) = &open.call.arguments {
                interpreter.variables.pop();
                interpreter.variables.push(arguments);
            }
            return Ok(true);
        }
        let back = open.back;
        self.close(interpreter, self.open.len() - 1);
        self.at = back;
        if let Some(number) = to {
            // Counted from the block before, the one with the call.
            let call = Spot { block: back.block.saturating_sub(1), ..back };
            let to = self.texts.label(call, number, place)?;
            self.at = call;
            self.jump(interpreter, place, to)?;
        }
        Ok(false)
    }

    /// Ends calls until `depth` are open.
    fn close(&mut self, interpreter: &mut Interpreter, depth: usize) {
        while self.open.len() > depth {
            let Some(open) = self.open.pop() else { return };
            interpreter.calls.pop();
            if let Some(arguments) = &open.call.arguments {
                if let Some(modal) = interpreter.modal_call.as_mut().filter(|_| open.call.modal) {
                    let changed = interpreter.variables.changed(arguments);
                    for (unsure, changed) in modal.unsure.iter_mut().zip(changed) {
                        *unsure |= changed;
                    }
                }
                interpreter.variables.pop();
            }
            // Moves that are held under compensation have no number yet.
            if self.open.is_empty() && interpreter.compensation.is_none() && open.moves != usize::MAX {
                let moves = open.moves..interpreter.run.moves.len();
                interpreter.run.calls.push(CallRange { moves, place: open.call.place });
            }
        }
    }

    /// The text is at its end without M2, M30 or M99.
    fn out_of_text(&self, interpreter: &mut Interpreter) {
        let last = self.texts.last_block(self.at);
        if self.open.is_empty() {
            if self.texts.program(self.at).end_mark.is_none() {
                interpreter.run.cut_off = Some(last);
            }
        } else {
            interpreter.lose(Fact::ReturnMissing { place: last });
        }
    }

    /// Blocks behind the end that nothing jumps to.
    fn text_after(&self, interpreter: &mut Interpreter) {
        if self.last_jump.is_none()
            && let Some(place) = self.texts.loose_block(self.at)
        {
            interpreter.notice(Fact::TextAfterEnd { place });
        }
    }
}
