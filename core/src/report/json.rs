//! The result file, version 1: what `proofcut check JOB --json FILE` writes.
//!
//! One JSON object. Lengths in the unit of the job file (`units`), volumes in its cube, times in seconds, angles
//! do not occur. Positions: `at` in the setup frame, `at_part` in the part frame. Numbers are rounded to 1e-7 of
//! their unit; bounds are rounded up, so that they hold for the rounded value too. The bytes are the same for the
//! same job, whatever the number of threads.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Version of the result file.
pub const VERSION: u32 = 1;

/// The JSON Schemas of what is written, by file name, as committed beside those of the job's files: the result, and the
/// list of moves.
///
/// ```
/// let names: Vec<_> = proofcut_core::report::schemas().into_iter().map(|(name, _)| name).collect();
/// assert_eq!(names, ["result.schema.json", "moves.schema.json"]);
/// ```
pub fn schemas() -> Vec<(&'static str, String)> {
    let result = schemars::schema_for!(ResultFile).to_value();
    let moves = schemars::schema_for!(super::MovesFile).to_value();
    [("result.schema.json", result), ("moves.schema.json", moves)]
        .into_iter()
        .map(|(name, schema)| (name, format!("{schema:#}\n")))
        .collect()
}

/// The result of a whole job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ResultFile {
    /// Version of this file: 1.
    pub proofcut: u32,
    /// Name of the job; the path of the job file when it could not be read.
    pub job: String,
    /// Unit of every length: `inch` or `mm`; null when the job could not be read.
    pub units: Option<String>,
    /// `no-faults`, `warnings`, `faults` or `unproven`. Only `no-faults` may be read as a pass.
    pub verdict: String,
    /// Distance between neighbouring rays of the stock model; null when the job could not be read.
    pub spacing: Option<f64>,
    /// One per setup that was run.
    pub setups: Vec<SetupResult>,
    /// Everything found, by setup, line and kind.
    pub findings: Vec<FindingResult>,
    /// One per feature of the drawing, in its order.
    pub features: Vec<FeatureResult>,
    /// One per size of the drawing, in its order.
    pub dimensions: Vec<DimensionResult>,
    /// Places where the finished part differs from the drawing by more than is permitted, largest first.
    #[serde(default)]
    pub regions: Vec<RegionResult>,
    /// The finished part; null when the job could not be read.
    #[serde(rename = "final")]
    pub final_part: Option<FinalResult>,
    /// The tool changer over all setups; null when the job could not be read.
    #[serde(default)]
    pub changer: Option<ChangerResult>,
    /// What could not be proved, and where.
    pub unproven: Vec<UnprovenResult>,
    /// Mistakes in the job's files, with which nothing was run, or warnings about them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub input: Vec<InputResult>,
}

/// One setup, run.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SetupResult {
    /// Its name.
    pub name: String,
    /// Its program.
    pub program: String,
    /// Blocks with at least one word.
    pub blocks: usize,
    /// Moves that the program makes.
    pub moves: usize,
    /// Length of all rapid moves.
    pub rapid_length: f64,
    /// Length of all feed moves.
    pub feed_length: f64,
    /// Time of the whole program, seconds.
    pub cycle_seconds: f64,
    /// Volume of the stock before.
    pub volume_before: f64,
    /// Volume of the stock after.
    pub volume_after: f64,
    /// One per tool that comes into the spindle, in order of first use.
    pub tools: Vec<ToolResult>,
}

