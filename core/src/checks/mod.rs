//! Judgement of the machine's side: contact with stock and workholding, changer, offsets, spindle and feed.
//!
//! *Invariant*: a check returns facts; it writes no sentences.

pub mod contact;
pub mod distance;
mod over;
pub mod workholding;

pub use over::Lowest;
