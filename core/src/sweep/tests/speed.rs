//! Nanoseconds per ray, by family: `cargo test --release -p proofcut-core sweep::tests::speed -- --ignored --nocapture`.

use super::Dice;
use super::table::{bodies, paths};
use crate::geom::{Axis, Spans};
use crate::sweep::Sweep;

#[test]
#[ignore = "measures; run it with --release"]
#[expect(clippy::print_stdout, clippy::disallowed_methods, reason = "this is what it is for")]
fn nanoseconds_per_ray() {
    println!("| path | body | X | Y | Z |\n|---|---|---|---|---|");
    let mut dice = Dice(3);
    for (path_name, path) in paths() {
        for (body_name, body) in bodies() {
            let sweep = Sweep::new(body, &path);
            let b = *sweep.bounds();
            let row = Axis::ALL.map(|axis| {
                let (on_u, on_v) = axis.others();
                let rays: Vec<(f64, f64)> = (0..1000)
                    .map(|_| {
                        (
                            dice.between(on_u.of(&b.min), on_u.of(&b.max)),
                            dice.between(on_v.of(&b.min), on_v.of(&b.max)),
                        )
                    })
                    .collect();
                let mut out = Spans::new();
                let mut sum = 0.0;
                let start = std::time::Instant::now();
                for (u, v) in &rays {
                    sweep.spans(axis, *u, *v, &mut out);
                    sum += out.iter().map(|s| s.1 - s.0).sum::<f64>();
                }
                let spent = start.elapsed().as_secs_f64() * 1e9 / 1000.0;
                assert!(sum >= 0.0);
                spent
            });
            println!("| {path_name} | {body_name} | {:.0} | {:.0} | {:.0} |", row[0], row[1], row[2]);
        }
    }
}
