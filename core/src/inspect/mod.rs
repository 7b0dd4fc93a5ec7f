//! Judgement of the part: the finished stock against the drawing.
//!
//! *Invariant*: no measured value without its bound.

mod bench;
mod breaks;
mod differences;
mod extent;
mod fact;
mod features;
mod finished;
mod gaps;
mod holes;
mod judge;
mod makers;
mod permitted;
mod regions;
mod result;
mod round_wall;
mod run;
mod sizes;
#[cfg(test)]
mod synthetic;
#[cfg(test)]
mod tests;
mod thread;

pub use fact::Fact;
pub use finished::{CutStock, Finished};
pub use result::{
    BreakResult, BreakStatus, DimensionResult, DimensionValue, FeatureResult, FeatureStatus, FinalPart,
    Inspection, MadeBy, Measured, Quantity, Region, RegionKind, Verdict,
};
pub use run::{final_part, inspect};
