//! Cutter compensation against the report's tables, and what controls refuse under it.

use super::{ends, expect_clean, facts, job, only_arc, rounded, run_from_with};
use crate::geom::Path;
use crate::job::{CompensationStart, InsideCorner, Job, OutsideCorner, RadiusRegister, Registers};
use crate::motion::{Fact, MoveKind, ToolCall};
use serde_json::Value;
use std::collections::BTreeMap;

/// A job with a radius in register 1.
pub(super) fn with_radius(radius: f64) -> Job {
    let mut job = job();
    job.registers = Some(Registers { length: BTreeMap::new(), radius: BTreeMap::from([(1, radius)]) });
    job
}

fn report(radius: f64) -> Job {
    let mut job = with_radius(radius);
    job.machine.control.compensation.start = CompensationStart::Touching;
    job.machine.control.compensation.own_register_without_d = true;
    job
}

#[track_caller]
fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} is not {b}");
}

/// The cases of the report's Tables 12 and 13, and of its inside corners.
pub(super) fn case(id: &str, case: &Value) -> bool {
    match id {
        "COMP-T12" => {
            let program = case["program"].as_str().unwrap().replace(" / ", "\n");
            let text = format!("D1 {program}");
            let run = run_from_with(&report(0.5), [1.0, 5.0, 0.0], &text);
            expect_clean(&run);
            compare(&run, case["expect"]["tool_centre_path"].as_array().unwrap());
        }
        "COMP-T13" => {
            // The nominal path of Table 13, with a register that is 0.015 too small.
            let text = "D1 G41 G1 X2 Y3.5\nG2 X3.5 Y2 J-1.5\nG1 Y-1\nG2 X2 Y-2.5 I-1.5\nG1 X-2\n\
                        G2 X-2.9 Y0.2 J1.5\nG1 X1.1 Y3.2\nG2 X2 Y3.5 I0.9 J-1.2";
            let run = run_from_with(&with_radius(-0.015), [1.0, 3.5, 0.0], text);
            expect_clean(&run);
            let after_entry: Vec<_> = run.moves.iter().filter(|m| m.place.line > 4).cloned().collect();
            let run = super::Run { moves: after_entry, ..run };
            compare(&run, case["expect"]["tool_centre_path_from_N0040"].as_array().unwrap());
        }
        _ => {
            let mut refuses = report(0.5);
            refuses.machine.control.compensation.inside_corner = InsideCorner::Refused;
            let text = "D1 G41 G1 X0 Y5\nX5\nY10";
            let run = run_from_with(&refuses, [-5.0, 5.0, 0.0], text);
            assert_eq!(facts(&run), [("InsideCornerRefused".to_owned(), 6)]);
            let text = "D1 G41 G1 X0 Y5\nX5\nG3 X5 Y6 J0.5";
            let run = run_from_with(&refuses, [-5.0, 5.0, 0.0], text);
            assert_eq!(facts(&run), [("InsideArcTooSmall".to_owned(), 6)]);
        }
    }
    true
}

/// Compares the ends and centers of moves with a list of `["line", x, y]` and `["arc .. (x,y) ..", x, y]`.
#[track_caller]
fn compare(run: &super::Run, expect: &[Value]) {
    assert_eq!(run.moves.len(), expect.len());
    for (m, e) in run.moves.iter().zip(expect) {
        let end = m.path.end();
        near(end.x, e[1].as_f64().unwrap());
        near(end.y, e[2].as_f64().unwrap());
        let words = e[0].as_str().unwrap();
        match &m.path {
            Path::Line { .. } => assert_eq!(words, "line"),
            Path::Arc(arc) => {
                assert_eq!(words.contains("ccw"), arc.sweep > 0.0, "{words}");
                let numbers: Vec<f64> = words.split(['(', ',', ')']).filter_map(|w| w.parse().ok()).collect();
                near(arc.center.x, numbers[0]);
                near(arc.center.y, numbers[1]);
            }
        }
    }
}

