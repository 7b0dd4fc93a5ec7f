use super::values::Values;
use crate::geom::Vec3;
use crate::job::file::{
    AllSwitchesFile, ArcCentersFile, AxesFile, BlockDeleteFile, ChangerFile, ChangerKindFile,
    CircleWithoutEndFile, CompensationOnArcFile, CompensationStartFile, CompensationWithoutDFile,
    ControlFile, CycleReturnFile, DwellWithoutPointFile, ExpressionsFile, HelixFeedFile, HomeMovesFile,
    InsideCornerFile, MachineFile, MotionCodesTogetherFile, MotionWithoutAxesFile, NumberWithoutPointFile,
    OffsetDataL20File, OutsideCornerFile, PeckRetractFile, RadiusRegisterFile, RapidPathFile,
    SpindleStopFile, SubprogramRepeatsFile, TravelFile, ZeroRepeatsFile,
};
use crate::job::text::{At, Reports};
use crate::job::{
    Allowance, ArcCenters, Changer, ChangerKind, CompensationRules, CompensationStart, Control, CycleReturn,
    DeleteSwitches, DwellWithoutPoint, HelixFeed, HomeMoves, InsideCorner, Machine, NumberWithoutPoint,
    OffsetDataL20, OutsideCorner, PeckRetract, RadiusRegister, RapidPath, Spindle, SpindleStop,
    SubprogramRepeats, kinds,
};
use crate::program::Reading;
use crate::units::Unit;

/// The machine of a file, or of an object in a job file whose unit is `outer`.
pub(super) fn machine(file: &MachineFile, at: &At, outer: Unit, reports: &mut Reports) -> Machine {
    let unit = file.units.map_or(outer, Unit::from);
    let mut values = Values { unit, reports };
    Machine {
        name: file.name.clone(),
        unit,
        travel: file.travel.as_ref().map(|t| travel(t, &at.field("travel"), &mut values)),
        rapid: axes(&file.rapid, &at.field("rapid"), &mut values),
        max_feed: file.max_feed.map(|f| values.rate(f, &at.field("max_feed"))),
        acceleration: file.acceleration.as_ref().map(|a| axes(a, &at.field("acceleration"), &mut values)),
        spindle: spindle(file, &at.field("spindle"), &mut values),
        changer: changer(&file.changer, &at.field("changer"), &mut values),
        control: control(file.control.as_ref(), &at.field("control"), &mut values),
    }
}

fn travel(file: &TravelFile, at: &At, values: &mut Values) -> (Vec3, Vec3) {
    let mut limits = |[low, high]: [f64; 2], name: &str| {
        let at = at.field(name);
        let (low_at, high_at) = (at.item(0), at.item(1));
        let (low, high) = (values.length(low, &low_at), values.length(high, &high_at));
        values.below((low, &low_at), (high, &high_at));
        (low, high)
    };
    let (x, y, z) = (limits(file.x, "x"), limits(file.y, "y"), limits(file.z, "z"));
    (Vec3::new(x.0, y.0, z.0), Vec3::new(x.1, y.1, z.1))
}

fn axes(file: &AxesFile, at: &At, values: &mut Values) -> Vec3 {
    Vec3::new(
        values.rate(file.x, &at.field("x")),
        values.rate(file.y, &at.field("y")),
        values.rate(file.z, &at.field("z")),
    )
}

fn spindle(file: &MachineFile, at: &At, values: &mut Values) -> Spindle {
    let Some(file) = &file.spindle else { return Spindle::default() };
    let (max_at, min_at) = (at.field("max_rpm"), at.field("min_rpm"));
    let spindle = Spindle {
        max_rpm: file.max_rpm.map(|n| values.number(n, &max_at)),
        min_rpm: file.min_rpm,
        power_kw: file.power_kw.map(|p| values.number(p, &at.field("power_kw"))),
    };
    if let Some(min) = file.min_rpm {
        values.check_from_zero(min, &min_at);
        if let Some(max) = file.max_rpm {
            values.below((min, &min_at), (max, &max_at));
        }
    }
    spindle
}

