//! Closed formulas and published examples.

use super::spans;
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Path, Spans, Vec3};
use crate::sweep::Sweep;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

const INCH: f64 = crate::units::Unit::Inch.mm();

fn cylinder(r: f64, h: f64) -> Body {
    Body::Frustum { z0: 0.0, z1: h, r0: r, r1: r }
}

fn length(spans: &Spans) -> f64 {
    spans.iter().map(|s| s.1 - s.0).sum()
}

/// Integral over `low..high` with points crowded towards both ends, where sections of round bodies are steep: the
/// midpoint rule in the angle of a half circle.
fn integral(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let n = 4000;
    let (middle, half) = (0.5 * (low + high), 0.5 * (high - low));
    (0..n)
        .map(|i| {
            let a = PI * (f64::from(i) + 0.5) / f64::from(n);
            f(middle - half * libm::cos(a)) * half * libm::sin(a) * PI / f64::from(n)
        })
        .sum()
}

fn line(from: [f64; 3], to: [f64; 3]) -> Path {
    Path::Line { from: Vec3::from(from), to: Vec3::from(to) }
}

#[test]
fn a_slot_is_exact_where_its_walls_lie() {
    let s = Sweep::new(cylinder(5.0, 20.0), &line([-3.7, 2.1, -1.3], [8.2, 2.1, -1.3]));
    assert_eq!(spans(&s, Axis::Y, -0.4, 1.0).as_slice(), &[(2.1 - 5.0, 2.1 + 5.0)]);
    assert_eq!(spans(&s, Axis::Z, 1.0, 2.0).as_slice(), &[(-1.3, 20.0 - 1.3)]);
    assert_eq!(spans(&s, Axis::X, 2.1, 0.0).as_slice(), &[(-3.7 - 5.0, 8.2 + 5.0)]);
}

#[test]
fn a_straight_slot_is_a_box_and_two_half_discs() {
    let (r, l) = (4.0, 23.0);
    for to in [[l, 0.0], [0.6 * l, 0.8 * l], [0.0, -l]] {
        let s = Sweep::new(cylinder(r, 9.0), &line([0.0; 3], [to[0], to[1], 0.0]));
        let b = s.bounds();
        let area = integral(b.min.y, b.max.y, |y| length(&spans(&s, Axis::X, y, 1.0)));
        assert!((area - (2.0 * r * l + PI * r * r)).abs() < 1e-3, "{area}");
        let z = spans(&s, Axis::Z, 0.5 * to[0], 0.5 * to[1]);
        assert_eq!(z.as_slice(), &[(0.0, 9.0)]);
    }
}

#[test]
fn an_arc_slot_is_an_annular_sector_and_two_half_discs() {
    let (r, arc_r, angle) = (3.0, 11.0, 4.0);
    let arc = Arc {
        center: Vec3::new(1.0, 2.0, 0.0),
        axis: Axis::Z,
        radius: arc_r,
        start_angle: 0.7,
        sweep: angle,
        rise: 0.0,
    };
    let s = Sweep::new(cylinder(r, 9.0), &Path::Arc(arc));
    let area = integral(s.bounds().min.y, s.bounds().max.y, |y| length(&spans(&s, Axis::X, y, 1.0)));
    let closed = 0.5 * angle * ((arc_r + r).powi(2) - (arc_r - r).powi(2)) + PI * r * r;
    assert!((area - closed).abs() < 2e-3, "{area} {closed}");
    let other = integral(s.bounds().min.x, s.bounds().max.x, |x| length(&spans(&s, Axis::Y, 1.0, x)));
    assert!((other - closed).abs() < 2e-3, "{other} {closed}");
}

