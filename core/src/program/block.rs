use super::expression::{EvaluationFault, Parameter, Reading, Step, evaluate};
use super::fault::Fault;
use crate::source::{SourceText, Span};

/// A piece of one of a program's lists: first index and one past the last.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Piece {
    pub(super) start: u32,
    pub(super) end: u32,
}

impl Piece {
    fn of<T>(self, list: &[T]) -> &[T] {
        let bounds = usize::try_from(self.start).ok().zip(usize::try_from(self.end).ok());
        bounds.and_then(|(start, end)| list.get(start..end)).unwrap_or(&[])
    }
}

/// A program as written: blocks of words in the order of the text.
#[derive(Clone, Debug)]
pub struct Program {
    /// The text.
    pub source: SourceText,
    /// One per line that has more than blanks, comments and `%`, in order.
    pub blocks: Vec<Block>,
    /// Comments in order.
    pub comments: Vec<Comment>,
    /// 1-based line of the `%` that ends the program; what follows it was not read. `None`: the text ends it.
    pub end_mark: Option<u32>,
    pub(super) words: Vec<Word>,
    pub(super) settings: Vec<Setting>,
    pub(super) faults: Vec<Fault>,
    pub(super) steps: Vec<Step>,
    pub(super) statements: Vec<(Statement, Span)>,
}

/// One line of a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Block {
    /// 1-based line.
    pub line: u32,
    /// The line without blanks around it.
    pub span: Span,
    /// Line number, N; `None`: not written.
    pub number: Option<u32>,
    /// Block delete: the number of the switch (1 for a plain `/`); `None`: not deletable.
    pub delete: Option<u8>,
    pub(super) words: Piece,
    pub(super) settings: Piece,
    pub(super) faults: Piece,
    /// Index of its statement; `u32::MAX`: none.
    pub(super) statement: u32,
}

/// A statement that decides what runs next, as shops write them: `IF [..] GOTO 10`, `IF [..] THEN #1=2`, `GOTO 10`,
/// `WHILE [..] DO1`, `END1`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Statement {
    /// Goes on at the block with this number.
    Goto(Value),
    /// The same, when the condition is not 0.
    IfGoto(Value, Value),
    /// Does the block's settings when the condition is not 0.
    IfThen(Value),
    /// Begins a loop of this number that runs while the condition is not 0; without one for ever.
    While(Option<Value>, u8),
    /// Ends the loop of this number.
    End(u8),
}

/// A letter with its value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Word {
    /// Upper-case letter; `:` reads as `O`.
    pub letter: u8,
    /// True when a decimal point was written, or the value is an expression.
    pub point: bool,
    start: u32,
    end: u32,
    /// Its value.
    pub value: Value,
}

impl Word {
    pub(super) fn new(letter: u8, value: Value, point: bool, start: u32, end: u32) -> Self {
        Self { letter, point, start, end, value }
    }

    /// Where it stands.
    pub fn span(&self) -> Span {
        wide(self.start, self.end)
    }
}

fn wide(start: u32, end: u32) -> Span {
    let to = |n: u32| usize::try_from(n).unwrap_or(usize::MAX);
    Span::new(to(start), to(end))
}

/// The value of a word or a setting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// A number as written.
    Number(f64),
    /// An expression: a piece of the program's steps.
    Expression {
        /// Index of its first step.
        start: u32,
        /// One past its last step.
        end: u32,
    },
}

/// `#index = value`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// Which parameter.
    pub index: Value,
    /// What it gets.
    pub value: Value,
    /// Where it stands.
    pub span: Span,
}

/// A comment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Comment {
    /// 1-based line.
    pub line: u32,
    /// Its text without the brackets or the semicolon.
    pub span: Span,
}

impl Program {
    /// The words of a block in the order written, without N.
    pub fn words(&self, block: &Block) -> &[Word] {
        block.words.of(&self.words)
    }

    /// The parameter settings of a block in the order written.
    pub fn settings(&self, block: &Block) -> &[Setting] {
        block.settings.of(&self.settings)
    }

    /// What could not be read in a block; at most one, at its end.
    pub fn faults(&self, block: &Block) -> &[Fault] {
        block.faults.of(&self.faults)
    }

