use super::UnitFile;
use schemars::JsonSchema;
use serde::Deserialize;

/// The machine tool.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Machine")]
pub(crate) struct MachineFile {
    /// Where this schema is found; for editors, without meaning here.
    #[serde(rename = "$schema")]
    pub(crate) _schema: Option<String>,
    /// Name.
    pub(crate) name: String,
    /// Unit of every length in this file. Required in a file of its own.
    pub(crate) units: Option<UnitFile>,
    /// Lowest and highest machine coordinate of each axis. Without it travel is reported as what is needed.
    pub(crate) travel: Option<TravelFile>,
    /// Rapid rate of each axis; file units per minute, greater than 0.
    pub(crate) rapid: AxesFile,
    /// Highest feed; file units per minute. Without it feeds are not limited.
    pub(crate) max_feed: Option<f64>,
    /// Acceleration of each axis; file units per second squared. Without it moves are timed at full rate.
    pub(crate) acceleration: Option<AxesFile>,
    /// Limits of the spindle. Without it speeds are not limited.
    pub(crate) spindle: Option<SpindleFile>,
    /// The tool changer.
    pub(crate) changer: ChangerFile,
    /// How the control reads programs. Each field has a default.
    pub(crate) control: Option<ControlFile>,
}

/// Lowest and highest machine coordinate of each axis; file units.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Travel")]
pub(crate) struct TravelFile {
    /// X: lowest, highest.
    pub(crate) x: [f64; 2],
    /// Y: lowest, highest.
    pub(crate) y: [f64; 2],
    /// Z: lowest, highest.
    pub(crate) z: [f64; 2],
}

/// A value for each axis.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Axes")]
pub(crate) struct AxesFile {
    /// X.
    pub(crate) x: f64,
    /// Y.
    pub(crate) y: f64,
    /// Z.
    pub(crate) z: f64,
}

/// Limits of the spindle.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Spindle")]
pub(crate) struct SpindleFile {
    /// Highest speed; revolutions per minute. Without it not limited.
    pub(crate) max_rpm: Option<f64>,
    /// Lowest speed; revolutions per minute. Without it not limited.
    pub(crate) min_rpm: Option<f64>,
    /// Power; kilowatts. Without it power is not judged.
    pub(crate) power_kw: Option<f64>,
}

/// The tool changer.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Changer")]
pub(crate) struct ChangerFile {
    /// How it works.
    pub(crate) kind: ChangerKindFile,
    /// Number of pockets. Required unless tools are changed by hand.
    pub(crate) pockets: Option<u32>,
    /// Seconds for one change. Without it changes are not timed.
    pub(crate) seconds: Option<f64>,
    /// Does a tool return to the pocket that it came from? Without it true for a carousel, else false.
    pub(crate) same_pocket_return: Option<bool>,
}

/// How tools get into the spindle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "ChangerKind")]
pub(crate) enum ChangerKindFile {
    /// A tool returns to the pocket it came from before the next is fetched.
    Carousel,
    /// An arm swaps two tools; the next one waits ready.
    Arm,
    /// By hand.
    ByHand,
}

/// How the control reads programs. Every field is optional.
#[derive(Clone, Debug, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Control")]
pub(crate) struct ControlFile {
    /// Meaning of a number without a decimal point. Default `units`.
    pub(crate) number_without_point: Option<NumberWithoutPointFile>,
    /// What I, J and K are counted from. Default `incremental`.
    pub(crate) arc_centers: Option<ArcCentersFile>,
    /// Largest difference between the radii at the start and the end of an arc; file units. Default 0.0005 in or 0.01 mm.
    pub(crate) arc_tolerance: Option<f64>,
    /// Distance above the last depth at which a peck changes from rapid to feed; file units. Default 0.010 in or 0.25 mm.
    pub(crate) peck_clearance: Option<f64>,
    /// Lift between the pecks of a chip-breaking cycle; file units. Default 0.010 in or 0.25 mm.
    pub(crate) chip_break_lift: Option<f64>,
    /// The way of a rapid move. Default: not known, both ways are checked.
    pub(crate) rapid_path: Option<RapidPathFile>,
    /// Which axes G28 and G30 send home. Default `named-axes`.
    pub(crate) home_moves: Option<HomeMovesFile>,
    /// When M5 and M9 on a motion block act. Default `after-motion`.
    pub(crate) spindle_stop: Option<SpindleStopFile>,
    /// What the feed of a helix is measured along. Default `along-path`.
    pub(crate) helix_feed: Option<HelixFeedFile>,
    /// What the radius registers hold when the job does not list them. Default `tool-radius`.
    pub(crate) radius_register: Option<RadiusRegisterFile>,
    /// The switch for block delete: `on` leaves out blocks that begin with `/`. Default: not stated, and a program
    /// that has such blocks is not proved.
    pub(crate) block_delete: Option<BlockDeleteFile>,
}

/// Meaning of a number without a decimal point.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "NumberWithoutPoint")]
pub(crate) enum NumberWithoutPointFile {
    /// X1 is one inch or one millimetre.
    Units,
    /// X1 is 0.0001 in or 0.001 mm.
    Increments,
}

/// What I, J and K are counted from.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "ArcCenters")]
pub(crate) enum ArcCentersFile {
    /// From the start of the arc.
    Incremental,
    /// From the program zero.
    Absolute,
}

/// The way of a rapid move.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "RapidPath")]
pub(crate) enum RapidPathFile {
    /// A straight line.
    Straight,
    /// Each axis at its own rapid rate; they arrive at different times.
    EachAxis,
}

/// Which axes G28 and G30 send home.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "HomeMoves")]
pub(crate) enum HomeMovesFile {
    /// Only the axes named in the block.
    NamedAxes,
    /// All axes.
    AllAxes,
}

/// When M5 and M9 on a motion block act.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "SpindleStop")]
pub(crate) enum SpindleStopFile {
    /// Before the motion.
    BeforeMotion,
    /// After the motion.
    AfterMotion,
}

/// What the feed of a helix is measured along.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "HelixFeed")]
pub(crate) enum HelixFeedFile {
    /// Along the helix.
    AlongPath,
    /// Along the circle alone.
    OnCircle,
}

/// What the radius registers hold when the job does not list them.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "RadiusRegister")]
pub(crate) enum RadiusRegisterFile {
    /// The tool's radius.
    ToolRadius,
    /// Wear only: 0.
    Wear,
}

/// The switch for block delete.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "BlockDelete")]
pub(crate) enum BlockDeleteFile {
    /// Blocks that begin with `/` are left out.
    On,
    /// Blocks that begin with `/` are run.
    Off,
}