fn changer(file: &ChangerFile, at: &At, values: &mut Values) -> Changer {
    let pockets_at = at.field("pockets");
    let by_hand = file.kind == ChangerKindFile::ByHand;
    if file.pockets == Some(0) {
        let message = format!("{} is 0", pockets_at.path());
        values.reports.fault(
            kinds::NOT_POSITIVE,
            &pockets_at,
            message,
            "",
            "write how many tools the changer holds",
        );
    } else if file.pockets.is_none() && !by_hand {
        // A guess would let a job with too many tools pass.
        let message = format!("{} has no \"pockets\"", at.path());
        values.reports.fault(
            kinds::MISSING_FIELD,
            at,
            message,
            "\"pockets\" belongs here",
            "add how many tools the changer holds, or write \"kind\": \"by-hand\"",
        );
    }
    Changer {
        kind: match file.kind {
            ChangerKindFile::Carousel => ChangerKind::Carousel,
            ChangerKindFile::Arm => ChangerKind::Arm,
            ChangerKindFile::ByHand => ChangerKind::ByHand,
        },
        pockets: file.pockets.filter(|_| !by_hand),
        seconds: file.seconds.inspect(|s| values.check_from_zero(*s, &at.field("seconds"))),
        same_pocket_return: file.same_pocket_return.unwrap_or(file.kind == ChangerKindFile::Carousel),
    }
}

/// The control, with the defaults that its fields document.
fn control(file: Option<&ControlFile>, at: &At, values: &mut Values) -> Control {
    let none = ControlFile::default();
    let file = file.unwrap_or(&none);
    let by_unit = |inch: f64, mm: f64| match values.unit {
        Unit::Inch => inch,
        Unit::Millimetre => mm,
    };
    let (tolerance, lift) = (by_unit(0.0005, 0.01), by_unit(0.010, 0.25));
    let mut length = |value: Option<f64>, default: f64, name: &str| {
        values.not_negative(value.unwrap_or(default), &at.field(name))
    };
    Control {
        arc_tolerance: length(file.arc_tolerance, tolerance, "arc_tolerance"),
        peck_clearance: length(file.peck_clearance, lift, "peck_clearance"),
        chip_break_lift: length(file.chip_break_lift, lift, "chip_break_lift"),
        number_without_point: match file.number_without_point {
            None | Some(NumberWithoutPointFile::Units) => NumberWithoutPoint::Units,
            Some(NumberWithoutPointFile::Increments) => NumberWithoutPoint::Increments,
        },
        arc_centers: match file.arc_centers {
            None | Some(ArcCentersFile::Incremental) => ArcCenters::Incremental,
            Some(ArcCentersFile::Absolute) => ArcCenters::Absolute,
        },
        rapid_path: match file.rapid_path {
            None => RapidPath::Either,
            Some(RapidPathFile::Straight) => RapidPath::Straight,
            Some(RapidPathFile::EachAxis) => RapidPath::EachAxis,
        },
        home_moves: match file.home_moves {
            None | Some(HomeMovesFile::NamedAxes) => HomeMoves::NamedAxes,
            Some(HomeMovesFile::AllAxes) => HomeMoves::AllAxes,
        },
        spindle_stop: match file.spindle_stop {
            None | Some(SpindleStopFile::AfterMotion) => SpindleStop::AfterMotion,
            Some(SpindleStopFile::BeforeMotion) => SpindleStop::BeforeMotion,
        },
        helix_feed: match file.helix_feed {
            None | Some(HelixFeedFile::AlongPath) => HelixFeed::AlongPath,
            Some(HelixFeedFile::OnCircle) => HelixFeed::OnCircle,
        },
        radius_register: match file.radius_register {
            None | Some(RadiusRegisterFile::ToolRadius) => RadiusRegister::ToolRadius,
            Some(RadiusRegisterFile::Wear) => RadiusRegister::Wear,
        },
        block_delete: delete_switches(file, at, values),
        compensation: compensation(file),
        expressions: file.expressions.map(|e| match e {
            ExpressionsFile::Report => Reading::Report,
            ExpressionsFile::Shop => Reading::Shop,
        }),
        subprogram_depth: most(file.subprogram_depth, 4),
        subprogram_repeats: file.subprogram_repeats.map(|r| match r {
            SubprogramRepeatsFile::LWord => SubprogramRepeats::LWord,
            SubprogramRepeatsFile::InP => SubprogramRepeats::InP,
        }),
        scale_increment: values.number(file.scale_increment.unwrap_or(0.001), &at.field("scale_increment")),
        m_codes_per_block: most(file.m_codes_per_block, 4),
        point_reading_stated: file.number_without_point.is_some(),
        dwell_without_point: match (file.dwell_without_point, file.number_without_point) {
            (Some(DwellWithoutPointFile::Milliseconds), _)
            | (None, Some(NumberWithoutPointFile::Increments)) => Some(DwellWithoutPoint::Milliseconds),
            (Some(DwellWithoutPointFile::Seconds), _) | (None, Some(NumberWithoutPointFile::Units)) => {
                Some(DwellWithoutPoint::Seconds)
            }
            (None, None) => None,
        },
        cycle_return: match file.cycle_return {
            None | Some(CycleReturnFile::InitialLevel) => CycleReturn::InitialLevel,
            Some(CycleReturnFile::LevelBeforeBlock) => CycleReturn::LevelBeforeBlock,
        },
        peck_retract: match file.peck_retract {
            None | Some(PeckRetractFile::RLevel) => PeckRetract::RLevel,
            Some(PeckRetractFile::ClearLevel) => PeckRetract::ClearLevel,
        },
        zero_repeats_refused: matches!(file.zero_repeats, Some(ZeroRepeatsFile::Refused)),
        offset_data_l20: file.offset_data_l20.map(|l| match l {
            OffsetDataL20File::ExtendedOffsets => OffsetDataL20::ExtendedOffsets,
            OffsetDataL20File::PresentPoint => OffsetDataL20::PresentPoint,
        }),
        line_length: usize::try_from(file.line_length.unwrap_or(256)).unwrap_or(usize::MAX),
        motion_without_axes: match file.motion_without_axes {
            None | Some(MotionWithoutAxesFile::SetsMode) => Allowance::Accepted,
            Some(MotionWithoutAxesFile::Refused) => Allowance::Refused,
        },
        motion_codes_together: match file.motion_codes_together {
            None | Some(MotionCodesTogetherFile::Accepted) => Allowance::Accepted,
            Some(MotionCodesTogetherFile::Refused) => Allowance::Refused,
        },
        circle_without_end: match file.circle_without_end {
            None | Some(CircleWithoutEndFile::FullCircle) => Allowance::Accepted,
            Some(CircleWithoutEndFile::Refused) => Allowance::Refused,
        },
    }
}

