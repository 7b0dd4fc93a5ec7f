use super::{JobPlace, Mesh, RoundBar};
use crate::geom::{Axis, Box3, Frame, Vec3};
use crate::source::SourceText;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One clamping of the part and the program that is run in it.
#[derive(Clone, Debug)]
pub struct Setup {
    /// Name.
    pub name: String,
    /// The posted program.
    pub program: SourceText,
    /// Files with subprograms that it may call: those that the job names, then those found beside the program.
    pub subprograms: Vec<SourceText>,
    /// The setup frame: axes as clamped, origin at the first zero listed.
    pub frame: Frame,
    /// Program zeros in the order of the file: work offset and its zero in the part frame, millimetres.
    pub zeros: Vec<(WorkOffset, Vec3)>,
    /// Where those zeros lie in machine coordinates, millimetres; may be empty.
    pub machine_zeros: Vec<(WorkOffset, Vec3)>,
    /// What holds the part, in the setup frame.
    pub workholding: Vec<Workholding>,
    /// Where the setup stands in the job file.
    pub place: JobPlace,
}

impl Setup {
    /// Zero of a work offset in the setup frame (the first listed one is the origin); `None` if not listed.
    pub fn zero_in_setup(&self, offset: WorkOffset) -> Option<Vec3> {
        let (_, zero) = self.zeros.iter().find(|(o, _)| *o == offset)?;
        Some(self.frame.setup_from_part(zero))
    }
}

/// A work offset: 1 is G54, 6 is G59, 7 to 9 are G59.1 to G59.3; 100 + n is G54.1 Pn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WorkOffset(pub u16);

impl WorkOffset {
    /// Number before that of G54.1 P1.
    const EXTENDED: u16 = 100;
    /// Highest P of G54.1 that any control has.
    pub(crate) const MOST_EXTENDED: u16 = 300;

    /// G54.1 Pn; `None` for a number that no control has.
    pub fn extended(n: u16) -> Option<Self> {
        (1..=Self::MOST_EXTENDED).contains(&n).then_some(Self(Self::EXTENDED + n))
    }

    /// Reads `G54` to `G59`, `G59.1` to `G59.3` and `G54.1 P1` to `G54.1 P300`.
    pub fn parse(text: &str) -> Option<Self> {
        match text {
            "G54" => Some(Self(1)),
            "G55" => Some(Self(2)),
            "G56" => Some(Self(3)),
            "G57" => Some(Self(4)),
            "G58" => Some(Self(5)),
            "G59" => Some(Self(6)),
            "G59.1" => Some(Self(7)),
            "G59.2" => Some(Self(8)),
            "G59.3" => Some(Self(9)),
            _ => Self::extended(text.strip_prefix("G54.1")?.trim_start().strip_prefix('P')?.parse().ok()?),
        }
    }
}

impl std::fmt::Display for WorkOffset {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.0 {
            n @ 1..=6 => write!(f, "G{}", 53 + n),
            n if n > Self::EXTENDED => write!(f, "G54.1 P{}", n - Self::EXTENDED),
            n => write!(f, "G59.{}", n - 6),
        }
    }
}

/// What is entered at the machine, millimetres, by register number.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Registers {
    /// Length registers (H).
    pub length: BTreeMap<u32, f64>,
    /// Radius registers (D).
    pub radius: BTreeMap<u32, f64>,
}

/// Something that holds the part.
#[derive(Clone, Debug)]
pub enum Workholding {
    /// A vise; its jaws close on the stock as it is when the setup begins.
    Vise(Vise),
    /// A solid that stands where it is told.
    Solid {
        /// Name for reports.
        name: String,
        /// The solid, setup frame.
        solid: Solid,
        /// Where it stands in the job file.
        place: JobPlace,
    },
}

/// A vise. Lengths in millimetres, setup frame.
#[derive(Clone, Debug)]
pub struct Vise {
    /// X or Y: the direction in which the jaws close.
    pub closes_along: Axis,
    /// True when the fixed jaw stands on the positive side.
    pub fixed_jaw_positive: bool,
    /// How far the stock's lowest face sits below the jaw tops.
    pub grip: f64,
    /// Width of the jaws, across the closing direction.
    pub jaw_width: f64,
    /// From the vise bed to the jaw tops.
    pub jaw_height: f64,
    /// Thickness of each jaw along the closing direction.
    pub jaw_thickness: f64,
    /// Where the jaws' middle stands along their width.
    pub jaw_center: f64,
    /// Widest opening, if told.
    pub max_opening: Option<f64>,
    /// Thickness of each parallel; `None`: no parallels.
    pub parallels: Option<f64>,
    /// Where it stands in the job file.
    pub place: JobPlace,
}

/// A solid of the workholding, setup frame, millimetres.
#[derive(Clone, Debug)]
pub enum Solid {
    /// A block square to the axes.
    Box(Box3),
    /// A cylinder along an axis.
    Cylinder(RoundBar),
    /// Any closed mesh.
    Mesh(Arc<Mesh>),
}
