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
    /// The switches for block delete: `on` leaves out all blocks that begin with `/`, `off` none, a list such as
    /// `[1, 3]` those of these switches (1 to 9; a plain `/` is of switch 1). Default: not stated, and a program that
    /// has such blocks is not proved.
    pub(crate) block_delete: Option<BlockDeleteFile>,
    /// How the tool goes round an outside corner under cutter compensation. Default `arc`.
    pub(crate) outside_corner: Option<OutsideCornerFile>,
    /// What an inside corner does under cutter compensation. Default `intersection`.
    pub(crate) inside_corner: Option<InsideCornerFile>,
    /// Where the move that turns cutter compensation on ends. Default `square-to-next`.
    pub(crate) compensation_start: Option<CompensationStartFile>,
    /// What G41 or G42 does when no D was written since the tool change. Default `refused`.
    pub(crate) compensation_without_d: Option<CompensationWithoutDFile>,
    /// Blocks without movement in the plane that the control can look across under cutter compensation. Default 1.
    pub(crate) compensation_blocks_ahead: Option<u32>,
    /// How FIX, FUP, ATAN, AND, OR and XOR are worked out where the report and shop controls differ. Default: not
    /// known, and an expression that comes out differently is not proved.
    pub(crate) expressions: Option<ExpressionsFile>,
    /// How many subprograms may call one another. Default 4.
    pub(crate) subprogram_depth: Option<u32>,
    /// How M98 tells the number of calls. Default: not known; a P that can be read both ways is not proved.
    pub(crate) subprogram_repeats: Option<SubprogramRepeatsFile>,
    /// What 1 without a decimal point means in the P of G51, as a factor; greater than 0. Default 0.001.
    pub(crate) scale_increment: Option<f64>,
    /// How many M codes a block may hold. Default 4.
    pub(crate) m_codes_per_block: Option<u32>,
    /// What a dwell (P in G4 and in canned cycles) counts when it has no decimal point. Default `seconds`, or
    /// `milliseconds` where `number_without_point` is `increments`; without either such a dwell is a warning.
    pub(crate) dwell_without_point: Option<DwellWithoutPointFile>,
    /// Where G98 takes a canned cycle back to, if that is above R. Default `initial-level`.
    pub(crate) cycle_return: Option<CycleReturnFile>,
    /// Where G83 draws back to between pecks. Default `r-level`.
    pub(crate) peck_retract: Option<PeckRetractFile>,
    /// What L0 or K0 does in a canned cycle. Default `store`.
    pub(crate) zero_repeats: Option<ZeroRepeatsFile>,
    /// What G10 L20 sets. Default: not known, and a program that has it is not proved.
    pub(crate) offset_data_l20: Option<OffsetDataL20File>,
    /// Most characters of a line, comments aside; what stands beyond may be cut off, and is not proved. Default 256.
    pub(crate) line_length: Option<u32>,
    /// What G0, G1, G2 or G3 does in a block without axis words. Default `sets-mode`.
    pub(crate) motion_without_axes: Option<MotionWithoutAxesFile>,
    /// What G80 beside G0 to G3, and G0 beside G28 or G30, does in one block. Default `accepted`.
    pub(crate) motion_codes_together: Option<MotionCodesTogetherFile>,
    /// What an arc with a center and without an end in its plane is. Default `full-circle`.
    pub(crate) circle_without_end: Option<CircleWithoutEndFile>,
    /// What an arc does that turns cutter compensation on, or off. Default `refused`.
    pub(crate) compensation_on_arc: Option<CompensationOnArcFile>,
}

/// What a motion code does in a block without axis words.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "MotionWithoutAxes")]
pub(crate) enum MotionWithoutAxesFile {
    /// It is in force from there; nothing moves.
    SetsMode,
    /// It is a mistake.
    Refused,
}

/// What two codes of the motion group do in one block.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "MotionCodesTogether")]
pub(crate) enum MotionCodesTogetherFile {
    /// G80 ends the cycle and the other code is in force; G28 and G30 move, and G0 is in force.
    Accepted,
    /// It is a mistake.
    Refused,
}

