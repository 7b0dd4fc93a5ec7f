use super::{AxisFile, BoxFile, CylinderFile, DirectionFile, UnitFile};
use schemars::JsonSchema;
use serde::Deserialize;

/// The print: what the finished part must be. Part frame; angles in degrees, lengths in the file's `units`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Drawing")]
pub(crate) struct DrawingFile {
    /// Where this schema is found; for editors, without meaning here.
    #[serde(rename = "$schema")]
    pub(crate) _schema: Option<String>,
    /// Unit of every length in this file. Required in a file of its own.
    pub(crate) units: Option<UnitFile>,
    /// Name of the part.
    pub(crate) name: String,
    /// Revision.
    pub(crate) revision: Option<String>,
    /// Tolerance where none is written. Without it each size must have its own.
    pub(crate) general_tolerance: Option<ToleranceFile>,
    /// How the edges that features list under `breaks` must be broken.
    pub(crate) break_edges: Option<EdgeBreakFile>,
    /// Features in order: each adds to, or takes from, what stands before it.
    pub(crate) features: Option<Vec<FeatureFile>>,
    /// Sizes to prove.
    pub(crate) dimensions: Option<Vec<DimensionFile>>,
    /// The finished part as an STL file in the part frame, in this file's units, for gouge and leftover.
    pub(crate) mesh: Option<String>,
}

/// Permitted deviation from the nominal size.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Tolerance")]
pub(crate) struct ToleranceFile {
    /// Upper deviation: the largest size is nominal + plus; file units.
    pub(crate) plus: f64,
    /// Lower deviation: the smallest size is nominal - minus; file units.
    pub(crate) minus: f64,
}

/// A broken edge.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "EdgeBreak")]
pub(crate) struct EdgeBreakFile {
    /// Leg of its chamfer; file units, greater than 0.
    pub(crate) leg: f64,
    /// Upper deviation of the leg; file units.
    pub(crate) plus: f64,
    /// Lower deviation of the leg; file units.
    pub(crate) minus: f64,
}

/// One feature of the print: exactly one of `add`, `cut` and `break`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Feature")]
pub(crate) struct FeatureFile {
    /// Its name on the print; unique among features.
    pub(crate) id: String,
    /// Puts this shape.
    pub(crate) add: Option<ShapeFile>,
    /// Takes this shape away.
    pub(crate) cut: Option<ShapeFile>,
    /// Breaks edges of an earlier feature.
    #[serde(rename = "break")]
    pub(crate) edge: Option<BreakFile>,
    /// Tolerance of the diameter of a hole or cylinder. Without it the diameter is judged by no tolerance.
    pub(crate) diameter: Option<ToleranceFile>,
    /// Tolerance of the depth of a blind hole. Without it the depth is judged by no tolerance.
    pub(crate) depth: Option<ToleranceFile>,
    /// Diameter of the tolerance zone of a hole's axis; file units, greater than 0. Without it position is not judged.
    pub(crate) position: Option<f64>,
    /// Thread, if the hole is tapped.
    pub(crate) thread: Option<ThreadFile>,
    /// Ends of a hole whose edges must be broken by the drawing's `break_edges`.
    pub(crate) breaks: Option<Vec<HoleEndFile>>,
}

/// A solid shape.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Shape")]
pub(crate) enum ShapeFile {
    /// A block.
    Box(BoxFile),
    /// A cylinder.
    Cylinder(CylinderFile),
    /// An outline drawn out along an axis.
    Prism(PrismFile),
    /// A hole.
    Hole(HoleFile),
}

/// An outline drawn out along an axis.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Prism")]
pub(crate) struct PrismFile {
    /// Direction of drawing out.
    pub(crate) along: AxisFile,
    /// Lower end along it; file units.
    pub(crate) from: f64,
    /// Upper end along it; file units, greater than `from`.
    pub(crate) to: f64,
    /// The outline in the two other axes, in alphabetical order.
    pub(crate) outline: OutlineFile,
}

/// A closed outline: `start` with `path`, or one of `rectangle`, `circle` and `slot`. Points are given in the two axes
/// of its plane, in alphabetical order; file units.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Outline")]
pub(crate) struct OutlineFile {
    /// Where the path starts and ends; file units.
    pub(crate) start: Option<[f64; 2]>,
    /// Lines and arcs in order; the last one ends at `start`.
    pub(crate) path: Option<Vec<SegmentFile>>,
    /// A rectangle.
    pub(crate) rectangle: Option<RectangleFile>,
    /// A circle.
    pub(crate) circle: Option<CircleFile>,
    /// A slot with round ends.
    pub(crate) slot: Option<SlotFile>,
}

/// A line, or an arc when it has a `center`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Segment")]
pub(crate) struct SegmentFile {
    /// Its end; file units.
    pub(crate) to: [f64; 2],
    /// Centre of the arc; file units.
    pub(crate) center: Option<[f64; 2]>,
    /// How the arc turns, seen with the first axis to the right and the second up.
    pub(crate) turn: Option<TurnFile>,
}

