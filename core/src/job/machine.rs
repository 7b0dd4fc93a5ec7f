use crate::geom::Vec3;
use crate::units::Unit;

/// The machine tool. Lengths in millimetres, times in seconds unless said.
#[derive(Clone, Debug)]
pub struct Machine {
    /// Name.
    pub name: String,
    /// Unit of the machine file.
    pub unit: Unit,
    /// Lowest and highest machine coordinate of each axis.
    pub travel: Option<(Vec3, Vec3)>,
    /// Rapid rate of each axis, mm/min.
    pub rapid: Vec3,
    /// Highest feed, mm/min.
    pub max_feed: Option<f64>,
    /// Acceleration of each axis, mm/s2.
    pub acceleration: Option<Vec3>,
    /// The spindle.
    pub spindle: Spindle,
    /// The tool changer.
    pub changer: Changer,
    /// How the control reads programs.
    pub control: Control,
}

/// Spindle limits.
#[derive(Clone, Copy, Debug, Default)]
pub struct Spindle {
    /// Highest speed, rev/min.
    pub max_rpm: Option<f64>,
    /// Lowest speed, rev/min.
    pub min_rpm: Option<f64>,
    /// Power, kW.
    pub power_kw: Option<f64>,
}

/// The tool changer.
#[derive(Clone, Copy, Debug)]
pub struct Changer {
    /// How it works.
    pub kind: ChangerKind,
    /// Pockets; `None` for a change by hand.
    pub pockets: Option<u32>,
    /// Seconds for one change.
    pub seconds: Option<f64>,
    /// A tool returns to the pocket that it came from.
    pub same_pocket_return: bool,
}

/// How tools get into the spindle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChangerKind {
    /// A tool returns to the pocket it came from before the next is fetched.
    Carousel,
    /// An arm swaps two tools; the next one waits ready.
    Arm,
    /// By hand.
    ByHand,
}

/// How the control reads programs. Every field has a documented default in the machine file.
#[derive(Clone, Copy, Debug)]
pub struct Control {
    /// Meaning of a number without a decimal point.
    pub number_without_point: NumberWithoutPoint,
    /// What I, J and K are counted from.
    pub arc_centers: ArcCenters,
    /// Largest difference between the radii at start and end of an arc, millimetres.
    pub arc_tolerance: f64,
    /// Distance above the last depth at which a peck changes from rapid to feed, millimetres.
    pub peck_clearance: f64,
    /// Lift between the pecks of a chip-breaking cycle, millimetres.
    pub chip_break_lift: f64,
    /// The way of a rapid move.
    pub rapid_path: RapidPath,
    /// Which axes G28 and G30 send home.
    pub home_moves: HomeMoves,
    /// When M5 and M9 on a motion block act.
    pub spindle_stop: SpindleStop,
    /// What the feed of a helix is measured along.
    pub helix_feed: HelixFeed,
    /// What the radius registers hold when none is given.
    pub radius_register: RadiusRegister,
    /// Switch for block delete: true leaves out blocks that begin with `/`. `None`: both ways are possible at the machine.
    pub block_delete: Option<bool>,
}

/// Meaning of a number without a decimal point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NumberWithoutPoint {
    /// `X1` is one inch or one millimetre.
    Units,
    /// `X1` is 0.0001 in or 0.001 mm.
    Increments,
}

/// What I, J and K are counted from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ArcCenters {
    /// From the start of the arc.
    Incremental,
    /// From the program zero.
    Absolute,
}

/// The way of a rapid move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RapidPath {
    /// A straight line.
    Straight,
    /// Each axis at its own rapid rate; they arrive at different times.
    EachAxis,
    /// Not known: both ways are checked.
    Either,
}

/// Which axes G28 and G30 send home.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HomeMoves {
    /// Only the axes named in the block.
    NamedAxes,
    /// All axes.
    AllAxes,
}

/// When M5 and M9 on a motion block act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpindleStop {
    /// Before the motion, as NISTIR 6556 has it.
    BeforeMotion,
    /// After the motion, as most shop controls have it.
    AfterMotion,
}

/// What the feed of a helix is measured along.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HelixFeed {
    /// Along the helix.
    AlongPath,
    /// Along the circle alone.
    OnCircle,
}

/// What the radius registers hold when the job does not list them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RadiusRegister {
    /// The tool's radius.
    ToolRadius,
    /// Wear only: nothing.
    Wear,
}