#[test]
fn lead_in_contour_and_lead_out() {
    // Round a 20 mm square, clockwise, the tool to the left of it: outside.
    let text = "G41 D1 G1 X0 Y-10\nY20\nX20\nY0\nX-10\nG40 X-20 Y-20";
    let run = run_from_with(&with_radius(2.0), [-20.0, -10.0, 5.0], text);
    expect_clean(&run);
    let at: Vec<[f64; 3]> = ends(&run).into_iter().map(|(_, p)| p).collect();
    let expect = [
        [-2.0, -10.0, 5.0],
        [-2.0, 20.0, 5.0],
        [0.0, 22.0, 5.0],
        [20.0, 22.0, 5.0],
        [22.0, 20.0, 5.0],
        [22.0, 0.0, 5.0],
        [20.0, -2.0, 5.0],
        [-10.0, -2.0, 5.0],
        [-20.0, -20.0, 5.0],
    ];
    assert_eq!(at, expect);
    // As common controls do it, on straight lines.
    let mut lines = with_radius(2.0);
    lines.machine.control.compensation.outside_corner = OutsideCorner::Line;
    let run = run_from_with(&lines, [-20.0, -10.0, 5.0], text);
    let at: Vec<[f64; 3]> = ends(&run).into_iter().map(|(_, p)| p).collect();
    let expect = [
        [-2.0, -10.0, 5.0],
        [-2.0, 22.0, 5.0],
        [22.0, 22.0, 5.0],
        [22.0, -2.0, 5.0],
        [-10.0, -2.0, 5.0],
        [-20.0, -20.0, 5.0],
    ];
    assert_eq!(at, expect);
}

#[test]
fn left_right_and_mirror() {
    let end =
        |text: &str| rounded(run_from_with(&with_radius(2.0), [0.0, -10.0, 5.0], text).moves[1].path.end());
    assert_eq!(end("G41 D1 G1 Y0\nY10\nG40 X50 Y50"), [-2.0, 10.0, 5.0]);
    assert_eq!(end("G42 D1 G1 Y0\nY10\nG40 X50 Y50"), [2.0, 10.0, 5.0]);
    // Mirrored about X0 the part lies on the other side, and so does the tool.
    assert_eq!(end("G51.1 X0\nG41 D1 G1 X0 Y0\nY10\nG40 X50 Y50"), [2.0, 10.0, 5.0]);
}

#[test]
fn registers_hold_radius_or_wear() {
    let text = "T1\nG41 D1 G1 Y0\nY10\nG40 X50 Y50";
    let end = |job: &Job| run_from_with(job, [0.0, -10.0, 5.0], text).moves[1].path.end().x;
    let mut plain = job();
    near(end(&plain), -5.0);
    plain.machine.control.radius_register = RadiusRegister::Wear;
    near(end(&plain), 0.0);
    near(end(&with_radius(-0.1)), 0.1);
    let run = run_from_with(&job(), [0.0, -10.0, 5.0], "G10 L13 P1 R0.25\nG41 D1 G1 Y0\nY10\nG40 X50 Y50");
    near(run.moves[1].path.end().x, -5.25);
    let run = run_from_with(&job(), [0.0, -10.0, 5.0], "G41 D77 G1 Y0\nY10");
    assert_eq!(facts(&run), [("RadiusRegisterUnknown".to_owned(), 4)]);
    let run = run_from_with(&job(), [0.0, -10.0, 5.0], "G41 G1 Y0\nY10");
    assert_eq!(facts(&run), [("WordMissing".to_owned(), 4)]);
}

#[test]
fn inside_corners_arcs_and_moves_in_z() {
    let text = "G41 D1 G1 X0 Y0\nZ-1\nY20\nX-20\nG2 X-30 Y30 J10\nG1 Y40 Z-2\nG40 X-20 Y50\nG0 Z9";
    let run = run_from_with(&with_radius(2.0), [10.0, -10.0, 5.0], text);
    expect_clean(&run);
    let at: Vec<[f64; 3]> = ends(&run).into_iter().map(|(_, p)| p).collect();
    let expect = [[-2.0, 0.0, 5.0], [-2.0, 0.0, -1.0], [-2.0, 18.0, -1.0], [-20.0, 18.0, -1.0]];
    assert_eq!(at[..4], expect);
    assert_eq!(run.moves.last().map(|m| rounded(m.path.end())), Some([-20.0, 50.0, 9.0]));
    // Each move begins where the one before ended.
    for pair in run.moves.windows(2) {
        assert!((pair[1].path.start() - pair[0].path.end()).norm() < 1e-6, "{pair:?}");
    }
    let arc = run.moves.iter().filter(|m| matches!(m.path, Path::Arc(_))).count();
    assert!(arc >= 1);
}

