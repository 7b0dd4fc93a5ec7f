use super::values::Values;
use crate::geom::{Axis, Direction, Vec2};
use crate::job::file::{BreakFile, FeatureFile};
use crate::job::text::{At, nearest};
use crate::job::{EdgeBreak, Feature, FeatureKind, Outline, OutlineSegment, Shape, Tolerance, kinds};
use std::collections::BTreeMap;

/// What stands before a feature in its drawing, for the breaks that refer to it.
pub(super) struct Before<'a> {
    /// Every feature of the file by its id (the first where an id is given twice): its position in the file.
    positions: BTreeMap<&'a str, usize>,
    files: &'a [FeatureFile],
    /// Features that came out, and for each position in the file the index there.
    pub(super) features: Vec<Feature>,
    pub(super) indices: Vec<Option<usize>>,
}

impl<'a> Before<'a> {
    pub(super) fn new(files: &'a [FeatureFile]) -> Self {
        let mut positions = BTreeMap::new();
        for (position, file) in files.iter().enumerate() {
            positions.entry(file.id.as_str()).or_insert(position);
        }
        Self { positions, files, features: Vec::new(), indices: Vec::new() }
    }
}

/// A break of edges; `None` after a report.
pub(super) fn edge(
    file: &BreakFile,
    at: &At,
    before: &Before,
    general: Option<EdgeBreak>,
    values: &mut Values,
) -> Option<FeatureKind> {
    let position = owner(file, at, before, values)?;
    let of = before.indices.get(position).copied().flatten()?;
    face_exists(file, before.features.get(of)?, at, values);
    edge_break(file, of, at, general, values)
}

/// Position in the file of the feature that a break belongs to; `None` after a report.
fn owner(file: &BreakFile, at: &At, before: &Before, values: &mut Values) -> Option<usize> {
    let of_at = at.field("of");
    let here = before.indices.len();
    let found = before.positions.get(file.of.as_str()).copied();
    match found {
        Some(position) if position < here => {
            if before.files.get(position).is_some_and(|f| f.edge.is_some()) {
                let message = format!("{}: \"{}\" is itself a break", of_at.path(), file.of);
                let help = "name a feature that adds or cuts";
                values.reports.fault(kinds::UNKNOWN_REFERENCE, &of_at, message, "", help);
                return None;
            }
            Some(position)
        }
        // With very many mistakes the search for the nearest name would take long and tell nobody anything.
        _ if values.reports.is_full() => None,
        _ => {
            let message = format!("{}: there is no earlier feature \"{}\"", of_at.path(), file.of);
            let earlier = before.files.iter().take(here).map(|f| f.id.as_str());
            let near =
                nearest(&file.of, earlier).map(|n| format!("did you mean \"{n}\"?")).unwrap_or_default();
            let help = match found {
                Some(_) => "put the break behind the feature",
                None => "name the id of a feature above",
            };
            values.reports.fault(kinds::UNKNOWN_REFERENCE, &of_at, message, &near, help);
            None
        }
    }
}

fn edge_break(
    file: &BreakFile,
    of: usize,
    at: &At,
    general: Option<EdgeBreak>,
    values: &mut Values,
) -> Option<FeatureKind> {
    let given = [("leg", file.leg), ("plus", file.plus), ("minus", file.minus)];
    let lacking: Vec<&str> =
        given.iter().filter(|(_, value)| value.is_none()).map(|(name, _)| *name).collect();
    if general.is_none() && !lacking.is_empty() {
        let message = format!("{} has no {}", at.path(), lacking.join(", "));
        let help = "add what is missing, or add \"break_edges\" to the drawing";
        values.reports.fault(kinds::MISSING_FIELD, at, message, "", help);
        return None;
    }
    let leg = file.leg.map_or(general.map(|g| g.leg), |leg| Some(values.positive(leg, &at.field("leg"))));
    let mut deviation = |value: Option<f64>, name: &str| value.map(|v| values.length(v, &at.field(name)));
    let plus = deviation(file.plus, "plus").or(general.map(|g| g.tolerance.plus));
    let minus = deviation(file.minus, "minus").or(general.map(|g| g.tolerance.minus));
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
        found |= is_line && across(to - here).abs() <= 1.0e-9;
        here = to;
    }
    found
}
