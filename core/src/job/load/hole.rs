use super::drawing::{missing, not_of_kind};
use super::values::Values;
use crate::job::file::{FeatureFile, HoleEndFile, HoleFile, ThreadFile};
use crate::job::text::At;
use crate::job::thread::{ThreadForm, parse_thread};
use crate::job::{Bore, EdgeBreak, Hole, HoleBottom, HoleEnd, Thread, kinds};

/// A hole; `None` after a report.
pub(super) fn hole(file: &HoleFile, at: &At, values: &mut Values) -> Option<Hole> {
    let mouth = values.point(file.at, &at.field("at"));
    let diameter = values.positive(file.diameter, &at.field("diameter"));
    let bottom = bottom(file, at, values);
    let (counterbore, countersink) = recesses(file, at, values);
    Some(Hole { at: mouth, into: file.into.into(), diameter, bottom: bottom?, counterbore, countersink })
}

/// How a hole ends; `None` after a report.
fn bottom(file: &HoleFile, at: &At, values: &mut Values) -> Option<HoleBottom> {
    let depth_at = at.field("depth");
    let angle_at = at.field("point_angle");
    let point_angle = file.point_angle.map(|a| values.angle(a, 180.0, &angle_at));
    match (file.depth, file.through.unwrap_or(false)) {
        (Some(depth), false) => {
            Some(HoleBottom::Blind { depth: values.positive(depth, &depth_at), point_angle })
        }
        (None, true) => {
            if point_angle.is_some() {
                not_of_kind(&angle_at, &at.field("through"), "a through hole has no bottom", values);
            }
            Some(HoleBottom::Through)
        }
        (None, false) => {
            missing(at, "depth", "add \"depth\", or \"through\": true", values);
            None
        }
        (Some(_), true) => {
            let message = format!("{} is both through and blind", at.path());
            values.reports.fault_against(
                kinds::CONTRADICTION,
                (&depth_at, "either this"),
                (&at.field("through"), "or this"),
                message,
                "keep the one that stands on the print",
            );
            None
        }
    }
}

/// Counterbore, and countersink as its diameter and angle.
fn recesses(file: &HoleFile, at: &At, values: &mut Values) -> (Option<Bore>, Option<(f64, f64)>) {
    let mut larger = |value: f64, at: &At| {
        let mm = values.positive(value, at);
        if value <= file.diameter {
            let message = format!("{} is not larger than the hole", at.path());
            values.reports.fault(
                kinds::CONTRADICTION,
                at,
                message,
                "",
                "give a diameter larger than that of the hole",
            );
        }
        mm
    };
    let bore_at = at.field("counterbore");
    let bore_diameter = file.counterbore.as_ref().map(|c| larger(c.diameter, &bore_at.field("diameter")));
    let sink_at = at.field("countersink");
    let sink_diameter = file.countersink.as_ref().map(|c| larger(c.diameter, &sink_at.field("diameter")));
    let counterbore = file.counterbore.as_ref().zip(bore_diameter).map(|(c, diameter)| {
        let depth_at = bore_at.field("depth");
        if file.depth.is_some_and(|d| d <= c.depth) {
            let message = format!("{} is not less than the hole's depth", depth_at.path());
            values.reports.fault(
                kinds::CONTRADICTION,
                &depth_at,
                message,
                "",
                "correct one of the two depths",
            );
        }
        Bore { diameter, depth: values.positive(c.depth, &depth_at) }
    });
    let countersink = file.countersink.as_ref().zip(sink_diameter);
    let countersink = countersink.map(|(c, d)| (d, values.angle(c.angle, 180.0, &sink_at.field("angle"))));
    (counterbore, countersink)
}

