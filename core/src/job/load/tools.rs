use super::values::Values;
use crate::job::file::{HandFile, HolderSectionFile, ToolFile, ToolKindFile, ToolsFile};
use crate::job::text::{At, Reports};
use crate::job::{Hand, HolderSection, Tool, ToolKind, kinds};
use crate::units::Unit;
use std::collections::BTreeMap;

/// The table of a file, or of an object in a job file whose unit is `outer`.
pub(super) fn table(file: &ToolsFile, at: &At, outer: Unit, reports: &mut Reports) -> Vec<Tool> {
    tools(&file.tools, &at.field("tools"), file.units.map_or(outer, Unit::from), reports)
}

/// The tools of a list.
pub(super) fn tools(list: &[ToolFile], at: &At, unit: Unit, reports: &mut Reports) -> Vec<Tool> {
    let mut values = Values { unit, reports };
    let mut first_use: BTreeMap<u32, At> = BTreeMap::new();
    let mut tools = Vec::new();
    for (index, file) in list.iter().enumerate() {
        let at = at.item(index);
        let number_at = at.field("number");
        if let Some(first) = first_use.get(&file.number) {
            let message = format!("tool number {} is given twice", file.number);
            values.reports.fault_against(
                kinds::DUPLICATE,
                (&number_at, "again here"),
                (first, "first here"),
                message,
                "give each tool its own number",
            );
        } else {
            first_use.insert(file.number, number_at.clone());
        }
        if file.number == 0 {
            let message = format!("{} is 0, which is an empty spindle", number_at.path());
            values.reports.fault(
                kinds::NOT_POSITIVE,
                &number_at,
                message,
                "",
                "write the tool's number, 1 or more",
            );
        }
        tools.push(tool(file, &at, &mut values));
    }
    tools
}

fn tool(file: &ToolFile, at: &At, values: &mut Values) -> Tool {
    let field = |name: &str| at.field(name);
    reject_fields_of_other_kinds(file, at, values);
    let kind = kind(file, at, values);
    let (flute_at, stickout_at) = (field("flute_length"), field("stickout"));
    let flute_length = values.positive(file.flute_length, &flute_at);
    let stickout = values.positive(file.stickout, &stickout_at);
    if stickout < flute_length {
        let message = format!("{} is longer than the stickout", flute_at.path());
        values.reports.fault_against(
            kinds::CONTRADICTION,
            (&flute_at, "flutes this long"),
            (&stickout_at, "on a tool that stands out this far"),
            message,
            "stickout is from the tip to the holder nose; give the flutes outside the holder at most",
        );
    }
    let gauge_at = field("gauge_length");
    let gauge_length = file.gauge_length.map(|g| values.positive(g, &gauge_at));
    if gauge_length.is_some_and(|gauge| gauge < stickout) {
        let message = format!("{} is shorter than the stickout", gauge_at.path());
        values.reports.fault_against(
            kinds::CONTRADICTION,
            (&gauge_at, "tip to gauge line"),
            (&stickout_at, "tip to holder nose"),
            message,
            "the gauge line is above the holder nose; give the whole length below the spindle",
        );
    }
    if file.flutes == Some(0) {
        let message = format!("{} is 0", field("flutes").path());
        values.reports.fault(
            kinds::NOT_POSITIVE,
            &field("flutes"),
            message,
            "",
            "write the number of flutes",
        );
    }
    let holder = file.holder.iter().flatten().enumerate();
    let holder =
        holder.map(|(i, section)| holder_section(section, &field("holder").item(i), values)).collect();
    Tool {
        number: file.number,
        name: file.name.clone().unwrap_or_else(|| word(file.kind).replace('-', " ")),
        kind,
        diameter: values.positive(file.diameter, &field("diameter")),
        flutes: file.flutes,
        flute_length,
        shank_diameter: values.positive(file.shank_diameter, &field("shank_diameter")),
        stickout,
        gauge_length,
        holder,
        length_offset: file.length_offset.unwrap_or(file.number),
        radius_offset: file.radius_offset.unwrap_or(file.number),
        center_cutting: file.center_cutting.unwrap_or(cuts_at_centre(file.kind)),
        hand: match file.hand {
            None | Some(HandFile::Right) => Hand::Right,
            Some(HandFile::Left) => Hand::Left,
        },
    }
}

fn holder_section(file: &HolderSectionFile, at: &At, values: &mut Values) -> HolderSection {
    let diameter = values.positive(file.diameter, &at.field("diameter"));
    HolderSection {
        diameter,
        top_diameter: file.top_diameter.map_or(diameter, |d| values.positive(d, &at.field("top_diameter"))),
        length: values.positive(file.length, &at.field("length")),
    }
}

