//! Parts with planted mistakes against their drawing.

use super::result::{
    BreakStatus, DimensionValue, FeatureResult, FeatureStatus, Inspection, Quantity, RegionKind, Verdict,
};
use super::synthetic::{Made, feed, job, run, tap};
use super::{Fact, final_part, inspect};
use crate::geom::{Axis, Direction, Vec3};
use crate::job::{
    Bore, Dimension, DimensionKind, Drawing, EdgeBreak, FeatureKind, Hole, HoleBottom, HoleEnd, Shape, Thread,
};
use crate::motion::{MoveKind, Run};
use crate::solid::Unclear;
use crate::solid::sample::{block, block_mesh, drawing, feature, hole, place, prism, rounded, tolerance};
use crate::stock::CutId;
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

const SPACING: f64 = 0.1;

/// A block with a blind hole (1), a bore with both edges broken (2), a slot (3) and a broken top edge (4).
fn plate() -> Drawing {
    let blind = HoleBottom::Blind { depth: 6.0, point_angle: Some(118f64.to_radians()) };
    let top = Direction::new(Axis::Z, true);
    let edge = EdgeBreak { leg: 0.5, tolerance: tolerance(0.2, 0.2) };
    let mut d = drawing(vec![
        feature("body", FeatureKind::Add(block([0.0; 3], [30.0, 20.0, 10.0]))),
        feature("H1", FeatureKind::Cut(Shape::Hole(hole([6.0, 6.0, 10.0], "-z", 5.0, blind)))),
        feature(
            "bore",
            FeatureKind::Cut(Shape::Hole(hole([15.0, 12.0, 10.0], "-z", 8.0, HoleBottom::Through))),
        ),
        feature("slot", FeatureKind::Cut(prism(Axis::Z, 7.0, 10.0, rounded([22.0, 5.0], [26.0, 15.0], 2.0)))),
        feature("top edge", FeatureKind::Break { of: 0, face: top, edge, angle: FRAC_PI_4 }),
    ]);
    d.features[1].diameter = Some(tolerance(0.05, 0.05));
    d.features[1].position = Some(0.1);
    d.features[2].diameter = Some(tolerance(0.02, 0.02));
    d.features[2].breaks = vec![HoleEnd::Entry, HoleEnd::Exit];
    let size = |id: &str, kind, along, nominal| Dimension {
        id: id.to_owned(),
        kind,
        along,
        nominal: Some(nominal),
        tolerance: Some(tolerance(0.05, 0.05)),
        place: place(),
    };
    d.dimensions = vec![
        size("A", DimensionKind::Overall, Axis::X, 30.0),
        size("B", DimensionKind::Thickness { at: Vec3::new(3.0, 15.0, 0.0) }, Axis::Z, 10.0),
        size("C", DimensionKind::Gap { at: Vec3::new(24.0, 10.0, 9.0) }, Axis::X, 4.0),
        size("D", DimensionKind::Line { at: Vec3::new(24.0, 10.0, 9.0) }, Axis::X, 0.0),
    ];
    d
}

fn inspected(asked: &Drawing, made: &Drawing) -> Inspection {
    let part = Made::new(made, SPACING);
    inspect(&job(Vec::new()), asked, &part, &[run(part.part.steps())], &|_| ())
}

fn hole_of(d: &mut Drawing, index: usize) -> &mut Hole {
    let FeatureKind::Cut(Shape::Hole(hole)) = &mut d.features[index].kind else { panic!("no hole") };
    hole
}

fn quantity<'a>(f: &'a FeatureResult, name: &str) -> &'a Quantity {
    f.quantities.iter().find(|q| q.name == name).expect("measured")
}

fn value(q: &Quantity) -> f64 {
    q.measured.expect("measured").value
}

#[track_caller]
fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} instead of {b}");
}

