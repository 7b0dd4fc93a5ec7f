//! What the shop hands us: job, machine, tools, drawing, setups, workholding, as plain validated data.
//!
//! [`load()`] reads the files of the contract, turns every length into millimetres and every
//! mistake into a [`Diagnostic`](crate::source::Diagnostic) with its place.
//!
//! *Invariant*: a [`Job`] that exists is consistent: positive sizes, known references, right units. What
//! depends on the stock as cut (can the vise close?) is judged later.

mod drawing;
mod file;
pub mod kinds;
mod load;
mod machine;
mod memory_files;
mod schema;
mod setup;
mod text;
mod thread;

pub use crate::cutter::{Hand, HolderSection, Tool, ToolKind};
pub use drawing::{
    Bore, Dimension, DimensionKind, Drawing, EdgeBreak, Feature, FeatureKind, Hole, HoleBottom, HoleEnd,
    Outline, OutlineSegment, Shape, Thread, Tolerance,
};
pub use load::{Loaded, load};
pub use machine::{
    Allowance, ArcCenters, Changer, ChangerKind, CompensationRules, CompensationStart, Control, CycleReturn,
    DeleteSwitches, DwellWithoutPoint, HelixFeed, HomeMoves, InsideCorner, Machine, NumberWithoutPoint,
    OffsetDataL20, OutsideCorner, PeckRetract, RadiusRegister, RapidPath, Spindle, SpindleStop,
    SubprogramRepeats,
};
pub use memory_files::MemoryFiles;
pub use schema::schemas;
pub use setup::{Registers, Setup, Solid, Vise, WorkOffset, Workholding};

use crate::geom::{Axis, Box3, Vec3};
use crate::source::{SourceText, Span};
use crate::units::Unit;
use std::sync::Arc;

/// Reads files for the loader; the command line and tests each bring their own.
pub trait Files {
    /// The bytes of a file. [`load()`] asks for the job by the path that it was given, and for every other file by its
    /// name as written, put behind the folder of the file that names it (`parts/job.json` and `mill.json` give
    /// `parts/mill.json`).
    ///
    /// # Errors
    /// A sentence for the user that says why the file cannot be read.
    fn read(&self, path: &str) -> Result<Vec<u8>, String>;
}

/// Where in a job file something was written, for diagnostics.
#[derive(Clone, Debug, PartialEq)]
pub struct JobPlace {
    /// The file.
    pub source: SourceText,
    /// The piece of it.
    pub span: Span,
}

/// A whole job: one piece of stock through all its setups.
#[derive(Clone, Debug)]
pub struct Job {
    /// Name of the job.
    pub name: String,
    /// Unit of the job file; results are written in it.
    pub unit: Unit,
    /// Material in words, if told.
    pub material: Option<String>,
    /// The machine.
    pub machine: Machine,
    /// Tools in the order of the table; numbers are unique.
    pub tools: Vec<Tool>,
    /// The print; `None`: everything that needs no drawing is still checked.
    pub drawing: Option<Drawing>,
    /// The raw stock, part frame.
    pub stock: RawStock,
    /// Distance between neighbouring rays, millimetres; `None`: chosen to fit in memory.
    pub spacing: Option<f64>,
    /// Distance to workholding under which a pass is reported as a near miss, millimetres.
    pub clearance: f64,
    /// What is entered at the machine; `None`: each register is right for the tool of its number.
    pub registers: Option<Registers>,
    /// Setups in order; at least one.
    pub setups: Vec<Setup>,
    /// Whole job file, for diagnostics that have no better place.
    pub place: JobPlace,
}

impl Job {
    /// The tool of a number.
    pub fn tool(&self, number: u32) -> Option<&Tool> {
        self.tools.iter().find(|t| t.number == number)
    }
}

/// The raw stock, part frame, millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum RawStock {
    /// A bar or plate.
    Box(Box3),
    /// A round.
    Cylinder(RoundBar),
    /// Any shape, from a mesh file.
    Mesh(Arc<Mesh>),
}

/// A cylinder parallel to an axis, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoundBar {
    /// Direction of its axis.
    pub axis: Axis,
    /// A point on its axis (the component along the axis is of no meaning).
    pub center: Vec3,
    /// Radius.
    pub radius: f64,
    /// Lower end along the axis.
    pub from: f64,
    /// Upper end along the axis.
    pub to: f64,
}

/// A closed triangle mesh, millimetres, in the frame of its owner.
#[derive(Clone, Debug, PartialEq)]
pub struct Mesh {
    /// Corner points.
    pub vertices: Vec<Vec3>,
    /// Corners of each triangle, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Smallest box that holds the mesh.
    pub fn bounds(&self) -> Box3 {
        self.vertices.iter().fold(Box3::empty(), |b, v| b.with(*v))
    }
}
