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
    /// True for G93.
    InverseTime(bool),
    /// True for G43.
    Length(bool),
    CompensationOff,
    CompensationOn,
    Offset(WorkOffset),
    /// True for G99: back to R.
    ReturnToR(bool),
    Dwell,
    Home,
    SecondHome,
    MachineCoordinates,
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
            170 => G::Plane(Axis::Z),
            180 => G::Plane(Axis::Y),
            190 => G::Plane(Axis::X),
            200 => G::Units(Unit::Inch),
            210 => G::Units(Unit::Millimetre),
            280 => G::Home,
            300 => G::SecondHome,
            400 => G::CompensationOff,
            410 | 420 => G::CompensationOn,
            430 => G::Length(true),
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
            930 => G::InverseTime(true),
            940 => G::InverseTime(false),
            980 => G::ReturnToR(false),
            990 => G::ReturnToR(true),
            _ => return None,
        })
    }

    /// Modal group: two codes of one group exclude each other in a block. Numbers of NISTIR 6556 Table 4, but that G80
    /// has a group of its own: shops write it beside G0 in their safe lines.
    pub(super) fn group(self) -> u32 {
        match self {
            G::Dwell | G::Home | G::SecondHome | G::MachineCoordinates => 0,
            G::Motion(_) | G::Cycle(_) => 1,
            G::Plane(_) => 2,
            G::Incremental(_) => 3,
            G::InverseTime(_) => 5,
            G::Units(_) => 6,
            G::CompensationOff | G::CompensationOn => 7,
            G::Length(_) => 8,
            G::CancelCycle => 9,
            G::ReturnToR(_) => 10,
            G::Offset(_) => 12,
        }
    }
}

/// An M code that is understood.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum M {
    Stop { optional: bool },
    End,
    SpindleClockwise,
    SpindleCounterClockwise,
    SpindleStop,
    Orient,
    RigidTap,
    ToolChange,
    Coolant,
}

impl M {
    /// From its number.
    pub(super) fn of(number: u32) -> Option<M> {
        Some(match number {
            0 => M::Stop { optional: false },
            1 => M::Stop { optional: true },
            2 | 30 => M::End,
            3 => M::SpindleClockwise,
            4 => M::SpindleCounterClockwise,
            5 => M::SpindleStop,
            6 => M::ToolChange,
            7..=9 => M::Coolant,
            19 => M::Orient,
            29 => M::RigidTap,
            _ => return None,
        })
    }

    /// Modal group; `None` where several may stand together (mist and flood).
    pub(super) fn group(self) -> Option<u32> {
        match self {
            M::Stop { .. } | M::End => Some(4),
            M::ToolChange => Some(6),
            M::SpindleClockwise | M::SpindleCounterClockwise | M::SpindleStop | M::Orient => Some(7),
            M::RigidTap | M::Coolant => None,
        }
    }

    /// True for a code that changes neither position nor spindle nor tool: leaving it out changes no cut.
    pub(super) fn harmless(self) -> bool {
        matches!(self, M::Stop { .. } | M::Coolant)
    }
}

/// M codes that jump or call: what runs next is not known. All others that are not understood belong to the machine's
/// builder and are taken to leave the path alone, though nothing after them is proved.
pub(super) fn changes_flow(m: u32) -> bool {
    (96..=99).contains(&m)
}
