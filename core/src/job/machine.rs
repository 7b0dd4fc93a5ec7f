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
    /// Switches for block delete. `None`: both ways are possible at the machine.
    pub block_delete: Option<DeleteSwitches>,
    /// How cutter compensation is done.
    pub compensation: CompensationRules,
    /// How expressions are worked out; `None`: both ways are possible at the machine.
    pub expressions: Option<crate::program::Reading>,
    /// How many subprograms may call one another.
    pub subprogram_depth: usize,
    /// How M98 tells the number of calls; `None`: both ways are possible at the machine.
    pub subprogram_repeats: Option<SubprogramRepeats>,
    /// Factor that 1 without a decimal point means in the P of G51.
    pub scale_increment: f64,
    /// How many M codes a block may hold.
    pub m_codes_per_block: usize,
    /// True when the machine file says what a number without a decimal point means.
    pub point_reading_stated: bool,
    /// What a dwell without a decimal point counts; `None`: not told, and taken as seconds.
    pub dwell_without_point: Option<DwellWithoutPoint>,
    /// Where G98 takes a canned cycle back to.
    pub cycle_return: CycleReturn,
    /// Where G83 draws back to between pecks.
    pub peck_retract: PeckRetract,
    /// True when L0 or K0 in a canned cycle is a mistake; false when it stores the words and drills nothing.
    pub zero_repeats_refused: bool,
    /// What G10 L20 sets; `None`: both ways are possible at the machine.
    pub offset_data_l20: Option<OffsetDataL20>,
    /// Most characters of a line; what stands beyond may be cut off.
    pub line_length: usize,
    /// A motion code (G0 to G3) in a block without axis words; accepted, it sets the mode and moves nothing.
    pub motion_without_axes: Allowance,
    /// G80 beside a motion code, G0 beside G28 or G30; accepted, the motion code stays in force.
    pub motion_codes_together: Allowance,
    /// An arc with a center and without an end in its plane; accepted, it is a full circle.
    pub circle_without_end: Allowance,
}

/// What the control makes of a block that shops write and NISTIR 6556 lists as an error, or the other way round.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Allowance {
    /// It is done.
    Accepted,
    /// The control stops with an alarm.
    Refused,
}

/// Which of the nine switches for block delete are on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct DeleteSwitches(u16);

impl DeleteSwitches {
    /// All nine on: every block that begins with `/` is left out.
    pub const ALL: Self = Self(0x3fe);
    /// None on.
    pub const NONE: Self = Self(0);

    /// These switches on; numbers that no switch has are left aside.
    pub fn of(numbers: impl IntoIterator<Item = u8>) -> Self {
        Self(numbers.into_iter().filter(|n| (1..=9).contains(n)).fold(0, |set, n| set | (1 << n)))
    }

    /// True when blocks of this switch (1 to 9; 1 for a plain `/`) are left out.
    pub const fn leaves_out(self, number: u8) -> bool {
        number < 10 && self.0 & (1 << number) != 0
    }
}

/// What a dwell (P in G4 and canned cycles) counts when it has no decimal point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DwellWithoutPoint {
    /// Seconds, as NISTIR 6556 has it.
    Seconds,
    /// Milliseconds.
    Milliseconds,
}

/// Where G98 takes a canned cycle back to, if that is above R.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CycleReturn {
    /// The height at which the cycles began, as shop controls have it.
    InitialLevel,
    /// The height before the block, as NISTIR 6556 has it.
    LevelBeforeBlock,
}

/// Where G83 draws back to between pecks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PeckRetract {
    /// R, as shop controls have it.
    RLevel,
    /// The height that the cycle ends at: R under G99, as under G98 (NISTIR 6556).
    ClearLevel,
}

/// What G10 L20 sets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OffsetDataL20 {
    /// The zero of the extended offset G54.1 P.
    ExtendedOffsets,
    /// The zero of offset P such that the present point gets the numbers given.
    PresentPoint,
}

/// How the control does cutter compensation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CompensationRules {
    /// How the tool goes round an outside corner.
    pub outside_corner: OutsideCorner,
    /// What an inside corner does.
    pub inside_corner: InsideCorner,
    /// Where the move that turns it on ends.
    pub start: CompensationStart,
    /// Without a D since the tool change the tool's own register is taken; false: that is a mistake.
    pub own_register_without_d: bool,
    /// Blocks without movement in the plane that the control can look across.
    pub blocks_ahead: u32,
    /// An arc that turns it on or off; accepted, it is followed as NISTIR 6556 has it.
    pub on_arc: Allowance,
}

impl Default for CompensationRules {
    /// The documented defaults of the machine file.
    fn default() -> Self {
        Self {
            outside_corner: OutsideCorner::Arc,
            inside_corner: InsideCorner::Intersection,
            start: CompensationStart::SquareToNext,
            own_register_without_d: false,
            blocks_ahead: 1,
            on_arc: Allowance::Refused,
        }
    }
}

/// How the tool goes round an outside corner under cutter compensation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OutsideCorner {
    /// On an arc about the corner, as NISTIR 6556 has it.
    Arc,
    /// On straight lines up to where the offset paths meet, a sharp corner with a line across.
    Line,
}

/// What an inside corner does under cutter compensation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InsideCorner {
    /// The tool turns where the offset paths cross.
    Intersection,
    /// An alarm, as NISTIR 6556 has it.
    Refused,
}

/// Where the move that turns cutter compensation on ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CompensationStart {
    /// Beside the programmed point, square to the start of the next move.
    SquareToNext,
    /// Where a line from the present place touches the tool's circle about the programmed point, as NISTIR 6556 has it.
    Touching,
}

/// How M98 tells the number of calls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SubprogramRepeats {
    /// With L.
    LWord,
    /// Before the last four digits of P.
    InP,
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