#[test]
fn blocks_without_movement_in_the_plane_blind_the_control() {
    let gap = |blocks: &str| format!("G41 D1 G1 X0 Y0\nY20\n{blocks}X-20\nG40 X-30 Y5");
    let look = |text: &str| facts(&run_from_with(&with_radius(2.0), [10.0, -10.0, 5.0], text));
    assert_eq!(look(&gap("M8\n")), []);
    assert_eq!(look(&gap("M8\nM9\n")), [("CompensationLookAhead".to_owned(), 8)]);
    // Round the outside on an arc the way is the same whether the next move is seen or not.
    let outside = "G41 D1 G1 X0 Y0\nY20\nM8\nM9\nX20\nG40 X30 Y50";
    assert_eq!(look(outside), []);
    let mut far = with_radius(2.0);
    far.machine.control.compensation.blocks_ahead = 2;
    expect_clean(&run_from_with(&far, [10.0, -10.0, 5.0], &gap("M8\nM9\n")));
}

#[test]
fn what_cannot_be_done_under_compensation_is_said() {
    let from = [10.0, -10.0, 5.0];
    let check = |text: &str, name: &str, line: u32| {
        let run = run_from_with(&with_radius(2.0), from, text);
        assert_eq!(facts(&run), [(name.to_owned(), line)], "{text}");
        assert_eq!(run.lost_from.map(|p| p.line), Some(line), "{text}");
    };
    let on = "G41 D1 G1 X0 Y0\nY20\n";
    check("G41 D1 G2 X0 Y0 R20\nG1 Y20\nG40 X5 Y50", "CompensationEntryOnArc", 4);
    check(&format!("{on}G40 G2 X20 Y20 R20"), "CompensationEntryOnArc", 6);
    check("G41 D1 G1 X9 Y-10\nY20\nG40 X-9 Y50", "CompensationEntryTooShort", 4);
    check(&format!("{on}X-20\nY19\nX-40\nG40 X-50 Y50"), "CompensationOvercut", 7);
    check(&format!("{on}G3 X-2 Y22 R2\nG40 G1 X-50 Y50"), "InsideArcTooSmall", 6);
    check(&format!("{on}Y0\nG40 X-50 Y50"), "ReadTwoWays", 6);
    for text in [
        "G28 Z9",
        "G53 Z0",
        "G54",
        "G55",
        "G20",
        "G18",
        "G41 D1",
        "G42 D1",
        "D2",
        "G92 X0",
        "G92.1",
        "G10 L2 P1 X0",
        "G52 X0",
        "G68 X0 Y0 R5",
        "G69",
        "G51 X0 Y0 P1.",
        "G38.2 X5",
        "G81 X5 Z-1 R1",
    ] {
        check(&format!("{on}{text}"), "NotWhileActive", 6);
    }
    check(&format!("{on}T2 M6"), "CompensationLeftOn", 6);
    let run = run_from_with(&with_radius(2.0), from, &format!("{on}M30"));
    assert_eq!(facts(&run), [("CompensationLeftOn".to_owned(), 6)]);
    assert_eq!(run.events.last().map(|e| (e.before_move, e.call.clone())), Some((3, ToolCall::End)));
    // After a G40 alone, an axis that is not named may stay at the tool or at the contour.
    check(&format!("{on}G40\nX30"), "ReadTwoWays", 7);
    expect_clean(&run_from_with(&with_radius(2.0), from, &format!("{on}G40\nG0 Z9\nX30 Y30")));
    // Turned off again before any move in the plane: nothing has happened.
    let run = run_from_with(&with_radius(2.0), from, "G41 D1\nG0 Z4\nG40\nG1 X30");
    expect_clean(&run);
    assert_eq!(run.moves.last().map(|m| rounded(m.path.end())), Some([30.0, -10.0, 4.0]));
}

#[test]
fn feed_kind_and_tool_stay_those_of_the_block() {
    let text = "T1\nG41 D1 G0 X0 Y0\nG1 Y20 F100\nX20 F50\nG40 G0 X30 Y50";
    let run = run_from_with(&with_radius(2.0), [10.0, -10.0, 5.0], text);
    expect_clean(&run);
    let kinds: Vec<_> = run.moves.iter().map(|m| (m.kind, m.feed, m.place.line)).collect();
    let expect = [
        (MoveKind::Rapid, None, 5),
        (MoveKind::Feed, Some(100.0), 6),
        (MoveKind::Feed, Some(50.0), 7),
        (MoveKind::Feed, Some(50.0), 7),
        (MoveKind::Rapid, None, 8),
    ];
    assert_eq!(kinds, expect);
    let arc = super::Run { moves: vec![run.moves[2].clone()], ..run };
    assert!((only_arc(&arc).0.radius - 2.0).abs() < 1e-12);
}

