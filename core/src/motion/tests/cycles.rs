//! Canned cycles: pecks, levels, repeats, what must be given.

use super::{ends, expect_clean, expect_fact, facts, job, run, run_from, run_with};
use crate::motion::MoveKind::{self, Feed, Rapid};
use crate::motion::{Cycle, ToolCall};

fn heights(list: &[(MoveKind, [f64; 3])]) -> Vec<(MoveKind, f64)> {
    list.iter().map(|(k, p)| (*k, p[2])).collect()
}

#[test]
fn a_deep_peck_goes_out_to_r_and_back_to_the_clearance() {
    let run = run_from([0.0, 0.0, 20.0], "G99 G83 X5 Y6 Z-10 R2 Q5");
    expect_clean(&run);
    let expect = [
        (Rapid, 20.0),
        (Rapid, 2.0),
        (Feed, -3.0),
        (Rapid, 2.0),
        (Rapid, -2.5),
        (Feed, -8.0),
        (Rapid, 2.0),
        (Rapid, -7.5),
        (Feed, -10.0),
        (Rapid, 2.0),
    ];
    assert_eq!(heights(&ends(&run)), expect);
    assert!(run.moves.iter().all(|m| m.cycle == Some(Cycle::Peck)));
}

#[test]
fn a_chip_break_lifts_a_little() {
    let run = run_from([0.0, 0.0, 20.0], "G98 G73 X0 Y0 Z-8 R2 Q5");
    let expect = [(Rapid, 2.0), (Feed, -3.0), (Rapid, -2.75), (Feed, -8.0), (Rapid, 20.0)];
    assert_eq!(heights(&ends(&run)), expect);
}

#[test]
fn the_last_hole_under_g98_goes_back_to_where_the_cycles_began() {
    let run = run_from([0.0, 0.0, 20.0], "G99 G81 X1 Y1 Z-3 R2\nX2\nG98 X3\nG80\nG0 X9");
    expect_clean(&run);
    let expect = [
        (Rapid, [1.0, 1.0, 20.0]),
        (Rapid, [1.0, 1.0, 2.0]),
        (Feed, [1.0, 1.0, -3.0]),
        (Rapid, [1.0, 1.0, 2.0]),
        (Rapid, [2.0, 1.0, 2.0]),
        (Feed, [2.0, 1.0, -3.0]),
        (Rapid, [2.0, 1.0, 2.0]),
        (Rapid, [3.0, 1.0, 2.0]),
        (Feed, [3.0, 1.0, -3.0]),
        (Rapid, [3.0, 1.0, 20.0]),
        (Rapid, [9.0, 1.0, 20.0]),
    ];
    assert_eq!(ends(&run), expect);
}

#[test]
fn words_are_kept_between_holes_and_l0_only_stores() {
    let run = run_from([0.0, 0.0, 20.0], "G82 Z-3 X9 R2 P0.5 L0\nX1 Y1\nX2 Z-4");
    expect_clean(&run);
    let bottoms: Vec<[f64; 3]> = ends(&run).into_iter().filter(|(k, _)| *k == Feed).map(|(_, p)| p).collect();
    assert_eq!(bottoms, [[1.0, 1.0, -3.0], [2.0, 1.0, -4.0]]);
    let dwells = run.events.iter().filter(|e| e.call == ToolCall::Dwell { seconds: 0.5 }).count();
    assert_eq!(dwells, 2);
}

#[test]
fn repeats_step_under_g91_by_l_or_k() {
    for letter in ["L", "K"] {
        let run = run_from([0.0, 0.0, 20.0], &format!("G91 G98 G81 X5 Z-4 R-18 {letter}3"));
        expect_clean(&run);
        let bottoms: Vec<[f64; 3]> =
            ends(&run).into_iter().filter(|(k, _)| *k == Feed).map(|(_, p)| p).collect();
        assert_eq!(bottoms, [[5.0, 0.0, -2.0], [10.0, 0.0, -2.0], [15.0, 0.0, -2.0]]);
    }
}

#[test]
fn a_hole_from_home_goes_back_home() {
    let run = run("G21 F100\nG0 X0 Y0\nG81 X5 Z-1 R1\nX6\nG80");
    expect_clean(&run);
    let z: Vec<f64> = run.moves.iter().map(|m| m.path.end().z).collect();
    assert_eq!(z, [500.0, 1.0, -1.0, 500.0, 500.0, 1.0, -1.0, 500.0]);
}

#[test]
fn what_a_cycle_must_have() {
    let head = "G21 F100 G0 X0 Y0\nZ20\n";
    let check = |text: &str, name, lost| expect_fact(&format!("{head}{text}"), name, 3, lost);
    check("G81 X1 R2", "WordMissing", true);
    check("G81 X1 Z-2", "WordMissing", true);
    expect_fact(&format!("{head}G81 Z-2 R2\nG83 X1"), "WordMissing", 4, true);
    check("G83 X1 Z-2 R2", "WordMissing", true);
    check("G83 X1 Z-2 R2 Q0", "WordOutOfRange", true);
    check("G83 X1 Z-2 R2 Q-1", "WordOutOfRange", true);
    check("G82 X1 Z-2 R2", "WordMissing", true);
    check("G82 X1 Z-2 R2 P-1", "WordOutOfRange", true);
    check("G81 X1 Z-2 R2 L1.5", "WordOutOfRange", true);
    check("G81 R2", "WordMissing", true);
    check("G81 X1 Z2 R-2", "CycleUpsideDown", true);
    check("G81 X1 Z-2 R2 Q1", "UnusedWord", true);
    check("G81 X1 Z-2 R2 I1", "UnusedWord", true);
    check("G18 G81 X1 Z-2 R2", "CycleAcrossSpindle", true);
    check("G87 X1 Z-2 R2", "WordMissing", true);
    check("G76 X1 Z-2 R2", "WordMissing", true);
    check("G76 X1 Z-2 R2 I1 Q1", "UnusedWord", true);
    check("G93 G81 X1 Z-2 R2", "NotWhileActive", true);
    check("G80 G81 X1 Z-2 R2", "CodesExclude", true);
}

