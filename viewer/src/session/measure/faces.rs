//! Flat faces of the stock square to an axis: where a section plane stops gently.

use super::caliper::{Between, stretches};
use super::form::Face;
use super::snap::Now;
use proofcut_core::geom::{Axis, Vec3};
use std::time::{Duration, Instant};

/// Lines on a side of the grid on which faces are looked for.
const LINES: u8 = 9;
/// Longest time that the looking may take: whoever waits drags with the mouse.
const LONGEST: Duration = Duration::from_millis(8);
/// Faces nearer to each other than this, millimetres, are one.
const SAME: f64 = 1.0e-5;

/// Places of flat faces of the stock along an axis of the setup, setup frame, millimetres, ascending: those that some lines
/// over the part meet.
pub(super) fn along(now: &Now<'_>, axis: Axis) -> Vec<f64> {
    let Some(cut) = &now.proved.cut else { return Vec::new() };
    let Some(frame) = now.proved.checked.job.setups.get(now.setup).map(|s| s.frame) else {
        return Vec::new();
    };
    let bounds = cut.history.raw().bounds();
    let own = frame.direction(axis).axis;
    let begun = Instant::now();
    let mut found: Vec<f64> = Vec::new();
    // Far-apart lines first, so that little is missed when the time is up.
    let count = u16::from(LINES) * u16::from(LINES);
    for k in 0..count {
        if begun.elapsed() > LONGEST {
            break;
        }
        let k = k * 37 % count;
        let part = |n: u16| (f64::from(n) + 0.5) / f64::from(LINES);
        let parts = [part(k % u16::from(LINES)), part(k / u16::from(LINES))];
        let mut through = bounds.center();
        let (u, v) = own.others();
        for (on, part) in [u, v].into_iter().zip(parts) {
            on.set(&mut through, on.of(&bounds.min) + on.of(&bounds.size()) * part);
        }
        for end in stretches(now, own, &through, Between::Material).iter().flat_map(|s| &s.ends) {
            if Face::at(cut, &now.proved.checked.job.stock, end).is_square_to(own) {
                let at: Vec3 = frame.setup_from_part(&end.at);
                found.push(axis.of(&at));
            }
        }
    }
    found.sort_by(f64::total_cmp);
    found.dedup_by(|a, b| (*a - *b).abs() <= SAME);
    found
}