#[test]
fn a_ramped_slot_has_the_volume_of_an_oblique_prism() {
    // A flat end mill of height h down a ramp: its section area times h, and the swept projection: the box of width
    // 2R, the ramp's drop times 2R times the length in plan is not needed, since the tool is taller than the drop:
    // volume = pi R^2 h + 2 R L h + (drop) * (area seen from below that the rear half of the disc keeps).
    // Seen from the side the sweep of a convex body K by v has the volume V(K) + |v| * A(K | v), where A is the area
    // of the shadow along v (Minkowski sum with a segment; R. Schneider, Convex Bodies, 5.1).
    let (r, h) = (4.0, 12.0);
    let v = Vec3::new(15.0, 0.0, -5.0);
    // Shadow of a cylinder along a direction at angle a from level: 2 R h cos a + pi R^2 sin a.
    let (cos, sin) = (15.0 / v.norm(), 5.0 / v.norm());
    let closed = PI * r * r * h + v.norm() * (2.0 * r * h * cos + PI * r * r * sin);
    let s = Sweep::new(cylinder(r, h), &line([0.0; 3], [15.0, 0.0, -5.0]));
    let b = s.bounds();
    let mut volume = 0.0;
    let n = 1500;
    for i in 0..n {
        let y = b.min.y + (f64::from(i) + 0.5) * (b.max.y - b.min.y) / f64::from(n);
        for k in 0..n {
            let x = b.min.x + (f64::from(k) + 0.5) * (b.max.x - b.min.x) / f64::from(n);
            volume += length(&spans(&s, Axis::Z, x, y));
        }
    }
    volume *= (b.max.y - b.min.y) * (b.max.x - b.min.x) / f64::from(n * n);
    assert!((volume / closed - 1.0).abs() < 1e-4, "{volume} {closed}");
}

#[test]
fn a_helix_bores_a_round_hole_with_a_flat_bottom() {
    // Diameter of the hole = diameter of the tool's circle + tool ("helix-bore" in the table of formulas).
    let (r, tool) = (3.0, 5.0);
    let helix = Arc {
        center: Vec3::new(7.0, -2.0, 0.0),
        axis: Axis::Z,
        radius: r,
        start_angle: 0.4,
        sweep: 3.0 * TAU,
        rise: -4.5,
    };
    let bottom = Arc { center: Vec3::new(7.0, -2.0, -4.5), sweep: TAU, rise: 0.0, ..helix };
    let down = Sweep::new(cylinder(tool, 30.0), &Path::Arc(helix));
    let round = Sweep::new(cylinder(tool, 30.0), &Path::Arc(bottom));
    for (z, want) in [(-1.5, 8.0), (-3.0, 8.0), (-4.0, 8.0)] {
        let found = spans(&round, Axis::X, -2.0, z);
        assert!((found[0].0 - (7.0 - want)).abs() < 1e-12 && (found[0].1 - (7.0 + want)).abs() < 1e-12);
        let whole = spans(&down, Axis::Y, z + 1e-3 + 1.5, 7.0);
        assert!((whole[0].0 - (-2.0 - want)).abs() < 1e-12, "{whole:?}");
    }
    // On the axis the floor is the end of the helix.
    assert_eq!(spans(&down, Axis::Z, 7.0, -2.0).len(), 1);
    assert!((spans(&down, Axis::Z, 7.0, -2.0)[0].0 + 4.5).abs() < 1e-12);
    // The window's half width is acos((rho^2 + r^2 - R^2) / (2 rho r)): the floor a little off the end's direction.
    let (rho, ahead) = (7.0, 0.3);
    let half = libm::acos((rho * rho + r * r - tool * tool) / (2.0 * rho * r));
    let at = 0.4 + ahead;
    let s = spans(&down, Axis::Z, 7.0 + rho * libm::cos(at), -2.0 + rho * libm::sin(at));
    assert!(half > ahead, "the tool's end reaches this ray, so the floor is the end's");
    assert!((s[0].0 + 4.5).abs() < 1e-12);
    let at = 0.4 - 2.0;
    let s = spans(&down, Axis::Z, 7.0 + rho * libm::cos(at), -2.0 + rho * libm::sin(at));
    let last = 3.0 * TAU - 2.0 + half;
    assert!((s[0].0 + 4.5 * last / (3.0 * TAU)).abs() < 1e-12, "{s:?}");
}

#[test]
fn a_drill_point_holds_a_third_of_its_cylinder() {
    let (r, h) = (2.5, 1.502_151_5);
    let point = Sweep::new(Body::Frustum { z0: 0.0, z1: h, r0: 0.0, r1: r }, &line([0.0; 3], [0.0; 3]));
    let volume = integral(0.0, r, |d| TAU * d * length(&spans(&point, Axis::Z, d, 0.0)));
    assert!((volume - PI * r * r * h / 3.0).abs() < 1e-5, "{volume}");
    // Plunged by 10: a cylinder of height 10 on top of it.
    let hole =
        Sweep::new(Body::Frustum { z0: 0.0, z1: h, r0: 0.0, r1: r }, &line([0.0; 3], [0.0, 0.0, -10.0]));
    let volume = integral(0.0, r, |d| TAU * d * length(&spans(&hole, Axis::Z, 0.0, d)));
    assert!((volume - PI * r * r * (h / 3.0 + 10.0)).abs() < 1e-4, "{volume}");
}

