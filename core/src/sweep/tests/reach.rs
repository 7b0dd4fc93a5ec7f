//! What a sweep prepared for many rays says against the same sweep ray by ray.

use super::table::{bodies, paths};
use super::{Dice, spans};
use crate::cutter::Body;
use crate::geom::{Axis, Path, Vec3};
use crate::sweep::{Around, EndBounds, EndPlanes, Sweep};

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
                let rays = sweep.rays(axis, false);
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
            // Far apart, where planes are far from the ends, and so near that only rounding is between them.
            let most = [1.0, 0.1, 0.1, 1e-4][round % 4];
            let half = (dice.between(0.01 * most, most), dice.between(0.01 * most, most));
            let (mut bounds, mut planes) = (EndBounds::NONE, [EndPlanes::NONE; 2]);
            // Told of a place that is known by another, far off or near.
            let [u, v] = at.map(|at| Around::of(&[at + dice.between(-40.0, 40.0) * most, at]));
            let told = sweep.rays(axis, false).reach_and_planes((&u, &v), half, &mut bounds, &mut planes);
            assert!(
                told || !matches!(path, Path::Line { .. })
                    || body.radius() <= 0.0
                    || path.length() > 800.0
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
                let known = planes.iter().all(|ends| ends.over[1] < f32::INFINITY);
                for (end, planes) in planes.iter().enumerate() {
                    let [under, over, p, q] = [planes.under, planes.over, planes.slopes.0, planes.slopes.1]
                        .map(|of| f64::from(of[1]));
                    let rise = p * by[0] + q * by[1];
                    if let Some(ends) = span {
                        met += 1;
                        assert!(ends[end] >= under + rise - ROUNDING, "{name} {axis:?} {end} {at:?} {by:?}");
                    }
                    if known {
                        sure += 1;
                        let within = span.is_some_and(|ends| ends[end] <= over + rise + ROUNDING);
                        assert!(within, "{name} {axis:?} {end} {at:?} {by:?} {span:?} {planes:?}");
                    }
                }
            }
        }
    }
    assert!(met > 20_000 && sure > 10_000, "{met} {sure}");
}

