use super::outline_crossing::crossing;
use super::values::Values;
use crate::geom::Vec2;
use crate::job::file::{CircleFile, OutlineFile, RectangleFile, SegmentFile, SlotFile, TurnFile};
use crate::job::text::At;
use crate::job::{Outline, OutlineSegment, kinds};

/// Two points of an outline closer than this are one, millimetres: far below any drawing's decimals.
const SAME_POINT: f64 = 1.0e-6;
/// Largest difference of an arc's radii at its two ends, millimetres: what rounding to four decimals of an inch
/// can leave.
const ARC_TOLERANCE: f64 = 0.005;
/// More pieces than this make the search for crossings slow, and no print has them.
const MOST_PIECES: usize = 10_000;

/// The outline of a prism, in millimetres; `None` after a report.
pub(super) fn outline(file: &OutlineFile, at: &At, values: &mut Values) -> Option<Outline> {
    let forms = [
        ("path", file.path.is_some()),
        ("rectangle", file.rectangle.is_some()),
        ("circle", file.circle.is_some()),
        ("slot", file.slot.is_some()),
    ];
    let given: Vec<&str> = forms.iter().filter(|(_, is)| *is).map(|(name, _)| *name).collect();
    let [_] = given.as_slice() else {
        let (kind, message) = match given.as_slice() {
            [] => (kinds::MISSING_FIELD, format!("{} has no shape", at.path())),
            several => (kinds::CONTRADICTION, format!("{} has {}", at.path(), several.join(" and "))),
        };
        let help = "give exactly one of: start with path, rectangle, circle, slot";
        values.reports.fault(kind, at, message, "", help);
        return None;
    };
    if file.start.is_some() != file.path.is_some() {
        let message = format!("{}: start and path belong together", at.path());
        values.reports.fault(kinds::CONTRADICTION, at, message, "", "give both, or neither");
        return None;
    }
    if let Some(file) = &file.rectangle {
        return rectangle(file, &at.field("rectangle"), values);
    }
    if let Some(file) = &file.circle {
        return Some(circle(file, &at.field("circle"), values));
    }
    if let Some(file) = &file.slot {
        return slot(file, &at.field("slot"), values);
    }
    path(file.start?, file.path.as_deref()?, at, values)
}

fn path(start: [f64; 2], pieces: &[SegmentFile], at: &At, values: &mut Values) -> Option<Outline> {
    let start = values.point2(start, &at.field("start"));
    let before = values.reports.faults();
    let at_path = at.field("path");
    let mut here = start;
    let mut segments = Vec::new();
    for (index, file) in pieces.iter().enumerate() {
        let at = at_path.item(index);
        let mut to = values.point2(file.to, &at.field("to"));
        if (to - start).norm() <= SAME_POINT {
            to = start;
        }
        segment(here, to, file, &at, &mut segments, values);
        here = to;
    }
    let unit = values.unit;
    if (here - start).norm() > 0.0 || segments.is_empty() {
        let message = format!("{} does not end where it starts", at.path());
        let last = at_path.item(pieces.len().saturating_sub(1)).field("to");
        let beside = format!("{} from the start", unit.write((here - start).norm()));
        values.reports.fault_against(
            kinds::OUTLINE_NOT_CLOSED,
            (&last, &beside),
            (&at.field("start"), "starts here"),
            message,
            "add the piece that leads back to start",
        );
    }
    if values.reports.faults() > before {
        return None;
    }
    let outline = Outline { start, segments };
    let problem = if pieces.len() > MOST_PIECES {
        Some(format!("{} has more than {MOST_PIECES} pieces", at.path()))
    } else {
        crossing(&outline)
            .map(|p| format!("{} crosses itself near {}, {}", at.path(), unit.number(p.x), unit.number(p.y)))
    };
    if let Some(message) = problem {
        let help = "correct the points; an outline goes once around what it encloses";
        values.reports.fault(kinds::OUTLINE_NOT_CLOSED, &at_path, message, "", help);
        return None;
    }
    Some(outline)
}

