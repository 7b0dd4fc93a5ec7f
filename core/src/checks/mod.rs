//! Judgement of the machine's side: contact with stock and workholding, changer, offsets, spindle and feed.
//!
//! *Invariant*: a check returns facts; it writes no sentences. A clearance is never more than the truth.

pub mod changer;
pub mod contact;
pub mod distance;
mod fact;
mod over;
pub mod program;
mod sections;
pub mod travel;
pub mod workholding;

pub use fact::{Fact, JobFact};
pub use over::Lowest;
pub use sections::{Section, sections};
