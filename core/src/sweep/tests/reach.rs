//! What a sweep prepared for many rays says against the same sweep ray by ray.

use super::table::{bodies, paths};
use super::{Dice, spans};
use crate::geom::Axis;
use crate::sweep::Sweep;

/// A pico-metre: rounding of places.
const ROUNDING: f64 = 1e-9;

#[test]
fn many_rays_have_the_spans_of_each_and_stay_within_the_reach_of_their_patch() {
    let mut dice = Dice(77);
    let (mut met, mut missed) = (0, 0);
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
                    }
                    missed += usize::from(low[0] > high[0]);
                }
            }
        }
    }
    assert!(met > 20_000 && missed > 300, "{met} {missed}");
}
