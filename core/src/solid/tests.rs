use super::sample::{block, drawing, feature, hole, prism, rounded};
use super::{NominalPart, Unclear};
use crate::geom::{Axis, Box3, Direction, Spans, Vec2, Vec3};
use crate::job::{Bore, Drawing, FeatureKind, Hole, HoleBottom, HoleEnd, RoundBar, Shape};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

fn add(shape: Shape) -> FeatureKind {
    FeatureKind::Add(shape)
}

fn cut(shape: Shape) -> FeatureKind {
    FeatureKind::Cut(shape)
}

fn one(kinds: Vec<FeatureKind>) -> Drawing {
    let name = |i: usize| format!("F{i}");
    drawing(kinds.into_iter().enumerate().map(|(i, k)| feature(&name(i), k)).collect())
}

/// Volume by summing exact pieces of rays over `n` x `n` cells across `over`; choose them so that faces lie between cells.
fn volume(part: &NominalPart, axis: Axis, over: &Box3, n: i32) -> f64 {
    let (u, v) = axis.others();
    let (du, dv) = (u.of(&over.size()) / f64::from(n), v.of(&over.size()) / f64::from(n));
    let mut spans = Spans::new();
    let mut sum = 0.0;
    for i in 0..n {
        for j in 0..n {
            let at = |a: Axis, d: f64, k: i32| a.of(&over.min) + (f64::from(k) + 0.5) * d;
            part.spans(axis, at(u, du, i), at(v, dv, j), &mut spans);
            sum += spans.iter().map(|(a, b)| b - a).sum::<f64>();
        }
    }
    sum * du * dv
}

fn all_volumes_are(kinds: Vec<FeatureKind>, expected: f64, within: f64) {
    let part = NominalPart::from_drawing(&one(kinds));
    let over = part.bounds();
    for axis in Axis::ALL {
        let found = volume(&part, axis, &over, 500);
        assert!((found - expected).abs() < within, "{axis:?}: {found} instead of {expected}");
    }
}

/// Volume of a ring under a 45 degree break of leg `l` around a bore of radius `r`: a triangle of area l*l/2 whose
/// centre of gravity lies l/3 outside the wall (second theorem of Pappus and Guldin).
fn ring(r: f64, l: f64) -> f64 {
    l * l / 2.0 * 2.0 * PI * (r + l / 3.0)
}

#[test]
fn a_block_with_a_pointed_hole_has_the_volume_of_the_formula() {
    let bottom = HoleBottom::Blind { depth: 6.0, point_angle: Some(118f64.to_radians()) };
    let tip = 2.5 / libm::tan(59f64.to_radians());
    let expected = 20.0 * 15.0 * 10.0 - PI * 2.5 * 2.5 * (6.0 + tip / 3.0);
    for (at, into) in [([10.0, 7.0, 10.0], "-z"), ([0.0, 7.0, 5.0], "+x"), ([10.0, 15.0, 5.0], "-y")] {
        let drill = hole(at, into, 5.0, bottom);
        all_volumes_are(
            vec![add(block([0.0; 3], [20.0, 15.0, 10.0])), cut(Shape::Hole(drill))],
            expected,
            0.25,
        );
    }
}

#[test]
fn counterbore_countersink_and_broken_ends_have_the_volume_of_the_formulas() {
    let mut bored = hole([6.0, 6.0, 10.0], "-z", 4.0, HoleBottom::Through);
    bored.counterbore = Some(Bore { diameter: 7.0, depth: 3.0 });
    let mut sunk = hole([15.0, 6.0, 10.0], "-z", 4.0, HoleBottom::Through);
    sunk.countersink = Some((6.0, FRAC_PI_2));
    let mut d =
        one(vec![add(block([0.0; 3], [20.0, 12.0, 10.0])), cut(Shape::Hole(bored)), cut(Shape::Hole(sunk))]);
    d.features[1].breaks = vec![HoleEnd::Entry, HoleEnd::Exit];
    d.features[2].breaks = vec![HoleEnd::Exit];
    let part = NominalPart::from_drawing(&d);
    assert!(part.unclear().is_empty(), "{:?}", part.unclear());
    let expected = 2400.0
        - (PI * 4.0 * 7.0 + PI * 3.5 * 3.5 * 3.0 + ring(3.5, 0.5) + ring(2.0, 0.5))
        - (PI * 4.0 * 10.0 + PI * (9.0 + 6.0 + 4.0) / 3.0 - PI * 4.0 + ring(2.0, 0.5));
    let over = part.bounds();
    for axis in Axis::ALL {
        let found = volume(&part, axis, &over, 600);
        assert!((found - expected).abs() < 0.2, "{axis:?}: {found} instead of {expected}");
    }
}

