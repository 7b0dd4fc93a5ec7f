use super::{Fact, Place};

impl Fact {
    /// Where it was noticed.
    pub fn place(&self) -> Place {
        match self {
            Fact::UnknownWord { place }
            | Fact::UnreadableText { place, .. }
            | Fact::UnusedWord { place }
            | Fact::RepeatedWord { place, .. }
            | Fact::CodesExclude { place, .. }
            | Fact::NoMotionMode { place }
            | Fact::AxisWordsMissing { place }
            | Fact::WordOutOfRange { place }
            | Fact::ParameterNotSet { place, .. }
            | Fact::NoValue { place }
            | Fact::SystemParameter { place, .. }
            | Fact::BlockDeleteNotStated { place }
            | Fact::UnitsNotStated { place }
            | Fact::ArcRadiusMismatch { place, .. }
            | Fact::ArcOutOfReach { place, .. }
            | Fact::FullCircleWithRadius { place }
            | Fact::ArcWithoutCenter { place }
            | Fact::WordMissing { place, .. }
            | Fact::CycleUpsideDown { place, .. }
            | Fact::ReadTwoWays { place, .. }
            | Fact::FeedMissing { place }
            | Fact::OffsetWithoutZero { place, .. }
            | Fact::HomePathUnknown { place }
            | Fact::StartUnknown { place }
            | Fact::CompensationNotModelled { place }
            | Fact::CycleAcrossSpindle { place }
            | Fact::ToolNotInTable { place, .. }
            | Fact::ChangeWithoutTool { place }
            | Fact::TooManyM { place, .. }
            | Fact::NotWhileActive { place, .. }
            | Fact::MotionNotModelled { place, .. }
            | Fact::ProbeResultUnknown { place }
            | Fact::OffsetSetUnproven { place }
            | Fact::ShiftLeftOn { place, .. }
            | Fact::SubprogramMissing { place, .. }
            | Fact::SubprogramTwice { place, .. }
            | Fact::CallsTooDeep { place, .. }
            | Fact::CallsItself { place, .. }
            | Fact::RunsForever { place }
            | Fact::JumpTargetMissing { place, .. }
            | Fact::JumpTargetTwice { place, .. }
            | Fact::CompensationLeftOn { place, .. }
            | Fact::CompensationEntryOnArc { place, .. }
            | Fact::CompensationEntryTooShort { place, .. }
            | Fact::InsideArcTooSmall { place, .. }
            | Fact::CompensationOvercut { place, .. }
            | Fact::InsideCornerRefused { place, .. }
            | Fact::CompensationLookAhead { place, .. }
            | Fact::RadiusRegisterUnknown { place, .. }
            | Fact::LengthRegisterUnknown { place, .. }
            | Fact::LineTooLong { place, .. }
            | Fact::CycleLeftOn { place, .. }
            | Fact::LengthOffsetOfBefore { place, .. }
            | Fact::UnitsUnlikeJob { place, .. }
            | Fact::PointMissing { place }
            | Fact::ReturnMissing { place }
            | Fact::TextAfterEnd { place }
            | Fact::LoopNotClosed { place }
            | Fact::TooManyMoves { place } => *place,
        }
    }
}
