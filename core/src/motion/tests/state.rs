//! Modal state, offsets, homing, tool changes, spindle, what is not understood.

use super::{CLEAR, ends, expect_clean, expect_fact, facts, job, run, run_from, run_from_with, run_with};
use crate::geom::{Path, Vec3};
use crate::job::{DeleteSwitches, NumberWithoutPoint, RapidPath, Registers, SpindleStop, WorkOffset};
use crate::motion::MoveKind::{Feed, Home, Rapid};
use crate::motion::{SpindleTurn, ToolCall};
use crate::units::Unit;
use std::collections::BTreeMap;

#[test]
fn a_posted_head_runs_clean() {
    let text = "%\nO1001 (PLATE)\n(T1 10 MM END MILL)\nN10 G17 G21 G40 G49 G80 G90 G94\nN20 G91 G28 Z0.\n\
        N30 T1 M6\nN40 G90 G54 G0 X10. Y20. S5000 M3\nN50 G43 H1 Z25. M8\nN60 G0 Z2.\nN70 G1 Z-1. F300.\n\
        N80 X30.\nN90 G0 Z25. M9\nN100 G91 G28 Z0. M5\nN110 G28 Y0.\nN120 M30\n%\nanything";
    let run = run(text);
    expect_clean(&run);
    let expect = [
        (Rapid, [10.0, 20.0, 25.0]),
        (Rapid, [10.0, 20.0, 2.0]),
        (Feed, [10.0, 20.0, -1.0]),
        (Feed, [30.0, 20.0, -1.0]),
        (Rapid, [30.0, 20.0, 25.0]),
        (Home, [30.0, 20.0, CLEAR]),
    ];
    assert_eq!(ends(&run), expect);
    assert_eq!(run.moves[0].path.start().z, CLEAR);
    assert!(run.moves.iter().all(|m| m.tool == Some(1) && m.length_register == Some(1)));
    assert_eq!(run.moves[3].mode_place.unwrap().line, 10);
    assert_eq!(run.moves[2].mode_place, None);
    let calls: Vec<ToolCall> = run.events.iter().map(|e| e.call.clone()).collect();
    let register = |register| ToolCall::LengthOffset { register };
    assert_eq!(calls, [register(None), ToolCall::Change { tool: 1 }, register(Some(1)), ToolCall::End]);
}

#[test]
fn inches_come_out_in_millimetres() {
    let mut inch = job();
    inch.unit = Unit::Inch;
    let run = run_with(&inch, "G20 G0 X1 Y0\nZ.1\nG1 X2 F10");
    expect_clean(&run);
    assert_eq!(ends(&run)[1], (Feed, [50.8, 0.0, 2.54]));
    assert!((run.moves[1].feed.unwrap() - 254.0).abs() < 1e-12);
}

#[test]
fn numbers_without_a_point_as_increments() {
    let mut job = job();
    job.machine.control.number_without_point = NumberWithoutPoint::Increments;
    job.machine.control.dwell_without_point = Some(crate::job::DwellWithoutPoint::Milliseconds);
    let run = run_with(&job, "G20 G0 X10000 Y1.\nZ500");
    assert_eq!(ends(&run), [(Rapid, [Unit::Inch.mm(), Unit::Inch.mm(), 1.27])]);
    let run = run_with(&job, "G21 G0 X10000 Y1.\nZ500\nG4 P1500\nG4 P1.5");
    assert_eq!(ends(&run), [(Rapid, [10.0, 1.0, 0.5])]);
    assert!(run.events.iter().all(|e| e.call == ToolCall::Dwell { seconds: 1.5 }));
}

#[test]
fn units_not_said_are_noticed_once() {
    let run = run("G91 G28 Z0\nG90 G0 X1 Y1\nZ5");
    assert_eq!(facts(&run), [("UnitsNotStated".to_owned(), 2)]);
    assert_eq!(run.lost_from, None);
}

