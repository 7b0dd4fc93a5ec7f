use super::expression::{EvaluationFault, Step, evaluate};
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

    /// The number that a value stands for; `parameter` gives the number in a parameter, `None` where it is not known.
    ///
    /// # Errors
    /// The reason why it has none: a parameter that is not known, or arithmetic without a result.
    pub fn evaluate(
        &self,
        value: Value,
        parameter: &dyn Fn(u32) -> Option<f64>,
    ) -> Result<f64, EvaluationFault> {
        match value {
            Value::Number(number) => Ok(number),
            Value::Expression { start, end } => evaluate(Piece { start, end }.of(&self.steps), parameter),
        }
    }
}