/// A prism with a broken edge on each end along every axis, against the volume by Steiner's formula for offsets of a
/// convex outline: what the break leaves at depth d is the outline offset inwards by `leg - d`.
#[test]
fn broken_prism_ends_have_the_volume_of_the_formula() {
    let (leg, r) = (0.6, 1.5);
    let (w, h) = (12.0, 8.0);
    let area = |by: f64| {
        let (w, h, r) = (w - 2.0 * by, h - 2.0 * by, r - by);
        w * h - (4.0 - PI) * r * r
    };
    // Simpson's rule is exact for a quadratic in the offset.
    let removed = leg * (area(0.0) - (area(0.0) + 4.0 * area(leg / 2.0) + area(leg)) / 6.0);
    for along in Axis::ALL {
        let body = prism(along, 1.0, 6.0, rounded([0.0, 0.0], [w, h], r));
        let broken = |positive| FeatureKind::Break {
            of: 0,
            face: Direction::new(along, positive),
            edge: crate::job::EdgeBreak { leg, tolerance: super::sample::tolerance(0.1, 0.1) },
            angle: FRAC_PI_4,
        };
        let expected = area(0.0) * 5.0 - 2.0 * removed;
        all_volumes_are(vec![add(body), broken(true), broken(false)], expected, 0.15);
    }
}

/// Independent membership of the part of the test below, written out by hand from its drawing.
fn member_by_hand(p: &Vec3) -> bool {
    let plate = 0.0 < p.x && p.x < 30.0 && 0.0 < p.y && p.y < 20.0 && 0.0 < p.z && p.z < 8.0;
    let boss = libm::hypot(p.x - 15.0, p.y - 10.0) < 6.0 && 0.0 < p.z && p.z < 14.0;
    let boss_break = p.z > 14.0 - 1.0 && libm::hypot(p.x - 15.0, p.y - 10.0) > 6.0 - (1.0 - (14.0 - p.z));
    let cross = libm::hypot(p.x - 15.0, p.z - 4.0) < 1.5;
    let depth = 14.0 - p.z;
    let rho = libm::hypot(p.x - 15.0, p.y - 10.0);
    let bore = rho < 3.0 && depth < 9.0;
    let tip = depth >= 9.0 && rho < 3.0 - (depth - 9.0) * libm::tan(59f64.to_radians());
    let foot = p.z < 0.5 && (p.x < 0.5 - p.z || p.x > 29.5 + p.z || p.y < 0.5 - p.z || p.y > 19.5 + p.z);
    (plate || boss && !boss_break) && !cross && !bore && !tip && !foot
}

fn plate_with_boss() -> Drawing {
    let bottom = HoleBottom::Blind { depth: 9.0, point_angle: Some(118f64.to_radians()) };
    let edge = |leg| crate::job::EdgeBreak { leg, tolerance: super::sample::tolerance(0.2, 0.2) };
    let boss =
        RoundBar { axis: Axis::Z, center: Vec3::new(15.0, 10.0, 0.0), radius: 6.0, from: 0.0, to: 14.0 };
    one(vec![
        add(block([0.0; 3], [30.0, 20.0, 8.0])),
        add(Shape::Cylinder(boss)),
        FeatureKind::Break { of: 1, face: Direction::new(Axis::Z, true), edge: edge(1.0), angle: FRAC_PI_4 },
        FeatureKind::Break { of: 0, face: Direction::new(Axis::Z, false), edge: edge(0.5), angle: FRAC_PI_4 },
        cut(Shape::Hole(hole([15.0, 10.0, 14.0], "-z", 6.0, bottom))),
        cut(Shape::Hole(hole([15.0, 20.0, 4.0], "-y", 3.0, HoleBottom::Through))),
    ])
}

