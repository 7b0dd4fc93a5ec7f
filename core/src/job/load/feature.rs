use super::drawing::{missing, not_of_kind, unique_ids};
use super::outline::outline;
use super::values::Values;
use crate::geom::{Axis, Direction, Vec2};
use crate::job::file::{BreakFile, FeatureFile, HoleEndFile, HoleFile, PrismFile, ShapeFile, ThreadFile};
use crate::job::text::{At, nearest};
use crate::job::thread::parse_thread;
use crate::job::{
    Bore, EdgeBreak, Feature, FeatureKind, Hole, HoleBottom, HoleEnd, Outline, OutlineSegment, Shape, Thread,
    Tolerance, kinds,
};
use crate::units::Unit;

/// The features of a drawing, in order.
pub(super) fn features(
    files: &[FeatureFile],
    at: &At,
    break_edges: Option<EdgeBreak>,
    values: &mut Values,
) -> Vec<Feature> {
    unique_ids(files.iter().map(|f| f.id.as_str()), at, "feature", values.reports);
    let mut features: Vec<Feature> = Vec::new();
    let mut shape_of_file: Vec<Option<usize>> = Vec::new();
    for (index, file) in files.iter().enumerate() {
        let at = at.item(index);
        let kind = kind(file, &at, files, index, (&features, &shape_of_file), break_edges, values);
        shape_of_file.push(kind.is_some().then_some(features.len()));
        let Some(kind) = kind else { continue };
        features.push(feature(file, kind, &at, break_edges, values));
    }
    features
}

/// What a feature does; `None` after a report.
fn kind(
    file: &FeatureFile,
    at: &At,
    files: &[FeatureFile],
    index: usize,
    before: (&[Feature], &[Option<usize>]),
    break_edges: Option<EdgeBreak>,
    values: &mut Values,
) -> Option<FeatureKind> {
    match (&file.add, &file.cut, &file.edge) {
        (Some(add), None, None) => shape(add, &at.field("add"), true, values).map(FeatureKind::Add),
        (None, Some(cut), None) => shape(cut, &at.field("cut"), false, values).map(FeatureKind::Cut),
        (None, None, Some(edge)) => {
            let at = at.field("break");
            let of = owner(edge, &at, files, index, values)?;
            let of = before.1.get(of).copied().flatten()?;
            face_exists(edge, before.0.get(of)?, &at, values);
            edge_break(edge, of, &at, break_edges, values)
        }
        (None, None, None) => {
            missing(at, "add", "add one of \"add\", \"cut\" and \"break\" with the shape", values);
            None
        }
        _ => {
            let message = format!("{} must have exactly one of add, cut and break", at.path());
            values.reports.fault(kinds::CONTRADICTION, at, message, "", "make a feature of each");
            None
        }
    }
}

fn feature(
    file: &FeatureFile,
    kind: FeatureKind,
    at: &At,
    break_edges: Option<EdgeBreak>,
    values: &mut Values,
) -> Feature {
    let hole = if let FeatureKind::Cut(Shape::Hole(hole)) = &kind { Some(hole) } else { None };
    let is_round = hole.is_some()
        || matches!(kind, FeatureKind::Add(Shape::Cylinder(_)) | FeatureKind::Cut(Shape::Cylinder(_)));
    let is_blind = hole.is_some_and(|h| matches!(h.bottom, HoleBottom::Blind { .. }));
    let judged = [
        ("diameter", file.diameter.is_some(), is_round, "only holes and cylinders have a diameter"),
        ("depth", file.depth.is_some(), is_blind, "only a blind hole has a depth; give a dimension instead"),
        ("position", file.position.is_some(), hole.is_some(), "only holes have a position"),
        ("thread", file.thread.is_some(), hole.is_some(), "only holes have a thread"),
        (
            "breaks",
            file.breaks.is_some(),
            hole.is_some(),
            "only holes list breaks; add a break feature instead",
        ),
    ];
    for (name, given, fits, why) in judged {
        if given && !fits {
            not_of_kind(&at.field(name), &at.field("id"), why, values);
        }
    }
    let mut tolerance = |t: &Option<_>, name: &str| t.as_ref().map(|t| values.tolerance(t, &at.field(name)));
    let (diameter, depth) = (tolerance(&file.diameter, "diameter"), tolerance(&file.depth, "depth"));
    let thread = file.thread.as_ref().zip(hole);
    let thread = thread.and_then(|(file, hole)| thread_of(file, hole, &at.field("thread"), values));
    Feature {
        id: file.id.clone(),
        diameter,
        depth,
        position: file.position.map(|p| values.positive(p, &at.field("position"))),
        thread,
        breaks: breaks(file, hole, at, break_edges, values),
        place: at.field("id").place(),
        kind,
    }
}

