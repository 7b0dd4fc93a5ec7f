//! Tools through matter: what each move of a setup takes from the stock and what it touches that it must not.
//!
//! *Invariant*: material only ever goes; every op keeps its setup, move and part of the tool.

mod chunks;
mod contact;
mod engagement;
mod history;
mod keyframes;
mod plan;
mod run;
#[cfg(test)]
mod tests;
mod tree;

pub use contact::{Contact, ContactKind};
pub use engagement::Engagement;
pub use history::{CutOrigin, History, Piece};
pub use keyframes::{Keyframes, Shown};
pub use run::{MoveCut, SetupCut, cut_setup};