/// What an arc without an end is.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "CircleWithoutEnd")]
pub(crate) enum CircleWithoutEndFile {
    /// A full circle, or a full turn of a helix.
    FullCircle,
    /// It is a mistake.
    Refused,
}

/// What an arc does that turns cutter compensation on or off.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "CompensationOnArc")]
pub(crate) enum CompensationOnArcFile {
    /// It is a mistake.
    Refused,
    /// On: the tool goes about the programmed center to beside the programmed end. Off: an arc from where the tool's
    /// center stands, I and J counted from there.
    Followed,
}

/// What a dwell without a decimal point counts.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "DwellWithoutPoint")]
pub(crate) enum DwellWithoutPointFile {
    /// P500 is 500 seconds.
    Seconds,
    /// P500 is half a second.
    Milliseconds,
}

/// Where G98 takes a canned cycle back to.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "CycleReturn")]
pub(crate) enum CycleReturnFile {
    /// The height at which the cycles began.
    InitialLevel,
    /// The height before the block.
    LevelBeforeBlock,
}

/// Where G83 draws back to between pecks.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "PeckRetract")]
pub(crate) enum PeckRetractFile {
    /// R.
    RLevel,
    /// The height that the cycle ends at: R under G99, the height of `cycle_return` under G98.
    ClearLevel,
}

/// What L0 or K0 does in a canned cycle.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "ZeroRepeats")]
pub(crate) enum ZeroRepeatsFile {
    /// The words are stored for the blocks that follow; nothing is drilled.
    Store,
    /// It is a mistake.
    Refused,
}

/// What G10 L20 sets.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "OffsetDataL20")]
pub(crate) enum OffsetDataL20File {
    /// The zero of the extended offset G54.1 P, in machine coordinates.
    ExtendedOffsets,
    /// The zero of offset P (1 to 9) such that the present point gets the numbers given.
    PresentPoint,
}

/// How the tool goes round an outside corner under cutter compensation.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "OutsideCorner")]
pub(crate) enum OutsideCornerFile {
    /// On an arc about the corner.
    Arc,
    /// On straight lines: up to where the two offset paths meet; round a sharp corner with a line across.
    Line,
}

/// What an inside corner does under cutter compensation.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "InsideCorner")]
pub(crate) enum InsideCornerFile {
    /// The tool turns where the two offset paths cross.
    Intersection,
    /// The control stops with an alarm.
    Refused,
}

/// Where the move that turns cutter compensation on ends.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "CompensationStart")]
pub(crate) enum CompensationStartFile {
    /// Beside the programmed point, square to the start of the next move.
    SquareToNext,
    /// Where a line from the present place touches the tool's circle about the programmed point.
    Touching,
}

/// What G41 or G42 does when no D was written since the tool change.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "CompensationWithoutD")]
pub(crate) enum CompensationWithoutDFile {
    /// It is a mistake.
    Refused,
    /// The tool's own radius register is taken.
    OwnRegister,
}

/// How expressions are worked out.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "Expressions")]
pub(crate) enum ExpressionsFile {
    /// FIX goes down and FUP up, ATAN is between -180 and 180 degrees, AND OR XOR ask for zero or not zero.
    Report,
    /// FIX goes towards zero and FUP away from it, ATAN is between 0 and 360 degrees, AND OR XOR join bits.
    Shop,
}

/// How M98 tells the number of calls.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "SubprogramRepeats")]
pub(crate) enum SubprogramRepeatsFile {
    /// With L: M98 P1234 L3.
    LWord,
    /// Before the last four digits of P: M98 P31234.
    InP,
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

/// The switches for block delete.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(untagged)]
#[schemars(rename = "BlockDelete")]
pub(crate) enum BlockDeleteFile {
    /// All of them at once.
    All(AllSwitchesFile),
    /// The numbers of those that are on, 1 to 9.
    These(Vec<u8>),
}

/// All switches for block delete.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[schemars(rename = "AllSwitches")]
pub(crate) enum AllSwitchesFile {
    /// Blocks that begin with `/` are left out.
    On,
    /// Blocks that begin with `/` are run.
    Off,
}
