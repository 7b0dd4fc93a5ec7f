//! The 88 cases of `fixtures/language/ngc_examples.json`, each run as far as the language goes today. A case beyond it
//! is listed in [`GAPS`], and the test fails on the day such a case passes.

use super::{ends, job, only_arc, rounded, run_from, run_from_with, run_with};
use crate::geom::{Path, Vec3};
use crate::motion::{MoveKind, Run, SpindleTurn, ToolCall};
use crate::program::{Parameter, Reading, parse};
use crate::source::SourceText;
use serde_json::Value;
use std::collections::BTreeMap;
use std::panic::catch_unwind;

/// Cases that the language does not cover yet, with the reason.
const GAPS: &[(&str, &str)] = &[];

fn cases() -> Vec<Value> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/language/ngc_examples.json");
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

#[test]
fn every_case_passes_or_is_a_known_gap() {
    let cases = cases();
    assert_eq!(cases.len(), 88);
    let mut wrong = Vec::new();
    for case in &cases {
        let id = case["id"].as_str().unwrap();
        let gap = GAPS.iter().find(|(g, _)| *g == id);
        let passes = catch_unwind(|| check(id, case));
        match (passes, gap) {
            (Ok(true), None) | (Ok(false), Some(_)) => {}
            (Ok(true), Some(_)) => wrong.push(format!("{id}: listed as a gap, and passes")),
            (Ok(false), None) => wrong.push(format!("{id}: no longer understood")),
            (Err(panic), None) => {
                wrong.push(format!("{id}: {:?}", panic.downcast_ref::<String>()));
            }
            (Err(_), Some(_)) => wrong.push(format!("{id}: a gap that panics")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    for (id, _) in GAPS {
        assert!(cases.iter().any(|c| c["id"] == *id), "{id} is no case");
    }
}

/// Runs a case: false when its program is not understood, a failed assertion when its result is wrong.
fn check(id: &str, case: &Value) -> bool {
    let program = case["program"].as_str().unwrap();
    match case["kind"].as_str().unwrap() {
        "expression" => expression(program, number(&case["expect"]["value"])),
        "parameter" | "syntax" => text_case(id, case),
        "arc radius format" | "arc centre format" | "arc" => arc(case),
        "arc tolerance" => arc_tolerance(case),
        "feed on helix" => helix(case),
        "canned cycle" if id.starts_with("seq-") => sequence(id),
        "canned cycle" => canned(id, case),
        "tapping" => tapping(id),
        "tool length" => tool_length(),
        "feed" => inverse_time(),
        "home" => home(case),
        "cutter compensation" => super::compensation::case(id, case),
        "offset" => offset(id, case),
        "rotation" => rotation(case),
        "subprogram" => subprogram(case),
        "whole program" => whole(case),
        _ => false,
    }
}

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap()
}

fn triple(v: &Value) -> [f64; 3] {
    let list: Vec<f64> = v.as_array().unwrap().iter().map(number).collect();
    [list[0], list[1], list.get(2).copied().unwrap_or(0.0)]
}

#[track_caller]
fn near(a: f64, b: f64, bound: f64) {
    assert!((a - b).abs() <= bound, "{a} is not {b}");
}

/// Works out the first word's value, with parameters given.
fn word(text: &str, parameters: &BTreeMap<u32, f64>) -> f64 {
    let held = |n: u32| parameters.get(&n).map_or(Parameter::Unknown, |v| Parameter::Number(*v));
    let program = parse(&SourceText::new("t", text));
    assert_eq!(program.all_faults(), [], "{text}");
    let word = program.words(&program.blocks[0])[0];
    program.evaluate(word.value, Some(Reading::Report), &held).unwrap().unwrap()
}

fn expression(program: &str, expect: f64) -> bool {
    let program = if program.starts_with("x ") { program.to_owned() } else { format!("x {program}") };
    near(word(&program, &BTreeMap::new()), expect, 1e-12 * expect.abs().max(1.0));
    true
}

fn text_case(id: &str, case: &Value) -> bool {
    let last_x = |program: &str| run_from([50.0, 50.0, 0.0], program).moves.last().unwrap().path.end().x;
    match id {
        "param-parallel" => {
            near(last_x("#3=15\n#3=6 G1 X#3"), number(&case["expect"]["x"]), 0.0);
            near(last_x("#3=15\n#3=6 G1 X#3\nX#3"), number(&case["expect"]["#3 after"]), 0.0);
        }
        "param-last" => near(last_x("#3=15 #3=6\nG1 X#3"), number(&case["expect"]["#3 after"]), 0.0),
        "param-indirect" => near(last_x("#1=2.0\n##1 = 0.375\nG1 x #2"), number(&case["expect"]["x"]), 0.0),
        "space" => {
            let equal = case["expect"]["equivalent"].as_str().unwrap();
            let at = [9.0, 9.0, 9.0];
            let (a, b) = (run_from(at, case["program"].as_str().unwrap()), run_from(at, equal));
            assert_eq!(ends(&a), ends(&b));
            assert_eq!(ends(&a), [(MoveKind::Rapid, [0.1234, 7.0, 9.0])]);
        }
        "precedence-#" => {
            let set = BTreeMap::from([(1, 10.0), (3, 99.0)]);
            near(word("x[#1+2]", &set), number(&case["expect"]["first"]), 0.0);
            let set = BTreeMap::from([(1, 1.0), (3, 99.0)]);
            near(word("x#[#1+2]", &set), number(&case["expect"]["second"]), 0.0);
        }
        _ => return false,
    }
    true
}

fn arc(case: &Value) -> bool {
    let from = triple(&case["given"]["position"]);
    let run = run_from(from, case["program"].as_str().unwrap());
    let (arc, _) = only_arc(&run);
    let expect = &case["expect"];
    let center = triple(&expect["centre"]);
    near(arc.center.x, center[0], 5e-5);
    near(arc.center.y, center[1], 5e-5);
    if let Some(sweep) = expect["sweep_deg"].as_f64() {
        near(arc.sweep.abs().to_degrees(), sweep, 1e-9);
        near(arc.length(), number(&expect["length"]), 1e-9);
    } else {
        near(arc.sweep.abs().to_degrees(), 24.7114, 1e-4);
        assert_eq!(rounded(arc.point(1.0)), triple(&expect["end"]));
    }
    let clockwise = !case["program"].as_str().unwrap().starts_with("G3");
    assert_eq!(arc.sweep < 0.0, clockwise);
    true
}

fn arc_tolerance(case: &Value) -> bool {
    let run = run_from([0.0; 3], case["program"].as_str().unwrap());
    let accepted = case["expect"]["result"] == "accepted";
    assert_eq!(run.facts.is_empty(), accepted);
    if !accepted {
        let crate::motion::Fact::ArcRadiusMismatch { at_start, at_end, tolerance, .. } = run.facts[0] else {
            panic!("{:?}", run.facts)
        };
        near(at_start, number(&case["expect"]["start_radius"]), 1e-12);
        near(at_end, number(&case["expect"]["end_radius"]), 1e-12);
        near(tolerance, 0.002, 0.0);
    }
    true
}

fn helix(case: &Value) -> bool {
    let text = format!("F200\n{}", case["program"].as_str().unwrap());
    let (arc, m) = only_arc(&run_from([10.0, 0.0, 0.0], &text));
    near(arc.length(), number(&case["expect"]["length"]), 1e-9);
    near(arc.length() / m.feed.unwrap(), number(&case["expect"]["minutes"]), 1e-12);
    let mut job = job();
    job.machine.control.helix_feed = crate::job::HelixFeed::OnCircle;
    let (arc, m) = only_arc(&run_from_with(&job, [10.0, 0.0, 0.0], &text));
    near(arc.length() / m.feed.unwrap(), 0.314_159, 1e-6);
    true
}

fn expected_moves(list: &Value) -> Vec<(MoveKind, [f64; 3])> {
    let one = |m: &Value| {
        let kind = if m[0] == "rapid" { MoveKind::Rapid } else { MoveKind::Feed };
        (kind, [number(&m[1]), number(&m[2]), number(&m[3])])
    };
    list.as_array().unwrap().iter().map(one).collect()
}

fn bottoms(run: &Run) -> Vec<f64> {
    let feeds = run.moves.iter().filter(|m| m.kind == MoveKind::Feed);
    feeds.map(|m| rounded(m.path.end())[2]).collect()
}

fn canned(id: &str, case: &Value) -> bool {
    let from = triple(&case["given"]["position"]);
    let run = run_from(from, &case["program"].as_str().unwrap().replace(" / ", "\n"));
    let expect = &case["expect"];
    match id {
        "C3-first" => {
            let preliminary = &expect["preliminary"];
            assert_eq!(ends(&run)[0], expected_moves(&Value::Array(vec![preliminary.clone()]))[0]);
            let mut holes = run.moves.iter().enumerate().filter(|(_, m)| m.kind == MoveKind::Feed);
            for hole in expect["holes"].as_array().unwrap() {
                let (i, m) = holes.next().unwrap();
                let (start, end) = (rounded(m.path.start()), rounded(m.path.end()));
                assert_eq!([start[0], start[1]], [number(&hole["xy"][0]), number(&hole["xy"][1])]);
                assert_eq!((start[2], end[2]), (number(&hole["R"]), number(&hole["Z"])));
                assert_eq!(rounded(run.moves[i + 1].path.end())[2], number(&hole["back_to"]));
            }
            assert!(holes.next().is_none());
        }
        "G83-pecks" | "G73" => {
            let key = if id == "G73" { "feed_bottoms" } else { "peck_bottoms" };
            let expect: Vec<f64> = expect[key].as_array().unwrap().iter().map(number).collect();
            assert_eq!(bottoms(&run), expect);
        }
        _ => assert_eq!(ends(&run), expected_moves(&expect["moves"])),
    }
    true
}

/// What a cycle does after the approach, told in the words of the fixture's sequences.
fn sequence(id: &str) -> bool {
    use MoveKind::{Feed, Rapid, Thread};
    let code = id.trim_start_matches("seq-");
    let run = run_from([0.0, 0.0, 10.0], &format!("S500 M3\n{code} X0 Y0 Z-5 R2 P1"));
    if run.lost_from.is_some() && code != "G88" {
        return false;
    }
    let moves: Vec<(MoveKind, f64, SpindleTurn)> =
        run.moves.iter().skip(1).map(|m| (m.kind, m.path.end().z, m.spindle)).collect();
    let dwells = run.events.iter().filter(|e| e.call == ToolCall::Dwell { seconds: 1.0 }).count();
    let (cw, ccw) = (SpindleTurn::Clockwise, SpindleTurn::CounterClockwise);
    let expect: &[(MoveKind, f64, SpindleTurn)] = match code {
        "G82" => &[(Feed, -5.0, cw), (Rapid, 10.0, cw)],
        "G84" => &[(Thread, -5.0, cw), (Thread, 2.0, ccw), (Rapid, 10.0, cw)],
        "G85" | "G89" => &[(Feed, -5.0, cw), (Feed, 2.0, cw), (Rapid, 10.0, cw)],
        "G86" => &[(Feed, -5.0, cw), (Rapid, 10.0, SpindleTurn::Stopped)],
        "G88" => {
            // What the operator does by hand is not known, so nothing after it is proved.
            assert_eq!(run.lost_from.map(|p| p.line), Some(5));
            assert!(run.events.iter().any(|e| e.call == ToolCall::Stop { optional: false }));
            &[(Feed, -5.0, cw), (Rapid, 10.0, SpindleTurn::Stopped)]
        }
        _ => return false,
    };
    assert_eq!(moves, expect, "{code}");
    assert_eq!(dwells, 1, "{code}");
    true
}

fn tapping(id: &str) -> bool {
    if id == "G84-sync" {
        // 2 threads per millimetre at F150: 300 turns a minute; the move is in step with the spindle.
        let run = run_from([0.0, 0.0, 10.0], "S300 M3\nG84 X0 Y0 Z-5 R2 F150");
        let m = run.moves.iter().find(|m| m.kind == MoveKind::Thread).unwrap();
        near(m.feed.unwrap() / m.rpm, 0.5, 0.0);
    } else {
        let run = run_from([0.0, 0.0, 10.0], "M3\nM29 S500\nG84 X0 Y0 R5 Z-12 F500");
        let m = run.moves.iter().find(|m| m.kind == MoveKind::Thread).unwrap();
        near(m.feed.unwrap() / m.rpm, 1.0, 0.0);
    }
    true
}

/// Taking up an offset moves no axis; the number changes.
fn tool_length() -> bool {
    let mut job = job();
    job.registers =
        Some(crate::job::Registers { length: BTreeMap::from([(2, 103.0)]), radius: BTreeMap::new() });
    // The register is 1 mm longer than the tool: the tip hangs 1 mm above what the control shows.
    let run = run_with(&job, "G21 T2 M6\nG0 X0 Y0\nZ0.5\nG43 H2\nZ-0.5");
    assert_eq!(ends(&run), [(MoveKind::Rapid, [0.0, 0.0, 0.5])]);
    true
}

fn inverse_time() -> bool {
    let run = run_from([0.0; 3], "G93 G1 X10 F2");
    near(run.moves[0].seconds.unwrap() / 60.0, 0.5, 0.0);
    near(run.moves[0].feed.unwrap(), 20.0, 1e-12);
    true
}

fn home(case: &Value) -> bool {
    let mut job = job();
    // Machine zero of G54 so that machine 0, 0, 0 is the home point of the case, for a tool without length.
    let home = triple(&case["given"]["home (#5161..)"]);
    let zero = crate::geom::Vec3::new(-home[0], -home[1], -home[2] - 101.0);
    job.setups[0].machine_zeros = vec![(crate::job::WorkOffset(1), zero)];
    job.machine.control.home_moves = crate::job::HomeMoves::AllAxes;
    let text = format!("G21 T1 M6\nG0 X1 Y1\nZ1\n{}", case["program"].as_str().unwrap());
    let mut run = run_with(&job, &text);
    run.moves.retain(|m| m.place.line > 3);
    assert_eq!(ends(&run), expected_moves(&case["expect"]["moves"]));
    assert!(matches!(run.moves[0].path, Path::Line { .. }));
    true
}

fn offset(id: &str, case: &Value) -> bool {
    let expect = &case["expect"];
    if id == "G10" {
        let mut job = job();
        // G54 stands at machine -300, -200, -350 before; its zero is the setup's.
        job.setups[0].machine_zeros = vec![(crate::job::WorkOffset(1), Vec3::new(-300.0, -200.0, -350.0))];
        let text = case["program"].as_str().unwrap().replace(" / ", "\n");
        let run = run_from_with(&job, [0.0; 3], &text);
        assert_eq!(run.facts, []);
        let end = run.moves.last().unwrap().path.end();
        near(end.x - 300.0, number(&expect["machine_x"]), 1e-9);
        near(end.y - 200.0, number(&expect["machine_y"]), 1e-9);
        near(end.z, 0.0, 0.0);
        return true;
    }
    // The second case goes on from the first.
    let head = if id == "G92-1" { "" } else { "G92 X7\n" };
    let text = format!("{head}{}\n#1=#5211\nG0 X0 Y#1", case["program"].as_str().unwrap());
    let run = run_from([4.0, 0.0, 0.0], &text);
    assert_eq!(run.facts, []);
    let end = run.moves.last().unwrap().path.end();
    near(end.x, number(&expect["offset_x"]), 1e-12);
    near(end.y, number(&expect["offset_x"]), 1e-12);
    true
}

fn rotation(case: &Value) -> bool {
    let text = case["program"].as_str().unwrap().replace(" / ", "\n");
    let run = run_from([0.0; 3], &text);
    assert_eq!(run.facts, []);
    let end = run.moves.last().unwrap().path.end();
    near(end.x, number(&case["expect"]["machine_xy"][0]), 1e-12);
    near(end.y, number(&case["expect"]["machine_xy"][1]), 1e-12);
    true
}

fn subprogram(case: &Value) -> bool {
    let calls = number(&case["expect"]["calls"]);
    for call in [case["program"].as_str().unwrap(), "M98 P31234"] {
        let run = run_from([0.0; 3], &format!("G91\n{call}\nM30\nO1234\nG1 X1\nM99"));
        assert_eq!(run.facts, [], "{call}");
        near(run.moves.last().unwrap().path.end().x, calls, 0.0);
    }
    true
}

/// The report's sample program, App. C.1, from its block n0030 on.
fn whole(case: &Value) -> bool {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/language/hello.nc");
    let Ok(text) = std::fs::read_to_string(path) else { return false };
    let run = run_from([0.0, 0.0, 50.0], &text);
    let expect = &case["expect"];
    let length = |kind: MoveKind, arc: bool| -> f64 {
        let those = run.moves.iter().filter(|m| m.kind == kind && matches!(m.path, Path::Arc(_)) == arc);
        those.map(|m| m.path.length()).sum()
    };
    near(length(MoveKind::Rapid, false), number(&expect["rapid_length"]), 1e-4);
    near(length(MoveKind::Feed, false), number(&expect["line_feed_length"]), 1e-4);
    near(length(MoveKind::Feed, true), number(&expect["arc_length"]), 1e-4);
    true
}

/// The report's expression test, App. C.2: each block goes to the X that its comment tells.
#[test]
fn the_reports_expression_test_goes_where_it_says() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/language/expressions.nc");
    let text = std::fs::read_to_string(path).unwrap();
    let mut job = job();
    job.machine.control.expressions = Some(Reading::Report);
    let (mut at, mut blocks) = (0.0, 0);
    let run = run_from_with(&job, [0.0; 3], &text);
    assert_eq!(run.facts, []);
    // Three blocks of the head stand before the text.
    for (line, block) in text.lines().enumerate().skip(1) {
        let told = block.split(['(', ')']).nth(1).and_then(|c| c.parse::<f64>().ok());
        let line = u32::try_from(line).unwrap() + 4;
        at = run.moves.iter().find(|m| m.place.line == line).map_or(at, |m| m.path.end().x);
        if let Some(told) = told {
            near(at, told, 5e-5);
            blocks += 1;
        }
    }
    assert_eq!(blocks, 46);
}
