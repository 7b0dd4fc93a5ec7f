//! Facts to words: one kind, one file, one spec.
//!
//! A layer below gives facts; its dispatcher here (`from_motion`, `from_cutting`, `from_checks`, `from_inspect`)
//! hands each fact to the file of its kind, which writes the sentence. To add a kind: a file named like the kind
//! with underscores, holding `pub(super) const KIND` and `pub(super) fn finding`; a line in its dispatcher's
//! `KINDS`; a spec `tests/specs/<kind>.md`. A test fails when one of the three is missing.
//!
//! *Invariant*: a finding's sentence stands alone, and its kind has a file here and a spec in `tests/specs`.

mod builder;
mod context;
mod finding;
pub mod words;

pub use builder::Builder;
pub use context::Context;
pub use finding::{Amount, Finding, Kind};

/// Kinds of every dispatcher.
const DISPATCHERS: &[&[Kind]] = &[];

/// Every kind of finding that there is, sorted by name.
pub fn kinds() -> Vec<Kind> {
    let mut kinds: Vec<Kind> = DISPATCHERS.iter().flat_map(|d| d.iter().copied()).collect();
    kinds.sort_by_key(|k| k.name);
    kinds
}

/// The kind of a name.
pub fn kind(name: &str) -> Option<Kind> {
    kinds().into_iter().find(|k| k.name == name)
}