fn delete_switches(file: &ControlFile, at: &At, values: &mut Values) -> Option<DeleteSwitches> {
    let switches = match file.block_delete.as_ref()? {
        BlockDeleteFile::All(AllSwitchesFile::On) => DeleteSwitches::ALL,
        BlockDeleteFile::All(AllSwitchesFile::Off) => DeleteSwitches::NONE,
        BlockDeleteFile::These(numbers) => {
            let at = at.field("block_delete");
            for (index, number) in numbers.iter().enumerate() {
                if !(1..=9).contains(number) {
                    let at = at.item(index);
                    let message = format!("{} is {number}", at.path());
                    let help = "write the number of a switch, 1 to 9; a plain / is of switch 1";
                    values.reports.fault(kinds::OUT_OF_RANGE, &at, message, "", help);
                }
            }
            DeleteSwitches::of(numbers.iter().copied())
        }
    };
    Some(switches)
}

/// A count with its default; no control reaches the cap.
fn most(count: Option<u32>, default: u32) -> usize {
    usize::try_from(count.unwrap_or(default).min(1000)).unwrap_or(1000)
}

fn compensation(file: &ControlFile) -> CompensationRules {
    let rules = CompensationRules::default();
    CompensationRules {
        outside_corner: match file.outside_corner {
            None => rules.outside_corner,
            Some(OutsideCornerFile::Arc) => OutsideCorner::Arc,
            Some(OutsideCornerFile::Line) => OutsideCorner::Line,
        },
        inside_corner: match file.inside_corner {
            None => rules.inside_corner,
            Some(InsideCornerFile::Intersection) => InsideCorner::Intersection,
            Some(InsideCornerFile::Refused) => InsideCorner::Refused,
        },
        start: match file.compensation_start {
            None => rules.start,
            Some(CompensationStartFile::SquareToNext) => CompensationStart::SquareToNext,
            Some(CompensationStartFile::Touching) => CompensationStart::Touching,
        },
        own_register_without_d: matches!(
            file.compensation_without_d,
            Some(CompensationWithoutDFile::OwnRegister)
        ),
        on_arc: match file.compensation_on_arc {
            None => rules.on_arc,
            Some(CompensationOnArcFile::Refused) => Allowance::Refused,
            Some(CompensationOnArcFile::Followed) => Allowance::Accepted,
        },
        blocks_ahead: file.compensation_blocks_ahead.unwrap_or(rules.blocks_ahead),
    }
}
