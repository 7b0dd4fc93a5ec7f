use super::{
    AxisFile, BoxFile, CylinderFile, DirectionFile, DrawingFile, InPlaceOr, MachineFile, Named, ToolFile,
    ToolsFile, UnitFile,
};
use schemars::JsonSchema;
use serde::Deserialize;

/// A milling job: one piece of stock through all its setups.
///
/// The part frame has the axes of the drawing. The setup frame is the program's own: what X0 Y0 Z0 means at the
/// machine there. Every length is in the file's `units`.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Job")]
pub(crate) struct JobFile {
    /// Where this schema is found; for editors, without meaning here.
    #[serde(rename = "$schema")]
    pub(crate) _schema: Option<String>,
    /// Version of this file form: 1.
    pub(crate) proofcut: u32,
    /// Name of the job.
    pub(crate) name: String,
    /// Unit of every length in this file.
    pub(crate) units: UnitFile,
    /// The machine: a file name, or the machine in place.
    pub(crate) machine: InPlaceOr<MachineFile>,
    /// The tool table: a file name, or the table in place, or only its list of tools (in this file's units).
    pub(crate) tools: ToolsPlaceFile,
    /// The print: a file name, or the drawing in place. Without it everything that needs no drawing is still checked.
    pub(crate) drawing: Option<InPlaceOr<DrawingFile>>,
    /// Material in words.
    pub(crate) material: Option<String>,
    /// The raw stock, part frame.
    pub(crate) stock: StockFile,
    /// Distance between neighbouring rays of the stock model; file units, greater than 0. Without it one that fits in
    /// memory is chosen and said.
    pub(crate) spacing: Option<f64>,
    /// Distance to workholding under which a pass is reported as a near miss; file units, 0 or more. Without it
    /// 0.5 mm or 0.020 in.
    pub(crate) clearance: Option<f64>,
    /// What is entered at the machine. Without it each length register is right for the tool of its number, and each
    /// radius register holds what `control.radius_register` of the machine says.
    pub(crate) registers: Option<RegistersFile>,
    /// The setups in order; at least one. Each starts with the stock that the one before left.
    pub(crate) setups: Vec<SetupFile>,
}

/// The tool table.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "ToolsPlace")]
pub(crate) enum ToolsPlaceFile {
    /// Name of a file, relative to this one.
    File(String),
    /// The tools in place, in this file's units.
    List(Vec<ToolFile>),
    /// The table in place. Its `units` may be left out: they are then those of this file.
    Table(Box<ToolsFile>),
}

/// The raw stock, part frame.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Stock")]
pub(crate) enum StockFile {
    /// A bar or plate.
    Box(BoxFile),
    /// A round.
    Cylinder(CylinderFile),
    /// Any closed shape, from an STL file.
    Mesh(StockMeshFile),
}

/// Raw stock from an STL file in the part frame, in the units of this file.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "StockMesh")]
pub(crate) struct StockMeshFile {
    /// Name of the STL file (text or binary), relative to this one.
    pub(crate) file: String,
}

/// What is entered at the machine, by register number; file units.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Registers")]
pub(crate) struct RegistersFile {
    /// Length registers (H).
    pub(crate) length: Option<Named<f64>>,
    /// Radius registers (D).
    pub(crate) radius: Option<Named<f64>>,
}

/// One clamping of the part and the program that is run in it.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Setup")]
pub(crate) struct SetupFile {
    /// Name.
    pub(crate) name: String,
    /// Name of the posted program's file, relative to this one.
    pub(crate) program: String,
    /// Names of files with subprograms (M98, G65) that the program calls, relative to this one. A file beside the
    /// program that is named like the number called (`O1234.nc` for `M98 P1234`) need not be listed.
    pub(crate) subprograms: Option<Vec<String>>,
    /// The part direction that points along the spindle away from the table: +Z of the setup.
    pub(crate) up: DirectionFile,
    /// The part direction along +X of the setup. +Y follows by the right-hand rule.
    pub(crate) right: DirectionFile,
    /// For each work offset that the program may use (`G54` to `G59`, `G59.1` to `G59.3`, `G54.1 P1` and so on): the point of the part frame
    /// at which it has its zero, x, y, z; file units. The first one listed is the origin of the setup frame.
    pub(crate) zeros: Named<[f64; 3]>,
    /// Where those zeros lie in machine coordinates, x, y, z; file units. For travel checks and for G28, G30 and G53.
    /// Without it homing moves are taken to go clear of everything, straight up first.
    pub(crate) machine_zeros: Option<Named<[f64; 3]>>,
    /// Everything that holds the part, in the setup frame; `[]` when there is nothing that a tool could meet.
    pub(crate) workholding: Vec<WorkholdingFile>,
}

