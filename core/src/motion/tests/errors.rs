//! Every error condition that NISTIR 6556 lists, with what is said of it. Those of cutter compensation stand beside it.

use super::expect_fact;
use crate::job::Allowance;

const HEAD: &str = "G21 F100 G0 X0 Y0\nZ5\n";

#[track_caller]
fn check(text: &str, name: &str) {
    expect_fact(&format!("{HEAD}{text}"), name, 3, true);
}

#[test]
fn straight_moves_and_arcs() {
    // 3.5.1 and 3.5.2: no axis word. On shop controls a G0 alone only sets the mode, so nothing is said.
    super::expect_clean(&super::run(&format!("{HEAD}G1")));
    // The report's own reading of both, and of G80 and G28 beside a motion code, and of a circle without an end.
    let mut strict = super::job();
    strict.machine.control.motion_without_axes = Allowance::Refused;
    strict.machine.control.motion_codes_together = Allowance::Refused;
    strict.machine.control.circle_without_end = Allowance::Refused;
    for (text, name) in [
        ("G1", "AxisWordsMissing"),
        ("G3", "AxisWordsMissing"),
        ("G0 G4 P1.", "AxisWordsMissing"),
        ("G53 G0", "AxisWordsMissing"),
        ("G80 G0 X5", "CodesExclude"),
        ("G0 G80 X5", "CodesExclude"),
        ("G0 G28 Z9", "CodesExclude"),
        ("G2 I5 J0", "AxisWordsMissing"),
        ("G2 I5 J0 Z1", "AxisWordsMissing"),
        ("G18 G3 K5", "AxisWordsMissing"),
    ] {
        let text = format!("{HEAD}{text}");
        assert_eq!(super::facts(&super::run_with(&strict, &text)), [(name.to_owned(), 3)], "{text}");
        super::expect_clean(&super::run(&text));
    }
    for text in ["G1 X5", "G80", "G28 Z9", "G2 X0 I5 J0", "G4 P1."] {
        super::expect_clean(&super::run_with(&strict, &format!("{HEAD}{text}")));
    }
    // 3.5.3: no axis word in the plane, no offset, radii that differ, end at the start in radius form.
    check("G2 I5 K5", "UnusedWord");
    check("G2 X5", "ArcWithoutCenter");
    check("G2 X0 Y0 R5", "FullCircleWithRadius");
    check("G2 X20 Y0 R5", "ArcOutOfReach");
}

#[test]
fn dwell_data_and_lengths() {
    check("G4 P-1", "WordOutOfRange");
    check("G4", "WordMissing");
    check("G10 L2 P0.5 X1", "WordOutOfRange");
    check("G10 L2 P-1 X1", "WordOutOfRange");
    check("G43 H1.5", "WordOutOfRange");
    check("G43 H-1", "WordOutOfRange");
    check("G43", "WordMissing");
    check("H1", "UnusedWord");
    check("S-1", "WordOutOfRange");
    check("T-1", "WordOutOfRange");
    check("T1.5", "WordOutOfRange");
    check("F-1", "WordOutOfRange");
}

#[test]
fn machine_coordinates_need_a_straight_move() {
    check("G53 G2 X5 Y0 R5", "CodesExclude");
    check("G80 G53 X5", "NoMotionMode");
}

#[test]
fn no_motion_and_axis_words() {
    check("G80 X5", "NoMotionMode");
    check("G92", "AxisWordsMissing");
    check("G1 G92 X5", "CodesExclude");
    check("G28 G10 L2 P1 X5", "CodesExclude");
    check("G1 G28 X5", "CodesExclude");
}

#[test]
fn inverse_time_needs_a_feed_in_every_block() {
    expect_fact(&format!("{HEAD}G93 G1 X5"), "FeedMissing", 3, false);
    super::expect_clean(&super::run(&format!("{HEAD}G93 G0 X5")));
}

#[test]
fn canned_cycles() {
    check("G81 Z-5 R1 X1 L-1", "WordOutOfRange");
    check("G81 R1", "WordMissing");
    check("G82 X1 Z-5 R1 P-1", "WordOutOfRange");
    check("G83 X1 Z-5 R1 Q0", "WordOutOfRange");
    check("G81 X1 R1", "WordMissing");
    check("G81 X1 Z5 R1", "CycleUpsideDown");
    check("G93 F1 G81 X1 Z-5 R1", "NotWhileActive");
    check("G81 X1 A5 Z-5 R1", "UnknownWord");
}

