//! The files as they are written: one type for each file of the contract, derived for reading and for the schema.
//!
//! *Invariant*: nothing here is checked beyond its form; [`load`](super::load()) judges it. Every doc comment
//! becomes a description in the committed schema, so it speaks to whoever writes the file.

mod common;
mod drawing;
mod job;
mod machine;
mod tools;

pub(crate) use common::{AxisFile, BoxFile, CylinderFile, DirectionFile, InPlaceOr, Named, UnitFile};
pub(crate) use drawing::{
    BreakFile, CircleFile, DimensionFile, DimensionKindFile, DrawingFile, EdgeBreakFile, FeatureFile,
    HoleEndFile, HoleFile, OutlineFile, PrismFile, RectangleFile, SegmentFile, ShapeFile, SlotFile,
    ThreadFile, ToleranceFile, TurnFile,
};
pub(crate) use job::{
    JobFile, SetupFile, StockFile, ToolsPlaceFile, ViseAxisFile, ViseFile, WorkholdingFile,
};
pub(crate) use machine::{
    AllSwitchesFile, ArcCentersFile, AxesFile, BlockDeleteFile, ChangerFile, ChangerKindFile,
    CircleWithoutEndFile, CompensationOnArcFile, CompensationStartFile, CompensationWithoutDFile,
    ControlFile, CycleReturnFile, DwellWithoutPointFile, ExpressionsFile, HelixFeedFile, HomeMovesFile,
    InsideCornerFile, MachineFile, MotionCodesTogetherFile, MotionWithoutAxesFile, NumberWithoutPointFile,
    OffsetDataL20File, OutsideCornerFile, PeckRetractFile, RadiusRegisterFile, RapidPathFile,
    SpindleStopFile, SubprogramRepeatsFile, TravelFile, ZeroRepeatsFile,
};
pub(crate) use tools::{HandFile, HolderSectionFile, ToolFile, ToolKindFile, ToolsFile};