/// What a move takes that goes on from another lies within what is told of it, and what is left out the other has taken.
#[test]
fn what_is_left_out_of_a_move_that_follows_was_swept_by_the_one_before() {
    let mut dice = Dice(79);
    let (mut follow, mut left_out, mut asked) = (0, 0, 0);
    for (name, body) in bodies() {
        for _ in 0..400 {
            let place = |dice: &mut Dice, size: f64| Vec3::from([0; 3].map(|_| dice.between(-size, size)));
            let size = dice.pick(&[0.02, 0.3, 3.0, 30.0]);
            let (start, mut to) = (place(&mut dice, 20.0), place(&mut dice, size));
            let mut before = place(&mut dice, 5.0);
            if dice.unit() < 0.5 {
                (to.z, before.z) = (0.0, 0.0);
            }
            if dice.unit() < 0.2 {
                to.x = 0.0;
            }
            let line = |from, to| Sweep::new(body, &Path::Line { from, to });
            let (first, second) = (line(start - before, start), line(start, start + to));
            let bounds = *second.bounds();
            let top = dice.between(bounds.min.z, bounds.max.z);
            assert!(!second.follows(&line(start - before, start + before), top));
            if !second.follows(&first, top) {
                continue;
            }
            let nothing = line(Vec3::repeat(f64::NAN), start);
            assert!(!second.follows(&nothing, top), "{name}: follows a move that swept nothing");
            follow += 1;
            let fresh = second.fresh_bounds_below(top);
            for _ in 0..60 {
                let axis = dice.pick(&Axis::ALL);
                let (on_u, on_v) = axis.others();
                let at = [on_u, on_v].map(|a| dice.between(a.of(&bounds.min), a.of(&bounds.max)));
                let half = (dice.between(0.001, 0.3), dice.between(0.001, 0.3));
                let rays = second.rays(axis, true);
                let (mut ends, mut planes) = (EndBounds::NONE, [EndPlanes::NONE; 2]);
                let around = at.map(|at| Around::of(&[at + dice.between(-5.0, 5.0), at]));
                let told = rays.reach_and_planes((&around[0], &around[1]), half, &mut ends, &mut planes);
                let (mut low, mut high) = ([0.0], [0.0]);
                rays.reach(&[at[0]], &[at[1]], half, &mut low, &mut high);
                let u = at[0] + half.0 * dice.between(-1.0, 1.0);
                let v = at[1] + half.1 * dice.between(-1.0, 1.0);
                let old = spans(&first, axis, u, v).first().copied().unwrap_or((0.0, 0.0));
                // What of the ray is new: before and behind what the first move took.
                let Some(new) = spans(&second, axis, u, v).first().copied() else { continue };
                let below = if axis == Axis::Z { (new.0, new.1.min(top)) } else { new };
                let is_below = axis == Axis::Z || on_v == Axis::Z && v <= top || on_u == Axis::Z && u <= top;
                let parts = if old.0 < below.1 && below.0 < old.1 {
                    [(below.0, old.0.min(below.1)), (old.1.max(below.0), below.1)]
                } else {
                    [below, (0.0, 0.0)]
                };
                let mut met = false;
                for part in parts.into_iter().filter(|part| is_below && part.1 - part.0 > 1e-8) {
                    met = true;
                    let mut p = Vec3::zeros();
                    on_u.set(&mut p, u);
                    on_v.set(&mut p, v);
                    for end in [part.0, part.1] {
                        axis.set(&mut p, end);
                        assert!(
                            fresh.grown(2e-8).contains(&p),
                            "{name} {axis:?}: {p:?} outside {fresh:?}, {start:?} {to:?} {before:?}"
                        );
                    }
                    assert!(low[0] <= part.0 + ROUNDING && part.1 - ROUNDING <= high[0], "{name} {axis:?}");
                }
                left_out += usize::from(!met);
                if !told {
                    continue;
                }
                let (mut low, mut high) = ([0.0], [0.0]);
                rays.touched_spans((&[u], &[v]), ends.touch[1], &mut low, &mut high);
                let span = (low[0] <= high[0]).then_some((low[0], high[0]));
                if let Some((low, high)) = span {
                    assert!(new.0 <= low + ROUNDING && high <= new.1 + ROUNDING, "{name} {axis:?} too much");
                }
                let (low, high) = span.unwrap_or((f64::INFINITY, f64::NEG_INFINITY));
                for part in parts.into_iter().filter(|part| is_below && part.1 - part.0 > 1e-8) {
                    asked += 1;
                    assert!(
                        low <= part.0 + ROUNDING && part.1 - ROUNDING <= high,
                        "{name} {axis:?} {u} {v}: {part:?} not in {low} to {high}, touch {}",
                        ends.touch[1]
                    );
                }
                if axis == Axis::Z && rays.open_above().is_some() {
                    let mut low = [0.0];
                    rays.lower_ends((&[u], &[v]), ends.touch[1], &mut low);
                    let lowest = parts.into_iter().filter(|part| part.1 - part.0 > 1e-8).map(|part| part.0);
                    for end in lowest {
                        assert!(low[0] <= end + ROUNDING && low[0] >= new.0 - ROUNDING, "{name} lower end");
                    }
                }
            }
        }
    }
    assert!(follow > 1000 && left_out > 3000 && asked > 1000, "{follow} {left_out} {asked}");
}

/// True when a line does not move across the rays.
fn is_straight(path: &Path, axis: Axis) -> bool {
    let Path::Line { from, to } = path else { return false };
    let (u, v) = axis.others();
    let by = to - from;
    u.of(&by).abs() <= 1e-9 && v.of(&by).abs() <= 1e-9
}