#[test]
fn what_may_stand_in_a_line() {
    check("X1 X2", "RepeatedWord");
    check("G0 G1 X1", "CodesExclude");
    check("G90 G91", "CodesExclude");
    check("G54 G55", "CodesExclude");
    check("G61 G64", "CodesExclude");
    check("G17 G18", "CodesExclude");
    check("G20 G21", "CodesExclude");
    check("G43 H1 G49", "CodesExclude");
    check("G98 G99", "CodesExclude");
    check("G93 G94", "CodesExclude");
    check("M3 M4", "CodesExclude");
    check("M0 M1", "CodesExclude");
    check("M48 M49", "CodesExclude");
    check("M3 M8 M48 M1 M7", "TooManyM");
    check("N1.5 X1", "UnreadableText");
    check("N-1 X1", "UnreadableText");
    check("$", "UnreadableText");
    check("X1 (one (two))", "UnreadableText");
    check("E5", "UnknownWord");
    check("M1.5", "UnknownWord");
    super::expect_clean(&super::run(&format!("{HEAD}M7 M8 M48 M0\nG61\nG61.1\nG64\nM49\nM60")));
}

#[test]
fn numbers_and_expressions() {
    for text in
        ["#0=5", "#9999999=5", "#1.5=2", "X[1/0]", "X[SQRT[-1]]", "X[LN[0]]", "X[ASIN[2]]", "X[2**10000]"]
    {
        check(text, "NoValue");
    }
    for text in ["X[1+2", "X[1+]", "X[SIN 5]", "X[ATAN[1]]", "X1e5", "#1", "#1=", "X[1 EQ]"] {
        super::facts(&super::run(&format!("{HEAD}{text}"))).first().map_or_else(
            || panic!("{text}"),
            |(name, line)| {
                assert!(name == "UnreadableText" || name == "UnknownWord", "{text}: {name}");
                assert_eq!(*line, 3);
            },
        );
    }
    check("X#7", "ParameterNotSet");
    check("#5221=1", "SystemParameter");
}

#[test]
fn where_the_report_and_shops_compute_differently_nothing_is_proved() {
    use crate::program::Reading;
    check("X[FIX[-2.8]]", "ReadTwoWays");
    check("X[FUP[-2.8]]", "ReadTwoWays");
    check("X[ATAN[-1]/[1]]", "ReadTwoWays");
    check("X[6 AND 3]", "ReadTwoWays");
    check("X[1 AND 1 + 1]", "ReadTwoWays");
    super::expect_clean(&super::run(&format!("{HEAD}X[FIX[2.8]] Y[1 AND 1]\nX[SIN[ATAN[-1]/[1]]]")));
    let mut job = super::job();
    for (reading, fix, and) in [(Reading::Report, -3.0, 1.0), (Reading::Shop, -2.0, 2.0)] {
        job.machine.control.expressions = Some(reading);
        let run = super::run_with(&job, &format!("{HEAD}X[FIX[-2.8]] Y[6 AND 3]"));
        super::expect_clean(&run);
        let end = run.moves.last().unwrap().path.end();
        assert_eq!((end.x, end.y), (fix, and));
    }
}

#[test]
fn lines_beyond_what_a_control_reads() {
    // 3.3: at most 256 characters. A comment may be longer.
    let blanks = " ".repeat(250);
    super::expect_clean(&super::run(&format!("{HEAD}G1 X5{}Y6", " ".repeat(249))));
    check(&format!("G1 X5{blanks}Y6"), "LineTooLong");
    check(&format!("#1=5{blanks} #2=6"), "LineTooLong");
    check(&format!("{blanks}G1 X5000"), "LineTooLong");
    super::expect_clean(&super::run(&format!("{HEAD}G1 X5 ({})", "x".repeat(400))));
    let mut short = super::job();
    short.machine.control.line_length = 10;
    let run = super::run_with(&short, "G21 G0\nX0 Y0 Z0.000");
    assert_eq!(super::facts(&run), [("LineTooLong".to_owned(), 2)]);
}
