//! From blocks to moves, as the machine would make them: modal state, work offsets, length offsets, canned cycles.
//!
//! The rules are those of NISTIR 6556 (modal groups: Table 4, order within a block: Table 8, cycles: 3.5.16) with shop
//! practice where [`Control`](crate::job::Control) says so.
//!
//! *Invariant*: a block that is not understood never leaves the state looking known: its fact is `unproven` and
//! the run says from which line on nothing is proved.

mod arc;
mod boring;
mod codes;
mod compensation;
mod compensation_arc;
mod contour;
mod cycle;
mod data;
mod doubt;
mod emit;
mod ending;
mod fact;
mod fact_place;
mod flat;
mod flow;
mod heed;
mod home;
mod interpret;
mod library;
mod macro_call;
mod modal_call;
mod modes;
mod motion_words;
mod moves;
mod near;
mod offsets;
mod overcut;
mod placing;
mod polar;
mod rapid;
mod spindle;
mod target;
mod variables;
mod words;

#[cfg(test)]
mod tests;

pub use doubt::Doubt;
pub use fact::Fact;
pub use interpret::interpret;
pub use moves::{
    Around, CallRange, Cycle, Event, Move, MoveKind, Place, Run, SetBy, SpindleTurn, ToolCall, UnsafeStart,
};