/// Plunging is believed only of tools that are made for it.
fn cuts_at_centre(kind: ToolKindFile) -> bool {
    match kind {
        ToolKindFile::EndMill
        | ToolKindFile::BullMill
        | ToolKindFile::BallMill
        | ToolKindFile::TaperMill
        | ToolKindFile::Drill
        | ToolKindFile::SpotDrill
        | ToolKindFile::CenterDrill => true,
        ToolKindFile::FaceMill
        | ToolKindFile::BoringBar
        | ToolKindFile::ChamferMill
        | ToolKindFile::Reamer
        | ToolKindFile::Tap
        | ToolKindFile::Counterbore
        | ToolKindFile::SlotCutter => false,
    }
}

fn word(kind: ToolKindFile) -> &'static str {
    match kind {
        ToolKindFile::EndMill => "end-mill",
        ToolKindFile::BullMill => "bull-mill",
        ToolKindFile::BallMill => "ball-mill",
        ToolKindFile::FaceMill => "face-mill",
        ToolKindFile::TaperMill => "taper-mill",
        ToolKindFile::BoringBar => "boring-bar",
        ToolKindFile::ChamferMill => "chamfer-mill",
        ToolKindFile::Drill => "drill",
        ToolKindFile::SpotDrill => "spot-drill",
        ToolKindFile::CenterDrill => "center-drill",
        ToolKindFile::Reamer => "reamer",
        ToolKindFile::Tap => "tap",
        ToolKindFile::Counterbore => "counterbore",
        ToolKindFile::SlotCutter => "slot-cutter",
    }
}

/// The fields that belong to a kind, beyond those of every tool.
fn own_fields(kind: ToolKindFile) -> &'static [&'static str] {
    match kind {
        ToolKindFile::BullMill => &["corner_radius"],
        ToolKindFile::FaceMill => &["tip_diameter", "lead_angle"],
        ToolKindFile::TaperMill => &["tip_diameter", "side_angle"],
        ToolKindFile::ChamferMill => &["tip_diameter", "included_angle"],
        ToolKindFile::Drill | ToolKindFile::SpotDrill => &["point_angle"],
        ToolKindFile::CenterDrill => &["point_angle", "pilot_diameter", "pilot_length"],
        ToolKindFile::Tap => &["pitch", "threads_per_inch", "chamfer_threads"],
        ToolKindFile::SlotCutter => &["thickness", "neck_diameter"],
        ToolKindFile::EndMill
        | ToolKindFile::BallMill
        | ToolKindFile::BoringBar
        | ToolKindFile::Reamer
        | ToolKindFile::Counterbore => &[],
    }
}

fn reject_fields_of_other_kinds(file: &ToolFile, at: &At, values: &mut Values) {
    let special = [
        ("corner_radius", file.corner_radius),
        ("tip_diameter", file.tip_diameter),
        ("lead_angle", file.lead_angle),
        ("side_angle", file.side_angle),
        ("included_angle", file.included_angle),
        ("point_angle", file.point_angle),
        ("pilot_diameter", file.pilot_diameter),
        ("pilot_length", file.pilot_length),
        ("pitch", file.pitch),
        ("threads_per_inch", file.threads_per_inch),
        ("thickness", file.thickness),
        ("neck_diameter", file.neck_diameter),
    ];
    let own = own_fields(file.kind);
    for (name, value) in special {
        if value.is_some() && !own.contains(&name) {
            let field = at.field(name);
            let message = format!("{} does not belong to kind \"{}\"", field.path(), word(file.kind));
            let help = match own {
                [] => "take it out, or correct the kind".to_owned(),
                own => format!("take it out, or correct the kind; this kind adds {}", own.join(", ")),
            };
            values.reports.fault_against(
                kinds::FIELD_OF_OTHER_KIND,
                (&field.named(), "not for this kind"),
                (&at.field("kind"), "the kind"),
                message,
                &help,
            );
        }
    }
}

/// A field that the kind cannot do without: its value, or a report and 1.
fn needed(value: Option<f64>, name: &str, file: &ToolFile, at: &At, values: &mut Values) -> f64 {
    value.unwrap_or_else(|| {
        let message = format!("{} has no \"{name}\"", at.path());
        let kind = at.field("kind");
        let beside = format!("this kind needs \"{name}\"");
        let help =
            format!("add \"{name}\" to the {}; there is no default", word(file.kind).replace('-', " "));
        values.reports.fault(kinds::MISSING_FIELD, &kind, message, &beside, &help);
        1.0
    })
}