#[test]
fn work_offsets_shift_and_must_be_listed() {
    let run = run_from([0.0, 0.0, 5.0], "G55 G0 X1 Y1");
    assert_eq!(ends(&run), [(Rapid, [101.0, 1.0, 5.0])]);
    assert_eq!(run.moves[0].offset, WorkOffset(2));
    expect_fact("G21 G90\nG56", "OffsetWithoutZero", 2, true);
    let mut job = job();
    job.setups[0].zeros.remove(0);
    let run = run_with(&job, "G21\nG0 X1");
    assert_eq!(facts(&run), [("OffsetWithoutZero".to_owned(), 2)]);
}

#[test]
fn a_wrong_length_register_moves_the_tip() {
    let mut job = job();
    let text = "G21 T1 M6\nG43 H2 G0 X0 Y0\nZ5";
    assert_eq!(ends(&run_with(&job, text)), [(Rapid, [0.0, 0.0, 5.0])]);
    // Register 2 holds 110 mm, tool 1 is 101 mm long: it hangs 9 mm higher than the control believes.
    let length = BTreeMap::from([(2, 110.0)]);
    job.registers = Some(Registers { length, radius: BTreeMap::new() });
    assert_eq!(ends(&run_with(&job, text)), [(Rapid, [0.0, 0.0, 14.0])]);
    // A register that is not listed is right for the tool that it belongs to: H3 holds the 103 mm of tool 3.
    assert_eq!(ends(&run_with(&job, "G21 T1 M6\nG43 H3 G0 X0 Y0\nZ5")), [(Rapid, [0.0, 0.0, 7.0])]);
    assert_eq!(ends(&run_with(&job, "G21 T1 M6\nG43 H1 G0 X0 Y0\nZ5")), [(Rapid, [0.0, 0.0, 5.0])]);
}

#[test]
fn a_tool_change_goes_home_and_stops_the_spindle() {
    let run = run_from([1.0, 2.0, 3.0], "T1 M3 S100\nG1 X5\nM6 T2\nG0 Z9\nT3");
    expect_clean(&run);
    let expect = [(Feed, [5.0, 2.0, 3.0]), (Home, [5.0, 2.0, CLEAR]), (Rapid, [5.0, 2.0, 9.0])];
    assert_eq!(ends(&run), expect);
    let turns: Vec<SpindleTurn> = run.moves.iter().map(|m| m.spindle).collect();
    assert_eq!(turns, [SpindleTurn::Clockwise, SpindleTurn::Clockwise, SpindleTurn::Stopped]);
    let tools: Vec<Option<u32>> = run.moves.iter().map(|m| m.tool).collect();
    assert_eq!(tools, [None, None, Some(2)]);
    let calls: Vec<ToolCall> = run.events.iter().map(|e| e.call.clone()).collect();
    assert_eq!(
        calls,
        [ToolCall::Ready { tool: 1 }, ToolCall::Change { tool: 2 }, ToolCall::Ready { tool: 3 }]
    );
    expect_fact("G21\nM6", "ChangeWithoutTool", 2, true);
    expect_fact("G21\nT9 M6", "ToolNotInTable", 2, false);
}

#[test]
fn spindle_stop_on_a_motion_block() {
    let mut job = job();
    let text = "M3 S100\nG1 X1 M5\nX2";
    let turns = |run: &super::Run| run.moves.iter().map(|m| m.spindle).collect::<Vec<_>>();
    let after = run_from_with(&job, [0.0; 3], text);
    assert_eq!(turns(&after), [SpindleTurn::Clockwise, SpindleTurn::Stopped]);
    job.machine.control.spindle_stop = SpindleStop::BeforeMotion;
    assert_eq!(turns(&run_from_with(&job, [0.0; 3], text)), [SpindleTurn::Stopped; 2]);
}

#[test]
fn rapids_take_the_way_of_the_machine() {
    let mut job = job();
    job.machine.control.rapid_path = RapidPath::EachAxis;
    let run = run_from_with(&job, [0.0; 3], "G0 X10 Y4");
    assert_eq!(ends(&run), [(Rapid, [4.0, 4.0, 0.0]), (Rapid, [10.0, 4.0, 0.0])]);
    job.machine.control.rapid_path = RapidPath::Either;
    let run = run_from_with(&job, [0.0; 3], "G0 X10 Y4\nX20");
    assert_eq!(ends(&run), [(Rapid, [10.0, 4.0, 0.0]), (Rapid, [20.0, 4.0, 0.0])]);
    let corner = Vec3::new(4.0, 4.0, 0.0);
    let expect = [
        Path::Line { from: Vec3::zeros(), to: corner },
        Path::Line { from: corner, to: Vec3::new(10.0, 4.0, 0.0) },
    ];
    assert_eq!(run.moves[0].other_way, expect);
    assert!(run.moves[1].other_way.is_empty());
}

