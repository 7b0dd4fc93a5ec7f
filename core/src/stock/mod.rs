//! The stock: three grids of rays (along X, Y and Z of the part), each ray a set of material intervals with exact
//! ends in whole nanometres, each end knowing the cut that made it. See `README.md` beside this file.
//!
//! *Invariant*: intervals on a ray are disjoint and not empty; cutting never adds material.

mod above;
mod across;
mod band;
mod bites;
mod block;
mod cover;
mod error;
mod gather;
mod grid;
mod kept;
mod layout;
mod manner;
mod marks;
mod measure;
mod model;
mod nm;
mod op;
mod packet;
mod pieces;
mod places;
mod raymap;
mod room;
mod rows;
mod slopes;
mod spacing;
mod swept;
mod tally;
#[cfg(test)]
mod tests;
mod tiles;
mod told;
mod upright;
mod waiting;
mod work;

pub use error::StockError;
pub use kept::BlockName;
pub(crate) use kept::Kept;
pub use layout::{GridLayout, RayLine};
pub use manner::{Records, Vectors};
pub use measure::GridVolume;
pub use model::Stock;
pub(crate) use nm::{float, low_half, whole_in_low_half};
pub use op::{Bite, CutId, Interval, Op, OpMode, OpRecord};
pub use pieces::StockPiece;
pub(crate) use raymap::RayMap;
pub use rows::{Outermost, Row};
pub use swept::{Lanes, ManyRays, Masks, Swept};
pub(crate) use told::Met;