/// Something that holds the part, in the setup frame of the first zero listed.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Workholding")]
pub(crate) enum WorkholdingFile {
    /// A vise. Its jaws close on the stock as it is when the setup begins.
    Vise(ViseFile),
    /// A block.
    Box(HeldBoxFile),
    /// A cylinder.
    Cylinder(HeldCylinderFile),
    /// Any closed shape, from an STL file.
    Mesh(HeldMeshFile),
}

/// A block of the workholding, square to the axes.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "NamedBox")]
pub(crate) struct HeldBoxFile {
    /// Name for reports.
    pub(crate) name: String,
    /// Lowest corner x, y, z; file units.
    pub(crate) min: [f64; 3],
    /// Highest corner x, y, z; file units. Each must be greater than the lowest.
    pub(crate) max: [f64; 3],
}

/// A cylinder of the workholding, parallel to an axis.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "NamedCylinder")]
pub(crate) struct HeldCylinderFile {
    /// Name for reports.
    pub(crate) name: String,
    /// Direction of its axis.
    pub(crate) axis: AxisFile,
    /// A point on its axis x, y, z; file units. The component along the axis has no meaning.
    pub(crate) center: [f64; 3],
    /// Diameter; file units, greater than 0.
    pub(crate) diameter: f64,
    /// Lower end along the axis; file units.
    pub(crate) from: f64,
    /// Upper end along the axis; file units, greater than `from`.
    pub(crate) to: f64,
}

/// A closed mesh of the workholding from an STL file, in the units of this file.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "NamedMesh")]
pub(crate) struct HeldMeshFile {
    /// Name for reports.
    pub(crate) name: String,
    /// Name of the STL file (text or binary), relative to this one.
    pub(crate) file: String,
    /// Where the mesh's own origin stands in the setup frame, x, y, z; file units. Without it 0, 0, 0.
    pub(crate) at: Option<[f64; 3]>,
}

/// A vise.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Vise")]
pub(crate) struct ViseFile {
    /// Axis of the setup along which the jaws close.
    pub(crate) closes_along: ViseAxisFile,
    /// On which side the fixed jaw stands, setup frame.
    pub(crate) fixed_jaw: DirectionFile,
    /// How far the stock's lowest face sits below the jaw tops; file units, greater than 0.
    pub(crate) grip: f64,
    /// Width of the jaws across the closing direction; file units.
    pub(crate) jaw_width: f64,
    /// From the vise bed to the jaw tops; file units.
    pub(crate) jaw_height: f64,
    /// Thickness of each jaw along the closing direction; file units.
    pub(crate) jaw_thickness: f64,
    /// Where the jaws' middle stands along their width, setup frame; file units.
    pub(crate) jaw_center: f64,
    /// Widest opening between the jaws; file units. Without it any opening is taken as possible.
    pub(crate) max_opening: Option<f64>,
    /// Parallels on the vise bed against each jaw, their tops under the stock. Without it there are none.
    pub(crate) parallels: Option<ParallelsFile>,
}

/// A pair of parallels.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Parallels")]
pub(crate) struct ParallelsFile {
    /// Thickness of each; file units.
    pub(crate) thickness: f64,
}

/// The axis of the setup along which a vise closes.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "ViseAxis")]
pub(crate) enum ViseAxisFile {
    /// X of the setup.
    X,
    /// Y of the setup.
    Y,
}
