use crate::geom::{Box3, Vec3};
use crate::job::{HoleEnd, Tolerance};

/// The finished part against its drawing. Part frame, millimetres and cubic millimetres.
#[derive(Clone, Debug, Default)]
pub struct Inspection {
    /// One per feature of the drawing, in its order.
    pub features: Vec<FeatureResult>,
    /// One per dimension of the drawing, in its order.
    pub dimensions: Vec<DimensionResult>,
    /// Where too much was taken or too much was left, largest first.
    pub regions: Vec<Region>,
    /// What else was noticed.
    pub facts: Vec<super::Fact>,
}

/// The finished stock as a whole; needs no drawing.
#[derive(Clone, Debug)]
pub struct FinalPart {
    /// Volume of what is left, mm3.
    pub volume: f64,
    /// Largest error of `volume`, mm3.
    pub volume_bound: f64,
    /// Smallest box that holds it.
    pub bounds: Box3,
    /// Separate pieces.
    pub pieces: usize,
    /// Volume taken that the drawing keeps, mm3; `None` without drawing.
    pub gouge_volume: Option<f64>,
    /// Volume left that the drawing does not have, mm3; `None` without drawing.
    pub leftover_volume: Option<f64>,
}

/// Judgement of a size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Inside its limits by more than the bound.
    Within,
    /// Outside its limits by more than the bound.
    Outside,
    /// A limit lies inside the bound.
    Undecided,
    /// There was nothing to measure.
    Missing,
}

/// A measured value, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Largest error that the model can have there.
    pub bound: f64,
}

/// Who made a surface: a tool in a setup and the program lines that left it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MadeBy {
    /// Index of the setup; `None`: the raw stock's own surface.
    pub setup: Option<usize>,
    /// Tool number, if a tool was in the spindle.
    pub tool: Option<u32>,
    /// 1-based program lines, ascending.
    pub lines: Vec<u32>,
}

/// Was a feature made?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FeatureStatus {
    /// As the drawing has it, as far as was measured.
    Made,
    /// There, but something about it is outside its limits.
    Outside,
    /// Cannot be said within the bound.
    Undecided,
    /// Not there.
    Missing,
}

/// What was found of a feature.
#[derive(Clone, Debug)]
pub struct FeatureResult {
    /// Index into the drawing's features.
    pub feature: usize,
    /// Was it made?
    pub status: FeatureStatus,
    /// Who made it.
    pub made_by: Vec<MadeBy>,
    /// What was measured of it.
    pub quantities: Vec<Quantity>,
    /// Broken edges that belong to it.
    pub breaks: Vec<BreakResult>,
}

/// A measured property of a feature, such as its diameter.
#[derive(Clone, Debug)]
pub struct Quantity {
    /// Name as in the result file: `diameter`, `depth`, `position`, `counterbore_diameter`, `counterbore_depth`,
    /// `countersink_diameter`, `thread_depth`, `minor_diameter`, `leg`.
    pub name: &'static str,
    /// What the drawing asks for.
    pub nominal: f64,
    /// Permitted deviation; `None`: none is written, the value is told without verdict.
    pub tolerance: Option<Tolerance>,
    /// The worst value found; `None` when missing.
    pub measured: Option<Measured>,
    /// Judgement; `None` without tolerance.
    pub verdict: Option<Verdict>,
    /// Where the worst value was found.
    pub at: Option<Vec3>,
    /// Who left the worst place; `None` when nothing was measured or the raw stock's own surface was.
    pub made_by: Option<MadeBy>,
}

/// Is an edge broken?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BreakStatus {
    /// Broken within its limits.
    Broken,
    /// Broken, but outside its limits.
    Outside,
    /// Cannot be said within the bound.
    Undecided,
    /// Sharp.
    Missing,
}

/// What was found of an edge that must be broken.
#[derive(Clone, Debug)]
pub struct BreakResult {
    /// Which end of a hole; `None` for a break feature.
    pub end: Option<HoleEnd>,
    /// Is it broken?
    pub status: BreakStatus,
    /// The worst leg found: least first, greatest second.
    pub leg: Option<(Measured, Measured)>,
    /// What the drawing asks for.
    pub nominal: f64,
    /// Permitted deviation.
    pub tolerance: Tolerance,
    /// Where the worst leg was found.
    pub at: Option<Vec3>,
    /// A place where it cannot be measured because the face or the wall beside it is not there; then it is
    /// [`BreakStatus::Outside`] at best.
    pub lost: Option<Vec3>,
    /// Who made it.
    pub made_by: Vec<MadeBy>,
}

/// A size of the drawing, measured.
#[derive(Clone, Debug)]
pub struct DimensionResult {
    /// Index into the drawing's dimensions.
    pub dimension: usize,
    /// What was found.
    pub value: DimensionValue,
    /// Judgement; `None` for a line.
    pub verdict: Option<Verdict>,
    /// Who made the surfaces measured.
    pub made_by: Vec<MadeBy>,
    /// Who left the end that lies further from where the drawing has it; `None` when that cannot be told.
    pub off: Option<MadeBy>,
    /// How far that end lies from there, millimetres.
    pub off_by: Option<f64>,
    /// Where the drawing has that end, or where it has the size when there is nothing to measure.
    pub off_at: Option<Vec3>,
}

/// The value of a dimension.
#[derive(Clone, Debug)]
pub enum DimensionValue {
    /// A size.
    Size(Measured),
    /// Every material interval along a line.
    Intervals(Vec<(f64, f64)>),
    /// Nothing there to measure.
    Nothing,
}

/// Too much taken or too much left.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RegionKind {
    /// Too much taken.
    Gouge,
    /// Too much left.
    Leftover,
}

/// A connected place where the finished stock differs from the drawing by more than is permitted.
#[derive(Clone, Debug)]
pub struct Region {
    /// Too much or too little.
    pub kind: RegionKind,
    /// Box around it, part frame.
    pub bounds: Box3,
    /// Deepest point, part frame.
    pub at: Vec3,
    /// Deviation there, normal to the drawing's surface, never less than the truth by more than `bound`.
    pub depth: Measured,
    /// Volume, mm3.
    pub volume: f64,
    /// For a gouge: the first cut that went too deep anywhere in it.
    pub made_by: Option<MadeBy>,
    /// For a gouge: who left the surface at the deepest place; often a later pass at the same depth.
    pub left_by: Option<MadeBy>,
    /// Nearest feature of the drawing, index.
    pub feature: Option<usize>,
}
