//! From blocks to moves, as the machine would make them: modal state, work offsets, length offsets, canned cycles.
//!
//! *Invariant*: a block that is not understood never leaves the state looking known: its fact is `unproven` and
//! the run says from which line on nothing is proved.

mod moves;

pub use moves::{Cycle, Event, Move, MoveKind, Place, Run, SpindleTurn, ToolCall};

mod fact;
pub use fact::Fact;
