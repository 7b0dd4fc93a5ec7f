//! Shapes of tools: a tool with its shank and holder as a stack of convex bodies about the spindle axis.
//!
//! *Invariant*: every [`Body`] is convex; together they hold at least the tool.

mod assembly;

pub use assembly::{Assembly, Body, Part, PartRole};
