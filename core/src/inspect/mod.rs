//! Judgement of the part: the finished stock against the drawing.
//!
//! *Invariant*: no measured value without its bound.

mod result;

pub use result::{
    BreakResult, BreakStatus, DimensionResult, DimensionValue, FeatureResult, FeatureStatus, FinalPart,
    Inspection, MadeBy, Measured, Quantity, Region, RegionKind, Verdict,
};