#[test]
fn a_start_that_is_not_known_is_said() {
    expect_fact("G21\nG0 X1 Y1 Z5", "StartUnknown", 2, true);
    expect_fact("G21\nG0 X1\nZ5", "StartUnknown", 3, true);
    expect_fact("G21\nG91 G0 X1", "StartUnknown", 2, true);
    expect_fact("G21\nG0 X1 Y1\nG91 Z-5", "StartUnknown", 3, true);
    expect_fact("G21\nG0 X1 Y1\nZ5\nG91 G28 X0 Y0", "HomePathUnknown", 4, true);
    expect_fact("G21\nG0 X1 Y1\nZ5\nG28", "AxisWordsMissing", 4, true);
    expect_clean(&run("G21\nG0 X1\nY1\nZ5"));
}

#[test]
fn g28_goes_by_way_of_the_programmed_point() {
    // The slip that breaks cutters: G90 G28 Z0 goes down to program zero first.
    let run = run_from([1.0, 1.0, 5.0], "G90 G28 Z0");
    assert_eq!(ends(&run), [(Rapid, [1.0, 1.0, 0.0]), (Home, [1.0, 1.0, CLEAR])]);
    let run = run_from([1.0, 1.0, 5.0], "G91 G28 X0 Y0 Z0\nG90 G0 X3 Y3\nZ1");
    expect_clean(&run);
    assert_eq!(ends(&run), [(Home, [1.0, 1.0, CLEAR]), (Rapid, [3.0, 3.0, 1.0])]);
}

#[test]
fn g53_with_and_without_machine_zeros() {
    let run = run_from([1.0, 1.0, 5.0], "G53 G0 Z0\nG53 X-10 Y-5\nX2 Y2\nZ3");
    expect_clean(&run);
    assert_eq!(ends(&run), [(Home, [1.0, 1.0, CLEAR]), (Rapid, [2.0, 2.0, 3.0])]);
    expect_fact("G21\nG0 X1 Y1\nZ5\nG53 Z-50", "HomePathUnknown", 4, true);
    let mut job = job();
    job.setups[0].machine_zeros = vec![(WorkOffset(1), Vec3::new(-300.0, -200.0, -350.0))];
    let run = run_with(&job, "G21 T1 M6\nG0 X0 Y0\nZ5\nG53 Z0\nG53 X-250 Y-200\nG53 G1 Z-10 F100");
    expect_clean(&run);
    // Home: 350 mm above the zero, less the 101 mm of the tool.
    let expect = [
        (Rapid, [0.0, 0.0, 5.0]),
        (Rapid, [0.0, 0.0, 249.0]),
        (Rapid, [50.0, 0.0, 249.0]),
        (Feed, [50.0, 0.0, 239.0]),
    ];
    assert_eq!(ends(&run), expect);
    assert_eq!(run.moves[0].path.start().z, 249.0);
}

#[test]
fn feed_is_asked_for_once() {
    let run = run("G21 G0 X0 Y0\nZ0\nG1 X1\nX2\nF0 X3\nX4\nF10 X5");
    assert_eq!(facts(&run), [("FeedMissing".to_owned(), 3), ("FeedMissing".to_owned(), 5)]);
    assert_eq!(run.moves[1].feed, None);
    // Under inverse time every block needs its own.
    let run = run_from([0.0; 3], "G93 G1 X1 F2\nX2\nX3 F2");
    assert_eq!(facts(&run), [("FeedMissing".to_owned(), 5)]);
}