/// The way of the tool's center against offset curves of a general-purpose geometry library: see the script beside the
/// file.
#[test]
fn offset_curves() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/language/compensation/offset_curves.json");
    let cases: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert_eq!(cases.len(), 84);
    for (n, case) in cases.iter().enumerate() {
        let number = |v: &Value| v.as_f64().unwrap();
        let by = number(&case["by"]);
        let blocks: Vec<&str> =
            case["program"].as_array().unwrap().iter().map(|b| b.as_str().unwrap()).collect();
        let code = if by > 0.0 { "G41" } else { "G42" };
        let text = format!("{code} D1 G1 X0 Y0\n{}\nG40 G1 X900 Y900", blocks.join("\n"));
        let from = [number(&case["start"][0]), number(&case["start"][1]), 5.0];
        let run = run_from_with(&with_radius(by.abs()), from, &text);
        match case["fits"].as_str().unwrap() {
            "yes" => assert_eq!(run.facts, [], "case {n}"),
            "neck" => {
                // Each move fits between its neighbours: the control drives on, and the cut is told.
                let told = run.facts.iter().any(|f| {
                    matches!(f, Fact::CompensationOvercut { depth, .. } if
                    depth.is_some_and(|d| d > 0.03))
                });
                assert!(told && run.lost_from.is_none(), "case {n}: {:?}", run.facts);
                continue;
            }
            _ => {
                let refused = |f: &Fact| {
                    matches!(
                        f,
                        Fact::CompensationOvercut { depth: None, .. } | Fact::InsideArcTooSmall { .. }
                    )
                };
                assert!(run.facts.iter().any(refused), "case {n}: {:?}", run.facts);
                assert!(run.lost_from.is_some(), "case {n}");
                continue;
            }
        }
        let last = run.moves.last().unwrap().place.line;
        let way: Vec<&Path> =
            run.moves.iter().filter(|m| m.place.line > 4 && m.place.line < last).map(|m| &m.path).collect();
        // The library leaves out concave points of its input within a hundredth of the distance. The distance to the
        // contour itself, below, is held to a micrometre.
        let slack = 0.015 * by.abs() + 0.002;
        let length: f64 = way.iter().map(|p| p.length()).sum();
        let told = number(&case["length"]);
        assert!((length - told).abs() < 0.01 * told, "case {n}: {length}, the library {told}");
        let plain = run_from_with(&job(), [0.0, 0.0, 5.0], &blocks.join("\n"));
        let contour: Vec<[f64; 2]> = plain
            .moves
            .iter()
            .flat_map(|m| (0..=500).map(|k| m.path.point(f64::from(k) / 500.0)))
            .map(|p| [p.x, p.y])
            .collect();
        let curve: Vec<[f64; 2]> =
            case["points"].as_array().unwrap().iter().map(|p| [number(&p[0]), number(&p[1])]).collect();
        for path in &way {
            for t in [0.0, 0.125, 0.25, 0.5, 0.75, 0.875, 1.0] {
                let p = path.point(t);
                let off = distance([p.x, p.y], &curve);
                assert!(off < slack, "case {n}: {off} mm off the offset curve at {p:?}");
                let apart = distance([p.x, p.y], &contour);
                assert!((apart - by.abs()).abs() < 0.001, "case {n}: {apart} mm from the contour at {p:?}");
            }
        }
    }
}

/// Over-cuts of a run: line that the tool follows, line that it cuts into, depth rounded to a micrometre.
fn overcuts(run: &super::Run) -> Vec<(u32, u32, f64)> {
    let of = |fact: &Fact| {
        let Fact::CompensationOvercut { place, other, depth, .. } = fact else { return None };
        Some((place.line, other.line, libm::round(depth.unwrap_or(0.0) * 1e3) / 1e3))
    };
    run.facts.iter().filter_map(of).collect()
}

