//! From a job to its proof: runs every program, cuts the stock, checks and inspects, in order.
//!
//! *Invariant*: same job, same proof, to the byte, for any number of threads.

mod follow;
mod home;
mod judge;
mod moment;
mod part;
mod prove;
mod result;
mod stays;
mod time;

pub use follow::follow;
pub use moment::{Moment, moment};
pub use part::{CutPart, cut_part};
pub use prove::{Kept, prove, prove_and_keep};
pub use result::{LowestOver, Proof, SetupProof, ToolSection, Unproven, Verdict};
pub use time::seconds as move_seconds;

/// Told how far a proof is; called often, from one thread.
pub trait Progress {
    /// What is being done now, such as `setup 2 of 4: cutting`, and how much of the whole is done, 0 to 1.
    fn at(&self, what: &str, done: f64);
}

/// Progress that nobody watches.
#[derive(Clone, Copy, Debug, Default)]
pub struct Unwatched;

impl Progress for Unwatched {
    fn at(&self, _what: &str, _done: f64) {}
}
