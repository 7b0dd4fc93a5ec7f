//! Tools through matter: what each move of a setup takes from the stock and what it touches that it must not.
//!
//! *Invariant*: material only ever goes; every op keeps its setup, move and part of the tool.

mod history;
mod tree;

pub use history::{CutOrigin, History, Piece};