#[test]
fn rays_points_and_a_membership_written_by_hand_agree() {
    let part = NominalPart::from_drawing(&plate_with_boss());
    let mut spans = Spans::new();
    let (mut solid, mut air) = (0, 0);
    let mut state = 7_u64;
    let mut random = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 32).unwrap_or(0)) / f64::from(u32::MAX)
    };
    for _ in 0..40_000 {
        let p = Vec3::new(random() * 32.0 - 1.0, random() * 22.0 - 1.0, random() * 16.0 - 1.0);
        let by_hand = member_by_hand(&p);
        assert_eq!(part.contains(&p), by_hand, "{p:?}");
        for axis in Axis::ALL {
            let (u, v) = axis.others();
            part.spans(axis, u.of(&p), v.of(&p), &mut spans);
            let at = axis.of(&p);
            assert_eq!(spans.iter().any(|(a, b)| *a < at && at < *b), by_hand, "{axis:?} {p:?}");
        }
        if by_hand { solid += 1 } else { air += 1 }
    }
    assert!(solid > 5000 && air > 5000);
}

#[test]
fn distances_bracket_the_truth_and_name_the_face() {
    let part = NominalPart::from_drawing(&plate_with_boss());
    // Inside the plate, 2 under its top, far from all else.
    let p = Vec3::new(4.0, 4.0, 6.0);
    let near = part.near(&p).expect("a surface");
    assert!((near.distance - 2.0).abs() < 1e-12 && near.step == 0 && near.face == 1);
    assert!((part.distance_at_least(&p) - 2.0).abs() < 1e-12);
    // In the air inside the blind hole: the wall is nearest, and it belongs to the hole.
    let near = part.near(&Vec3::new(17.5, 10.0, 11.0)).expect("a surface");
    assert!((near.distance - 0.5).abs() < 1e-12);
    assert_eq!(part.feature_of(near.step), Some(4));
    // In the air where a face would be nearer if the boss's edge were not broken.
    let p = Vec3::new(20.9, 10.0, 13.9);
    let near = part.near(&p).expect("a surface");
    assert!((near.distance - 0.8 / 2f64.sqrt()).abs() < 1e-9, "{near:?}");
    assert_eq!(part.feature_of(near.step), Some(2));
    assert!(part.distance_at_least(&p) <= near.distance);
}

#[test]
fn what_cannot_be_modelled_is_said() {
    let round = RoundBar { axis: Axis::X, center: Vec3::zeros(), radius: 10.0, from: 0.0, to: 40.0 };
    let mut d = one(vec![
        add(Shape::Cylinder(round)),
        cut(Shape::Hole(hole([20.0, 0.0, 10.0], "-z", 5.0, HoleBottom::Through))),
        cut(Shape::Hole(Hole {
            countersink: Some((4.0, FRAC_PI_2)),
            ..hole([0.0, 0.0, 0.0], "+x", 2.0, HoleBottom::Blind { depth: 5.0, point_angle: None })
        })),
        FeatureKind::Break {
            of: 0,
            face: Direction::new(Axis::Z, true),
            edge: crate::job::EdgeBreak { leg: 0.5, tolerance: super::sample::tolerance(0.1, 0.1) },
            angle: FRAC_PI_4,
        },
    ]);
    d.features[1].breaks = vec![HoleEnd::Entry, HoleEnd::Exit];
    d.features[2].breaks = vec![HoleEnd::Entry, HoleEnd::Exit];
    let part = NominalPart::from_drawing(&d);
    assert_eq!(
        part.unclear(),
        [
            Unclear::HoleEndNotFlat { feature: 1, end: HoleEnd::Entry },
            Unclear::HoleEndNotFlat { feature: 1, end: HoleEnd::Exit },
            Unclear::HoleEndWithoutEdge { feature: 2, end: HoleEnd::Entry },
            Unclear::HoleEndWithoutEdge { feature: 2, end: HoleEnd::Exit },
            Unclear::BreakFace { feature: 3 },
        ]
    );
    assert!(part.edges().is_empty());
}

