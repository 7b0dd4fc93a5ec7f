//! Facts to words: one kind, one file, one spec.
//!
//! *Invariant*: a finding's sentence stands alone, and its kind has a file here and a spec in `tests/specs`.

mod finding;

pub use finding::{Finding, Kind};
