//! Shapes of tools: a tool with its shank and holder as a stack of convex bodies about the spindle axis.
//!
//! *Invariant*: every [`Body`] is convex; together they hold at least the tool.

mod assembly;
mod tool;

pub use assembly::{Assembly, Body, Part, PartRole};
pub use tool::{Hand, HolderSection, Tool, ToolKind};
