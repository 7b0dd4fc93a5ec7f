//! The stock: three grids of rays (along X, Y and Z of the part), each ray a set of material intervals with exact
//! ends in whole nanometres, each end knowing the cut that made it.
//!
//! *Invariant*: intervals on a ray are disjoint and not empty; cutting never adds material.

mod op;

pub use op::{Bite, CutId, Interval, Op, OpMode, OpRecord};
