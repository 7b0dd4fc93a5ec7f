use super::*;

const INCH: f64 = crate::units::Unit::Inch.mm();

fn tool(kind: ToolKind, diameter: f64) -> Tool {
    Tool {
        number: 1,
        name: String::new(),
        kind,
        diameter,
        flutes: None,
        flute_length: 25.0,
        shank_diameter: 8.0,
        stickout: 40.0,
        gauge_length: None,
        holder: vec![
            HolderSection { diameter: 20.0, top_diameter: 24.0, length: 15.0 },
            HolderSection { diameter: 40.0, top_diameter: 40.0, length: 10.0 },
        ],
        length_offset: 1,
        radius_offset: 1,
        center_cutting: true,
        hand: Hand::Right,
    }
}

fn deg(a: f64) -> f64 {
    a.to_radians()
}

fn every_kind() -> Vec<Tool> {
    let cone = deg(118.0);
    [
        ToolKind::EndMill,
        ToolKind::BullMill { corner_radius: 1.5 },
        ToolKind::BullMill { corner_radius: 6.0 },
        ToolKind::BallMill,
        ToolKind::FaceMill { tip_diameter: 10.0, lead_angle: deg(45.0) },
        ToolKind::FaceMill { tip_diameter: 12.0, lead_angle: 0.0 },
        ToolKind::TaperMill { tip_diameter: 10.0, side_angle: deg(3.0) },
        ToolKind::BoringBar,
        ToolKind::ChamferMill { tip_diameter: 1.0, included_angle: deg(90.0) },
        ToolKind::Drill { point_angle: cone },
        ToolKind::SpotDrill { point_angle: deg(90.0) },
        ToolKind::CenterDrill { point_angle: deg(60.0), pilot_diameter: 3.0, pilot_length: 4.0 },
        ToolKind::Reamer,
        ToolKind::Tap { pitch: 1.75, chamfer_turns: None },
        ToolKind::Counterbore,
        ToolKind::SlotCutter { thickness: 4.0, neck_diameter: 6.0 },
    ]
    .map(|kind| tool(kind, 12.0))
    .to_vec()
}

/// Largest radius of the assembly at a height.
fn radius_at(a: &Assembly, z: f64) -> f64 {
    a.parts.iter().filter_map(|p| p.body.radius_at(z)).fold(0.0, f64::max)
}

#[test]
fn bodies_of_every_kind_join_without_gaps_up_to_the_top_of_the_holder() {
    for t in every_kind() {
        for a in [Assembly::of(&t), Assembly::envelope(&t)] {
            let mut z = 0.0;
            for part in &a.parts {
                assert!(part.body.is_solid(), "{:?} {part:?}", t.kind);
                assert!((part.body.bottom() - z).abs() < 1e-12, "{:?}: gap at {z}: {part:?}", t.kind);
                z = part.body.top();
            }
            assert!((z - 65.0).abs() < 1e-12 && (a.height() - 65.0).abs() < 1e-12);
            assert!((a.radius() - 20.0).abs() < 1e-12);
            let mut last = PartRole::Cutter;
            for part in &a.parts {
                assert!(last <= part.role, "cutter, then shank, then holder");
                last = part.role;
            }
        }
    }
}

#[test]
fn the_core_lies_inside_the_cutter() {
    for mut t in every_kind() {
        t.center_cutting = false;
        let Some(core) = Assembly::core(&t) else {
            assert!(matches!(
                t.kind,
                ToolKind::Drill { .. } | ToolKind::SpotDrill { .. } | ToolKind::CenterDrill { .. }
            ));
            continue;
        };
        let a = Assembly::of(&t);
        for i in 0..=20 {
            let z = (core.bottom() + (core.top() - core.bottom()) * f64::from(i) / 20.0).min(core.top());
            let r = core.radius_at(z).unwrap();
            let cutter = a.bodies(PartRole::Cutter).filter_map(|b| b.radius_at(z)).fold(0.0, f64::max);
            assert!(r <= cutter + 1e-12, "{:?} at {z}: {r} > {cutter}", t.kind);
        }
    }
    for t in every_kind() {
        let cuts = matches!(
            t.kind,
            ToolKind::EndMill
                | ToolKind::BullMill { .. }
                | ToolKind::BallMill
                | ToolKind::TaperMill { .. }
                | ToolKind::Drill { .. }
                | ToolKind::SpotDrill { .. }
                | ToolKind::CenterDrill { .. }
        );
        assert_eq!(Assembly::core(&t).is_none(), cuts, "{:?}", t.kind);
    }
    let pointed = tool(ToolKind::ChamferMill { tip_diameter: 0.0, included_angle: deg(90.0) }, 12.0);
    assert!(Assembly::core(&pointed).is_none(), "a pointed chamfer mill has no flat");
}

#[test]
fn drill_points_are_as_long_as_published() {
    // Table of point lengths over the diameter, by full angle.
    let table = [
        (60.0, 0.866_025),
        (82.0, 0.575_184),
        (90.0, 0.5),
        (100.0, 0.419_550),
        (118.0, 0.300_430),
        (120.0, 0.288_675),
        (130.0, 0.233_154),
        (135.0, 0.207_107),
        (140.0, 0.181_985),
        (142.0, 0.172_164),
    ];
    for (angle, factor) in table {
        let a = Assembly::of(&tool(ToolKind::Drill { point_angle: deg(angle) }, 10.0));
        assert!((a.parts[0].body.top() / 10.0 - factor).abs() < 6e-7, "{angle}");
    }
    // Worked example W31: #37 drill, 0.104 in, 118 degrees: 0.031 in.
    let a = Assembly::of(&tool(ToolKind::Drill { point_angle: deg(118.0) }, 0.104 * INCH));
    assert!((a.parts[0].body.top() / INCH - 0.031).abs() < 5e-4);
}