fn kind(file: &ToolFile, at: &At, values: &mut Values) -> ToolKind {
    match file.kind {
        ToolKindFile::EndMill => ToolKind::EndMill,
        ToolKindFile::BallMill => ToolKind::BallMill,
        ToolKindFile::BoringBar => ToolKind::BoringBar,
        ToolKindFile::Reamer => ToolKind::Reamer,
        ToolKindFile::Counterbore => ToolKind::Counterbore,
        ToolKindFile::BullMill => bull_mill(file, at, values),
        ToolKindFile::FaceMill => face_mill(file, at, values),
        ToolKindFile::TaperMill => ToolKind::TaperMill {
            tip_diameter: smaller(file.tip_diameter, "tip_diameter", file, at, values),
            side_angle: angle(file.side_angle, "side_angle", 90.0, file, at, values),
        },
        ToolKindFile::ChamferMill => ToolKind::ChamferMill {
            tip_diameter: smaller(file.tip_diameter, "tip_diameter", file, at, values),
            included_angle: angle(file.included_angle, "included_angle", 180.0, file, at, values),
        },
        ToolKindFile::Drill => ToolKind::Drill { point_angle: point_angle(file, at, values) },
        ToolKindFile::SpotDrill => ToolKind::SpotDrill { point_angle: point_angle(file, at, values) },
        ToolKindFile::CenterDrill => {
            let length = needed(file.pilot_length, "pilot_length", file, at, values);
            let pilot_diameter = smaller(file.pilot_diameter, "pilot_diameter", file, at, values);
            if file.pilot_diameter == Some(0.0) {
                values.positive(0.0, &at.field("pilot_diameter"));
            }
            ToolKind::CenterDrill {
                point_angle: point_angle(file, at, values),
                pilot_diameter,
                pilot_length: values.positive(length, &at.field("pilot_length")),
            }
        }
        ToolKindFile::Tap => tap(file, at, values),
        ToolKindFile::SlotCutter => {
            let thickness = needed(file.thickness, "thickness", file, at, values);
            ToolKind::SlotCutter {
                thickness: values.positive(thickness, &at.field("thickness")),
                neck_diameter: smaller(file.neck_diameter, "neck_diameter", file, at, values),
            }
        }
    }
}

fn bull_mill(file: &ToolFile, at: &At, values: &mut Values) -> ToolKind {
    let radius = needed(file.corner_radius, "corner_radius", file, at, values);
    let field = at.field("corner_radius");
    let corner_radius = values.positive(radius, &field);
    if file.corner_radius.is_some_and(|r| r > file.diameter / 2.0) {
        let message = format!("{} is more than half the diameter", field.path());
        values.reports.fault_against(
            kinds::CONTRADICTION,
            (&field, "this radius"),
            (&at.field("diameter"), "does not fit this diameter"),
            message,
            "correct one of the two; a corner radius of half the diameter is a ball-mill",
        );
    }
    ToolKind::BullMill { corner_radius }
}

/// Without a lead the inserts stand square: the tip is as wide as the mill.
fn face_mill(file: &ToolFile, at: &At, values: &mut Values) -> ToolKind {
    if file.tip_diameter.is_none() && file.lead_angle.is_none() {
        return ToolKind::FaceMill {
            tip_diameter: values.length(file.diameter, &at.field("diameter")),
            lead_angle: 0.0,
        };
    }
    ToolKind::FaceMill {
        tip_diameter: smaller(file.tip_diameter, "tip_diameter", file, at, values),
        lead_angle: angle(file.lead_angle, "lead_angle", 90.0, file, at, values),
    }
}

fn tap(file: &ToolFile, at: &At, values: &mut Values) -> ToolKind {
    let pitch = match (file.pitch, file.threads_per_inch) {
        (Some(pitch), None) => values.positive(pitch, &at.field("pitch")),
        (None, Some(threads)) => Unit::Inch.mm() / values.number(threads, &at.field("threads_per_inch")),
        (Some(_), Some(_)) => {
            let message = format!("{} has both \"pitch\" and \"threads_per_inch\"", at.path());
            values.reports.fault_against(
                kinds::CONTRADICTION,
                (&at.field("threads_per_inch"), "either this"),
                (&at.field("pitch"), "or this"),
                message,
                "keep the one that is marked on the tap",
            );
            1.0
        }
        (None, None) => needed(None, "pitch", file, at, values),
    };
    let chamfer_turns = file.chamfer_threads.map(|n| values.number(n, &at.field("chamfer_threads")));
    ToolKind::Tap { pitch, chamfer_turns }
}

fn point_angle(file: &ToolFile, at: &At, values: &mut Values) -> f64 {
    angle(file.point_angle, "point_angle", 180.0, file, at, values)
}

fn angle(value: Option<f64>, name: &str, below: f64, file: &ToolFile, at: &At, values: &mut Values) -> f64 {
    let degrees = needed(value, name, file, at, values);
    values.angle(degrees, below, &at.field(name))
}

/// A diameter of 0 or more that must be less than that of the tool.
fn smaller(value: Option<f64>, name: &str, file: &ToolFile, at: &At, values: &mut Values) -> f64 {
    let Some(value) = value else { return needed(value, name, file, at, values) };
    let field = at.field(name);
    if value >= file.diameter {
        let message = format!("{} is not smaller than the diameter", field.path());
        values.reports.fault_against(
            kinds::CONTRADICTION,
            (&field, "this must be smaller"),
            (&at.field("diameter"), "than this"),
            message,
            "diameter is the largest diameter that cuts; correct one of the two",
        );
    }
    values.not_negative(value, &field)
}
