//! Closed formulas and published examples.

use super::spans;
use crate::cutter::Body;
use crate::geom::{Axis, Path, Vec3};
use crate::sweep::Sweep;

fn cylinder(r: f64, h: f64) -> Body {
    Body::Frustum { z0: 0.0, z1: h, r0: r, r1: r }
}

#[test]
fn a_slot_is_exact_where_its_walls_lie() {
    let path = Path::Line { from: Vec3::new(-3.7, 2.1, -1.3), to: Vec3::new(8.2, 2.1, -1.3) };
    let s = Sweep::new(cylinder(5.0, 20.0), &path);
    assert_eq!(spans(&s, Axis::Y, -0.4, 1.0).as_slice(), &[(2.1 - 5.0, 2.1 + 5.0)]);
    assert_eq!(spans(&s, Axis::Z, 1.0, 2.0).as_slice(), &[(-1.3, 20.0 - 1.3)]);
    assert_eq!(spans(&s, Axis::X, 2.1, 0.0).as_slice(), &[(-3.7 - 5.0, 8.2 + 5.0)]);
}