fn segment(
    from: Vec2,
    to: Vec2,
    file: &SegmentFile,
    at: &At,
    segments: &mut Vec<OutlineSegment>,
    values: &mut Values,
) {
    let (center, turn) = match (file.center, file.turn) {
        (None, None) => {
            if (to - from).norm() > SAME_POINT {
                segments.push(OutlineSegment::Line { to });
            } else {
                let message = format!("{} is a line without length", at.path());
                values.reports.fault(kinds::NOT_POSITIVE, at, message, "", "take it out, or correct its end");
            }
            return;
        }
        (Some(center), Some(turn)) => (center, turn),
        (Some(_), None) | (None, Some(_)) => {
            let message = format!("{}: an arc needs both center and turn", at.path());
            let help = "add \"turn\": \"cw\" or \"ccw\" and \"center\", or leave both out for a line";
            values.reports.fault(kinds::MISSING_FIELD, at, message, "", help);
            return;
        }
    };
    let center_at = at.field("center");
    let center = values.point2(center, &center_at);
    let clockwise = matches!(turn, TurnFile::Cw);
    let (at_start, at_end) = ((from - center).norm(), (to - center).norm());
    if (at_start - at_end).abs() > ARC_TOLERANCE || at_start <= ARC_TOLERANCE {
        let unit = values.unit;
        let message = format!(
            "{}: its start is {} from the center, its end {}",
            at.path(),
            unit.write(at_start),
            unit.write(at_end)
        );
        let help = "both ends of an arc must be equally far from its center";
        values.reports.fault(kinds::ARC_OFF_CIRCLE, &center_at, message, "", help);
        return;
    }
    let chord = to - from;
    if chord.norm() <= SAME_POINT {
        // A full turn in two halves, so that no later reader has to ask whether it means nothing or everything.
        let opposite = center * 2.0 - from;
        segments.push(OutlineSegment::Arc { to: opposite, center, clockwise });
        segments.push(OutlineSegment::Arc { to, center, clockwise });
        return;
    }
    // The center goes onto the line that is equally far from both ends, so that the arc fits them exactly.
    let off = chord.dot(&(center - (from + to) * 0.5)) / chord.norm_squared();
    segments.push(OutlineSegment::Arc { to, center: center - chord * off, clockwise });
}

fn rectangle(file: &RectangleFile, at: &At, values: &mut Values) -> Option<Outline> {
    let before = values.reports.faults();
    let (min_at, max_at) = (at.field("min"), at.field("max"));
    let (min, max) = (values.point2(file.min, &min_at), values.point2(file.max, &max_at));
    values.below((min.x, &min_at.item(0)), (max.x, &max_at.item(0)));
    values.below((min.y, &min_at.item(1)), (max.y, &max_at.item(1)));
    let radius_at = at.field("corner_radius");
    let r = file.corner_radius.map_or(0.0, |r| values.not_negative(r, &radius_at));
    let most = (max - min).min() / 2.0;
    if r > most + SAME_POINT && values.reports.faults() == before {
        let message = format!("{} is more than half the shorter side", radius_at.path());
        let help = "correct the radius, or give the shape as a slot or a circle";
        values.reports.fault(kinds::CONTRADICTION, &radius_at, message, "", help);
    }
    if values.reports.faults() > before {
        return None;
    }
    let r = r.min(most);
    // Counter-clockwise from the left end of the lower side; each corner is the end of its side and its arc.
    let corners = [
        (Vec2::new(max.x, min.y), Vec2::new(-1.0, 0.0), Vec2::new(0.0, 1.0)),
        (max, Vec2::new(0.0, -1.0), Vec2::new(-1.0, 0.0)),
        (Vec2::new(min.x, max.y), Vec2::new(1.0, 0.0), Vec2::new(0.0, -1.0)),
        (min, Vec2::new(0.0, 1.0), Vec2::new(1.0, 0.0)),
    ];
    let start = Vec2::new(min.x + r, min.y);
    let mut here = start;
    let mut segments = Vec::new();
    for (corner, back, on) in corners {
        let (end, next) = (corner + back * r, corner + on * r);
        if (end - here).norm() > SAME_POINT {
            segments.push(OutlineSegment::Line { to: end });
            here = end;
        }
        if r > 0.0 {
            segments.push(OutlineSegment::Arc {
                to: next,
                center: corner + (back + on) * r,
                clockwise: false,
            });
            here = next;
        }
    }
    Some(Outline { start, segments })
}

fn circle(file: &CircleFile, at: &At, values: &mut Values) -> Outline {
    let center = values.point2(file.center, &at.field("center"));
    let radius = Vec2::new(values.positive(file.diameter, &at.field("diameter")) / 2.0, 0.0);
    let (start, opposite) = (center + radius, center - radius);
    let half = |to| OutlineSegment::Arc { to, center, clockwise: false };
    Outline { start, segments: vec![half(opposite), half(start)] }
}

fn slot(file: &SlotFile, at: &At, values: &mut Values) -> Option<Outline> {
    let (from_at, to_at) = (at.field("from"), at.field("to"));
    let (a, b) = (values.point2(file.from, &from_at), values.point2(file.to, &to_at));
    let r = values.positive(file.width, &at.field("width")) / 2.0;
    let along = b - a;
    if along.norm() <= SAME_POINT {
        let message = format!("{} has no length: from and to are the same point", at.path());
        values.reports.fault(
            kinds::NOT_POSITIVE,
            &to_at,
            message,
            "",
            "correct one of the two, or give a circle",
        );
        return None;
    }
    let along = along / along.norm();
    let left = Vec2::new(-along.y, along.x) * r;
    let start = a - left;
    let segments = vec![
        OutlineSegment::Line { to: b - left },
        OutlineSegment::Arc { to: b + left, center: b, clockwise: false },
        OutlineSegment::Line { to: a + left },
        OutlineSegment::Arc { to: start, center: a, clockwise: false },
    ];
    Some(Outline { start, segments })
}