#[test]
fn what_controls_read_in_different_ways_is_said() {
    let head = "G21 F100 G0 X0 Y0\nZ20\n";
    // R counted from R (the report) or from where the cycles began (shops).
    expect_fact(&format!("{head}G91 G99 G81 X1 Z-2 R-18\nX1"), "ReadTwoWays", 4, true);
    // Under G98 both are the same height.
    expect_clean(&run(&format!("{head}G91 G98 G81 X1 Z-2 R-18\nX1")));
    expect_fact(&format!("{head}G98 G81 X1 Z-2 R2\nG91 X1"), "ReadTwoWays", 4, true);
}

#[test]
fn a_peck_without_end_stops() {
    let text = "G21 F100 G0 X0 Y0\nZ20\nG83 X1 Z-90000 R2 Q0.000001";
    let mut job = job();
    job.machine.control.peck_clearance = 0.0;
    // Ninety billion pecks: the run must stop by itself, and say so.
    let run = run_with(&job, text);
    assert_eq!(facts(&run), [("TooManyMoves".to_owned(), 3)]);
    assert!(run.lost_from.is_some());
}

#[test]
fn boring_cycles_with_a_standing_bar_are_followed_and_said_not_to_be_proved() {
    let head = "G21 F100 S500 M3 G0 X0 Y0\nZ20\n";
    let run = run(&format!("{head}G76 X5 Z-4 R2 Q0.1\nG80 G0 X9"));
    assert_eq!(facts(&run), [("MotionNotModelled".to_owned(), 3)]);
    assert_eq!(run.lost_from, None);
    assert_eq!(heights(&ends(&run))[2..], [(Rapid, 2.0), (Feed, -4.0), (Rapid, 20.0), (Rapid, 20.0)]);
    assert_eq!(run.moves[4].spindle, crate::motion::SpindleTurn::Stopped);
    // G87: beside the hole down, over, up at feed, back, and out beside it.
    let run = super::run(&format!("{head}G87 X5 Y5 Z-4 R-4 I1 K3"));
    assert_eq!(facts(&run), [("MotionNotModelled".to_owned(), 3)]);
    let expect = [
        (Rapid, [6.0, 5.0, 20.0]),
        (Rapid, [6.0, 5.0, -4.0]),
        (Rapid, [5.0, 5.0, -4.0]),
        (Feed, [5.0, 5.0, 3.0]),
        (Feed, [5.0, 5.0, -4.0]),
        (Rapid, [6.0, 5.0, -4.0]),
        (Rapid, [6.0, 5.0, 20.0]),
        (Rapid, [5.0, 5.0, 20.0]),
    ];
    assert_eq!(ends(&run)[1..], expect);
    // The step of G87 by Q has no direction that the program tells.
    let run = super::run(&format!("{head}G87 X5 Y5 Z-4 R-4 Q1"));
    assert!(run.lost_from.is_some());
}

#[test]
fn options_of_the_report_and_of_shops() {
    use crate::job::{CycleReturn, DwellWithoutPoint, PeckRetract};
    let heights_of = |job: &crate::job::Job, text: &str| {
        let run = super::run_from_with(job, [0.0, 0.0, 20.0], text);
        expect_clean(&run);
        heights(&ends(&run)).into_iter().map(|(_, z)| z).collect::<Vec<_>>()
    };
    let (shop, mut report) = (job(), job());
    report.machine.control.cycle_return = CycleReturn::LevelBeforeBlock;
    report.machine.control.peck_retract = PeckRetract::ClearLevel;
    // After a hole under G99 the height before the block is R, and G98 stays there by the report.
    let holes = "G99 G81 X1 Y1 Z-3 R2\nG98 X2";
    assert_eq!(heights_of(&shop, holes), [20.0, 2.0, -3.0, 2.0, 2.0, -3.0, 20.0]);
    assert_eq!(heights_of(&report, holes), [20.0, 2.0, -3.0, 2.0, 2.0, -3.0, 2.0]);
    let peck = "G98 G83 X0 Y0 Z-8 R2 Q5";
    assert_eq!(heights_of(&shop, peck), [2.0, -3.0, 2.0, -2.5, -8.0, 20.0]);
    assert_eq!(heights_of(&report, peck), [2.0, -3.0, 20.0, -2.5, -8.0, 20.0]);
    let mut refuses = job();
    expect_clean(&super::run_from_with(&refuses, [0.0; 3], "G99 G81 X1 Z-3 R2 L0"));
    refuses.machine.control.zero_repeats_refused = true;
    let run = super::run_from_with(&refuses, [0.0; 3], "G99 G81 X1 Z-3 R2 L0");
    assert_eq!(facts(&run), [("WordOutOfRange".to_owned(), 4)]);
    let mut small = job();
    let dwells = |job: &crate::job::Job| {
        let run = run_with(job, "G4 P500\nG4 P1.5");
        let of = |e: &crate::motion::Event| {
            if let ToolCall::Dwell { seconds } = e.call { Some(seconds) } else { None }
        };
        run.events.iter().filter_map(of).collect::<Vec<_>>()
    };
    assert_eq!(dwells(&small), [500.0, 1.5]);
    small.machine.control.dwell_without_point = Some(DwellWithoutPoint::Milliseconds);
    assert_eq!(dwells(&small), [0.5, 1.5]);
}
