use super::drawing::{missing, not_of_kind, unique_ids};
use super::edge::{Before, edge};
use super::hole::{breaks, hole, thread_of};
use super::outline::outline;
use super::values::Values;
use crate::job::file::{FeatureFile, PrismFile, ShapeFile};
use crate::job::text::At;
use crate::job::{EdgeBreak, Feature, FeatureKind, HoleBottom, Shape, kinds};

/// The features of a drawing, in order.
pub(super) fn features(
    files: &[FeatureFile],
    at: &At,
    break_edges: Option<EdgeBreak>,
    values: &mut Values,
) -> Vec<Feature> {
    unique_ids(files.iter().map(|f| f.id.as_str()), at, "feature", values.reports);
    let mut before = Before::new(files);
    for (index, file) in files.iter().enumerate() {
        let at = at.item(index);
        let kind = kind(file, &at, &before, break_edges, values);
        before.indices.push(kind.is_some().then_some(before.features.len()));
        let Some(kind) = kind else { continue };
        before.features.push(feature(file, kind, &at, break_edges, values));
    }
    before.features
}

/// What a feature does; `None` after a report.
fn kind(
    file: &FeatureFile,
    at: &At,
    before: &Before,
    break_edges: Option<EdgeBreak>,
    values: &mut Values,
) -> Option<FeatureKind> {
    match (&file.add, &file.cut, &file.edge) {
        (Some(add), None, None) => shape(add, &at.field("add"), true, values).map(FeatureKind::Add),
        (None, Some(cut), None) => shape(cut, &at.field("cut"), false, values).map(FeatureKind::Cut),
        (None, None, Some(file)) => edge(file, &at.field("break"), before, break_edges, values),
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
