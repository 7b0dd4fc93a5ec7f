//! From a program's text to blocks of words with their places. Parsing cannot fail: what is not understood is a
//! fault beside the blocks.
//!
//! The language is word-address code as NISTIR 6556 section 3.3 lays it down (blanks anywhere, also inside numbers;
//! parameters and expressions), widened by what shops write: `O` or `:` program numbers, `;` comments, block delete
//! with a switch number, and the statements `IF`, `GOTO`, `WHILE`, `DO`, `END` with comparisons.
//!
//! *Invariant*: every word and every fault keeps the span of the text it came from; nothing is dropped: a block that
//! was not read to its end carries a fault.

mod block;
mod cursor;
mod expression;
mod fault;
mod number;
mod parse;

pub use block::{Block, Comment, Program, Setting, Statement, Value, Word, number_in_name};
pub(crate) use expression::parameter_number;
pub use expression::{EvaluationFault, Function, Operator, Parameter, Reading, Step};
pub use fault::{Fault, FaultKind};
pub use parse::parse;