/// A tool in one setup.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ToolResult {
    /// Tool number; null for moves before any tool was called.
    pub number: Option<u32>,
    /// Its name in the tool table; empty when it is not there.
    pub name: String,
    /// What it does, in words, one entry for each time that it is in the spindle.
    pub does: Vec<String>,
    /// How often it comes into the spindle.
    pub calls: usize,
    /// First program line of its moves.
    pub first_line: u32,
    /// Last program line of its moves.
    pub last_line: u32,
    /// Lowest tip height in the setup frame; null when it does not move below home height.
    pub deepest_z: Option<f64>,
    /// The program line of it.
    pub deepest_line: Option<u32>,
    /// Volume that it takes off.
    pub removed_volume: f64,
    /// Time at feed in material, seconds.
    pub cut_seconds: f64,
    /// Time at feed in air, seconds.
    pub air_seconds: f64,
    /// Length of its rapid moves.
    pub rapid_length: f64,
    /// Length of its feed moves.
    pub feed_length: f64,
    /// Where it comes nearest to what holds the part; null when it stays clear of all of it in plan or there is none.
    pub lowest_over_workholding: Option<LowestResult>,
}

/// How near a tool comes to a piece of workholding.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LowestResult {
    /// The piece.
    pub solid: String,
    /// Tip height there, setup frame.
    pub z: f64,
    /// Tip position to jog to, setup frame.
    pub at: [f64; 3],
    /// Program line.
    pub line: u32,
    /// Least distance between tool assembly and piece, never more than the truth; 0 when they touch.
    pub clearance: f64,
}

/// Something found.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FindingResult {
    /// Kind, such as `rapid-into-stock`.
    pub kind: String,
    /// `fault`, `warning`, `note` or `unproven`.
    pub severity: String,
    /// Name of the setup.
    pub setup: Option<String>,
    /// Program file that `line` counts in.
    pub program: Option<String>,
    /// 1-based line.
    pub line: Option<u32>,
    /// 1-based column of the acting words.
    pub column: Option<u32>,
    /// The block.
    pub block: Option<String>,
    /// Tool number.
    pub tool: Option<u32>,
    /// Where, setup frame.
    pub at: Option<[f64; 3]>,
    /// Where, part frame.
    pub at_part: Option<[f64; 3]>,
    /// How much: a length (or what the kind says).
    pub amount: Option<f64>,
    /// The sentence.
    pub message: String,
    /// Further facts.
    pub notes: Vec<String>,
    /// What to do.
    pub help: Option<String>,
}

/// Who made a surface.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MadeByResult {
    /// Name of the setup; null: the raw stock's own surface.
    pub setup: Option<String>,
    /// Tool number.
    pub tool: Option<u32>,
    /// 1-based program lines, ascending.
    pub lines: Vec<u32>,
}

/// A feature of the drawing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FeatureResult {
    /// Its name on the drawing.
    pub id: String,
    /// `made`, `outside`, `undecided` or `missing`.
    pub status: String,
    /// Who made it.
    pub made_by: Vec<MadeByResult>,
    /// Measured values by name, such as `diameter`; null where there was nothing to measure.
    pub measured: BTreeMap<String, Option<f64>>,
    /// The same with limits, bound and verdict.
    pub quantities: Vec<QuantityResult>,
    /// Edges that must be broken: `entry`, `exit`, or `edge` for a break feature.
    pub breaks: BTreeMap<String, BreakFound>,
}

/// A measured property of a feature.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct QuantityResult {
    /// `diameter`, `depth`, `position`, ...
    pub name: String,
    /// What the drawing asks for.
    pub nominal: f64,
    /// Upper deviation permitted; null when none is written.
    pub plus: Option<f64>,
    /// Lower deviation permitted, positive downwards; null when none is written.
    pub minus: Option<f64>,
    /// The worst value found; null when missing.
    pub measured: Option<f64>,
    /// Largest error that the model can have there.
    pub bound: Option<f64>,
    /// Measured less nominal.
    pub deviation: Option<f64>,
    /// `within`, `outside`, `undecided` or `missing`; null without limits.
    pub verdict: Option<String>,
    /// Where the worst value was found, part frame.
    pub at_part: Option<[f64; 3]>,
    /// Who made the surface there.
    #[serde(default)]
    pub made_by: Option<MadeByResult>,
}

