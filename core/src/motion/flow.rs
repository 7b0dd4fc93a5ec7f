//! What runs next: subprograms, macro calls, jumps and loops, each with a bound.

use super::interpret::Interpreter;
use super::library::{Library, Spot};
use super::moves::CallRange;
use super::words::{Words, letters, no_value};
use super::{Doubt, Fact, Place};
use crate::job::SubprogramRepeats;
use crate::program::{EvaluationFault, Statement, Value};
use smallvec::SmallVec;

/// Blocks that a run may do on top of those written, once it has jumped or called: far above any program, and a bound on
/// time.
const MOST_BLOCKS: usize = 2_000_000;

/// Most calls of one M98 or G65.
pub(super) const MOST_REPEATS: f64 = 9999.0;

/// Largest number of a subprogram: eight digits.
pub(super) const MOST_NUMBER: f64 = 99_999_999.0;

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
    pub(super) place: Place,
    pub(super) number: u32,
    /// The other way to read P where controls differ: number and calls.
    pub(super) packed: Option<(u32, u32)>,
    pub(super) repeats: u32,
    /// Parameters and values of G65; `None` for M98, which has no parameters of its own.
    pub(super) arguments: Option<SmallVec<[(usize, f64); 8]>>,
    /// By G66, after a move.
    pub(super) modal: bool,
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