#[test]
fn a_part_as_drawn_has_nothing_wrong() {
    let asked = plate();
    let found = inspected(&asked, &asked);
    assert!(found.regions.is_empty(), "{:?}", found.regions);
    assert!(found.facts.is_empty(), "{:?}", found.facts);
    for f in &found.features {
        assert_eq!(f.status, FeatureStatus::Made, "{f:#?}");
    }
    near(value(quantity(&found.features[1], "diameter")), 5.0, 1e-6);
    near(value(quantity(&found.features[1], "depth")), 6.0, 3e-4);
    near(value(quantity(&found.features[1], "position")), 0.0, 1e-6);
    let ends: Vec<_> = found.features[2].breaks.iter().map(|b| (b.end, b.status)).collect();
    let broken = BreakStatus::Broken;
    assert_eq!(ends, [(Some(HoleEnd::Entry), broken), (Some(HoleEnd::Exit), broken)]);
    for b in found.features.iter().flat_map(|f| &f.breaks) {
        let (least, greatest) = b.leg.expect("measured");
        near(least.value, 0.5, least.bound);
        near(greatest.value, 0.5, greatest.bound);
        assert!(greatest.bound < 2e-3);
    }
    let verdicts: Vec<_> = found.dimensions.iter().map(|d| d.verdict).collect();
    let within = Some(Verdict::Within);
    assert_eq!(verdicts, [within, within, within, None]);
    let DimensionValue::Intervals(line) = &found.dimensions[3].value else { panic!("a line") };
    assert_eq!(line.len(), 3, "through the bore and the slot");
    near(line[1].1, 22.0, 1e-9);
    // The slot's ends were left by the slot's step: tool and line of that move.
    let [slot] = found.dimensions[2].made_by.as_slice() else { panic!("one maker") };
    assert_eq!((slot.setup, slot.tool, slot.lines.as_slice()), (Some(0), Some(6), [106].as_slice()));
    assert!(found.features[3].made_by.contains(slot));
    assert!(found.features[2].made_by.iter().any(|m| m.tool == Some(3)));
}

#[test]
fn a_wide_hole_beside_its_place_and_too_deep_is_measured() {
    let asked = plate();
    let mut made = plate();
    let h = hole_of(&mut made, 1);
    h.diameter = 5.2;
    h.at += Vec3::new(0.06, -0.08, 0.0);
    h.bottom = HoleBottom::Blind { depth: 6.5, point_angle: Some(118f64.to_radians()) };
    let found = inspected(&asked, &made);
    let f = &found.features[1];
    near(value(quantity(f, "diameter")), 5.2, 1e-6);
    near(value(quantity(f, "position")), 0.2, 1e-6);
    near(value(quantity(f, "depth")), 6.5, 3e-4);
    for name in ["diameter", "position", "depth"] {
        assert_eq!(quantity(f, name).verdict, Some(Verdict::Outside), "{name}");
    }
    assert_eq!(f.status, FeatureStatus::Outside);
    let [deep] = found.regions.as_slice() else { panic!("{:?}", found.regions) };
    assert_eq!((deep.kind, deep.feature), (RegionKind::Gouge, Some(1)));
    assert_eq!(found.features[3].status, FeatureStatus::Made);
}

#[test]
fn a_limit_inside_the_bound_is_undecided() {
    let asked = plate();
    let mut made = plate();
    hole_of(&mut made, 1).diameter = 5.05 - 1e-6;
    let found = inspected(&asked, &made);
    assert_eq!(quantity(&found.features[1], "diameter").verdict, Some(Verdict::Undecided));
    assert_eq!(found.features[1].status, FeatureStatus::Undecided);
}

#[test]
fn a_missing_hole_and_a_missing_slot_are_missing() {
    let asked = plate();
    let mut made = plate();
    made.features[1].kind = FeatureKind::Cut(block([100.0; 3], [101.0; 3]));
    made.features[3].kind = FeatureKind::Cut(block([100.0; 3], [101.0; 3]));
    let found = inspected(&asked, &made);
    assert_eq!(found.features[1].status, FeatureStatus::Missing);
    assert_eq!(found.features[3].status, FeatureStatus::Missing);
    assert_eq!(found.dimensions[2].verdict, Some(Verdict::Missing));
    let left: Vec<_> = found.regions.iter().map(|r| (r.kind, r.feature)).collect();
    assert_eq!(left.len(), 2);
    assert!(
        left.contains(&(RegionKind::Leftover, Some(1))) && left.contains(&(RegionKind::Leftover, Some(3)))
    );
    let slot = found.regions.iter().find(|r| r.feature == Some(3)).expect("slot");
    let volume = 3.0 * (4.0 * 10.0 - (4.0 - std::f64::consts::PI) * 4.0);
    // Next to the slot's faces, within their tolerance, nothing is counted.
    near(slot.volume, volume, 0.05 * volume);
    near(slot.depth.value, 2.0, 0.1);
}

