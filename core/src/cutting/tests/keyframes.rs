//! The stock at any moment is the one that cutting up to there leaves, ray by ray.

use super::*;
use crate::geom::Box3;
use crate::stock::{CutId, Interval};
use std::fmt::Write as _;

/// A pocket in short moves, level by level, with arcs, holes and a ramp between.
fn program() -> String {
    let mut text = String::from("G0 X5. Y5.\nG43 H1 Z5.\n");
    for level in 1..=4 {
        let z = -1.5 * f64::from(level);
        let _ = writeln!(text, "G0 X8. Y8. Z5.\nG1 X12. Z{z:.3} F300.");
        for row in 0..5 {
            let y = 8.0 + 4.5 * f64::from(row);
            for step in 0..20 {
                let step = if row % 2 == 0 { step } else { 19 - step };
                let _ = writeln!(text, "G1 X{:.3} Y{y:.3}", 10.0 + 2.0 * f64::from(step));
            }
        }
        let _ = writeln!(text, "G2 X10. Y20. I-3. J2.\nG81 X52. Y34. Z{z:.3} R2.\nG80");
    }
    text
}

/// The rays along an axis, each with its number.
type Rays = Vec<((u32, u32), Vec<Interval>)>;

fn rays(stock: &Stock, axis: Axis) -> Rays {
    let layout = stock.grid(axis);
    let all = (0..layout.v.count()).flat_map(|j| (0..layout.u.count()).map(move |i| (i, j)));
    all.map(|(i, j)| ((i, j), stock.ray(axis, i, j).to_vec())).collect()
}

/// The box of the places where a ray differs; `None` where it does not.
fn difference(a: &[Interval], b: &[Interval]) -> Option<(i32, i32)> {
    let only = |a: &[Interval], b: &[Interval]| -> Vec<Interval> {
        a.iter().filter(|p| !b.contains(p)).copied().collect()
    };
    let odd = [only(a, b), only(b, a)].concat();
    Some((odd.iter().map(|p| p.low).min()?, odd.iter().map(|p| p.high).max()?))
}

fn holds(boxes: &[Box3], stock: &Stock, axis: Axis, (i, j): (u32, u32)) -> bool {
    let (u, v) = axis.others();
    let layout = stock.grid(axis);
    let (at_u, at_v) = (layout.u.at(i), layout.v.at(j));
    boxes
        .iter()
        .any(|b| u.of(&b.min) <= at_u && at_u <= u.of(&b.max) && v.of(&b.min) <= at_v && at_v <= v.of(&b.max))
}

#[test]
fn any_moment_is_shown_as_it_was_cut() {
    for (budget, between) in [(usize::MAX, 32), (300_000, 16), (1, 50)] {
        let c = cut(&program(), &[]);
        let mut stock = Stock::new(&c.job.stock, 0.25).expect("a block");
        let mut history = History::new(&c.job.stock).expect("a block");
        let mut keyframes = Keyframes::every(&stock, budget, between);
        cut_setup(&mut stock, &mut history, &c.job, 0, &c.run, Some(&mut keyframes), &|_| {
            ControlFlow::Continue(())
        })
        .expect("small");
        assert!(Axis::ALL.iter().all(|a| rays(&stock, *a) == rays(&c.stock, *a)), "keeping changes nothing");
        let mut shown = keyframes.shown(stock);
        let count = c.run.moves.len();
        let mut last: Vec<Rays> = Vec::new();
        for moment in [count, 3, 3, 40, 41, 200, 90, 89, count + 5, 0, 333, 150] {
            let before = history.first_cut(0, moment);
            let boxes = keyframes.show(&history, &mut shown, before);
            assert_eq!(shown.before(), before);
            let mut fresh = Stock::new(&c.job.stock, 0.25).expect("a block");
            history.replay(&mut fresh, CutId(1), before);
            let now: Vec<Rays> = Axis::ALL.iter().map(|a| rays(shown.stock(), *a)).collect();
            for (axis, now) in Axis::ALL.iter().zip(&now) {
                assert!(*now == rays(&fresh, *axis), "move {moment}, {axis:?}");
            }
            for ((axis, now), before) in Axis::ALL.iter().zip(&now).zip(&last) {
                for ((ray, now), (_, before)) in now.iter().zip(before) {
                    let told = holds(&boxes, shown.stock(), *axis, *ray);
                    assert!(told || difference(now, before).is_none(), "move {moment}, {axis:?} {ray:?}");
                }
            }
            last = now;
        }
        if budget < usize::MAX {
            assert!(keyframes.frames() < count / between, "some moments were dropped");
        }
    }
}