#[test]
fn a_neck_moves_apart_is_told_with_both_lines() {
    // A chamber whose mouth is 6 wide; the tool inside has a radius of 5.
    let mouth = |width: f64| {
        format!(
            "G42 D1 G1 X0 Y-20\nY0\nX-20 Y20\nY40\nX{} Y40\nY20\nX{width} Y0\nY-20\nG40 X20 Y-40",
            width + 20.0
        )
    };
    let look = |width: f64, by: f64| run_from_with(&with_radius(by), [3.0, -40.0, 5.0], &mouth(width));
    let narrow = look(6.0, 5.0);
    assert_eq!(overcuts(&narrow), [(5, 10, 4.0)]);
    assert_eq!(narrow.lost_from, None);
    expect_clean(&look(10.0, 5.0));
    expect_clean(&look(6.0, 2.9));
    // Lifted over the chamber, the cutter comes back near the place where it cut; on the way it cuts nothing.
    let over = "G42 D1 G1 X0 Y-20\nY0\nG0 Z50\nG1 X-20 Y20\nY40\nX26\nY20\nX6 Y0\nZ5\nY-20\nG40 X20 Y-40";
    assert_eq!(overcuts(&run_from_with(&with_radius(5.0), [3.0, -40.0, 5.0], over)), [(5, 11, 4.0)]);
}

#[test]
fn leads_and_finishing_passes_are_no_overcuts() {
    // A closed pocket with leads on arcs, over the place where it began and out again.
    let closed = "G41 D1 G1 X20 Y8\nG3 X28 Y0 R8\nG1 X60\nY40\nX0\nY0\nX30\nG3 X38 Y8 R8\nG40 G1 X30 Y20";
    expect_clean(&run_from_with(&with_radius(5.0), [30.0, 20.0, 5.0], closed));
    // Round the outside of a corner, in and out along its sides.
    let corner = "G41 D1 G1 X0 Y-20\nY50\nX100\nY0\nX-20\nG40 X-40 Y-20";
    expect_clean(&run_from_with(&with_radius(5.0), [-20.0, -30.0, 5.0], corner));
    // A roughing and a finishing pass in one go.
    let twice = "G42 D1 G1 X-2 Y-20\nY52\nX102\nY-2\nX-20\nX0 Y-40\nY50\nX100\nY0\nX-20\nG40 X-40 Y20";
    let run = run_from_with(&with_radius(-5.0), [-20.0, -30.0, 5.0], twice);
    assert_eq!(overcuts(&run), [], "{:?}", run.facts);
}

#[test]
fn a_contour_of_a_hundred_thousand_moves_is_looked_at_whole() {
    use std::fmt::Write as _;
    let mut text = "G41 D1 G1 X200 Y0\n".to_owned();
    for i in 1..=100_000_u32 {
        let (sin, cos) = f64::from(i).to_radians().sin_cos();
        let radius = 200.0 + 0.03 * f64::from(i);
        let _ = writeln!(text, "X{:.4} Y{:.4}", radius * cos, radius * sin);
    }
    text.push_str("G40 X0 Y0");
    let run = run_from_with(&with_radius(5.0), [180.0, -10.0, 5.0], &text);
    expect_clean(&run);
    // On the outside the next turn lies ahead of the tool, 10.8 away.
    let near = run_from_with(&with_radius(5.0), [180.0, -10.0, 5.0], &text.replace("G41", "G42"));
    expect_clean(&near);
    let large = run_from_with(&with_radius(6.0), [180.0, -10.0, 5.0], &text.replace("G41", "G42"));
    assert!(overcuts(&large).iter().all(|(along, into, depth)| along < into && (*depth - 1.2).abs() < 0.1));
    assert!(!overcuts(&large).is_empty());
}

/// Distance of a point to a polyline.
fn distance(p: [f64; 2], line: &[[f64; 2]]) -> f64 {
    let to_piece = |pair: &[[f64; 2]]| {
        let ([ax, ay], [bx, by]) = (pair[0], pair[1]);
        let (dx, dy) = (bx - ax, by - ay);
        let long = (dx * dx + dy * dy).max(1e-30);
        let along = (((p[0] - ax) * dx + (p[1] - ay) * dy) / long).clamp(0.0, 1.0);
        libm::hypot(p[0] - ax - along * dx, p[1] - ay - along * dy)
    };
    line.windows(2).map(to_piece).fold(f64::INFINITY, f64::min)
}
