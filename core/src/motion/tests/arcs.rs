//! Arcs against closed forms.

use super::{expect_clean, expect_fact, job, only_arc, rounded, run_from, run_from_with};
use crate::geom::{Axis, Path, Vec3};
use crate::job::ArcCenters;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

#[track_caller]
fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9, "{a} is not {b}");
}

#[test]
fn a_quarter_turn_in_each_plane_and_sense() {
    // Seen from the positive end of the axis; in G18 the first axis is Z, the second X.
    for (text, axis, sweep, end) in [
        ("G17 G3 X0 Y10 I-10 J0", Axis::Z, FRAC_PI_2, [0.0, 10.0, 0.0]),
        ("G17 G2 X0 Y-10 I-10 J0", Axis::Z, -FRAC_PI_2, [0.0, -10.0, 0.0]),
        ("G18 G2 X0 Z10 I-10 K0", Axis::Y, -FRAC_PI_2, [0.0, 0.0, 10.0]),
        ("G18 G3 X0 Z-10 I-10 K0", Axis::Y, FRAC_PI_2, [0.0, 0.0, -10.0]),
    ] {
        let run = run_from([10.0, 0.0, 0.0], text);
        expect_clean(&run);
        let (arc, m) = only_arc(&run);
        assert_eq!(arc.axis, axis);
        near(arc.sweep, sweep);
        near(arc.radius, 10.0);
        assert_eq!(rounded(m.path.end()), end, "{text}");
        near(arc.length(), 10.0 * FRAC_PI_2);
    }
    let run = run_from([0.0, 10.0, 0.0], "G19 G3 Y0 Z10 J-10 K0");
    let (arc, _) = only_arc(&run);
    assert_eq!(arc.axis, Axis::X);
    near(arc.sweep, FRAC_PI_2);
}

#[test]
fn full_circles_and_helices() {
    let (arc, _) = only_arc(&run_from([10.0, 0.0, 0.0], "G2 I-10"));
    near(arc.sweep, -TAU);
    let (arc, m) = only_arc(&run_from([10.0, 0.0, 0.0], "G3 X10 Y0 I-10 Z-3"));
    near(arc.sweep, TAU);
    near(arc.rise, -3.0);
    assert_eq!(rounded(m.path.end()), [10.0, 0.0, -3.0]);
    let (arc, _) = only_arc(&run_from([10.0, 0.0, 0.0], "G91 G3 X-20 I-10 Z1"));
    near(arc.sweep, PI);
    near(arc.rise, 1.0);
    near(arc.length(), libm::hypot(10.0 * PI, 1.0));
}

#[test]
fn increments_that_add_up_to_nothing_still_make_a_full_turn() {
    let (arc, _) = only_arc(&run_from([0.3, 0.0, 0.0], "G91 G3 X0 Y0 I-.3"));
    near(arc.sweep, TAU);
}

#[test]
fn centers_from_program_zero() {
    let mut job = job();
    job.machine.control.arc_centers = ArcCenters::Absolute;
    let run = run_from_with(&job, [30.0, 20.0, 0.0], "G3 X20 Y30 I20 J20");
    let (arc, _) = only_arc(&run);
    near(arc.sweep, FRAC_PI_2);
    assert_eq!(rounded(arc.center), [20.0, 20.0, 0.0]);
    let run = run_from_with(&job, [30.0, 20.0, 0.0], "G3 X20 Y30 I20");
    assert_eq!(super::facts(&run), [("WordMissing".to_owned(), 4)]);
}

#[test]
fn rounded_ends_are_fitted_and_the_shift_is_told() {
    // The true end is 7.0710678; four decimals are written.
    let run = run_from([10.0, 0.0, 0.0], "G3 X7.0711 Y7.0711 I-10 J0");
    expect_clean(&run);
    let (arc, m) = only_arc(&run);
    let end = Vec3::new(7.0711, 7.0711, 0.0);
    assert!((m.path.end() - end).norm() < 1e-9);
    assert!((m.path.start() - Vec3::new(10.0, 0.0, 0.0)).norm() < 1e-9);
    assert!(m.deviation > 0.0 && m.deviation < 2e-4, "{}", m.deviation);
    // Every path between the two radii about the programmed centre stays within the deviation.
    for t in [0.0_f64, 0.2, 0.5, 0.8, 1.0] {
        let angle = t * 0.25 * PI;
        let radius = 10.0 + t * (libm::hypot(7.0711, 7.0711) - 10.0);
        let p = Vec3::new(radius * libm::cos(angle), radius * libm::sin(angle), 0.0);
        assert!(((p - arc.center).norm() - arc.radius).abs() <= m.deviation + 1e-12);
    }
}

#[test]
fn a_nearly_full_turn_keeps_its_center() {
    let run = run_from([10.0, 0.0, 0.0], "G3 X10.001 Y-0.0005 I-10 J0");
    expect_clean(&run);
    let (arc, m) = only_arc(&run);
    assert!((arc.center - Vec3::zeros()).norm() < 1e-6);
    assert!(arc.sweep > TAU - 0.01 && arc.sweep < TAU);
    assert!((m.path.end() - Vec3::new(10.001, -0.0005, 0.0)).norm() <= m.deviation + 1e-12);
    assert!(m.deviation < 0.001);
}

#[test]
fn radius_form_short_and_long_way() {
    for (text, sweep) in [
        ("G3 X0 Y10 R10", FRAC_PI_2),
        ("G3 X0 Y10 R-10", TAU - FRAC_PI_2),
        ("G2 X0 Y10 R10", -FRAC_PI_2),
        ("G2 X0 Y10 R-10", FRAC_PI_2 - TAU),
        ("G3 X-10 Y0 R10", PI),
        ("G3 X-10 Y0 R9.999", PI),
    ] {
        let run = run_from([10.0, 0.0, 0.0], text);
        expect_clean(&run);
        let (arc, m) = only_arc(&run);
        near(arc.sweep, sweep);
        assert!(matches!(m.path, Path::Arc(_)));
    }
}

#[test]
fn arcs_that_cannot_be() {
    let head = "G21 G0 X10 Y0\nZ0 F100\n";
    let check = |text: &str, name, lost| expect_fact(&format!("{head}{text}"), name, 3, lost);
    check("G3 X-10 Y0 R9.9", "ArcOutOfReach", true);
    check("G3 X10 Y0 R10", "FullCircleWithRadius", true);
    check("G3 X0 Y10", "ArcWithoutCenter", true);
    check("G3 X10 Y0 I0 J0", "ArcWithoutCenter", true);
    check("G3 X0 Y10.1 I-10 J0", "ArcRadiusMismatch", false);
    check("G3 X0 Y10 I-10 J0 R10", "UnusedWord", true);
    check("G3 X0 Y10 I-10 K0", "UnusedWord", true);
    check("G3 X0 Y10 I-10 P2", "UnusedWord", true);
}
