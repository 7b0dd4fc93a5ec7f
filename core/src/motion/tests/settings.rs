//! Codes that change where program coordinates lie.

use super::{ends, expect_clean, expect_fact, facts, job, run, run_from, run_from_with, run_with};
use crate::geom::{Path, Vec3};
use crate::job::WorkOffset;
use crate::motion::MoveKind::{Feed, Rapid};

fn lines(run: &super::Run) -> Vec<[f64; 3]> {
    ends(run).into_iter().map(|(_, p)| p).collect()
}

#[test]
fn g52_shifts_inside_the_offset_and_zero_takes_it_back() {
    let run = run_from([0.0, 0.0, 5.0], "G52 X10 Y20\nG0 X1 Y1\nG52 X0\nX1 Y1\nG52 X0 Y0\nX1 Y1 Z6");
    expect_clean(&run);
    assert_eq!(lines(&run), [[11.0, 21.0, 5.0], [1.0, 21.0, 5.0], [1.0, 1.0, 6.0]]);
    expect_fact("G21 G0 X0 Y0\nG52\n", "AxisWordsMissing", 2, true);
    // Does the shift go along to another offset? Controls differ.
    expect_fact("G21 G0 X0 Y0\nG52 X1\nG55 X2", "ReadTwoWays", 3, true);
}

#[test]
fn g92_gives_the_present_point_new_numbers() {
    let text = "G92 X0 Y0 Z1\nG0 X1 Y1 Z1\nG92.2\nX1 Y1\nG92.3\nX1\nG92.1\nX1\nG92.3 X2";
    let run = run_from([10.0, 20.0, 5.0], text);
    expect_clean(&run);
    let expect = [[11.0, 21.0, 5.0], [1.0, 1.0, 5.0], [11.0, 1.0, 5.0], [1.0, 1.0, 5.0], [2.0, 1.0, 5.0]];
    assert_eq!(lines(&run), expect);
    expect_fact("G21 G0 X0 Y0\nG92", "AxisWordsMissing", 2, true);
    expect_fact("G21 G0 X0 Y0\nG92.3", "OffsetSetUnproven", 2, true);
    expect_fact("G21\nG92 X0", "StartUnknown", 2, true);
    expect_fact("G21 G0 X0 Y0\nZ0\nG92 X5\nM30", "ShiftLeftOn", 4, false);
    for on in ["G16", "G68 X0 Y0 R5", "G51 X0 Y0 P2.", "G51.1 X0"] {
        expect_fact(&format!("G21 G0 X0 Y0\nZ0\n{on}\nM30"), "ShiftLeftOn", 4, false);
    }
    expect_clean(&run_from([0.0; 3], "G92 X5\nG92.1\nM30"));
}

#[test]
fn g10_sets_a_zero_only_where_machine_and_setup_are_joined() {
    expect_fact("G21 G0 X0 Y0\nG10 L2 P1 X5", "OffsetSetUnproven", 2, true);
    expect_fact("G21 G0 X0 Y0\nG10 L2 P10 X5", "WordOutOfRange", 2, true);
    expect_fact("G21 G0 X0 Y0\nG10 P1 X5", "WordMissing", 2, true);
    expect_fact("G21 G0 X0 Y0\nG10 L20 P1 X5", "OffsetSetUnproven", 2, true);
    // By increments no machine coordinate is needed.
    let run = run_from([0.0, 0.0, 5.0], "G91 G10 L2 P2 X5\nG90 G55 G0 X1 Y1");
    expect_clean(&run);
    assert_eq!(lines(&run), [[106.0, 1.0, 5.0]]);
    let mut job = job();
    job.setups[0].machine_zeros = vec![(WorkOffset(1), Vec3::new(-300.0, -200.0, -350.0))];
    // An offset that the job does not list needs all three axes.
    let run = run_from_with(&job, [0.0, 0.0, 5.0], "G10 L2 P3 X-290 Y-200 Z-350\nG56 G0 X1 Y1");
    expect_clean(&run);
    assert_eq!(lines(&run), [[11.0, 1.0, 5.0]]);
    let run = run_from_with(&job, [0.0, 0.0, 5.0], "G10 L2 P3 X-290\nG56 G0 X1 Y1");
    assert_eq!(facts(&run), [("OffsetSetUnproven".to_owned(), 4)]);
}