/// The thread of a hole; `None` after a report.
pub(super) fn thread_of(file: &ThreadFile, hole: &Hole, at: &At, values: &mut Values) -> Option<Thread> {
    let designation_at = at.field("designation");
    let form = match parse_thread(&file.designation) {
        Ok(form) => form,
        Err(why) => {
            let message = format!("{}: {why}", designation_at.path());
            let help = "write it as 1/4-20 UNC-2B, #10-32 UNF, M6 or M8x1-6H";
            values.reports.fault(kinds::UNKNOWN_THREAD, &designation_at, message, "", help);
            return None;
        }
    };
    judge_hole(file, &form, hole, &designation_at, values);
    let depth_at = at.field("depth");
    let depth = file.depth.map(|d| values.positive(d, &depth_at));
    match (hole.bottom, depth) {
        (HoleBottom::Blind { .. }, None) => {
            missing(at, "depth", "a blind hole needs the depth of its thread", values);
        }
        (HoleBottom::Blind { depth: hole_depth, .. }, Some(depth)) if depth > hole_depth => {
            let message = format!("{} is deeper than the hole", depth_at.path());
            let help = "correct the depth of the thread or of the hole";
            values.reports.fault(kinds::CONTRADICTION, &depth_at, message, "", help);
        }
        _ => {}
    }
    Some(Thread {
        designation: file.designation.clone(),
        major_diameter: form.major_diameter,
        pitch: form.pitch,
        minor_limits: form.minor_limits,
        depth,
    })
}

/// A hole at least as wide as its thread cannot be; one outside the limits of the minor diameter is worth a word.
fn judge_hole(file: &ThreadFile, form: &ThreadForm, hole: &Hole, designation_at: &At, values: &mut Values) {
    let unit = values.unit;
    if hole.diameter >= form.major_diameter {
        let message = format!(
            "the hole of {} is too large for {}, whose major diameter is {}",
            unit.write(hole.diameter),
            file.designation,
            unit.write(form.major_diameter)
        );
        let help = "give the hole the diameter of the tap drill";
        values.reports.fault(kinds::THREAD_HOLE, designation_at, message, "", help);
    } else if let Some((low, high)) = form.minor_limits
        && !(low <= hole.diameter && hole.diameter <= high)
    {
        let message = format!(
            "the hole of {} lies outside the minor diameter of {}, {} to {}",
            unit.write(hole.diameter),
            file.designation,
            unit.number(low),
            unit.write(high)
        );
        values.reports.warn(
            kinds::THREAD_HOLE,
            designation_at,
            message,
            "",
            "check the tap drill on the print",
        );
    }
}

/// The ends of a hole that must be broken.
pub(super) fn breaks(
    file: &FeatureFile,
    hole: Option<&Hole>,
    at: &At,
    break_edges: Option<EdgeBreak>,
    values: &mut Values,
) -> Vec<HoleEnd> {
    let at = at.field("breaks");
    let mut ends = Vec::new();
    for (index, end) in file.breaks.iter().flatten().enumerate() {
        let at = at.item(index);
        let end = match end {
            HoleEndFile::Entry => HoleEnd::Entry,
            HoleEndFile::Exit => HoleEnd::Exit,
        };
        if end == HoleEnd::Exit && hole.is_some_and(|h| h.bottom != HoleBottom::Through) {
            let message = format!("{}: a blind hole has no exit", at.path());
            values.reports.fault(
                kinds::CONTRADICTION,
                &at,
                message,
                "",
                "take it out, or make the hole \"through\": true",
            );
        }
        if ends.contains(&end) {
            let message = format!("{} is given twice", at.path());
            values.reports.fault(kinds::DUPLICATE, &at, message, "", "keep one of the two");
        } else {
            ends.push(end);
        }
    }
    if !ends.is_empty() && break_edges.is_none() {
        let message = format!("{}: the drawing does not say how edges are broken", at.path());
        let help = "add \"break_edges\": {\"leg\": ..., \"plus\": ..., \"minus\": ...} to the drawing";
        values.reports.fault(kinds::MISSING_FIELD, &at, message, "", help);
    }
    ends
}
