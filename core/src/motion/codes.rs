use crate::geom::Axis;
use crate::job::WorkOffset;
use crate::units::Unit;

/// A G code that is understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum G {
    Motion(Motion),
    Cycle(CycleCode),
    CancelCycle,
    /// Axis of arcs.
    Plane(Axis),
    Units(Unit),
    /// True for G91.
    Incremental(bool),
    FeedMode(FeedMode),
    /// True for G43.
    Length(bool),
    /// G44: the length register is taken off.
    LengthMinus,
    /// True for G16.
    Polar(bool),
    CompensationOff,
    /// True for G41: the tool runs to the left of the contour.
    CompensationOn(bool),
    Offset(WorkOffset),
    /// G54.1, the number in P.
    ExtendedOffset,
    /// True for G99: back to R.
    ReturnToR(bool),
    Dwell,
    Home,
    SecondHome,
    MachineCoordinates,
    Setting(Setting),
    /// G92.1 and G92.2: no shift any more; true when G92.3 may bring it back.
    ShiftOff(bool),
    /// G92.3.
    ShiftBack,
    /// G50.
    ScaleOff,
    /// G69.
    TurnOff,
    /// G61, G61.1, G64: how corners are taken at speed.
    PathControl,
    /// G97: S is in revolutions per minute.
    PlainSpeed,
    /// G65.
    Macro,
    /// G66.
    ModalMacro,
    /// G67.
    ModalMacroOff,
}

/// What F counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FeedMode {
    /// G94.
    PerMinute,
    /// G93.
    InverseTime,
    /// G95.
    PerTurn,
}

/// Codes that use the axis words for something other than motion in program coordinates.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Setting {
    /// G10.
    Data,
    /// G52.
    Local,
    /// G92.
    Shift,
    /// G51.
    Scale,
    /// G51.1.
    Mirror,
    /// G50.1.
    MirrorOff,
    /// G68.
    Turn,
    /// G38.2, and G31 as shops have it.
    Probe,
}

/// Motion codes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Motion {
    Rapid,
    Line,
    Clockwise,
    CounterClockwise,
}

/// Canned cycles that are modelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CycleCode {
    /// G73.
    ChipBreak,
    /// G74.
    TapLeft,
    /// G76.
    FineBore,
    /// G81.
    Drill,
    /// G82.
    DrillDwell,
    /// G83.
    Peck,
    /// G84.
    Tap,
    /// G85.
    BoreFeedOut,
    /// G86.
    BoreStopOut,
    /// G87.
    BackBore,
    /// G88.
    BoreByHandOut,
    /// G89.
    BoreDwellFeedOut,
}

impl G {
    /// From ten times its number.
    pub(super) fn of(tenths: u32) -> Option<G> {
        Some(match tenths {
            0 => G::Motion(Motion::Rapid),
            10 => G::Motion(Motion::Line),
            20 => G::Motion(Motion::Clockwise),
            30 => G::Motion(Motion::CounterClockwise),
            40 => G::Dwell,
            150 => G::Polar(false),
            160 => G::Polar(true),
            170 => G::Plane(Axis::Z),
            180 => G::Plane(Axis::Y),
            190 => G::Plane(Axis::X),
            200 => G::Units(Unit::Inch),
            210 => G::Units(Unit::Millimetre),
            280 => G::Home,
            300 => G::SecondHome,
            100 => G::Setting(Setting::Data),
            500 => G::ScaleOff,
            501 => G::Setting(Setting::MirrorOff),
            510 => G::Setting(Setting::Scale),
            511 => G::Setting(Setting::Mirror),
            520 => G::Setting(Setting::Local),
            541 => G::ExtendedOffset,
            610 | 611 | 640 => G::PathControl,
            650 => G::Macro,
            660 => G::ModalMacro,
            670 => G::ModalMacroOff,
            680 => G::Setting(Setting::Turn),
            690 => G::TurnOff,
            760 => G::Cycle(CycleCode::FineBore),
            870 => G::Cycle(CycleCode::BackBore),
            880 => G::Cycle(CycleCode::BoreByHandOut),
            920 => G::Setting(Setting::Shift),
            921 => G::ShiftOff(false),
            922 => G::ShiftOff(true),
            923 => G::ShiftBack,
            950 => G::FeedMode(FeedMode::PerTurn),
            970 => G::PlainSpeed,
            400 => G::CompensationOff,
            310 | 382 => G::Setting(Setting::Probe),
            410 => G::CompensationOn(true),
            420 => G::CompensationOn(false),
            430 => G::Length(true),
            440 => G::LengthMinus,
            490 => G::Length(false),
            530 => G::MachineCoordinates,
            540 => G::Offset(WorkOffset(1)),
            550 => G::Offset(WorkOffset(2)),
            560 => G::Offset(WorkOffset(3)),
            570 => G::Offset(WorkOffset(4)),
            580 => G::Offset(WorkOffset(5)),
            590 => G::Offset(WorkOffset(6)),
            591 => G::Offset(WorkOffset(7)),
            592 => G::Offset(WorkOffset(8)),
            593 => G::Offset(WorkOffset(9)),
            730 => G::Cycle(CycleCode::ChipBreak),
            740 => G::Cycle(CycleCode::TapLeft),
            800 => G::CancelCycle,
            810 => G::Cycle(CycleCode::Drill),
            820 => G::Cycle(CycleCode::DrillDwell),
            830 => G::Cycle(CycleCode::Peck),
            840 => G::Cycle(CycleCode::Tap),
            850 => G::Cycle(CycleCode::BoreFeedOut),
            860 => G::Cycle(CycleCode::BoreStopOut),
            890 => G::Cycle(CycleCode::BoreDwellFeedOut),
            900 => G::Incremental(false),
            910 => G::Incremental(true),
            930 => G::FeedMode(FeedMode::InverseTime),
            940 => G::FeedMode(FeedMode::PerMinute),
            980 => G::ReturnToR(false),
            990 => G::ReturnToR(true),
            _ => return None,
        })
    }