/// An edge that must be broken.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BreakFound {
    /// The worst leg found; 0 when sharp.
    pub leg: f64,
    /// Least and greatest leg found; null when sharp.
    pub legs: Option<[f64; 2]>,
    /// Largest error that the model can have there; null when sharp.
    pub bound: Option<f64>,
    /// Leg that the drawing asks for.
    pub nominal: f64,
    /// Upper deviation permitted.
    pub plus: f64,
    /// Lower deviation permitted, positive downwards.
    pub minus: f64,
    /// `broken`, `outside`, `undecided` or `missing`.
    pub status: String,
    /// Where the worst leg was found, part frame.
    pub at_part: Option<[f64; 3]>,
    /// Who made it.
    pub made_by: Vec<MadeByResult>,
}

/// A size of the drawing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DimensionResult {
    /// Its name on the drawing.
    pub id: String,
    /// `overall`, `thickness`, `gap` or `line`.
    pub kind: String,
    /// `x`, `y` or `z`.
    pub along: String,
    /// Nominal size; absent for a line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub nominal: Option<f64>,
    /// Upper deviation permitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plus: Option<f64>,
    /// Lower deviation permitted, positive downwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minus: Option<f64>,
    /// The size; absent for a line and where there was nothing to measure.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<f64>,
    /// Largest error that the model can have there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bound: Option<f64>,
    /// Measured less nominal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub deviation: Option<f64>,
    /// `within`, `outside`, `undecided` or `missing`; absent for a line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verdict: Option<String>,
    /// For a line: every material interval along it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intervals: Option<Vec<[f64; 2]>>,
    /// Who made the surfaces measured.
    pub made_by: Vec<MadeByResult>,
}

/// A place where the finished part differs from the drawing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RegionResult {
    /// `gouge` or `leftover`.
    pub kind: String,
    /// Lowest corner of the box around it, part frame.
    pub min: [f64; 3],
    /// Highest corner of the box around it, part frame.
    pub max: [f64; 3],
    /// Deepest point, part frame.
    pub at_part: [f64; 3],
    /// Deviation there.
    pub depth: f64,
    /// Largest error of the depth.
    pub bound: f64,
    /// Volume.
    pub volume: f64,
    /// Nearest feature of the drawing.
    pub feature: Option<String>,
    /// For a gouge: who cut its deepest place.
    pub made_by: Option<MadeByResult>,
}

/// The finished part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FinalResult {
    /// Its volume.
    pub volume: f64,
    /// Largest error of the volume.
    pub volume_bound: f64,
    /// Lowest corner of the smallest box that holds it, part frame.
    pub min: [f64; 3],
    /// Highest corner.
    pub max: [f64; 3],
    /// Separate pieces.
    pub pieces: usize,
    /// Volume taken that the drawing keeps; null without drawing.
    pub gouge_volume: Option<f64>,
    /// Volume left that the drawing does not have; null without drawing.
    pub leftover_volume: Option<f64>,
}

/// The tool changer over all setups.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ChangerResult {
    /// `carousel`, `arm` or `by-hand`.
    pub kind: String,
    /// Its pockets; null for a change by hand.
    pub pockets: Option<u32>,
    /// Tools that the programs call, ascending.
    pub tools: Vec<u32>,
    /// Pocket numbers that stay free.
    pub free: Vec<u32>,
}

/// Something that could not be proved.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct UnprovenResult {
    /// Name of the setup.
    pub setup: Option<String>,
    /// Program file.
    pub program: Option<String>,
    /// 1-based line.
    pub line: Option<u32>,
    /// What and why.
    pub what: String,
}

/// A mistake in a file of the job.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct InputResult {
    /// Kind, such as `unknown-field`.
    pub kind: String,
    /// `fault`, `warning`, `note` or `unproven`.
    pub severity: String,
    /// The file; null when no place is known.
    pub file: Option<String>,
    /// 1-based line.
    pub line: Option<usize>,
    /// 1-based column.
    pub column: Option<usize>,
    /// The sentence.
    pub message: String,
    /// Further facts.
    pub notes: Vec<String>,
    /// What to do.
    pub help: Option<String>,
}