#[test]
fn holes_that_stop_short_are_told_with_their_depth() {
    let asked = plate();
    let mut made = plate();
    hole_of(&mut made, 1).bottom = HoleBottom::Blind { depth: 5.0, point_angle: Some(118f64.to_radians()) };
    hole_of(&mut made, 2).bottom = HoleBottom::Blind { depth: 9.2, point_angle: None };
    let found = inspected(&asked, &made);
    let depth = quantity(&found.features[1], "depth");
    near(value(depth), 5.0, 3e-4);
    assert_eq!(depth.verdict, Some(Verdict::Outside));
    near(value(quantity(&found.features[1], "diameter")), 5.0, 1e-6);
    let depth = quantity(&found.features[2], "depth");
    near(value(depth), 9.2, 3e-4);
    assert_eq!(depth.verdict, Some(Verdict::Outside));
}

#[test]
fn edges_left_sharp_or_broken_too_much_are_found_and_nothing_else() {
    let asked = plate();
    let mut made = plate();
    made.features[2].breaks = vec![HoleEnd::Entry];
    made.features[4].kind = FeatureKind::Break {
        of: 0,
        face: Direction::new(Axis::Z, true),
        edge: EdgeBreak { leg: 0.9, tolerance: tolerance(0.0, 0.0) },
        angle: FRAC_PI_4,
    };
    let found = inspected(&asked, &made);
    let breaks: Vec<_> = found.features[2].breaks.iter().map(|b| b.status).collect();
    assert_eq!(breaks, [BreakStatus::Broken, BreakStatus::Missing]);
    let [top] = found.features[4].breaks.as_slice() else { panic!("one edge") };
    assert_eq!(top.status, BreakStatus::Outside);
    let (least, greatest) = top.leg.expect("measured");
    near(least.value, 0.9, 2e-3);
    near(greatest.value, 0.9, 2e-3);
    assert!(
        found.regions.iter().all(|r| r.kind == RegionKind::Gouge),
        "no leftover beside: {:?}",
        found.regions
    );
}

#[test]
fn a_break_missing_on_one_side_only_is_missing_there() {
    let asked = plate();
    let mut made = plate();
    // Material that covers the broken edge again along part of one side.
    made.features.push(feature("sharp", FeatureKind::Add(block([10.0, 0.0, 8.0], [14.0, 1.0, 10.0]))));
    let found = inspected(&asked, &made);
    let [top] = found.features[4].breaks.as_slice() else { panic!("one edge") };
    assert_eq!(top.status, BreakStatus::Missing);
    let at = top.at.expect("a place");
    assert!(10.0 <= at.x && at.x <= 14.0 && at.y.abs() < 1e-9, "{at:?}");
}

#[test]
fn a_gouge_is_found_with_its_depth_and_its_maker() {
    let asked = plate();
    let mut made = plate();
    // A pocket 3.5 deep where none is drawn.
    made.features.push(feature("groove", FeatureKind::Cut(block([18.0, 1.0, 6.5], [19.0, 3.0, 10.0]))));
    let found = inspected(&asked, &made);
    let [groove] = found.regions.as_slice() else { panic!("{:?}", found.regions) };
    assert_eq!((groove.kind, groove.feature), (RegionKind::Gouge, Some(0)));
    near(groove.volume, 7.0, 0.3);
    let maker = groove.made_by.as_ref().expect("a maker");
    assert_eq!(maker.tool, Some(Made::new(&made, 1.0).part.steps() - 1));
    // Deepest: in a lower corner, 3.5 below the top and 3 from the side.
    near(groove.depth.value, 3.0, 0.11);
    assert_eq!(found.features[0].status, FeatureStatus::Outside);
    assert!(found.dimensions.iter().all(|d| d.verdict.is_none_or(|v| v == Verdict::Within)));
}

#[test]
fn a_face_within_tolerance_is_no_gouge_and_one_outside_is() {
    for (off, regions) in [(0.04, 0), (0.06, 1)] {
        let asked = plate();
        let mut made = plate();
        // The bottom face, between which and the top a thickness of 10 +-0.05 is written.
        made.features[0].kind = FeatureKind::Add(block([0.0, 0.0, off], [30.0, 20.0, 10.0]));
        let found = inspected(&asked, &made);
        assert_eq!(found.regions.len(), regions, "{off}: {:?}", found.regions);
        let verdict = found.dimensions[1].verdict;
        assert_eq!(verdict == Some(Verdict::Outside), regions == 1);
        let DimensionValue::Size(size) = found.dimensions[1].value else { panic!("a size") };
        near(size.value, 10.0 - off, 1e-9);
    }
}