#[test]
fn g10_sets_length_registers() {
    // Tool 1 is 101 mm long; with 111 in its register it hangs 10 mm above what the control believes.
    let text = "G21 T1 M6\nG10 L10 P1 R111\nG43 H1 G0 X0 Y0\nZ5";
    assert_eq!(ends(&run_with(&job(), text)), [(Rapid, [0.0, 0.0, 15.0])]);
    let text = "G21 T1 M6\nG10 L11 P1 R0.5\nG43 H1 G0 X0 Y0\nZ5";
    assert_eq!(ends(&run_with(&job(), text)), [(Rapid, [0.0, 0.0, 5.5])]);
    let mut unknown = job();
    unknown.tools[0].gauge_length = None;
    let run = run_with(&unknown, "G21 T1 M6\nG10 L10 P1 R111\nG43 H1 G0 X0 Y0\nZ5");
    assert_eq!(facts(&run), [("OffsetSetUnproven".to_owned(), 2)]);
}

#[test]
fn extended_offsets_are_offsets() {
    let mut job = job();
    job.setups[0].zeros.push((WorkOffset::extended(7).unwrap(), Vec3::new(0.0, 50.0, 0.0)));
    let run = run_from_with(&job, [0.0, 0.0, 5.0], "G54.1 P7 G0 X1 Y1");
    expect_clean(&run);
    assert_eq!(lines(&run), [[1.0, 51.0, 5.0]]);
    assert_eq!(run.moves[0].offset.to_string(), "G54.1 P7");
    assert_eq!(WorkOffset::parse("G54.1 P7"), WorkOffset::extended(7));
    expect_fact("G21\nG54.1 P8", "OffsetWithoutZero", 2, true);
    expect_fact("G21\nG54.1", "WordMissing", 2, true);
    expect_fact("G21\nG54.1 P0", "WordOutOfRange", 2, true);
    expect_fact("G21\nG54.1 P1 G4 ", "ReadTwoWays", 2, true);
}

#[test]
fn rotation_turns_lines_arcs_and_holes() {
    let text = "G68 X10 Y0 R90\nG0 X10 Y0\nG1 X20 Y0 F100\nG2 X30 Y0 I5\nG69\nG0 X0 Y0";
    let run = run_from([0.0, 0.0, 5.0], text);
    expect_clean(&run);
    assert_eq!(lines(&run), [[10.0, 0.0, 5.0], [10.0, 10.0, 5.0], [10.0, 20.0, 5.0], [0.0, 0.0, 5.0]]);
    let Path::Arc(arc) = run.moves[2].path else { panic!("{:?}", run.moves[2]) };
    assert!(arc.sweep < 0.0 && (arc.center - Vec3::new(10.0, 15.0, 5.0)).norm() < 1e-9);
    let text = "G68 X0 Y0 R90\nG99 G81 X5 Y0 Z-3 R2\nG91 X5 Y0 Z-5 R-18";
    let run = run_from([0.0, 0.0, 20.0], text);
    let bottoms: Vec<_> = ends(&run).into_iter().filter(|(k, _)| *k == Feed).map(|(_, p)| p).collect();
    assert_eq!(bottoms[0], [0.0, 5.0, -3.0]);
    assert_eq!(bottoms[1][..2], [0.0, 10.0]);
}

