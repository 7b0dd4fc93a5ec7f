use super::{JobPlace, Mesh, RoundBar};
use crate::geom::{Axis, Box3, Direction, Vec2, Vec3};
use crate::units::Unit;
use std::sync::Arc;

/// The print: what the finished part must be. Part frame, millimetres.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Name of the part.
    pub name: String,
    /// Revision, if told.
    pub revision: Option<String>,
    /// Unit of the drawing file.
    pub unit: Unit,
    /// Tolerance where none is written.
    pub general_tolerance: Option<Tolerance>,
    /// "Break all edges" note: how features that list `breaks` must have their edges broken.
    pub break_edges: Option<EdgeBreak>,
    /// Features in order; each adds to or takes from what stands before it.
    pub features: Vec<Feature>,
    /// Sizes to prove.
    pub dimensions: Vec<Dimension>,
    /// The finished part as a mesh, for gouge and leftover.
    pub mesh: Option<Arc<Mesh>>,
}

/// Permitted deviation: `nominal - minus` to `nominal + plus`, both given as they stand on the print, not negative
/// unless the zone lies on one side of the nominal size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Upper deviation.
    pub plus: f64,
    /// Lower deviation, positive downwards.
    pub minus: f64,
}

/// A broken edge: the leg of its chamfer and the permitted deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgeBreak {
    /// Leg.
    pub leg: f64,
    /// Permitted deviation.
    pub tolerance: Tolerance,
}

/// One feature of the print.
#[derive(Clone, Debug)]
pub struct Feature {
    /// Its name on the print; unique.
    pub id: String,
    /// What it is.
    pub kind: FeatureKind,
    /// Tolerance of its diameter.
    pub diameter: Option<Tolerance>,
    /// Tolerance of its depth.
    pub depth: Option<Tolerance>,
    /// Diameter of its position tolerance zone.
    pub position: Option<f64>,
    /// Thread, if tapped.
    pub thread: Option<Thread>,
    /// Ends of a hole whose edges must be broken by [`Drawing::break_edges`].
    pub breaks: Vec<HoleEnd>,
    /// Where it stands in the drawing file.
    pub place: JobPlace,
}

/// What a feature does.
#[derive(Clone, Debug, PartialEq)]
pub enum FeatureKind {
    /// Puts material.
    Add(Shape),
    /// Takes material away.
    Cut(Shape),
    /// Breaks the edges that another feature has on one of its faces.
    Break {
        /// Index of that feature in [`Drawing::features`].
        of: usize,
        /// Which face: its outward direction.
        face: Direction,
        /// The chamfer: leg measured on the face.
        edge: EdgeBreak,
        /// Angle between the chamfer and the face, radians; 45 degrees unless told.
        angle: f64,
    },
}

/// A solid shape, part frame, millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A block square to the axes.
    Box(Box3),
    /// A cylinder along an axis.
    Cylinder(RoundBar),
    /// An outline drawn out along an axis.
    Prism {
        /// Direction of drawing out.
        along: Axis,
        /// Lower end along it.
        from: f64,
        /// Upper end along it.
        to: f64,
        /// The outline, in the two other axes in alphabetical order (x: y, z; y: x, z; z: x, y).
        outline: Outline,
    },
    /// A hole.
    Hole(Hole),
}

/// A closed outline of lines and arcs in a plane, seen with its first axis to the right and its second up.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// Where it starts and ends.
    pub start: Vec2,
    /// Its pieces in order; the last ends at `start`.
    pub segments: Vec<OutlineSegment>,
}

/// A piece of an outline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OutlineSegment {
    /// A straight line.
    Line {
        /// Its end.
        to: Vec2,
    },
    /// A circular arc.
    Arc {
        /// Its end.
        to: Vec2,
        /// Its centre.
        center: Vec2,
        /// True when it turns clockwise.
        clockwise: bool,
    },
}

/// A hole.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Middle of its mouth.
    pub at: Vec3,
    /// Direction from the mouth into the material.
    pub into: Direction,
    /// Diameter.
    pub diameter: f64,
    /// How it ends.
    pub bottom: HoleBottom,
    /// Counterbore: diameter and depth from the mouth.
    pub counterbore: Option<Bore>,
    /// Countersink: diameter at the mouth and full angle, radians.
    pub countersink: Option<(f64, f64)>,
}

/// How a hole ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HoleBottom {
    /// Through all that stands before it.
    Through,
    /// Blind; `depth` is that of the full diameter.
    Blind {
        /// Depth of the full diameter from the mouth.
        depth: f64,
        /// Full angle of the point below, radians; `None`: a flat bottom.
        point_angle: Option<f64>,
    },
}

/// A cylindrical recess: diameter and depth from the mouth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bore {
    /// Diameter.
    pub diameter: f64,
    /// Depth.
    pub depth: f64,
}

/// Which end of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoleEnd {
    /// Its mouth.
    Entry,
    /// Where a through hole leaves.
    Exit,
}

/// A thread, as it stands on the print.
#[derive(Clone, Debug, PartialEq)]
pub struct Thread {
    /// Designation such as `1/4-20 UNC-2B` or `M6x1-6H`.
    pub designation: String,
    /// Major diameter, from the designation.
    pub major_diameter: f64,
    /// Pitch, from the designation.
    pub pitch: f64,
    /// Limits of the minor diameter (lowest, highest), where the tables have the size.
    pub minor_limits: Option<(f64, f64)>,
    /// Depth of full thread from the mouth; `None`: through.
    pub depth: Option<f64>,
}

/// A size to prove.
#[derive(Clone, Debug)]
pub struct Dimension {
    /// Its name on the print; unique.
    pub id: String,
    /// What is measured.
    pub kind: DimensionKind,
    /// Along which axis.
    pub along: Axis,
    /// Nominal size; `None` for a line.
    pub nominal: Option<f64>,
    /// Permitted deviation; `None` for a line without.
    pub tolerance: Option<Tolerance>,
    /// Where it stands in the drawing file.
    pub place: JobPlace,
}

/// What a size measures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DimensionKind {
    /// Extent of the finished part.
    Overall,
    /// Two-point size (ISO 14405-1) of the material that contains the point.
    Thickness {
        /// The point.
        at: Vec3,
    },
    /// Two-point size of the air that contains the point.
    Gap {
        /// The point.
        at: Vec3,
    },
    /// Every material interval along a line through the point.
    Line {
        /// The point.
        at: Vec3,
    },
}