fn breaks(
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

fn shape(file: &ShapeFile, at: &At, adds: bool, values: &mut Values) -> Option<Shape> {
    match file {
        ShapeFile::Box(b) => Some(Shape::Box(values.block(b.min, b.max, &at.field("box")))),
        ShapeFile::Cylinder(c) => Some(Shape::Cylinder(values.round(c, &at.field("cylinder")))),
        ShapeFile::Prism(p) => prism(p, &at.field("prism"), values),
        ShapeFile::Hole(h) => {
            let at = at.field("hole");
            if adds {
                let message = format!("{} puts material; a hole takes it away", at.path());
                values.reports.fault(
                    kinds::CONTRADICTION,
                    &at,
                    message,
                    "",
                    "write \"cut\", or add a cylinder",
                );
            }
            hole(h, &at, values).map(Shape::Hole)
        }
    }
}

fn prism(file: &PrismFile, at: &At, values: &mut Values) -> Option<Shape> {
    let (from_at, to_at) = (at.field("from"), at.field("to"));
    let (from, to) = (values.length(file.from, &from_at), values.length(file.to, &to_at));
    values.below((from, &from_at), (to, &to_at));
    let outline = outline(&file.outline, &at.field("outline"), values)?;
    Some(Shape::Prism { along: file.along.into(), from, to, outline })
}

fn hole(file: &HoleFile, at: &At, values: &mut Values) -> Option<Hole> {
    let depth_at = at.field("depth");
    let at_mouth = values.point(file.at, &at.field("at"));
    let diameter = values.positive(file.diameter, &at.field("diameter"));
    let angle_at = at.field("point_angle");
    let point_angle = file.point_angle.map(|a| values.angle(a, 180.0, &angle_at));
    let bottom = match (file.depth, file.through.unwrap_or(false)) {
        (Some(depth), false) => HoleBottom::Blind { depth: values.positive(depth, &depth_at), point_angle },
        (None, true) => {
            if point_angle.is_some() {
                not_of_kind(&angle_at, &at.field("through"), "a through hole has no bottom", values);
            }
            HoleBottom::Through
        }
        (None, false) => {
            missing(at, "depth", "add \"depth\", or \"through\": true", values);
            return None;
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
            return None;
        }
    };
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
    Some(Hole { at: at_mouth, into: file.into.into(), diameter, bottom, counterbore, countersink })
}

fn thread_of(file: &ThreadFile, hole: &Hole, at: &At, values: &mut Values) -> Option<Thread> {
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
    let unit = values.unit;
    if hole.diameter >= form.major_diameter {
        let message = format!(
            "the hole of {} is too large for {}, whose major diameter is {}",
            unit.write(hole.diameter),
            file.designation,
            unit.write(form.major_diameter)
        );
        let help = "give the hole the diameter of the tap drill";
        values.reports.fault(kinds::THREAD_HOLE, &designation_at, message, "", help);
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
            &designation_at,
            message,
            "",
            "check the tap drill on the print",
        );
    }
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

/// Index of the file entry that a break belongs to; `None` after a report.
fn owner(
    file: &BreakFile,
    at: &At,
    files: &[FeatureFile],
    index: usize,
    values: &mut Values,
) -> Option<usize> {
    let of_at = at.field("of");
    let earlier = files.get(..index).unwrap_or(&[]);
    let found = earlier.iter().position(|f| f.id == file.of);
    let Some(found) = found else {
        let later = files.iter().any(|f| f.id == file.of);
        let message = format!("{}: there is no earlier feature \"{}\"", of_at.path(), file.of);
        let near = nearest(&file.of, earlier.iter().map(|f| f.id.as_str()));
        let beside = near.map(|n| format!("did you mean \"{n}\"?")).unwrap_or_default();
        let help = if later { "put the break behind the feature" } else { "name the id of a feature above" };
        values.reports.fault(kinds::UNKNOWN_REFERENCE, &of_at, message, &beside, help);
        return None;
    };
    if files.get(found).is_some_and(|f| f.edge.is_some()) {
        let message = format!("{}: \"{}\" is itself a break", of_at.path(), file.of);
        values.reports.fault(
            kinds::UNKNOWN_REFERENCE,
            &of_at,
            message,
            "",
            "name a feature that adds or cuts",
        );
        return None;
    }
    Some(found)
}

fn edge_break(
    file: &BreakFile,
    of: usize,
    at: &At,
    general: Option<EdgeBreak>,
    values: &mut Values,
) -> Option<FeatureKind> {
    let mut one = |value: Option<f64>, general: Option<f64>, name: &str| match value {
        Some(value) if name == "leg" => Some(values.positive(value, &at.field(name))),
        Some(value) => Some(values.length(value, &at.field(name))),
        None if general.is_some() => general,
        None => {
            missing(at, name, "add it, or add \"break_edges\" to the drawing", values);
            None
        }
    };
    let leg = one(file.leg, general.map(|g| g.leg), "leg");
    let plus = one(file.plus, general.map(|g| g.tolerance.plus), "plus");
    let minus = one(file.minus, general.map(|g| g.tolerance.minus), "minus");
    let angle = values.angle(file.angle.unwrap_or(45.0), 90.0, &at.field("angle"));
    let edge = EdgeBreak { leg: leg?, tolerance: Tolerance { plus: plus?, minus: minus? } };
    values.zone(edge.tolerance, at);
    Some(FeatureKind::Break { of, face: file.face.into(), edge, angle })
}

/// Reports a face that the feature cannot have.
fn face_exists(file: &BreakFile, owner: &Feature, at: &At, values: &mut Values) {
    let face = Direction::from(file.face);
    let shape = match &owner.kind {
        FeatureKind::Add(shape) | FeatureKind::Cut(shape) => shape,
        FeatureKind::Break { .. } => return,
    };
    let exists = match shape {
        Shape::Box(_) => true,
        Shape::Cylinder(round) => round.axis == face.axis,
        Shape::Hole(hole) => hole.into.axis == face.axis,
        Shape::Prism { along, outline, .. } => *along == face.axis || has_side(outline, *along, face),
    };
    if !exists {
        let face_at = at.field("face");
        let message = format!("{}: \"{}\" has no flat face towards {face}", face_at.path(), owner.id);
        let help = "name the outward direction of one of its flat faces";
        values.reports.fault(kinds::NO_SUCH_FACE, &face_at, message, "", help);
    }
}

/// True when an outline has a straight side square to an axis of its plane; outwards or inwards is one here, since
/// a cut has its faces inside.
fn has_side(outline: &Outline, along: Axis, face: Direction) -> bool {
    let first = if along == Axis::X { Axis::Y } else { Axis::X };
    let across = |d: Vec2| if face.axis == first { d.x } else { d.y };
    let mut here = outline.start;
    let mut found = false;
    for segment in &outline.segments {
        let (OutlineSegment::Line { to } | OutlineSegment::Arc { to, .. }) = *segment;
        let is_line = matches!(segment, OutlineSegment::Line { .. });
        found |= is_line && across(to - here).abs() <= Unit::Millimetre.to_mm(1.0e-9);
        here = to;
    }
    found
}
