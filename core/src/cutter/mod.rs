//! Shapes of tools: a tool with its shank and holder as a stack of convex bodies about the spindle axis.
//!
//! *Invariant*: every [`Body`] is convex; together they hold at least the tool.

mod assembly;
mod body;
mod shape;
mod tool;

#[cfg(test)]
mod tests;

pub use assembly::{Assembly, Part, PartRole};
pub use body::Body;
pub(crate) use body::{half_chord, sagitta};
pub use tool::{Hand, HolderSection, Tool, ToolKind};
