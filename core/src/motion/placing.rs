//! Where program coordinates lie in the setup: shifts, rotation, scaling, mirror.
//!
//! A programmed point is mirrored, then scaled, then turned, then shifted, whatever the order of the codes; codes in
//! another order are reported, because controls differ on them.

use super::Place;
use crate::geom::{Axis, Vec2, Vec3};
use crate::job::WorkOffset;
use std::collections::BTreeMap;

/// A rotation in the XY plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Turn {
    pub(super) center: Vec2,
    pub(super) cos: f64,
    pub(super) sin: f64,
}

/// Factors about a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    pub(super) center: Vec3,
    pub(super) factors: Vec3,
}

/// What stands between the numbers of a program and the setup frame. Lengths in millimetres.
#[derive(Clone, Debug, Default)]
pub(super) struct Placing {
    /// G52: shift inside the work offset.
    pub(super) local: Vec3,
    /// G92: shift of all work offsets.
    pub(super) shift: Vec3,
    /// What G92.3 brings back; `None`: set before this program began, so not known.
    pub(super) kept: Option<Vec3>,
    /// Zeros that the program itself has set (G10), setup frame.
    pub(super) zeros: BTreeMap<WorkOffset, Vec3>,
    /// Coordinate about which an axis is mirrored.
    pub(super) mirror: [Option<f64>; 3],
    pub(super) scale: Option<Scale>,
    pub(super) turn: Option<Turn>,
    /// Where mirror, scale or turn was set last.
    pub(super) set: Option<Place>,
    /// Turned, scaled or mirrored since the last move that gave both X and Y: controls differ on where the axis that is
    /// not named stands.
    pub(super) fresh: bool,
}

impl Placing {
    /// True when program coordinates differ from those of the work offset by shifts alone.
    pub(super) fn plain(&self) -> bool {
        self.turn.is_none() && self.scale.is_none() && self.mirror.iter().all(Option::is_none)
    }

    /// A direction or an increment as the machine makes it.
    pub(super) fn direction(&self, d: Vec3) -> Vec3 {
        let mut d = d;
        for (axis, mirror) in Axis::ALL.into_iter().zip(self.mirror) {
            if mirror.is_some() {
                let turned = -axis.of(&d);
                axis.set(&mut d, turned);
            }
        }
        if let Some(scale) = &self.scale {
            d = d.component_mul(&scale.factors);
        }
        if let Some(t) = &self.turn {
            (d.x, d.y) = (t.cos * d.x - t.sin * d.y, t.sin * d.x + t.cos * d.y);
        }
        d
    }

    /// A programmed point in the coordinates of the work offset.
    pub(super) fn point(&self, p: Vec3) -> Vec3 {
        let mut p = p;
        for (axis, mirror) in Axis::ALL.into_iter().zip(self.mirror) {
            if let Some(about) = mirror {
                let other_side = 2.0 * about - axis.of(&p);
                axis.set(&mut p, other_side);
            }
        }
        if let Some(scale) = &self.scale {
            p = scale.center + (p - scale.center).component_mul(&scale.factors);
        }
        if let Some(t) = &self.turn {
            let (x, y) = (p.x - t.center.x, p.y - t.center.y);
            (p.x, p.y) = (t.center.x + t.cos * x - t.sin * y, t.center.y + t.sin * x + t.cos * y);
        }
        p
    }

    /// The programmed point that lies at a point of the work offset's coordinates.
    pub(super) fn programmed(&self, p: Vec3) -> Vec3 {
        let mut p = p;
        if let Some(t) = &self.turn {
            let (x, y) = (p.x - t.center.x, p.y - t.center.y);
            (p.x, p.y) = (t.center.x + t.cos * x + t.sin * y, t.center.y - t.sin * x + t.cos * y);
        }
        if let Some(scale) = &self.scale {
            p = scale.center + (p - scale.center).component_div(&scale.factors);
        }
        for (axis, mirror) in Axis::ALL.into_iter().zip(self.mirror) {
            if let Some(about) = mirror {
                let other_side = 2.0 * about - axis.of(&p);
                axis.set(&mut p, other_side);
            }
        }
        p
    }

    /// True when left and right change places in the plane square to an axis.
    pub(super) fn flips(&self, normal: Axis) -> bool {
        let (u, v) = normal.others();
        let sign = |axis: Axis| {
            let mirrored = self.mirror.iter().zip(Axis::ALL).any(|(m, a)| a == axis && m.is_some());
            let factor = self.scale.map_or(1.0, |s| axis.of(&s.factors));
            mirrored != (factor < 0.0)
        };
        sign(u) != sign(v)
    }

    /// What lengths in the plane square to an axis are multiplied by; `None` where circles there become something else.
    pub(super) fn plane_factor(&self, normal: Axis) -> Option<f64> {
        /// Factors nearer than this are one: below the last decimal of any control.
        const SAME: f64 = 1e-9;
        if self.turn.is_some() && normal != Axis::Z {
            return None;
        }
        let Some(scale) = &self.scale else { return Some(1.0) };
        let (u, v) = normal.others();
        let (a, b) = (u.of(&scale.factors).abs(), v.of(&scale.factors).abs());
        ((a - b).abs() <= SAME).then_some(a)
    }

    /// True when Z as programmed is Z of the work offset.
    pub(super) fn height_plain(&self) -> bool {
        let [_, _, mirrored] = self.mirror;
        mirrored.is_none() && self.scale.is_none_or(|s| (s.factors.z - 1.0).abs() <= 0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_placed_is_found_again() {
        let placing = Placing {
            mirror: [Some(3.0), None, None],
            scale: Some(Scale { center: Vec3::new(1.0, 2.0, 3.0), factors: Vec3::new(2.0, 0.5, 1.5) }),
            turn: Some(Turn { center: Vec2::new(5.0, -1.0), cos: 0.6, sin: 0.8 }),
            ..Placing::default()
        };
        let p = Vec3::new(7.0, -4.0, 2.5);
        assert!((placing.programmed(placing.point(p)) - p).norm() < 1e-12);
        let step = Vec3::new(0.25, 1.0, -2.0);
        assert!((placing.point(p + step) - placing.point(p) - placing.direction(step)).norm() < 1e-12);
        assert!(placing.flips(Axis::Z) && !placing.flips(Axis::X) && !placing.plain());
        assert_eq!(placing.plane_factor(Axis::Z), None);
    }

    #[test]
    fn a_turn_is_counter_clockwise_and_keeps_its_center() {
        let turn = Turn { center: Vec2::new(10.0, 0.0), cos: 0.0, sin: 1.0 };
        let placing = Placing { turn: Some(turn), ..Placing::default() };
        assert_eq!(placing.point(Vec3::new(10.0, 0.0, 1.0)), Vec3::new(10.0, 0.0, 1.0));
        assert_eq!(placing.point(Vec3::new(12.0, 0.0, 1.0)), Vec3::new(10.0, 2.0, 1.0));
        assert_eq!((placing.plane_factor(Axis::Z), placing.plane_factor(Axis::X)), (Some(1.0), None));
    }
}
