use crate::geom::Path;
use crate::job::WorkOffset;
use crate::source::{SourceText, Span};

/// A place in one of the texts of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Index into [`Run::sources`] (0 is the setup's own program).
    pub source: u16,
    /// 1-based line.
    pub line: u32,
    /// The words that act, inside that line (the whole block where no word is better).
    pub span: Span,
}

/// What a program makes the machine do in one setup, in order.
#[derive(Clone, Debug, Default)]
pub struct Run {
    /// The texts: the program, then subprograms in files of their own.
    pub sources: Vec<SourceText>,
    /// Number of blocks with at least one word.
    pub blocks: usize,
    /// Moves in order.
    pub moves: Vec<Move>,
    /// Everything else in order; each event says before which move it happens.
    pub events: Vec<Event>,
    /// What was noticed while reading and interpreting.
    pub facts: Vec<super::Fact>,
    /// What was so when each fact was noticed; as many as facts.
    pub around: Vec<Around>,
    /// Calls of subprograms from the program itself, in order.
    pub calls: Vec<CallRange>,
    /// The first motion, when the program did not say before it what must be off or how it counts.
    pub unsafe_start: Option<UnsafeStart>,
    /// Last block of a program that ends with neither M2, M30 nor a closing `%`: it may be cut off there.
    pub cut_off: Option<Place>,
    /// First place from which on nothing is proved, because position or mode was lost there.
    pub lost_from: Option<Place>,
}

/// A first motion before everything that it depends on was said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnsafeStart {
    /// The motion.
    pub place: Place,
    /// Codes that no block before it holds, such as `G40`; never empty.
    pub missing: Vec<&'static str>,
}

/// What was so when a fact was noticed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Around {
    /// Tool in the spindle.
    pub tool: Option<u32>,
    /// Where the motion mode was set.
    pub mode_place: Option<Place>,
    /// The outermost call that is open; `None` in the program itself.
    pub called_from: Option<Place>,
    /// Where other modes that were on had been set.
    pub set_by: SetBy,
}

/// Where modes beside the motion mode were set; each is `None` where the mode is off, or as it is in most programs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SetBy {
    /// G91.
    pub incremental: Option<Place>,
    /// G18 or G19.
    pub plane: Option<Place>,
    /// G93 or G95.
    pub feed_mode: Option<Place>,
    /// The last of G51, G51.1 and G68.
    pub placing: Option<Place>,
    /// G16.
    pub polar: Option<Place>,
    /// G66.
    pub modal_call: Option<Place>,
}

/// Moves that a subprogram made, with those of the subprograms that it called.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CallRange {
    /// The moves: indices into [`Run::moves`].
    pub moves: std::ops::Range<usize>,
    /// The call, in the program itself.
    pub place: Place,
}

impl Run {
    /// The call by which a move came about; `None` for a move of the program itself.
    pub fn called_from(&self, move_index: usize) -> Option<Place> {
        let after = self.calls.partition_point(|c| c.moves.end <= move_index);
        self.calls.get(after).filter(|c| c.moves.contains(&move_index)).map(|c| c.place)
    }
}

/// One motion of the tool tip along one path.
#[derive(Clone, Debug)]
pub struct Move {
    /// Where the program says so.
    pub place: Place,
    /// Where the motion mode was set, when on an earlier block.
    pub mode_place: Option<Place>,
    /// Kind of motion.
    pub kind: MoveKind,
    /// Path of the tip of the tool as it truly hangs in the spindle, setup frame, millimetres.
    pub path: Path,
    /// Largest distance by which the machine's path may differ from `path`, millimetres (arc ends that do not fit
    /// their centre exactly).
    pub deviation: f64,
    /// Second path of a rapid when the machine's rapid path is not known (see `RapidPath::Either`): the move may be
    /// made along `path` or along these pieces.
    pub other_way: Vec<Path>,
    /// Tool number in the spindle; `None`: none has been called.
    pub tool: Option<u32>,
    /// Direction in which the spindle turns.
    pub spindle: SpindleTurn,
    /// Spindle speed, rev/min; 0 before any S.
    pub rpm: f64,
    /// Feed, mm/min; `None` for a rapid, or where a feed is missing.
    pub feed: Option<f64>,
    /// Seconds that the move takes if fixed by the program (inverse time feed).
    pub seconds: Option<f64>,
    /// Active work offset.
    pub offset: WorkOffset,
    /// Active length register (G43 H); `None`: no length offset is active.
    pub length_register: Option<u32>,
    /// Canned cycle that this move belongs to.
    pub cycle: Option<Cycle>,
}

/// Kind of motion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MoveKind {
    /// Rapid positioning.
    Rapid,
    /// At feed.
    Feed,
    /// At feed, in step with the spindle (tapping in and out).
    Thread,
    /// Homing or a tool change: known to go clear, straight up first.
    Home,
}

/// A canned cycle, in the trade's words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cycle {
    /// G81, G82: drill or spot.
    Drill,
    /// G83, G73: peck drill.
    Peck,
    /// G84, G74: tap.
    Tap,
    /// G85, G86, G89 and other boring cycles.
    Bore,
}

/// Direction in which the spindle turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum SpindleTurn {
    /// It stands.
    #[default]
    Stopped,
    /// Clockwise, M3.
    Clockwise,
    /// Counter-clockwise, M4.
    CounterClockwise,
}

/// Something other than motion, with the number of moves made before it.
#[derive(Clone, Debug)]
pub struct Event {
    /// Moves made before it: it happens before `moves[before_move]`.
    pub before_move: usize,
    /// Where the program says so.
    pub place: Place,
    /// What happens.
    pub call: ToolCall,
}

/// What happens between moves.
#[derive(Clone, Debug, PartialEq)]
pub enum ToolCall {
    /// T without change: the tool is named for the next change.
    Ready {
        /// Tool number.
        tool: u32,
    },
    /// M6: the tool goes into the spindle; 0 empties it.
    Change {
        /// Tool number.
        tool: u32,
    },
    /// G4: stands still.
    Dwell {
        /// Seconds.
        seconds: f64,
    },
    /// M0 or M1.
    Stop {
        /// True for M1, which the operator may switch off.
        optional: bool,
    },
    /// A length register was taken up (G43 H) or left (G49, `None`).
    LengthOffset {
        /// Register.
        register: Option<u32>,
    },
    /// A radius register was named (D).
    RadiusOffset {
        /// Register.
        register: u32,
    },
    /// M2 or M30.
    End,
}
