use super::UnitFile;
use schemars::JsonSchema;
use serde::Deserialize;

/// The tool table. Angles are in degrees, lengths in the file's `units`, heights from the tip upwards.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Tools")]
pub(crate) struct ToolsFile {
    /// Where this schema is found; for editors, without meaning here.
    #[serde(rename = "$schema")]
    pub(crate) _schema: Option<String>,
    /// Unit of every length in this file. Required in a file of its own.
    pub(crate) units: Option<UnitFile>,
    /// The tools.
    pub(crate) tools: Vec<ToolFile>,
}

/// A tool with its holder. Which fields a tool needs beyond the common ones depends on its `kind`; one that does not
/// belong to the kind is a mistake.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Tool")]
pub(crate) struct ToolFile {
    /// Tool number, T; 1 or more, unique in the table.
    pub(crate) number: u32,
    /// Name in the shop's words. Without it the kind.
    pub(crate) name: Option<String>,
    /// Kind of tool.
    pub(crate) kind: ToolKindFile,
    /// Cutting diameter (largest); file units, greater than 0.
    pub(crate) diameter: f64,
    /// Number of flutes or inserts. Without it chip loads are not judged.
    pub(crate) flutes: Option<u32>,
    /// Length that can cut, from the tip; file units.
    pub(crate) flute_length: f64,
    /// Diameter of the shank; file units.
    pub(crate) shank_diameter: f64,
    /// Tip to holder nose; file units, at least `flute_length`.
    pub(crate) stickout: f64,
    /// Tip to spindle gauge line; file units. Without it length registers cannot be judged against the tool.
    pub(crate) gauge_length: Option<f64>,
    /// The holder from the nose upwards. Without it nothing above the stickout is checked.
    pub(crate) holder: Option<Vec<HolderSectionFile>>,
    /// Length register, H. Without it `number`.
    pub(crate) length_offset: Option<u32>,
    /// Radius register, D. Without it `number`.
    pub(crate) radius_offset: Option<u32>,
    /// Can it cut at its centre, so that it may plunge? Without it true for an end, bull, ball or taper mill and for
    /// drills, false for every other kind.
    pub(crate) center_cutting: Option<bool>,
    /// Direction of rotation that cuts. Without it `right`.
    pub(crate) hand: Option<HandFile>,
    /// Bull mill: corner radius; file units.
    pub(crate) corner_radius: Option<f64>,
    /// Face mill with a lead, taper mill, chamfer mill: diameter at the tip; file units.
    pub(crate) tip_diameter: Option<f64>,
    /// Face mill with a lead: angle between the insert's edge and the spindle axis; degrees.
    pub(crate) lead_angle: Option<f64>,
    /// Taper mill: angle of each side to the spindle axis; degrees.
    pub(crate) side_angle: Option<f64>,
    /// Chamfer mill: full angle of the cone; degrees.
    pub(crate) included_angle: Option<f64>,
    /// Drill, spot drill: full angle of the point. Center drill: full angle of the cone. Degrees.
    pub(crate) point_angle: Option<f64>,
    /// Center drill: diameter of the pilot; file units.
    pub(crate) pilot_diameter: Option<f64>,
    /// Center drill: length of the pilot; file units.
    pub(crate) pilot_length: Option<f64>,
    /// Tap: travel in one turn; file units. Instead of `threads_per_inch`.
    pub(crate) pitch: Option<f64>,
    /// Tap: turns in one inch. Instead of `pitch`.
    pub(crate) threads_per_inch: Option<f64>,
    /// Tap: turns at the tip that are ground down and cut no full thread (a bottoming tap has 1 to 2, a plug tap 3 to 5, a
    /// taper tap 7 to 10). Without it a thread's depth is proved only where every tap would reach it.
    pub(crate) chamfer_threads: Option<f64>,
    /// Slot cutter: thickness of the disc; file units.
    pub(crate) thickness: Option<f64>,
    /// Slot cutter: diameter of the neck above the disc; file units.
    pub(crate) neck_diameter: Option<f64>,
}

/// Kind of tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "ToolKind")]
pub(crate) enum ToolKindFile {
    /// Flat end mill.
    EndMill,
    /// End mill with a corner radius: add `corner_radius`.
    BullMill,
    /// Ball end mill.
    BallMill,
    /// Face mill: add `tip_diameter` and `lead_angle` for inserts with a lead.
    FaceMill,
    /// Tapered end mill: add `tip_diameter` and `side_angle`.
    TaperMill,
    /// Boring bar: cuts at its diameter only.
    BoringBar,
    /// Chamfer mill: add `tip_diameter` and `included_angle`.
    ChamferMill,
    /// Twist drill: add `point_angle`.
    Drill,
    /// Spot drill: add `point_angle`.
    SpotDrill,
    /// Center drill: add `point_angle`, `pilot_diameter` and `pilot_length`.
    CenterDrill,
    /// Reamer.
    Reamer,
    /// Tap: add `pitch` or `threads_per_inch`.
    Tap,
    /// Counterbore.
    Counterbore,
    /// Slot cutter (undercut): add `thickness` and `neck_diameter`.
    SlotCutter,
}

/// Direction of rotation that cuts.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Hand")]
pub(crate) enum HandFile {
    /// Clockwise seen from the spindle, M3.
    Right,
    /// Counter-clockwise seen from the spindle, M4.
    Left,
}

/// A piece of the holder.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "HolderSection")]
pub(crate) struct HolderSectionFile {
    /// Diameter at its lower end; file units.
    pub(crate) diameter: f64,
    /// Diameter at its upper end; file units. Without it as at the lower end.
    pub(crate) top_diameter: Option<f64>,
    /// Length along the axis; file units.
    pub(crate) length: f64,
}