#[test]
fn counterbore_and_countersink_are_measured() {
    let with = |bore, sink| {
        let mut d = drawing(vec![
            feature("body", FeatureKind::Add(block([0.0; 3], [30.0, 20.0, 10.0]))),
            feature(
                "cb",
                FeatureKind::Cut(Shape::Hole(hole([8.0, 10.0, 10.0], "-z", 4.0, HoleBottom::Through))),
            ),
            feature(
                "cs",
                FeatureKind::Cut(Shape::Hole(hole([22.0, 20.0, 5.0], "-y", 4.0, HoleBottom::Through))),
            ),
        ]);
        hole_of(&mut d, 1).counterbore = Some(bore);
        hole_of(&mut d, 2).countersink = Some((sink, FRAC_PI_2));
        d
    };
    let asked = with(Bore { diameter: 8.0, depth: 3.0 }, 7.0);
    let found = inspected(&asked, &asked);
    assert!(found.features.iter().all(|f| f.status == FeatureStatus::Made), "{:#?}", found.features);
    assert!(found.regions.is_empty());
    let found = inspected(&asked, &with(Bore { diameter: 8.3, depth: 3.4 }, 6.5));
    let q = |f: usize, name| quantity(&found.features[f], name);
    near(value(q(1, "counterbore_diameter")), 8.3, 1e-6);
    near(value(q(1, "counterbore_depth")), 3.4, 3e-4);
    near(value(q(2, "countersink_diameter")), 6.5, 1e-6);
    for (f, name) in [(1, "counterbore_diameter"), (1, "counterbore_depth"), (2, "countersink_diameter")] {
        assert_eq!(q(f, name).verdict, Some(Verdict::Outside), "{name}");
    }
    assert_eq!(q(1, "diameter").verdict, Some(Verdict::Within));
}

/// A hole that is tapped down to `tip` below its mouth by a tap of this size.
fn tapped(drilled: f64, diameter: f64, pitch: f64, tip: f64) -> (FeatureResult, Vec<Fact>) {
    let blind = HoleBottom::Blind { depth: 9.0, point_angle: Some(118f64.to_radians()) };
    let thread = Thread {
        designation: "M6x1-6H".to_owned(),
        major_diameter: 6.0,
        pitch: 1.0,
        minor_limits: Some((4.917, 5.153)),
        depth: Some(6.0),
    };
    let with = |diameter| {
        let mut d = drawing(vec![
            feature("body", FeatureKind::Add(block([0.0; 3], [20.0, 20.0, 15.0]))),
            feature("H", FeatureKind::Cut(Shape::Hole(hole([10.0, 10.0, 15.0], "-z", diameter, blind)))),
        ]);
        d.features[1].thread = Some(thread.clone());
        d
    };
    let part = Made::new(&with(drilled), 0.25);
    let mut moves: Run = run(part.part.steps());
    let (from, to) = (Vec3::new(10.0, 10.0, 18.0), Vec3::new(10.0, 10.0, 15.0 - tip));
    let mut m = feed(900, 50, from, to);
    m.kind = MoveKind::Thread;
    moves.moves.push(m);
    let found = inspect(&job(vec![tap(50, diameter, pitch)]), &with(5.0), &part, &[moves], &|_| ());
    (found.features[1].clone(), found.facts)
}

#[test]
fn threads_are_judged_by_tap_depth_and_drill() {
    let (f, facts) = tapped(5.0, 6.0, 1.0, 7.6);
    assert_eq!(f.status, FeatureStatus::Made, "{f:#?}");
    assert!(facts.is_empty());
    near(value(quantity(&f, "thread_depth")), 6.1, 1e-9);
    let (f, _) = tapped(5.0, 6.0, 1.0, 7.4);
    assert_eq!(quantity(&f, "thread_depth").verdict, Some(Verdict::Outside));
    let (f, facts) = tapped(5.0, 5.0, 0.8, 8.0);
    assert_eq!(quantity(&f, "thread_depth").verdict, Some(Verdict::Missing));
    assert_eq!(facts, [Fact::WrongTap { feature: 1, setup: 0, move_index: 3 }]);
    for (drilled, verdict) in [(5.2, Verdict::Outside), (4.9, Verdict::Outside), (5.1, Verdict::Within)] {
        let (f, _) = tapped(drilled, 6.0, 1.0, 8.0);
        assert_eq!(quantity(&f, "minor_diameter").verdict, Some(verdict), "{drilled}");
    }
}

