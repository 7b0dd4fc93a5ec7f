//! What a sweep prepared for many rays says against the same sweep ray by ray.

use super::table::{bodies, paths};
use super::{Dice, spans};
use crate::cutter::Body;
use crate::geom::{Axis, Path};
use crate::sweep::{EndPlanes, Sweep};

/// A pico-metre: rounding of places.
const ROUNDING: f64 = 1e-9;

#[test]
fn many_rays_have_the_spans_of_each_and_stay_within_the_reach_of_their_patch() {
    let mut dice = Dice(77);
    let (mut met, mut missed, mut surely, mut never) = (0, 0, 0, 0);
    for (_, body) in bodies() {
        for (name, path) in paths() {
            let sweep = Sweep::new(body, &path);
            for axis in Axis::ALL {
                let rays = sweep.rays(axis);
                let (on_u, on_v) = axis.others();
                let b = sweep.bounds().grown(1.0);
                for _ in 0..6 {
                    let at = [on_u, on_v].map(|a| dice.between(a.of(&b.min), a.of(&b.max)));
                    let half = (dice.between(0.01, 2.0), dice.between(0.01, 2.0));
                    let (mut low, mut high) = ([0.0; 2], [0.0; 2]);
                    rays.reach(&[at[0]; 2], &[at[1]; 2], half, &mut low, &mut high);
                    let (u, v): ([f64; 16], [f64; 16]) = (
                        std::array::from_fn(|_| at[0] + half.0 * dice.between(-1.0, 1.0)),
                        std::array::from_fn(|_| at[1] + half.1 * dice.between(-1.0, 1.0)),
                    );
                    let (mut lows, mut highs) = ([0.0; 16], [0.0; 16]);
                    rays.spans(&u, &v, &mut lows, &mut highs);
                    for k in 0..16 {
                        let alone = spans(&sweep, axis, u[k], v[k]);
                        for (from, to) in &alone {
                            let inside = low[0] - ROUNDING <= *from && *to <= high[0] + ROUNDING;
                            assert!(
                                inside,
                                "{name} {axis:?} {at:?} {half:?}: {from} {to} outside {low:?} {high:?}"
                            );
                        }
                        if rays.single() && lows[k] < highs[k] {
                            assert_eq!(alone.as_slice(), &[(lows[k], highs[k])], "{name} {axis:?}");
                        } else {
                            assert!(!rays.single() || alone.is_empty(), "{name} {axis:?} {alone:?}");
                        }
                        met += alone.len();
                    }
                    if let Some(ends) = rays.ends() {
                        for (k, inside) in rays.met(&u, &v).into_iter().enumerate() {
                            let told = (inside != 0).then_some(ends);
                            let span = (lows[k] <= highs[k]).then_some((lows[k], highs[k]));
                            assert_eq!(told, span, "{name} {axis:?}");
                        }
                        for size in [0.02, 0.2] {
                            let half = (size * half.0, size * half.1);
                            let [some, all] = rays.near(&u, &v, half);
                            for (p, q) in [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0), (0.0, 0.0)] {
                                let met = rays.met(&u.map(|u| u + p * half.0), &v.map(|v| v + q * half.1));
                                for k in 0..16 {
                                    assert!(all[k] == 0 || met[k] != 0, "{name}: not all {half:?}");
                                    assert!(some[k] != 0 || met[k] == 0, "{name}: some {half:?}");
                                    (surely, never) = (surely + (all[k] & 1), never + (!some[k] & 1));
                                }
                            }
                        }
                    }
                    missed += usize::from(low[0] > high[0]);
                }
            }
        }
    }
    assert!(met > 20_000 && missed > 300, "{met} {missed}");
    assert!(surely > 300 && never > 300, "{surely} {never}");
}

#[test]
fn ends_of_a_ball_lie_between_their_planes_and_below_a_height_within_the_box() {
    let mut dice = Dice(78);
    let (mut met, mut sure) = (0, 0);
    let balls = bodies().into_iter().filter(|(_, b)| matches!(b, Body::HalfBall { .. }));
    for ((_, body), (name, path)) in balls.flat_map(|b| paths().into_iter().map(move |p| (b, p))) {
        let sweep = Sweep::new(body, &path);
        for (axis, round) in Axis::ALL.into_iter().flat_map(|a| (0..400).map(move |n| (a, n))) {
            let (on_u, on_v) = axis.others();
            let b = *sweep.bounds();
            let at = [on_u, on_v].map(|a| dice.between(a.of(&b.min), a.of(&b.max)));
            let most = if round % 4 == 0 { 1.0 } else { 0.1 };
            let half = (dice.between(0.01, most), dice.between(0.01, most));
            let mut planes = [EndPlanes::NONE; 2];
            let (mut low, mut high) = ([0.0], [0.0]);
            let places = (&[at[0]], &[at[1]]);
            let told = sweep.rays(axis).reach_and_planes(places, half, (&mut low, &mut high), &mut planes);
            assert!(
                told || !matches!(path, Path::Line { .. })
                    || body.radius() <= 0.0
                    || is_straight(&path, axis)
            );
            let top = dice.between(b.min.z, b.max.z);
            let below = sweep.bounds_below(top);
            for _ in 0..8 {
                let by = [half.0 * dice.between(-1.0, 1.0), half.1 * dice.between(-1.0, 1.0)];
                let (u, v) = (at[0] + by[0], at[1] + by[1]);
                let alone = spans(&sweep, axis, u, v);
                for (from, to) in &alone {
                    let mut p = crate::geom::Vec3::zeros();
                    on_u.set(&mut p, u);
                    on_v.set(&mut p, v);
                    for end in [from, to] {
                        axis.set(&mut p, *end);
                        assert!(
                            p.z > top || below.contains(&p),
                            "{name} {axis:?} {p:?} below {top}: {below:?}"
                        );
                    }
                }
                if !told {
                    continue;
                }
                let span = alone.first().map(|(low, high)| [*low, -*high]);
                let known = planes.iter().all(|ends| ends.over[0] < f64::INFINITY);
                for (end, planes) in planes.iter().enumerate() {
                    let rise = planes.slopes.0[0] * by[0] + planes.slopes.1[0] * by[1];
                    if let Some(ends) = span {
                        met += 1;
                        assert!(
                            ends[end] >= planes.under[0] + rise - ROUNDING,
                            "{name} {axis:?} {end} {at:?} {by:?}"
                        );
                    }
                    if known {
                        sure += 1;
                        let within = span.is_some_and(|ends| ends[end] <= planes.over[0] + rise + ROUNDING);
                        assert!(within, "{name} {axis:?} {end} {at:?} {by:?} {span:?} {planes:?}");
                    }
                }
            }
        }
    }
    assert!(met > 20_000 && sure > 10_000, "{met} {sure}");
}

/// True when a line does not move across the rays.
fn is_straight(path: &Path, axis: Axis) -> bool {
    let Path::Line { from, to } = path else { return false };
    let (u, v) = axis.others();
    let by = to - from;
    u.of(&by).abs() <= 1e-9 && v.of(&by).abs() <= 1e-9
}
