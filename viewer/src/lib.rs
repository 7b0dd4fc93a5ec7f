//! Views of a proof: where the eye stands. The window and the pictures build on it.
//!
//! *Invariant*: nothing here computes stock or judges a job; mathematics of the cut stays in `proofcut-core`.

mod view;

pub use view::{StandardView, View};
