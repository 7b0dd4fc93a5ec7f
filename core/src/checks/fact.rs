use super::contact::{Approach, Collision};
use crate::cutter::Hand;
use crate::geom::Axis;
use crate::motion::Place;

/// What the checks of one setup noticed. Words are made of it in [`crate::findings`].
#[derive(Clone, Debug)]
pub enum Fact {
    /// A part of a tool touches the workholding.
    Collision {
        /// The collision.
        hit: Collision,
        /// Name of the piece.
        solid: String,
    },
    /// A tool passes a piece of workholding more closely than the job's clearance.
    Near {
        /// The approach.
        approach: Approach,
        /// Name of the piece.
        solid: String,
    },
    /// The program ends with neither M2, M30 nor a closing `%`.
    EndMissing {
        /// Its last block.
        place: Place,
    },
    /// A feed move with a spindle that stands or has no speed.
    SpindleNotTurning {
        /// The first such move of the stay of the tool.
        move_index: usize,
        /// How many of its feed moves are so.
        moves: usize,
        /// The first of them that cuts, if one does.
        cutting: Option<usize>,
        /// True when the spindle is on but its speed is 0.
        no_speed: bool,
    },
    /// A feed move with the spindle turning against the tool's hand.
    SpindleWrongWay {
        /// The first such move of the stay of the tool.
        move_index: usize,
        /// How many of its feed moves are so.
        moves: usize,
        /// The tool's hand.
        hand: Hand,
        /// True when a thread is tapped.
        tapping: bool,
    },
    /// A tool goes below home height with no length offset active.
    NoLengthOffset {
        /// The first such move of the stay of the tool.
        move_index: usize,
        /// Where the offset was cancelled during this stay, if it was.
        cancelled: Option<Place>,
    },
    /// A length or radius register that belongs to another tool, or to none.
    RegisterOfOther {
        /// Where it is called up.
        place: Place,
        /// H or D.
        letter: char,
        /// Register called up.
        register: u32,
        /// Tool in the spindle.
        tool: u32,
        /// Register of that tool.
        own: u32,
        /// Tool that the register belongs to, if the table has one.
        owner: Option<u32>,
    },
    /// A tool named for the next change while the carousel must first take the present one back.
    CalledAhead {
        /// Where it is named.
        place: Place,
        /// The tool named.
        tool: u32,
        /// The tool in the spindle.
        in_spindle: u32,
    },
    /// A feed move, or a move down, with no tool called.
    NoToolCalled {
        /// The first such move.
        move_index: usize,
    },
    /// The spindle is asked for more than it can.
    SpeedTooHigh {
        /// The first such move of the stay of the tool.
        move_index: usize,
        /// Speed asked, rev/min.
        rpm: f64,
        /// Highest speed, rev/min.
        limit: f64,
    },
    /// The spindle is asked for less than it can.
    SpeedTooLow {
        /// The first such move of the stay of the tool.
        move_index: usize,
        /// Speed asked, rev/min.
        rpm: f64,
        /// Lowest speed, rev/min.
        limit: f64,
    },
    /// A feed above the machine's highest.
    FeedTooHigh {
        /// The first such move of the stay of the tool.
        move_index: usize,
        /// Feed asked, mm/min.
        feed: f64,
        /// Highest feed, mm/min.
        limit: f64,
    },
    /// A move goes beyond the machine's travel.
    OutsideTravel {
        /// The first such move beyond this end.
        move_index: usize,
        /// Which axis.
        axis: Axis,
        /// Machine coordinate reached.
        reached: f64,
        /// Machine coordinate of that end of the travel.
        end: f64,
    },
    /// The program needs more room along an axis than the machine has.
    TravelTooShort {
        /// Which axis.
        axis: Axis,
        /// Range of the tip.
        needed: f64,
        /// Travel of the machine.
        room: f64,
    },
    /// Nothing is known of the holder of a tool, so nothing above its stick-out was looked at.
    HolderNotGiven {
        /// Where it is called.
        place: Place,
        /// The tool.
        tool: u32,
    },
}

/// What the checks of the whole job noticed.
#[derive(Clone, Debug, PartialEq)]
pub enum JobFact {
    /// More tools over all setups than the changer has pockets.
    TooManyTools {
        /// Setup and place of the first call of the tool that is one too many.
        setup: usize,
        /// Where it is called.
        place: Place,
        /// That tool.
        tool: u32,
        /// All tools called, ascending.
        called: Vec<u32>,
        /// Pockets of the changer.
        pockets: u32,
        /// Pocket numbers that no tool called has.
        free: Vec<u32>,
    },
    /// A tool whose number no pocket of the carousel has.
    ToolWithoutPocket {
        /// Setup of its first call.
        setup: usize,
        /// Where it is called.
        place: Place,
        /// The tool.
        tool: u32,
        /// Pockets of the changer.
        pockets: u32,
        /// Pocket numbers that no tool called has.
        free: Vec<u32>,
    },
}