#[test]
fn block_delete_by_the_switch() {
    let mut job = job();
    let text = "G21 G0 X0 Y0\nZ1\n/Z-5\n/2 M1\nX5";
    let run = run_with(&job, text);
    assert_eq!(facts(&run), [("BlockDeleteNotStated".to_owned(), 3)]);
    job.machine.control.block_delete = Some(DeleteSwitches::ALL);
    let left_out = run_with(&job, text);
    expect_clean(&left_out);
    assert_eq!(ends(&left_out), [(Rapid, [0.0, 0.0, 1.0]), (Rapid, [5.0, 0.0, 1.0])]);
    job.machine.control.block_delete = Some(DeleteSwitches::NONE);
    let done = run_with(&job, text);
    expect_clean(&done);
    assert_eq!(done.moves.len(), 3);
    // A switch for each number; a plain slash is of switch 1.
    let each = "G21 G0 X0 Y0\nZ1\n/X1\n/1 X2\n/3X3\n/ 9 X4";
    let of = |on: &[u8]| {
        let mut job = job.clone();
        job.machine.control.block_delete = Some(DeleteSwitches::of(on.iter().copied()));
        let run = run_with(&job, each);
        expect_clean(&run);
        run.moves.iter().filter(|m| m.place.line > 2).map(|m| m.place.line).collect::<Vec<_>>()
    };
    assert_eq!(of(&[]), [3, 4, 5, 6]);
    assert_eq!(of(&[1, 9]), [5]);
    assert_eq!(of(&[3, 4]), [3, 4, 6]);
}

#[test]
fn what_is_not_understood_stops_the_proof() {
    for (text, name) in [
        ("G21\nG12 X1", "UnknownWord"),
        ("G21\nM98 P100", "SubprogramMissing"),
        ("G21\nA90", "UnknownWord"),
        ("G21\nG0.5 X1", "UnknownWord"),
        ("G21\nIF [#1 EQ 2] GOTO 10", "ParameterNotSet"),
        ("G21\nIF [#1 EQ 2] X1", "UnreadableText"),
        ("G21\nG0 X", "UnreadableText"),
        ("G21\nG0 X1.2.3", "UnreadableText"),
        ("G21\nG0 (no end", "UnreadableText"),
        ("G21\nX#5", "ParameterNotSet"),
        ("G21\nX[1/0]", "NoValue"),
        ("G21\n#5221=1", "SystemParameter"),
        ("G21\nX1 Y2 X3", "RepeatedWord"),
        ("G21\nG90 G91 X1", "CodesExclude"),
        ("G21\nM3 M5", "CodesExclude"),
        ("G21\nG18 G41 D1", "CompensationNotModelled"),
        ("G21\nX1", "NoMotionMode"),
        ("G21\nG0 R5 X1", "UnusedWord"),
        ("G21\nG0 G43 Z5", "WordMissing"),
        ("G21\nS-5", "WordOutOfRange"),
        ("G21\nT1.5", "WordOutOfRange"),
        ("G21\nO200", "UnknownWord"),
    ] {
        expect_fact(text, name, 2, true);
    }
    // An M code of the machine's builder: the path goes on, but is not proved.
    let run = run("G21 G0 X0 Y0\nM88\nZ5\nG41 X3");
    assert_eq!(facts(&run), [("UnknownWord".to_owned(), 2)]);
    assert_eq!((run.lost_from.unwrap().line, run.moves.len()), (2, 1));
}

#[test]
fn a_safe_line_with_g80_beside_g0() {
    let run = run("G0 G17 G21 G40 G49 G80 G90 G94 G98 G54\nX1 Y1\nZ5");
    expect_clean(&run);
    assert_eq!(run.moves.len(), 1);
    expect_fact("G21 G0 X1 Y1\nZ5\nG80\nX2", "NoMotionMode", 4, true);
}

#[test]
fn what_the_shop_writes_without_blanks_and_in_lower_case() {
    let run = run("n1g21g90g0x1y2;first\r\ng43h1z5(down)\r\n\r\ng1z-1f50\r\nm30\r\n");
    expect_clean(&run);
    assert_eq!(ends(&run), [(Rapid, [1.0, 2.0, 5.0]), (Feed, [1.0, 2.0, -1.0])]);
}