#[test]
fn a_tap_cuts_its_basic_minor_diameter_and_bumps_with_its_major() {
    // M6 x 1: D1 = 4.917 (ISO 724).
    let t = tool(ToolKind::Tap { pitch: 1.0, chamfer_turns: None }, 6.0);
    assert!((2.0 * radius_at(&Assembly::of(&t), 5.0) - 4.917).abs() < 5e-4);
    assert!((2.0 * radius_at(&Assembly::envelope(&t), 5.0) - 6.0).abs() < 1e-12);
}

#[test]
fn what_is_above_the_flutes_is_shank_reduced_equal_or_larger() {
    for shank in [6.0, 12.0, 16.0] {
        let t = Tool { shank_diameter: shank, ..tool(ToolKind::EndMill, 12.0) };
        let a = Assembly::of(&t);
        let s: Vec<_> = a.bodies(PartRole::Shank).copied().collect();
        assert_eq!(s, [Body::Frustum { z0: 25.0, z1: 40.0, r0: shank / 2.0, r1: shank / 2.0 }]);
    }
    // Flutes up into the holder: no shank shows.
    let t = Tool { flute_length: 50.0, ..tool(ToolKind::EndMill, 12.0) };
    assert_eq!(Assembly::of(&t).bodies(PartRole::Shank).count(), 0);
    assert!((Assembly::of(&t).bodies(PartRole::Cutter).last().unwrap().top() - 40.0).abs() < 1e-12);
}

#[test]
fn a_point_that_is_longer_than_the_flutes_rubs_above_them() {
    let kind = ToolKind::ChamferMill { tip_diameter: 0.0, included_angle: deg(90.0) };
    let t = Tool { flute_length: 4.0, ..tool(kind, 12.0) };
    let a = Assembly::of(&t);
    let cut: Vec<_> = a.bodies(PartRole::Cutter).collect();
    assert!((cut[0].top() - 4.0).abs() < 1e-12 && (cut[0].radius() - 4.0).abs() < 1e-9 && cut.len() == 1);
    let rub: Vec<_> = a.bodies(PartRole::Shank).collect();
    assert!((rub[0].top() - 6.0).abs() < 1e-9 && (rub[0].radius() - 6.0).abs() < 1e-12);
    let ball = Tool { flute_length: 4.0, ..tool(ToolKind::BallMill, 12.0) };
    let rub: Vec<_> = Assembly::of(&ball).bodies(PartRole::Shank).copied().collect();
    assert_eq!(rub[0], Body::Frustum { z0: 4.0, z1: 6.0, r0: 6.0, r1: 6.0 });
}

#[test]
fn the_neck_of_a_slot_cutter_must_not_touch() {
    let t = tool(ToolKind::SlotCutter { thickness: 4.0, neck_diameter: 6.0 }, 25.0);
    let a = Assembly::of(&t);
    assert_eq!(a.bodies(PartRole::Cutter).count(), 1);
    let necks: Vec<_> = a.bodies(PartRole::Shank).copied().collect();
    assert_eq!(necks[0], Body::Frustum { z0: 4.0, z1: 25.0, r0: 3.0, r1: 3.0 });
    assert_eq!(necks[1], Body::Frustum { z0: 25.0, z1: 40.0, r0: 4.0, r1: 4.0 });
}

#[test]
fn grown_and_shrunk_bodies_hold_each_other() {
    let bodies = [
        Body::Frustum { z0: 1.0, z1: 5.0, r0: 0.0, r1: 3.0 },
        Body::Frustum { z0: 1.0, z1: 5.0, r0: 4.0, r1: 0.5 },
        Body::HalfBall { z0: -1.0, radius: 3.0 },
        Body::RoundedDisc { z0: 0.0, radius: 5.0, corner: 2.0 },
    ];
    let by = 0.2;
    for body in bodies {
        let (grown, shrunk) = (body.grown(by), body.shrunk(by).unwrap());
        for i in 0..=40 {
            let share = f64::from(i) / 40.0;
            let z = (body.bottom() + (body.top() - body.bottom()) * share).min(body.top());
            let r = body.radius_at(z).unwrap();
            let z_in = (shrunk.bottom() + (shrunk.top() - shrunk.bottom()) * share).min(shrunk.top());
            let r_in = shrunk.radius_at(z_in).unwrap();
            for k in 0..72 {
                let a = deg(5.0 * f64::from(k));
                // A millionth less than `by`: the lowest points touch exactly.
                let (dr, dz) = (0.999_999 * by * libm::cos(a), 0.999_999 * by * libm::sin(a));
                assert!(grown.contains((r + dr).abs(), z + dz), "{body:?} {r} {z} {k}");
                assert!(body.contains((r_in + dr).abs(), z_in + dz), "{body:?} {r_in} {z_in} {k}");
            }
        }
    }
    assert!(Body::HalfBall { z0: 0.0, radius: 0.3 }.shrunk(0.2).is_none());
}
