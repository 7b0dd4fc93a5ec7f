//! Normals of every kind of body on every kind of path against the slope of the oracle's depth.

use super::oracle::{Oracle, inner_point, tip};
use super::table::{bodies, paths};
use super::{Dice, spans};
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Path, Vec3};
use crate::sweep::Sweep;

/// Half the length over which the slope is taken, mm.
const STEP: f64 = 1e-4;

/// Direction in which the depth falls off fastest towards the outside.
fn slope(oracle: &Oracle, p: &Vec3) -> Vec3 {
    let along = |a: Axis| {
        let mut by = Vec3::zeros();
        a.set(&mut by, STEP);
        oracle.depth(&(p + by)) - oracle.depth(&(p - by))
    };
    Vec3::new(along(Axis::X), along(Axis::Y), along(Axis::Z)) / (2.0 * STEP)
}

/// The normal by the slope at the point and outside of it; `None` where they differ: faces meet there.
fn normal(oracle: &Oracle, p: &Vec3) -> Option<Vec3> {
    // Inside, the depth below what a sharp rim has left grows more slowly than the distance, in the same direction.
    let here = slope(oracle, p).normalize();
    let outside = slope(oracle, &(p + here * (3.0 * STEP)));
    ((outside - here).norm() < 2e-3).then_some(outside)
}

/// Ends looked at, ends on edges, and what is wrong.
fn cell(body: &Body, path: &Path, axis: Axis, rays: usize, dice: &mut Dice) -> (u32, u32, Vec<String>) {
    let sweep = Sweep::new(*body, path);
    let oracle = Oracle::new(body, path);
    let (on_u, on_v) = axis.others();
    let (mut seen, mut edges, mut wrong) = (0, 0, Vec::new());
    for _ in 0..rays {
        let p = tip(path, dice.unit()) + inner_point(body, dice.unit(), dice.unit(), dice.unit());
        for end in spans(&sweep, axis, on_u.of(&p), on_v.of(&p)).iter().flat_map(|s| [s.0, s.1]) {
            let mut q = p;
            // As the stock has it: a whole nanometre.
            axis.set(&mut q, (end * 1e6).round() / 1e6);
            let truth = normal(&oracle, &q);
            let found = sweep.normal_at(&q);
            seen += 1;
            match (truth, found) {
                (None, Some(_)) => edges += 1,
                (Some(truth), Some(found)) if (found - truth).norm() < 2e-3 => {}
                _ => wrong.push(format!("{q:?}: {found:?}, should be {truth:?}")),
            }
        }
    }
    (seen, edges, wrong)
}

#[test]
fn normals_are_the_slope_of_the_depth() {
    let mut dice = Dice(5);
    let mut wrong = Vec::new();
    for (path_name, path) in paths() {
        for (body_name, body) in bodies() {
            for axis in Axis::ALL {
                let (seen, edges, found) = cell(&body, &path, axis, 4, &mut dice);
                wrong.extend(found.into_iter().map(|w| format!("{body_name}, {path_name}, {axis:?}: {w}")));
                assert!(edges * 2 <= seen + 2, "{body_name}, {path_name}: {edges} of {seen} on edges");
            }
        }
    }
    assert!(wrong.is_empty(), "{} wrong: {:#?}", wrong.len(), &wrong[..wrong.len().min(20)]);
}

#[test]
fn a_tool_that_turns_on_the_spot_is_a_line() {
    let body = Body::Frustum { z0: 0.0, z1: 5.0, r0: 3.0, r1: 3.0 };
    let arc =
        Arc { center: Vec3::zeros(), axis: Axis::Z, radius: 0.0, start_angle: 1.0, sweep: 2.0, rise: -4.0 };
    let s = Sweep::new(body, &Path::Arc(arc));
    assert_eq!(s.normal_at(&Vec3::new(3.0, 0.0, -2.0)), Some(Vec3::x()));
    assert_eq!(s.normal_at(&Vec3::new(1.0, 0.0, -4.0)), Some(-Vec3::z()));
}

#[test]
fn a_point_that_is_on_no_surface_has_no_normal() {
    let body = Body::Frustum { z0: 0.0, z1: 5.0, r0: 3.0, r1: 3.0 };
    for (_, path) in paths() {
        let s = Sweep::new(body, &path);
        assert_eq!(s.normal_at(&(s.bounds().max + Vec3::repeat(1.0))), None);
    }
}
