//! What a tool does during one stay in the spindle, in words: "drills H1 and H2", "mills bore, slot and body".
//!
//! The features are those whose surfaces it left on the finished part. A hole that a later tool opened up keeps
//! no trace of the first one; so hole-making tools also name the holes on whose axis they go down. These are words
//! for the reader: nothing is judged by them.

use crate::findings::words;
use crate::geom::{Axis, Path, Vec3};
use crate::job::{Feature, FeatureKind, Job, Shape, ToolKind};
use crate::motion::{Cycle, Move, MoveKind, Run};
use crate::proof::ToolSection;

/// A tool that goes down nearer than this to a hole's axis is said to work on that hole, mm.
const ON_AXIS: f64 = 0.05;

/// Most features named in one sentence.
const MOST_NAMES: usize = 8;

/// What a tool does during one stay in the spindle, in words. `inspected`: the finished part was looked at, so that a
/// tool without features is known to have left no surface of it.
pub fn deeds(job: &Job, setup: usize, run: &Run, section: &ToolSection, inspected: bool) -> String {
    let Some(tool) = section.tool.and_then(|n| job.tool(n)) else {
        return if section.tool.is_some() {
            "is not in the tool table".to_owned()
        } else {
            "no tool".to_owned()
        };
    };
    let moves = run.moves.get(section.moves.clone()).unwrap_or(&[]);
    let verb = verb(tool.kind, moves);
    let mut names = names_of(job, setup, tool.kind, &section.features);
    let plunges = if makes_holes(tool.kind) { plunges(moves) } else { Vec::new() };
    for name in holes_at(job, setup, &plunges) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let marks = matches!(tool.kind, ToolKind::Tap { .. });
    if section.removed_volume <= 0.0 && !marks {
        return "takes nothing off".to_owned();
    }
    if matches!(tool.kind, ToolKind::ChamferMill { .. }) && !names.is_empty() {
        return edges(job, &names);
    }
    match (names.is_empty(), plunges.len()) {
        (false, _) => format!("{verb} {}", words::list(&names, MOST_NAMES)),
        (true, 0) if inspected => "roughs: none of its surfaces is left on the part".to_owned(),
        (true, 0) => verb.to_owned(),
        (true, n) => format!("{verb} in {}", words::count(n, "place", "places")),
    }
}

/// Break features by their own names, everything else by what the edges belong to.
fn edges(job: &Job, names: &[String]) -> String {
    let kind_of =
        |name: &str| job.drawing.iter().flat_map(|d| &d.features).find(|f| f.id == name).map(|f| &f.kind);
    let is_break = |name: &&String| matches!(kind_of(name), Some(FeatureKind::Break { .. }));
    let (breaks, mut others): (Vec<&String>, Vec<&String>) = names.iter().partition(is_break);
    if !breaks.is_empty() {
        // The body's edges are those that the break features name.
        others.retain(|name| !matches!(kind_of(name), Some(FeatureKind::Add(_))));
    }
    let list = |names: Vec<&String>| words::list(&names.into_iter().cloned().collect::<Vec<_>>(), MOST_NAMES);
    match (breaks.is_empty(), others.is_empty()) {
        (true, _) => format!("breaks edges of {}", list(others)),
        (false, true) => format!("breaks {}", list(breaks)),
        (false, false) => format!("breaks {}; edges of {}", list(breaks), list(others)),
    }
}

const fn makes_holes(kind: ToolKind) -> bool {
    match kind {
        ToolKind::Drill { .. }
        | ToolKind::SpotDrill { .. }
        | ToolKind::CenterDrill { .. }
        | ToolKind::Reamer
        | ToolKind::Tap { .. }
        | ToolKind::Counterbore
        | ToolKind::BoringBar => true,
        ToolKind::EndMill
        | ToolKind::BullMill { .. }
        | ToolKind::BallMill
        | ToolKind::FaceMill { .. }
        | ToolKind::TaperMill { .. }
        | ToolKind::ChamferMill { .. }
        | ToolKind::SlotCutter { .. } => false,
    }
}