/// Height left between two passes of a ball.
fn scallop(radius: f64, step: f64) -> f64 {
    let ball = Body::HalfBall { z0: 0.0, radius };
    let passes = [0.0, step].map(|y| Sweep::new(ball, &line([-20.0, y, 0.0], [20.0, y, 0.0])));
    let heights = passes.map(|s| spans(&s, Axis::Z, 0.0, 0.5 * step)[0].0);
    assert!((heights[0] - heights[1]).abs() < 1e-12);
    heights[0]
}

#[test]
fn scallops_of_ball_passes_are_as_published() {
    // h = R - sqrt(R^2 - s^2 / 4); worked examples W27 to W29 with their printed answers.
    for (d, step, printed, decimals) in
        [(6.0, 0.5, 0.0104, 4), (6.0, 0.346, 0.005, 3), (10.0, 0.5, 0.0063, 4)]
    {
        let h = scallop(d / 2.0, step);
        let r = d / 2.0_f64;
        assert!((h - (r - (r * r - step * step / 4.0).sqrt())).abs() < 1e-12);
        let half_a_digit = 0.5 * 10.0_f64.powi(-decimals) + 1e-6;
        assert!((h - printed).abs() <= half_a_digit, "{h} {printed}");
    }
}

#[test]
fn a_chamfer_is_as_wide_as_the_tool_is_deep() {
    // 90 degrees, flat tip 1 mm, its tip 1.5 below the face and its axis 0.9 inside the edge at y = 0: on the face the cone
    // has the radius 0.5 + 1.5, so the chamfer ends 1.1 inside the edge; down the wall it ends where the radius is 0.9.
    let tool = Body::Frustum { z0: 0.0, z1: 4.0, r0: 0.5, r1: 4.5 };
    let s = Sweep::new(tool, &line([0.0, 0.9, -1.5], [30.0, 0.9, -1.5]));
    let face = spans(&s, Axis::Y, 0.0, 15.0);
    assert!((face[0].0 - (0.9 - 2.0)).abs() < 1e-12);
    let wall = spans(&s, Axis::Z, 15.0, 0.0);
    assert!((wall[0].0 - (-1.5 + 0.4)).abs() < 1e-12);
}

#[test]
fn through_hole_depth_as_published() {
    // W30: 1 in plate, 1/2 in drill of 118 degrees, 0.05 in past: tip 0.15 in, depth 1.20 in.
    let r = 0.25 * INCH;
    let tip = r / libm::tan(59.0_f64.to_radians());
    assert!((tip / INCH - 0.15022).abs() < 5e-6);
    let depth = 1.20022 * INCH;
    let point = Body::Frustum { z0: 0.0, z1: tip, r0: 0.0, r1: r };
    let s = Sweep::new(point, &line([0.0, 0.0, 5.0], [0.0, 0.0, -depth]));
    // The full diameter comes out 0.05 in below the plate.
    let wall = spans(&s, Axis::X, 0.0, -1.0499 * INCH);
    assert!((wall[0].1 - r).abs() < 1e-12 && (wall[0].0 + r).abs() < 1e-12);
    let below = spans(&s, Axis::X, 0.0, -1.0501 * INCH);
    assert!(below[0].1 < r - 1e-4);
}

#[test]
fn a_ball_down_a_wall_in_g18_leaves_the_round_it_should() {
    // Tip on a quarter circle of radius 10 in XZ: the ball's centre runs on the same circle, 3 above, so along the path
    // the surface is a circle of radius 13 about the centre of the circle of ball centres.
    let arc = Arc {
        center: Vec3::zeros(),
        axis: Axis::Y,
        radius: 10.0,
        start_angle: FRAC_PI_2,
        sweep: FRAC_PI_2,
        rise: 0.0,
    };
    // others of Y are (Z, X): the angle runs from +Z towards +X, so this runs from +X down to -Z.
    assert!((arc.point(1.0) - Vec3::new(0.0, 0.0, -10.0)).norm() < 1e-9);
    let s = Sweep::new(Body::HalfBall { z0: 0.0, radius: 3.0 }, &Path::Arc(arc));
    for x in [1.0, 4.0, 8.0] {
        let found = spans(&s, Axis::Z, x, 0.0);
        assert!((found[0].0 - (3.0 - (169.0_f64 - x * x).sqrt())).abs() < 1e-6, "{found:?}");
    }
}
