//! Cutter compensation that an arc turns on or off: NISTIR 6556, B.6.

use super::compensation::with_radius;
use super::{ends, expect_clean, facts, run_from_with};
use crate::geom::Path;
use crate::job::{Allowance, Job};

fn follows() -> Job {
    let mut job = with_radius(2.0);
    job.machine.control.compensation.on_arc = Allowance::Accepted;
    job
}

#[track_caller]
fn way(from: [f64; 3], text: &str, expect: &[[f64; 3]]) {
    let run = run_from_with(&follows(), from, text);
    expect_clean(&run);
    let at: Vec<[f64; 3]> = ends(&run).into_iter().map(|(_, p)| p).collect();
    assert_eq!(at, expect, "{text}");
    let mut before = from;
    for m in &run.moves {
        let start = super::rounded(m.path.start());
        assert_eq!(start, before, "{text}");
        before = super::rounded(m.path.end());
    }
}

#[test]
fn the_tool_goes_round_the_programmed_center() {
    // Inside and outside of a circle of 10 about the zero, each way round.
    let inside = "G41 D1 G3 X10 Y0 J8\nG1 Y20";
    way([0.0, -8.0, 5.0], inside, &[[8.0, 0.0, 5.0], [8.0, 20.0, 5.0]]);
    way([0.0, -12.0, 5.0], "G42 D1 G3 X10 Y0 J12\nG1 Y20", &[[12.0, 0.0, 5.0], [12.0, 20.0, 5.0]]);
    way([0.0, 12.0, 5.0], "G41 D1 G2 X10 Y0 J-12\nG1 Y-20", &[[12.0, 0.0, 5.0], [12.0, -20.0, 5.0]]);
    way([0.0, 8.0, 5.0], "G42 D1 G2 X10 Y0 J-8\nG1 Y-20", &[[8.0, 0.0, 5.0], [8.0, -20.0, 5.0]]);
    // Three quarters round and down, then round an outside corner.
    let down = "G41 D1 G3 X0 Y10 Z1 I8\nG1 Y20";
    way([-8.0, 0.0, 5.0], down, &[[0.0, 8.0, 1.0], [-2.0, 10.0, 1.0], [-2.0, 20.0, 1.0]]);
}

#[test]
fn all_along_it_the_tool_touches_the_programmed_circle() {
    let run = run_from_with(&follows(), [0.0, -8.0, 5.0], "G41 D1 G3 X10 Y0 J8\nG1 Y20");
    let Path::Arc(arc) = &run.moves[0].path else { panic!("{:?}", run.moves) };
    assert!((arc.radius + 2.0 - 10.0).abs() < 1e-9 && arc.center.xy().norm() < 1e-9);
    assert!((arc.sweep - std::f64::consts::FRAC_PI_2).abs() < 1e-9);
}

#[test]
fn what_cannot_be_built_is_said() {
    for (from, text, name) in [
        // One millimetre off the circle; the wrong side of it.
        ([0.0, -7.0, 5.0], "G41 D1 G3 X10 Y0 J7\nG1 Y20", "CompensationEntryOnArc"),
        ([0.0, -8.0, 5.0], "G42 D1 G3 X10 Y0 J8\nG1 Y20", "CompensationEntryOnArc"),
        ([0.0, -1.0, 5.0], "G41 D1 G3 X1 Y0 J1\nG1 Y20", "InsideArcTooSmall"),
        ([0.0, -8.0, 5.0], "G41 D1 G3 X10 Y0 R9\nG1 Y20", "MotionNotModelled"),
        ([0.0, -8.0, 5.0], "G41 D1 G3 X0 Y-10 J8\nG1 X20", "MotionNotModelled"),
        ([0.0, -8.0, 5.0], "G41 D1 G3 X10 Y0\nG1 Y20", "ArcWithoutCenter"),
    ] {
        let run = run_from_with(&follows(), from, text);
        assert_eq!(facts(&run), [(name.to_owned(), 4)], "{text}");
        assert!(run.lost_from.is_some(), "{text}");
    }
    // An inside corner right behind the arc.
    let run = run_from_with(&follows(), [0.0, -8.0, 5.0], "G41 D1 G3 X10 Y0 J8\nG1 X0");
    assert_eq!(facts(&run), [("InsideCornerRefused".to_owned(), 5)]);
}

#[test]
fn off_it_is_an_arc_from_where_the_tool_stands() {
    let on = "G41 D1 G1 X0 Y-10\nY20\n";
    let from = [-20.0, -10.0, 5.0];
    let straight = [[-2.0, -10.0, 5.0], [-2.0, 20.0, 5.0]];
    for (arc, end) in [
        ("G40 G2 X8 Y30 I10", vec![[8.0, 30.0, 5.0]]),
        ("G40 G2 X8 Y30 R10\nG1 X20", vec![[8.0, 30.0, 5.0], [20.0, 30.0, 5.0]]),
        ("G40\nG2 X8 Y30 R10 Z9", vec![[8.0, 30.0, 9.0]]),
    ] {
        let expect: Vec<_> = straight.into_iter().chain(end).collect();
        way(from, &format!("{on}{arc}"), &expect);
    }
    for (arc, name) in [
        // Counted from the contour instead; an axis that is not named; G91.
        ("G40 G2 X8 Y30 I8", "ArcRadiusMismatch"),
        ("G40 G2 X8 R10", "ReadTwoWays"),
        ("G40 G91 G2 X8 Y10 R10", "ReadTwoWays"),
    ] {
        let run = run_from_with(&follows(), from, &format!("{on}{arc}"));
        assert_eq!(facts(&run), [(name.to_owned(), 6)], "{arc}");
    }
}
