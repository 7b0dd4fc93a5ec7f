//! Whatever the numbers are: no panic, no number that is none, spans ascending and disjoint and inside the bounds.

use super::spans;
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Path, Vec3};
use crate::sweep::Sweep;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

/// Mostly sensible lengths, often special ones, sometimes nonsense.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => -40.0..40.0_f64,
        3 => prop::sample::select(vec![0.0, -0.0, 1.0, -1.0, 5.0, -5.0, 1e-9, -1e-12, 1e-300, 1e-7, 0.1]),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, -1e300, 1e9, 3e6, f64::MIN_POSITIVE]),
    ]
}

fn point() -> impl Strategy<Value = Vec3> {
    (number(), number(), number()).prop_map(|(x, y, z)| Vec3::new(x, y, z))
}

fn body() -> impl Strategy<Value = Body> {
    prop_oneof![
        (number(), number(), number(), number()).prop_map(|(z0, z1, r0, r1)| Body::Frustum {
            z0,
            z1,
            r0,
            r1
        }),
        (number(), number()).prop_map(|(z0, radius)| Body::HalfBall { z0, radius }),
        (number(), number(), number()).prop_map(|(z0, radius, corner)| Body::RoundedDisc {
            z0,
            radius,
            corner
        }),
    ]
}

fn path() -> impl Strategy<Value = Path> {
    let axis = prop::sample::select(Axis::ALL.to_vec());
    prop_oneof![
        (point(), point()).prop_map(|(from, to)| Path::Line { from, to }),
        (point(), axis, number(), number(), number(), number()).prop_map(
            |(center, axis, radius, start_angle, sweep, rise)| Path::Arc(Arc {
                center,
                axis,
                radius,
                start_angle,
                sweep,
                rise
            })
        ),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig {
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(11),
        ..ProptestConfig::with_cases(10_000)
    })]

    #[test]
    fn wild_input_gives_ordered_spans_inside_the_bounds(body in body(), path in path(), u in number(), v in number()) {
        let sweep = Sweep::new(body, &path);
        let bounds = *sweep.bounds();
        for axis in Axis::ALL {
            let (on_u, on_v) = axis.others();
            // Where it was aimed, and through the middle of the box.
            let middle = bounds.center();
            for (u, v) in [(u, v), (on_u.of(&middle), on_v.of(&middle))] {
                let found = spans(&sweep, axis, u, v);
                let mut last = f64::NEG_INFINITY;
                for (low, high) in found {
                    prop_assert!(low < high && last < low, "{axis:?} {low} {high} after {last}");
                    // Halved chords may stand out by a quarter of a nanometre.
                    let margin = 3e-7 + 1e-12 * (low.abs() + high.abs());
                    prop_assert!(axis.of(&bounds.min) - margin <= low && high <= axis.of(&bounds.max) + margin,
                        "{axis:?} {low} {high} outside {bounds:?}");
                    last = high;
                }
            }
        }
    }
}

#[test]
fn beyond_all_sense_the_whole_box_is_swept_and_without_numbers_nothing() {
    let body = Body::HalfBall { z0: 0.0, radius: 3.0 };
    let arc =
        Arc { center: Vec3::zeros(), axis: Axis::Z, radius: 5.0, start_angle: 0.0, sweep: 1e9, rise: 1.0 };
    let s = Sweep::new(body, &Path::Arc(arc));
    assert!(s.contains(&Vec3::new(7.9, 7.9, 0.5)), "a corner of the box");
    let s = Sweep::new(body, &Path::Arc(Arc { sweep: f64::NAN, ..arc }));
    assert!(s.bounds().is_empty() && spans(&s, Axis::Z, 5.0, 0.0).is_empty());
}

#[test]
fn paths_without_length_are_a_tool_that_stands_still() {
    let body = Body::Frustum { z0: 0.0, z1: 2.0, r0: 1.0, r1: 1.0 };
    let center = Vec3::new(4.0, 5.0, 6.0);
    for (radius, sweep) in [(0.0, 3.0), (2.0, 0.0), (1e-11, 6.0), (3.0, 1e-12)] {
        for axis in Axis::ALL {
            let arc = Arc { center, axis, radius, start_angle: 0.0, sweep, rise: 0.0 };
            let at = arc.point(0.0);
            let s = Sweep::new(body, &Path::Arc(arc));
            let found = spans(&s, Axis::X, at.y, at.z + 1.0);
            assert_eq!(found.len(), 1);
            assert!((found[0].0 - (at.x - 1.0)).abs() < 1e-9 && (found[0].1 - (at.x + 1.0)).abs() < 1e-9);
        }
    }
}
