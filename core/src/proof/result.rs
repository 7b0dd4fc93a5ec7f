use crate::findings::Finding;
use crate::geom::Vec3;
use crate::inspect::{FinalPart, Inspection};
use crate::motion::{Place, Run};
use std::ops::Range;

/// Everything that is known of a job. Millimetres, cubic millimetres, seconds.
#[derive(Debug)]
pub struct Proof {
    /// The judgement of the whole.
    pub verdict: Verdict,
    /// Ray spacing of the stock.
    pub spacing: f64,
    /// One per setup that was run.
    pub setups: Vec<SetupProof>,
    /// Findings in order: by setup, then line, then kind.
    pub findings: Vec<Finding>,
    /// What could not be proved, and where.
    pub unproven: Vec<Unproven>,
    /// The finished stock; `None` when the run stopped before the end.
    pub final_part: Option<FinalPart>,
    /// Against the drawing; `None` without one, and when the run stopped before the end.
    pub inspection: Option<Inspection>,
    /// Pocket numbers that stay free in the changer over all setups; empty for a change by hand.
    pub free_pockets: Vec<u32>,
}

/// Judgement of a whole job.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing was found.
    NoFaults,
    /// Warnings only.
    Warnings,
    /// At least one fault.
    Faults,
    /// Something is not modelled or not understood, or the run stopped early.
    Unproven,
}

/// Something that could not be proved.
#[derive(Clone, Debug)]
pub struct Unproven {
    /// Index of the setup, if it belongs to one.
    pub setup: Option<usize>,
    /// Where in its program.
    pub place: Option<Place>,
    /// What and why, one sentence.
    pub what: String,
}

/// One setup, run.
#[derive(Debug)]
pub struct SetupProof {
    /// What the program makes the machine do.
    pub run: Run,
    /// One per stay of a tool in the spindle, in order.
    pub sections: Vec<ToolSection>,
    /// Length of all rapid moves, mm.
    pub rapid_length: f64,
    /// Length of all feed moves, mm.
    pub feed_length: f64,
    /// Time of the whole program, s.
    pub cycle_seconds: f64,
    /// Stock volume before, mm3.
    pub volume_before: f64,
    /// Stock volume after, mm3.
    pub volume_after: f64,
}

/// One stay of a tool in the spindle.
#[derive(Clone, Debug)]
pub struct ToolSection {
    /// Tool number; `None`: before any tool was called.
    pub tool: Option<u32>,
    /// Its moves, indices into the run's moves.
    pub moves: Range<usize>,
    /// First and last program line of its moves.
    pub lines: (u32, u32),
    /// Lowest tip position while not homing, setup frame; `None` when it did not move.
    pub deepest: Option<(f64, Place)>,
    /// Volume taken, mm3.
    pub removed_volume: f64,
    /// Time at feed in material, s.
    pub cut_seconds: f64,
    /// Time at feed in air, s.
    pub air_seconds: f64,
    /// Length of rapid moves, mm.
    pub rapid_length: f64,
    /// Length of feed moves, mm.
    pub feed_length: f64,
    /// The lowest that it comes over each piece of workholding, lowest clearance first.
    pub lowest_over: Vec<LowestOver>,
    /// Features of the drawing whose surfaces it left, indices ascending.
    pub features: Vec<usize>,
}

/// How near a tool comes to a piece of workholding.
#[derive(Clone, Debug)]
pub struct LowestOver {
    /// Name of the piece, such as `vise, fixed jaw`.
    pub solid: String,
    /// Tip height there, setup frame.
    pub z: f64,
    /// Tip position to jog to, setup frame.
    pub at: Vec3,
    /// The block.
    pub place: Place,
    /// Least distance between tool assembly and the piece; never more than the truth; 0 when they touch.
    pub clearance: f64,
}
