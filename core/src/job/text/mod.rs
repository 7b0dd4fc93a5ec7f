//! Job files as text: strict JSON with the place of every value.
//!
//! *Invariant*: every mistake of form (syntax, unknown or missing fields, wrong types) is found here, all of them
//! at once and each at its place, by holding the text against the schema that is derived from the file types.

mod at;
mod reports;
mod shape;
mod syntax;

pub(crate) use at::At;
pub(crate) use reports::{Reports, nearest};
pub(crate) use shape::check_shape;
pub(crate) use syntax::parse;