/// How an arc turns.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Turn")]
pub(crate) enum TurnFile {
    /// Clockwise.
    Cw,
    /// Counter-clockwise.
    Ccw,
}

/// A rectangle square to the axes.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Rectangle")]
pub(crate) struct RectangleFile {
    /// Lowest corner; file units.
    pub(crate) min: [f64; 2],
    /// Highest corner; file units.
    pub(crate) max: [f64; 2],
    /// Radius of its corners; file units. Without it they are sharp.
    pub(crate) corner_radius: Option<f64>,
}

/// A circle.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Circle")]
pub(crate) struct CircleFile {
    /// Its centre; file units.
    pub(crate) center: [f64; 2],
    /// Diameter; file units, greater than 0.
    pub(crate) diameter: f64,
}

/// A slot with round ends.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Slot")]
pub(crate) struct SlotFile {
    /// Centre of the round at one end; file units.
    pub(crate) from: [f64; 2],
    /// Centre of the round at the other end; file units.
    pub(crate) to: [f64; 2],
    /// Width, twice the radius of the rounds; file units, greater than 0.
    pub(crate) width: f64,
}

/// A hole: `through` or `depth`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Hole")]
pub(crate) struct HoleFile {
    /// Middle of its mouth x, y, z; file units.
    pub(crate) at: [f64; 3],
    /// Direction from the mouth into the material.
    pub(crate) into: DirectionFile,
    /// Diameter; file units, greater than 0.
    pub(crate) diameter: f64,
    /// Depth of the full diameter from the mouth; file units. For a blind hole.
    pub(crate) depth: Option<f64>,
    /// True for a hole through everything that stands before it.
    pub(crate) through: Option<bool>,
    /// Full angle of the point below a blind hole; degrees. Without it the bottom is flat.
    pub(crate) point_angle: Option<f64>,
    /// Counterbore at the mouth.
    pub(crate) counterbore: Option<CounterboreFile>,
    /// Countersink at the mouth.
    pub(crate) countersink: Option<CountersinkFile>,
}

/// A cylindrical recess at the mouth of a hole.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Counterbore")]
pub(crate) struct CounterboreFile {
    /// Diameter; file units, greater than the hole's.
    pub(crate) diameter: f64,
    /// Depth from the mouth; file units.
    pub(crate) depth: f64,
}

/// A conical recess at the mouth of a hole.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Countersink")]
pub(crate) struct CountersinkFile {
    /// Diameter at the mouth; file units, greater than the hole's.
    pub(crate) diameter: f64,
    /// Full angle of the cone; degrees.
    pub(crate) angle: f64,
}

/// A thread.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Thread")]
pub(crate) struct ThreadFile {
    /// Such as `1/4-20 UNC-2B`, `#10-24 UNC`, `M6` (coarse pitch) or `M8x1-6H`.
    pub(crate) designation: String,
    /// Depth of full thread from the mouth; file units. Without it the thread goes through; a blind hole needs it.
    pub(crate) depth: Option<f64>,
}

/// Which end of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "HoleEnd")]
pub(crate) enum HoleEndFile {
    /// Its mouth.
    Entry,
    /// Where a through hole leaves.
    Exit,
}

/// Broken edges: the edges that another feature has on one of its faces. What is left out is as in the drawing's
/// `break_edges`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Break")]
pub(crate) struct BreakFile {
    /// `id` of an earlier feature.
    pub(crate) of: String,
    /// Which of its faces: the outward direction.
    pub(crate) face: DirectionFile,
    /// Leg of the chamfer, measured on the face; file units, greater than 0.
    pub(crate) leg: Option<f64>,
    /// Upper deviation of the leg; file units.
    pub(crate) plus: Option<f64>,
    /// Lower deviation of the leg; file units.
    pub(crate) minus: Option<f64>,
    /// Angle between the chamfer and the face; degrees. Without it 45.
    pub(crate) angle: Option<f64>,
}

/// A size to prove.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Dimension")]
pub(crate) struct DimensionFile {
    /// Its name on the print; unique among dimensions.
    pub(crate) id: String,
    /// What is measured.
    pub(crate) kind: DimensionKindFile,
    /// Along which axis.
    pub(crate) along: AxisFile,
    /// A point of the material, of the air or of the line, x, y, z; file units. Not for `overall`.
    pub(crate) at: Option<[f64; 3]>,
    /// Nominal size; file units. Required but for `line`, which has none.
    pub(crate) nominal: Option<f64>,
    /// Upper deviation; file units. Without it that of `general_tolerance`.
    pub(crate) plus: Option<f64>,
    /// Lower deviation; file units. Without it that of `general_tolerance`.
    pub(crate) minus: Option<f64>,
}

/// What a size measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "DimensionKind")]
pub(crate) enum DimensionKindFile {
    /// Extent of the finished part.
    Overall,
    /// Two-point size (ISO 14405-1) of the material that contains `at`.
    Thickness,
    /// Two-point size of the air that contains `at`.
    Gap,
    /// Every material interval along the line through `at`; no nominal.
    Line,
}
