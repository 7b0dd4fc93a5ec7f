//! Tests of whole sweeps: a table of every kind of body on every kind of path against an oracle that shares no code,
//! closed formulas, published examples, and wild input.

mod formulas;
mod normals;
mod oracle;
mod reach;
mod speed;
mod table;
mod wild;

use super::Sweep;
use crate::geom::{Axis, Spans};

/// Spans of one ray, in a list of their own.
fn spans(sweep: &Sweep, axis: Axis, u: f64, v: f64) -> Spans {
    let mut out = Spans::new();
    sweep.spans(axis, u, v, &mut out);
    out
}

/// Numbers that look random and are the same in every run (the splitmix generator of Steele, Lea and Flood 2014).
pub(super) struct Dice(pub(super) u64);

impl Dice {
    /// From 0 to 1.
    pub(super) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        f64::from(u32::try_from(z >> 32).unwrap()) / f64::from(u32::MAX)
    }

    pub(super) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// One of the elements.
    pub(super) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        let n = self.unit() * f64::from(u32::try_from(from.len()).unwrap());
        *from.iter().enumerate().rfind(|(i, _)| f64::from(u32::try_from(*i).unwrap()) <= n).unwrap().1
    }
}