#[test]
fn what_is_not_modelled_is_undecided_never_made() {
    let mut asked = plate();
    asked.features.push(feature(
        "side edge",
        FeatureKind::Break {
            of: 3,
            face: Direction::new(Axis::X, true),
            edge: EdgeBreak { leg: 0.5, tolerance: tolerance(0.1, 0.1) },
            angle: FRAC_PI_4,
        },
    ));
    // An edge that a later cut takes away everywhere.
    asked.features.push(feature("end", FeatureKind::Cut(block([21.0, 4.0, 6.0], [27.0, 16.0, 11.0]))));
    asked.features.insert(
        4,
        feature(
            "slot edge",
            FeatureKind::Break {
                of: 3,
                face: Direction::new(Axis::Z, true),
                edge: EdgeBreak { leg: 0.3, tolerance: tolerance(0.1, 0.1) },
                angle: FRAC_PI_4,
            },
        ),
    );
    let found = inspected(&asked, &asked);
    assert_eq!(
        found.facts,
        [
            Fact::Unclear(Unclear::BreakFace { feature: 6 }),
            Fact::Unclear(Unclear::EdgeGone { feature: 4, end: None }),
        ]
    );
    assert_eq!(found.features[4].status, FeatureStatus::Undecided);
    assert_eq!(found.features[6].status, FeatureStatus::Undecided);
}

#[test]
fn the_whole_part_and_its_extent() {
    let asked = plate();
    let part = Made::new(&asked, SPACING);
    let whole = final_part(&part, (1.0, 0.1), 2, None);
    near((whole.bounds.size() - Vec3::new(30.0, 20.0, 10.0)).norm(), 0.0, 1e-9);
    assert_eq!((whole.pieces, whole.gouge_volume), (2, None));
    // A round end between two rays: the very top is found.
    let bar = crate::job::RoundBar {
        axis: Axis::Z,
        center: Vec3::new(0.033, 0.0, 0.0),
        radius: 5.0,
        from: 0.0,
        to: 4.0,
    };
    let round = Made::new(&drawing(vec![feature("bar", FeatureKind::Add(Shape::Cylinder(bar)))]), 0.3);
    let whole = final_part(&round, (1.0, 0.1), 1, None);
    near(whole.bounds.max.x, 5.033, 1e-6);
    near(whole.bounds.min.y, -5.0, 1e-6);
    assert_eq!(CutId::RAW, CutId(0));
}

#[test]
fn a_part_is_compared_with_the_drawings_mesh() {
    let mut asked = drawing(Vec::new());
    asked.mesh = Some(std::sync::Arc::new(block_mesh([0.0; 3], [30.0, 20.0, 10.0], 3)));
    let mut made = drawing(vec![feature("body", FeatureKind::Add(block([0.0; 3], [30.0, 20.0, 10.05])))]);
    assert!(inspected(&asked, &made).regions.is_empty(), "within the general tolerance");
    made.features.push(feature("groove", FeatureKind::Cut(block([8.0, 5.0, 9.5], [9.0, 9.0, 11.0]))));
    made.features.push(feature("bump", FeatureKind::Add(block([20.0, 5.0, 9.0], [24.0, 9.0, 10.7]))));
    let found = inspected(&asked, &made);
    let told: Vec<_> =
        found.regions.iter().map(|r| (r.kind, (r.depth.value * 1e3).round(), r.feature)).collect();
    assert_eq!(told, [(RegionKind::Leftover, 700.0, None), (RegionKind::Gouge, 500.0, None)]);
    // A mesh with a hole in it is told, never taken for a part.
    let mut open = block_mesh([0.0; 3], [30.0, 20.0, 10.0], 1);
    open.triangles.pop();
    asked.mesh = Some(std::sync::Arc::new(open));
    assert_eq!(inspected(&asked, &made).facts, [Fact::MeshNotClosed]);
    // Cuts without a body cannot be compared either.
    let cuts = drawing(vec![feature("groove", FeatureKind::Cut(block([8.0, 5.0, 9.5], [9.0, 9.0, 11.0])))]);
    assert!(inspected(&cuts, &made).facts.contains(&Fact::NothingToCompare));
}