    /// Every fault in the order of the text.
    pub fn all_faults(&self) -> &[Fault] {
        &self.faults
    }

    /// The statement of a block and its place; `None` for one without.
    pub fn statement(&self, block: &Block) -> Option<(Statement, Span)> {
        usize::try_from(block.statement).ok().and_then(|i| self.statements.get(i)).copied()
    }

    /// The number of the program that begins with a block: an `O` or `:` before all other words; `None`: none begins.
    pub fn program_number(&self, block: &Block) -> Option<u32> {
        let first = self.words(block).first().filter(|w| w.letter == b'O')?;
        match first.value {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "whole and within 0 to 99,999,999"
            )]
            Value::Number(n) if (0.0..=99_999_999.0).contains(&n) && (n - n.floor()).abs() <= 0.0 => {
                Some(n as u32)
            }
            Value::Number(_) | Value::Expression { .. } => None,
        }
    }

    /// True when blocks may be left out or done more than once: calls, returns, jumps, loops.
    pub fn may_branch(&self) -> bool {
        let calls = |w: &Word| match (w.letter, w.value) {
            (b'M', Value::Number(n)) => (97.5..=99.5).contains(&n),
            (b'G', Value::Number(n)) => (64.5..=66.5).contains(&n),
            (b'M' | b'G', Value::Expression { .. }) => true,
            _ => false,
        };
        !self.statements.is_empty() || self.words.iter().any(calls)
    }

    /// Numbers that M98, G65 and G66 call, in the order of the text, as far as they are written as numbers; both readings of
    /// one that may hold the number of calls too.
    pub fn numbers_called(&self) -> Vec<u32> {
        let mut called = Vec::new();
        for block in &self.blocks {
            let words = self.words(block);
            let code = |w: &Word| {
                matches!((w.letter, w.value), (b'M', Value::Number(n)) if (n - 98.0).abs() < 0.5)
                    || matches!((w.letter, w.value), (b'G', Value::Number(n)) if (64.5..66.5).contains(&n))
            };
            if !words.iter().any(code) {
                continue;
            }
            for word in words.iter().filter(|w| w.letter == b'P') {
                if let Value::Number(n) = word.value
                    && (0.0..=99_999_999.0).contains(&n)
                {
                    #[expect(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "within 0 to 99,999,999"
                    )]
                    let number = n as u32;
                    called.extend([number, number % 10_000]);
                }
            }
        }
        called
    }

    /// The number that a value stands for; `parameter` tells what a parameter holds. `None`: that of a parameter which is
    /// known to hold nothing. Without a `reading` both are worked out and must agree.
    ///
    /// # Errors
    /// The reason why it has none: a parameter that is not known, or arithmetic without a result.
    pub fn evaluate(
        &self,
        value: Value,
        reading: Option<Reading>,
        parameter: &dyn Fn(u32) -> Parameter,
    ) -> Result<Option<f64>, EvaluationFault> {
        /// Far below any increment of any control, above the rounding of sines.
        const SAME: f64 = 1e-9;
        let (start, end) = match value {
            Value::Number(number) => return Ok(Some(number)),
            Value::Expression { start, end } => (start, end),
        };
        let steps = Piece { start, end }.of(&self.steps);
        if let Some(reading) = reading {
            return evaluate(steps, reading, parameter);
        }
        let report = evaluate(steps, Reading::Report, parameter)?;
        let shop = evaluate(steps, Reading::Shop, parameter).map_err(|_| EvaluationFault::TwoWays)?;
        let same = match (report, shop) {
            (Some(a), Some(b)) => (a - b).abs() <= SAME * a.abs().max(1.0),
            (None, None) => true,
            _ => false,
        };
        if same { Ok(report) } else { Err(EvaluationFault::TwoWays) }
    }
}

/// The number in a file's name, such as 1234 in `parts/O1234.nc`; `None` where the name before its ending is not an
/// optional O and digits.
pub fn number_in_name(name: &str) -> Option<u32> {
    let file = name.rsplit(['/', '\\']).next()?;
    let stem = file.split('.').next()?;
    let digits = stem.strip_prefix(['O', 'o']).unwrap_or(stem);
    (digits.len() <= 8 && !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit()))
        .then(|| digits.parse().ok())
        .flatten()
}