#[test]
fn scaling_and_mirror() {
    let text = "G51 X0 Y0 P2.0\nG0 X5 Y5\nG1 X10 Y5 F100\nG3 X10 Y15 J5\nG50\nG0 X1 Y1";
    let run = run_from([0.0, 0.0, 5.0], text);
    expect_clean(&run);
    assert_eq!(lines(&run), [[10.0, 10.0, 5.0], [20.0, 10.0, 5.0], [20.0, 30.0, 5.0], [1.0, 1.0, 5.0]]);
    // Without a point P counts thousandths; J for both halves of the height at unequal factors is no arc any more.
    let run = run_from([0.0, 0.0, 5.0], "G51 X0 Y0 P1500\nG0 X2 Y2");
    assert_eq!(lines(&run), [[3.0, 3.0, 5.0]]);
    let run = run_from([0.0, 0.0, 5.0], "G51 X0 Y0 Z0 I2. J1. K1.\nG0 X5 Y5\nG1 X6 Y5\nG3 X6 Y7 J1");
    assert_eq!(facts(&run), [("MotionNotModelled".to_owned(), 7)]);
    let run = run_from([0.0, 0.0, 5.0], "G51.1 X10\nG0 X2 Y2\nG2 X2 Y6 J2\nG50.1\nG0 X2 Y2");
    expect_clean(&run);
    assert_eq!(lines(&run), [[18.0, 2.0, 5.0], [18.0, 6.0, 5.0], [2.0, 2.0, 5.0]]);
    let Path::Arc(arc) = run.moves[1].path else { panic!("{:?}", run.moves[1]) };
    assert!(arc.sweep > 0.0, "a mirrored G2 turns the other way");
    expect_fact("G21 G0 X0 Y0\nG51 X0 Y0", "WordMissing", 2, true);
    expect_fact("G21 G0 X0 Y0\nG51 X0 Y0 P0", "WordOutOfRange", 2, true);
    expect_fact("G21 G0 X0 Y0\nG51.1", "AxisWordsMissing", 2, true);
    expect_fact("G21 G0 X0 Y0\nG68 X0 Y0", "WordMissing", 2, true);
    expect_fact("G21 G0 X0 Y0\nG18 G68 X0 Y0 R5", "MotionNotModelled", 2, true);
    expect_fact("G21 G0 X0 Y0\nG68 X0 Y0 R5\nG51.1 X0", "ReadTwoWays", 3, true);
    // After a change the axis that is not named may stand where it stood, or where it would be without the change.
    expect_fact("G21 G0 X0 Y0\nZ5\nG68 X0 Y0 R5\nG0 X5", "ReadTwoWays", 4, true);
    expect_fact("G21 G0 X0 Y0\nG68 X0 Y0 R5\nG55", "ReadTwoWays", 3, true);
}

#[test]
fn probing_goes_to_the_point_and_proves_nothing_after_it() {
    let run = run("G21 F100 G0 X0 Y0\nZ5\nG38.2 Z-5\nG0 Z5");
    assert_eq!(facts(&run), [("ProbeResultUnknown".to_owned(), 3)]);
    assert_eq!((run.lost_from.unwrap().line, ends(&run)[1]), (3, (Feed, [0.0, 0.0, -5.0])));
    expect_fact("G21 F100 G0 X0 Y0\nG38.2", "AxisWordsMissing", 2, true);
    expect_fact("G21 F100 G0 X0 Y0\nG93 G38.2 Z1", "NotWhileActive", 2, true);
}

#[test]
fn feed_per_revolution() {
    let run = run_from([0.0, 0.0, 5.0], "S1000 M3\nG95 F0.2\nG1 X5\nS2000\nX6\nG94\nX7");
    let feeds: Vec<_> = run.moves.iter().map(|m| m.feed).collect();
    assert_eq!(feeds, [Some(200.0), Some(400.0), None]);
    assert_eq!(facts(&run), [("FeedMissing".to_owned(), 10)]);
    let run = run_from([0.0, 0.0, 5.0], "G95\nM29 S500\nG84 X0 Y0 Z-8 R2 F1.0");
    let tap = run.moves.iter().find(|m| m.kind == crate::motion::MoveKind::Thread).unwrap();
    assert_eq!((tap.feed, tap.rpm), (Some(500.0), 500.0));
}

#[test]
fn g44_takes_the_register_off() {
    use crate::job::Registers;
    use std::collections::BTreeMap;
    let mut job = job();
    // Without the register told, the sign of what is entered is anyone's guess.
    let text = "G21 T1 M6\nG44 H1 G0 X0 Y0\nZ5";
    let run = run_with(&job, text);
    assert_eq!(facts(&run), [("LengthRegisterUnknown".to_owned(), 2)]);
    assert_eq!(run.lost_from.map(|p| p.line), Some(2));
    // Tool 1 is 101 mm long: entered as -101 the tip goes where the program says, as -91 it hangs 10 mm lower.
    let registers = |h: f64| Registers { length: BTreeMap::from([(1, h)]), radius: BTreeMap::new() };
    job.registers = Some(registers(-101.0));
    assert_eq!(ends(&run_with(&job, text)), [(Rapid, [0.0, 0.0, 5.0])]);
    job.registers = Some(registers(-91.0));
    assert_eq!(ends(&run_with(&job, text)), [(Rapid, [0.0, 0.0, -5.0])]);
    job.registers = None;
    let set = "G21 T1 M6\nG10 L10 P1 R-101.\nG44 H1 G0 X0 Y0\nZ5";
    assert_eq!(ends(&run_with(&job, set)), [(Rapid, [0.0, 0.0, 5.0])]);
    job.tools[0].gauge_length = None;
    job.registers = Some(registers(-101.0));
    assert_eq!(facts(&run_with(&job, text)), [("LengthRegisterUnknown".to_owned(), 2)]);
    expect_fact("G21 T1 M6\nG44", "WordMissing", 2, true);
    expect_fact("G21 T1 M6\nG43 H1 G44 H1", "CodesExclude", 2, true);
    expect_clean(&super::run("G21 T1 M6\nG44 H0\nG49"));
}