    /// Modal group: two codes of one group exclude each other in a block. Numbers of NISTIR 6556 Table 4, but that G80
    /// has a group of its own: shops write it beside G0 in their safe lines.
    pub(super) fn group(self) -> u32 {
        match self {
            G::Dwell
            | G::Home
            | G::SecondHome
            | G::MachineCoordinates
            | G::Setting(Setting::Data | Setting::Local | Setting::Shift)
            | G::ShiftOff(_)
            | G::ShiftBack
            | G::Macro
            | G::ModalMacro => 0,
            G::Motion(_) | G::Cycle(_) | G::Setting(Setting::Probe) => 1,
            G::Plane(_) => 2,
            G::Incremental(_) => 3,
            G::FeedMode(_) => 5,
            G::Units(_) => 6,
            G::CompensationOff | G::CompensationOn(_) => 7,
            G::Length(_) | G::LengthMinus => 8,
            G::CancelCycle => 9,
            G::ReturnToR(_) => 10,
            G::ScaleOff | G::Setting(Setting::Scale) => 11,
            G::Offset(_) | G::ExtendedOffset => 12,
            G::PathControl => 13,
            G::PlainSpeed => 14,
            G::Setting(Setting::Mirror | Setting::MirrorOff) => 15,
            G::TurnOff | G::Setting(Setting::Turn) => 16,
            G::Polar(_) => 17,
            G::ModalMacroOff => 18,
        }
    }
}

/// An M code that is understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum M {
    Stop {
        optional: bool,
    },
    End,
    SpindleClockwise,
    SpindleCounterClockwise,
    SpindleStop,
    Orient,
    RigidTap,
    ToolChange,
    Coolant,
    /// M48, M49: the operator's feed and speed dials count, or do not.
    Overrides,
    /// M98.
    Call,
    /// M99.
    Return,
}

impl M {
    /// From its number.
    pub(super) fn of(number: u32) -> Option<M> {
        Some(match number {
            0 | 60 => M::Stop { optional: false },
            1 => M::Stop { optional: true },
            2 | 30 => M::End,
            3 => M::SpindleClockwise,
            4 => M::SpindleCounterClockwise,
            5 => M::SpindleStop,
            6 => M::ToolChange,
            7..=9 => M::Coolant,
            19 => M::Orient,
            29 => M::RigidTap,
            48 | 49 => M::Overrides,
            98 => M::Call,
            99 => M::Return,
            _ => return None,
        })
    }

    /// Modal group; `None` where several may stand together (mist and flood).
    pub(super) fn group(self) -> Option<u32> {
        match self {
            M::Stop { .. } | M::End | M::Call | M::Return => Some(4),
            M::ToolChange => Some(6),
            M::SpindleClockwise | M::SpindleCounterClockwise | M::SpindleStop | M::Orient => Some(7),
            M::Overrides => Some(9),
            M::RigidTap | M::Coolant => None,
        }
    }

    /// True for a code that changes neither position nor spindle nor tool: leaving it out changes no cut.
    pub(super) fn harmless(self) -> bool {
        matches!(self, M::Stop { .. } | M::Coolant | M::Overrides)
    }
}

/// M codes that jump or call: what runs next is not known. All others that are not understood belong to the machine's
/// builder and are taken to leave the path alone, though nothing after them is proved.
pub(super) fn changes_flow(m: u32) -> bool {
    (96..=97).contains(&m)
}
