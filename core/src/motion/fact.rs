use super::{Doubt, Place};
use crate::job::WorkOffset;

/// What reading and interpreting a program brought up. Words are made of it in [`crate::findings`]. Lengths in
/// millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// A word or a code that is not understood: nothing after it is proved.
    UnknownWord {
        /// The word.
        place: Place,
    },
    /// A piece of text that cannot be read.
    UnreadableText {
        /// The piece.
        place: Place,
        /// What is wrong with it.
        fault: crate::program::FaultKind,
    },
    /// A word that nothing in its block makes use of.
    UnusedWord {
        /// The word.
        place: Place,
    },
    /// A letter twice in one block.
    RepeatedWord {
        /// The second of them.
        place: Place,
        /// The first of them.
        first: Place,
    },
    /// Two codes in one block that exclude each other.
    CodesExclude {
        /// The second of them.
        place: Place,
        /// The first of them.
        first: Place,
    },
    /// Axis words while no motion code is active.
    NoMotionMode {
        /// The axis word.
        place: Place,
    },
    /// A code that needs axis words and has none.
    AxisWordsMissing {
        /// The code.
        place: Place,
    },
    /// A word whose number its letter cannot have (a negative speed, a register that is not a whole number).
    WordOutOfRange {
        /// The word.
        place: Place,
    },
    /// A parameter is read that the program has not set: its value at the machine is not known.
    ParameterNotSet {
        /// The word.
        place: Place,
        /// Number of the parameter.
        number: u32,
    },
    /// An expression without a result, or a parameter number out of range.
    NoValue {
        /// The word or setting.
        place: Place,
    },
    /// A setting of a parameter that the control uses itself (offsets, positions): what it does is not modelled.
    SystemParameter {
        /// The setting.
        place: Place,
        /// Number of the parameter.
        number: u32,
    },
    /// A block that may be left out by a switch, and the machine file does not say how the switch stands.
    BlockDeleteNotStated {
        /// The block.
        place: Place,
    },
    /// The program moves before it says G20 or G21; the machine file's unit is taken.
    UnitsNotStated {
        /// The first block with a length.
        place: Place,
    },
    /// Start and end of an arc lie at different distances from its centre.
    ArcRadiusMismatch {
        /// The arc's words.
        place: Place,
        /// Distance from the centre to the start.
        at_start: f64,
        /// Distance from the centre to the end.
        at_end: f64,
        /// What the control lets pass.
        tolerance: f64,
    },
    /// The radius of an arc is less than half the distance between its ends.
    ArcOutOfReach {
        /// The R word.
        place: Place,
        /// The radius.
        radius: f64,
        /// Half the distance between the ends: the least radius that reaches.
        least: f64,
    },
    /// An arc with R that ends where it starts.
    FullCircleWithRadius {
        /// The R word.
        place: Place,
    },
    /// An arc without centre and without radius.
    ArcWithoutCenter {
        /// The block.
        place: Place,
    },
    /// A code without a word that it needs (a canned cycle without Z, G43 without H).
    WordMissing {
        /// The code.
        place: Place,
        /// The letter.
        letter: char,
    },
    /// A canned cycle whose R level lies below its bottom.
    CycleUpsideDown {
        /// The block.
        place: Place,
        /// The R level, setup frame.
        retract: f64,
        /// The bottom, setup frame.
        bottom: f64,
    },
    /// A block that controls read in different ways.
    ReadTwoWays {
        /// The block.
        place: Place,
        /// On what they differ.
        why: Doubt,
    },
    /// A move at feed while no feed is known.
    FeedMissing {
        /// The block.
        place: Place,
    },
    /// A work offset is used that the job gives no zero for.
    OffsetWithoutZero {
        /// The word, or the block that first moves under an offset that was never called.
        place: Place,
        /// Which.
        offset: WorkOffset,
    },
    /// X or Y goes home while Z is down, and the job does not say where home lies.
    HomePathUnknown {
        /// The block.
        place: Place,
    },
    /// A move from a position that is not known.
    StartUnknown {
        /// The block.
        place: Place,
    },
    /// Cutter radius compensation: not modelled.
    CompensationNotModelled {
        /// The code.
        place: Place,
    },
    /// Cutter compensation is on when the program ends or the tool is changed.
    CompensationLeftOn {
        /// The block that ends or changes.
        place: Place,
        /// Where it was turned on.
        set: Place,
    },
    /// Cutter compensation is turned on or off by an arc.
    CompensationEntryOnArc {
        /// The arc.
        place: Place,
        /// How far the tool stands from touching the arc that it is to follow; `None`: the control refuses all arcs.
        gap: Option<f64>,
    },
    /// The move that turns cutter compensation on is shorter than the tool's radius.
    CompensationEntryTooShort {
        /// The move.
        place: Place,
        /// Its length in the plane.
        length: f64,
        /// The radius that is compensated.
        radius: f64,
    },
    /// An inside arc that the tool does not fit.
    InsideArcTooSmall {
        /// The arc.
        place: Place,
        /// Its radius.
        radius: f64,
        /// The radius that is compensated.
        tool: f64,
    },
    /// The tool does not fit between two moves of a contour.
    CompensationOvercut {
        /// The second of two that follow each other; else the one along which the tool cuts into the other.
        place: Place,
        /// The other of them.
        other: Place,
        /// The radius that is compensated.
        radius: f64,
        /// How deep the tool cuts into the other; `None` for two that follow each other.
        depth: Option<f64>,
    },
    /// An inside corner under compensation, which the control refuses.
    InsideCornerRefused {
        /// The move after the corner.
        place: Place,
        /// The move before it.
        first: Place,
    },
    /// More blocks without movement in the plane stand before a corner than the control looks across.
    CompensationLookAhead {
        /// The move after the corner.
        place: Place,
        /// Blocks without movement before it.
        blocks: u32,
        /// How many the control looks across.
        most: u32,
    },
    /// G44 takes a length register off, and what it holds, or how long the tool is, is not told.
    LengthRegisterUnknown {
        /// The word.
        place: Place,
        /// Which.
        register: u32,
    },
    /// Words of a line beyond the characters that the control reads.
    LineTooLong {
        /// The first of them.
        place: Place,
        /// Most characters of a line.
        most: usize,
    },
    /// A radius register whose number is not known.
    RadiusRegisterUnknown {
        /// The words that call it.
        place: Place,
        /// The register.
        register: u32,
    },
    /// A canned cycle in a plane other than XY: the spindle does not point that way.
    CycleAcrossSpindle {
        /// The cycle.
        place: Place,
    },
    /// A tool that the table lacks.
    ToolNotInTable {
        /// The T word.
        place: Place,
        /// Its number.
        tool: u32,
    },
    /// A tool change before any tool was named.
    ChangeWithoutTool {
        /// The M6.
        place: Place,
    },
    /// More M codes in a block than the control takes.
    TooManyM {
        /// The block.
        place: Place,
        /// How many it takes.
        most: usize,
    },
    /// A code that the control refuses while a mode is on.
    NotWhileActive {
        /// The code.
        place: Place,
        /// Where the mode was set; `None`: the block itself.
        mode: Option<Place>,
        /// The mode in the trade's words.
        what: &'static str,
    },
    /// A motion or call that is understood but not modelled.
    MotionNotModelled {
        /// The words.
        place: Place,
        /// What is not modelled.
        what: &'static str,
    },
    /// A probing move: where it stops is not known.
    ProbeResultUnknown {
        /// The move.
        place: Place,
    },
    /// The program sets an offset or register, and the job does not say enough to know what that does.
    OffsetSetUnproven {
        /// The block.
        place: Place,
    },
    /// A shift of coordinates is on when the program ends.
    ShiftLeftOn {
        /// The block that ends the program.
        place: Place,
        /// Where the shift was set.
        set: Place,
    },
    /// A subprogram that is neither in the program nor in a file of the job.
    SubprogramMissing {
        /// The P word.
        place: Place,
        /// Its number.
        number: u32,
    },
    /// Two subprograms of one number.
    SubprogramTwice {
        /// The P word of the call.
        place: Place,
        /// The number.
        number: u32,
        /// Where the first begins.
        first: Place,
        /// Where the second begins.
        second: Place,
    },
    /// More subprograms call one another than the control allows.
    CallsTooDeep {
        /// The call.
        place: Place,
        /// How many may.
        most: usize,
    },
    /// A subprogram calls itself, directly or by way of others.
    CallsItself {
        /// The call.
        place: Place,
        /// The call by which it was entered first.
        first: Place,
    },
    /// The program never ends.
    RunsForever {
        /// The jump that is taken again and again.
        place: Place,
    },
    /// A jump to a block number that is not there.
    JumpTargetMissing {
        /// The jump.
        place: Place,
        /// The number.
        number: u32,
    },
    /// A jump to a block number that two blocks have.
    JumpTargetTwice {
        /// The jump.
        place: Place,
        /// The number.
        number: u32,
        /// The first block.
        first: Place,
        /// The second block.
        second: Place,
    },
    /// A subprogram whose text ends without M99.
    ReturnMissing {
        /// Its last block.
        place: Place,
    },
    /// A block behind the end of the program that nothing runs.
    TextAfterEnd {
        /// The block.
        place: Place,
    },
    /// A canned cycle is on when the program ends or the tool is changed.
    CycleLeftOn {
        /// The block that ends or changes.
        place: Place,
        /// Where it was called; `None`: not known.
        set: Option<Place>,
    },
    /// A tool goes down with the length offset that the tool before it used.
    LengthOffsetOfBefore {
        /// The first move below home height.
        place: Place,
        /// The register that is still active.
        register: u32,
        /// Where it was taken up.
        set: Place,
    },
    /// The program's unit is neither that of the job nor that of the machine.
    UnitsUnlikeJob {
        /// G20 or G21.
        place: Place,
        /// The unit that it sets.
        unit: crate::units::Unit,
    },
    /// A length or a dwell without a decimal point, and the machine file does not say what such numbers mean.
    PointMissing {
        /// The word.
        place: Place,
    },
    /// A DO without END, or an END without DO.
    LoopNotClosed {
        /// The statement.
        place: Place,
    },
    /// More moves, or more work for them, than any milling program needs.
    TooManyMoves {
        /// The block at which it stopped.
        place: Place,
    },
}