#[test]
fn polar_coordinates() {
    let text = "G52 X10 Y0\nG16\nG0 X20 Y90\nY180\nX5\nG91 Y90\nG90 Z4\nG15\nX1 Y2";
    let run = run_from([0.0, 0.0, 5.0], text);
    expect_clean(&run);
    let expect = [
        [10.0, 20.0, 5.0],
        [-10.0, 0.0, 5.0],
        [5.0, 0.0, 5.0],
        [10.0, -5.0, 5.0],
        [10.0, -5.0, 4.0],
        [11.0, 2.0, 4.0],
    ];
    assert_eq!(lines(&run), expect);
    // A circle of holes.
    let holes = run_from([0.0, 0.0, 5.0], "G16 G99 G81 X20 Y0 Z-3 R2\nY90\nY180\nG80 G15");
    expect_clean(&holes);
    let bottoms: Vec<_> = lines(&holes).into_iter().filter(|p| p[2] < 0.0).collect();
    assert_eq!(bottoms, [[20.0, 0.0, -3.0], [0.0, 20.0, -3.0], [-20.0, 0.0, -3.0]]);
    let arc = run_from([20.0, 0.0, 5.0], "G16 G3 X20 Y90 R20");
    assert!((super::only_arc(&arc).0.center - Vec3::new(0.0, 0.0, 5.0)).norm() < 1e-9);
    let head = "G21 G0 X0 Y0\nZ5 F100\nG16\n";
    for text in ["X5", "Y90", "G91 X5 Y90", "X-5 Y0", "G3 X5 Y90 I5", "G28 X5 Y90", "G68 X0 Y0 R5\nX5 Y0"] {
        let run = super::run(&format!("{head}{text}"));
        assert!(facts(&run).iter().all(|(name, _)| name == "ReadTwoWays"), "{text}: {:?}", run.facts);
        assert!(run.lost_from.is_some(), "{text}");
    }
    expect_fact("G21 G0 X0 Y0\nG18\nG16", "MotionNotModelled", 3, true);
    expect_fact(&format!("{head}X5 Y90\nG18 X5"), "MotionNotModelled", 5, true);
    expect_fact(&format!("{head}G15 G16"), "CodesExclude", 4, true);
}

#[test]
fn g10_l20_is_read_as_the_control_reads_it() {
    use crate::job::OffsetDataL20;
    let mut joined = job();
    joined.setups[0].machine_zeros = vec![(WorkOffset(1), Vec3::new(-300.0, -200.0, -350.0))];
    joined.machine.control.offset_data_l20 = Some(OffsetDataL20::ExtendedOffsets);
    let text = "G10 L20 P3 X-290 Y-200 Z-350\nG54.1 P3 G0 X1 Y1";
    let run = run_from_with(&joined, [0.0, 0.0, 5.0], text);
    expect_clean(&run);
    assert_eq!(lines(&run), [[11.0, 1.0, 5.0]]);
    let run = run_from_with(&joined, [0.0, 0.0, 5.0], "G10 L20 P301 X0");
    assert_eq!(facts(&run), [("WordOutOfRange".to_owned(), 4)]);
    let mut present = job();
    present.machine.control.offset_data_l20 = Some(OffsetDataL20::PresentPoint);
    let run = run_from_with(&present, [7.0, 8.0, 5.0], "G10 L20 P1 X0 Y1\nG0 X1 Y1");
    expect_clean(&run);
    assert_eq!(lines(&run), [[8.0, 8.0, 5.0]]);
    for (text, name) in [
        ("G10 L20 P10 X0", "WordOutOfRange"),
        ("G10 L20 P1 X0 R1", "UnusedWord"),
        ("G52 X1\nG10 L20 P1 X0", "ReadTwoWays"),
    ] {
        let run = run_from_with(&present, [7.0, 8.0, 5.0], text);
        assert_eq!(facts(&run).first().map(|(n, _)| n.as_str()), Some(name), "{text}");
        assert!(run.lost_from.is_some());
    }
}