#[test]
fn places_run_all_along_an_edge_and_keep_clear_of_corners() {
    let edge = crate::job::EdgeBreak { leg: 0.5, tolerance: super::sample::tolerance(0.1, 0.1) };
    let mut bore = prism(Axis::Z, 0.0, 5.0, rounded([2.0, 2.0], [8.0, 8.0], 2.0));
    if let Shape::Prism { outline, .. } = &mut bore {
        assert_eq!(outline.start, Vec2::new(4.0, 2.0));
    }
    let up = Direction::new(Axis::Z, true);
    let d = one(vec![
        add(block([0.0; 3], [10.0, 10.0, 5.0])),
        cut(bore),
        FeatureKind::Break { of: 0, face: up, edge, angle: FRAC_PI_4 },
        FeatureKind::Break { of: 1, face: up, edge, angle: FRAC_PI_4 },
    ]);
    let part = NominalPart::from_drawing(&d);
    let [outer, inner] = part.edges() else { panic!("two edges") };
    let places = outer.places(1.0, 0.8);
    assert_eq!(places.len(), 4 * 9);
    for p in &places {
        let inside = outer.point(p.plane + p.into_material * 0.4, 0.6);
        assert!(part.contains(&inside) && !part.contains(&outer.point(p.plane - p.into_material * 0.4, 0.6)));
        assert!(p.plane.x.min(p.plane.y).min(10.0 - p.plane.x.max(p.plane.y)) < 1e-12);
    }
    let places = inner.places(0.5, 0.8);
    assert_eq!(places.len(), 4 * (4 + 7), "smooth runs are not interrupted");
    for p in &places {
        assert!(part.contains(&inner.point(p.plane + p.into_material * 0.7, 0.2)));
        assert!(!part.contains(&inner.point(p.plane + p.into_material * 0.3, 0.1)));
    }
    assert!((inner.length() - (8.0 + 4.0 * PI)).abs() < 1e-9);
}

#[test]
fn signed_distances_are_those_of_the_drawn_part() {
    let kinds = vec![
        add(block([0.0; 3], [40.0, 30.0, 20.0])),
        cut(Shape::Hole(hole([20.0, 15.0, 20.0], "-z", 10.0, HoleBottom::Through))),
    ];
    let part = NominalPart::from_drawing(&one(kinds));
    let at = |x, y, z| part.signed_distance(&Vec3::new(x, y, z), 1.0e-3, 3.0);
    for (found, expected) in [
        (at(10.0, 10.0, 20.5), 0.5),
        (at(10.0, 10.0, 19.5), -0.5),
        (at(41.0, 31.0, 10.0), 2.0_f64.sqrt()),
        (at(24.8, 15.0, 10.0), 0.2),
        (at(25.3, 15.0, 10.0), -0.3),
        // Over the mouth of the hole: the rim is nearest, nothing of the block's face is left there.
        (at(23.0, 15.0, 20.0), 2.0),
        (at(20.0, 15.0, 10.0), 3.0),
        (at(10.0, 10.0, 9.0), -3.0),
        (at(-100.0, 0.0, 0.0), 3.0),
    ] {
        assert!((found - expected).abs() < 1.0e-5, "{found} instead of {expected}");
    }
    let mut on_faces = 0.0_f64;
    for k in 0..40 {
        let angle = f64::from(k) * 0.17;
        let (x, y) = (20.0 + 5.0 * libm::cos(angle), 15.0 + 5.0 * libm::sin(angle));
        on_faces = on_faces.max(at(x, y, 0.5 * f64::from(k)).abs());
    }
    assert!(on_faces < 1.0e-5, "{on_faces}");
}