fn verb(kind: ToolKind, moves: &[Move]) -> &'static str {
    match kind {
        ToolKind::Drill { .. } if moves.iter().any(|m| m.cycle == Some(Cycle::Peck)) => "peck-drills",
        ToolKind::Drill { .. } => "drills",
        ToolKind::SpotDrill { .. } => "spots",
        ToolKind::CenterDrill { .. } => "center-drills",
        ToolKind::Reamer => "reams",
        ToolKind::Tap { .. } => "taps",
        ToolKind::Counterbore => "counterbores",
        ToolKind::BoringBar => "bores",
        ToolKind::FaceMill { .. } => "faces",
        ToolKind::ChamferMill { .. } => "breaks edges of",
        ToolKind::SlotCutter { .. } => "undercuts",
        ToolKind::EndMill | ToolKind::BullMill { .. } | ToolKind::BallMill | ToolKind::TaperMill { .. } => {
            "mills"
        }
    }
}

/// Where the tool goes straight down at feed: each place once, in order.
fn plunges(moves: &[Move]) -> Vec<Vec3> {
    let mut places: Vec<Vec3> = Vec::new();
    for m in moves {
        let Path::Line { from, to } = m.path else { continue };
        let down = to.z < from.z && (to - from).xy().norm() < 1e-6;
        if down && matches!(m.kind, MoveKind::Feed | MoveKind::Thread) {
            // Pecks come to the same place again and again.
            if !places.iter().rev().take(64).any(|p| (p - to).xy().norm() < 1e-6) {
                places.push(to);
            }
        }
    }
    places
}

/// Names of the features that a tool left a surface of and that a machinist would say it worked on: a hole's mouth
/// belongs to the face about it, and so to whatever cut that face.
fn names_of(job: &Job, setup: usize, kind: ToolKind, features: &[usize]) -> Vec<String> {
    let Some(drawing) = &job.drawing else { return Vec::new() };
    let spindle = job.setups.get(setup).map(|s| s.frame.direction(Axis::Z).axis);
    let worked_on = |feature: &&Feature| match axis_of(feature) {
        Some((axis, _)) => Some(axis) == spindle && !matches!(kind, ToolKind::FaceMill { .. }),
        None => true,
    };
    let named = features.iter().filter_map(|i| drawing.features.get(*i));
    named.filter(worked_on).map(|f| f.id.clone()).collect()
}

/// The holes of the drawing that lie along the spindle and on whose axis one of the places lies.
fn holes_at(job: &Job, setup: usize, places_in_setup: &[Vec3]) -> Vec<String> {
    let (Some(drawing), Some(setup)) = (&job.drawing, job.setups.get(setup)) else { return Vec::new() };
    let on_axis = |feature: &&Feature| {
        let Some((axis, point)) = axis_of(feature) else { return false };
        let along = setup.frame.setup_axis(axis).axis;
        let middle = setup.frame.setup_from_part(&point);
        along == Axis::Z && places_in_setup.iter().any(|p| (p - middle).xy().norm() < ON_AXIS)
    };
    drawing.features.iter().filter(on_axis).map(|f| f.id.clone()).collect()
}

/// Axis of a round hole or recess, and a point on it, part frame.
fn axis_of(feature: &Feature) -> Option<(Axis, Vec3)> {
    match &feature.kind {
        FeatureKind::Cut(Shape::Hole(hole)) => Some((hole.into.axis, hole.at)),
        FeatureKind::Cut(Shape::Cylinder(round)) => Some((round.axis, round.center)),
        FeatureKind::Cut(Shape::Box(_) | Shape::Prism { .. })
        | FeatureKind::Add(_)
        | FeatureKind::Break { .. } => None,
    }
}
