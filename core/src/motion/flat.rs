//! Straight and round pieces in the plane: where they cross, how near they come to each other, and their offsets.
//!
//! Positions in millimetres, setup frame.

use crate::geom::Vec2;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Points nearer than this, millimetres, are one: rounding of coordinates.
pub(super) const SAME_POINT: f64 = 1e-7;

/// A straight or round piece of the contour as programmed, or of the tool's way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Flat {
    Line {
        from: Vec2,
        to: Vec2,
    },
    /// Counter-clockwise for a positive sweep, radians.
    Arc {
        center: Vec2,
        radius: f64,
        start: f64,
        sweep: f64,
    },
}

impl Flat {
    pub(super) fn start(&self) -> Vec2 {
        match self {
            Flat::Line { from, .. } => *from,
            Flat::Arc { center, radius, start, .. } => center + unit(*start) * *radius,
        }
    }

    pub(super) fn end(&self) -> Vec2 {
        match self {
            Flat::Line { to, .. } => *to,
            Flat::Arc { center, radius, start, sweep } => center + unit(start + sweep) * *radius,
        }
    }

    /// Directions at start and end.
    pub(super) fn directions(&self) -> (Vec2, Vec2) {
        match self {
            Flat::Line { from, to } => {
                let d = (to - from).normalize();
                (d, d)
            }
            Flat::Arc { start, sweep, .. } => {
                let quarter = FRAC_PI_2.copysign(*sweep);
                (unit(start + quarter), unit(start + sweep + quarter))
            }
        }
    }

    pub(super) fn length(&self) -> f64 {
        match self {
            Flat::Line { from, to } => (to - from).norm(),
            Flat::Arc { radius, sweep, .. } => radius * sweep.abs(),
        }
    }

    /// Where on the piece a point of its line or circle lies, 0 at its start, 1 at its end.
    pub(super) fn part_at(&self, p: Vec2) -> f64 {
        match self {
            Flat::Line { from, to } => (p - from).dot(&(to - from)) / (to - from).norm_squared(),
            Flat::Arc { center, start, sweep, .. } => {
                let angle = libm::atan2(p.y - center.y, p.x - center.x);
                let turned = ((angle - start) * sweep.signum()).rem_euclid(TAU);
                // Just before the start is before it, not a full turn behind.
                let past = if TAU - turned < (TAU - sweep.abs()) * 0.5 { turned - TAU } else { turned };
                past / sweep.abs()
            }
        }
    }

    /// The piece between two parts of it; a line may go beyond its ends.
    pub(super) fn cut(&self, from: f64, to: f64) -> Flat {
        match self {
            Flat::Line { from: a, to: b } => Flat::Line { from: a + (b - a) * from, to: a + (b - a) * to },
            Flat::Arc { center, radius, start, sweep } => Flat::Arc {
                center: *center,
                radius: *radius,
                start: start + sweep * from,
                sweep: sweep * (to - from),
            },
        }
    }

    /// Moved sideways by `by`, to the left for a positive number; `None`: an arc of which nothing is left.
    pub(super) fn offset(&self, by: f64) -> Option<Flat> {
        match self {
            Flat::Line { from, to } => {
                let (d, _) = self.directions();
                let aside = left(d) * by;
                Some(Flat::Line { from: from + aside, to: to + aside })
            }
            Flat::Arc { center, radius, start, sweep } => {
                let offset = radius - by * sweep.signum();
                let arc = Flat::Arc { center: *center, radius: offset, start: *start, sweep: *sweep };
                (offset > SAME_POINT).then_some(arc)
            }
        }
    }

    /// Points in which the lines or circles of two pieces cross.
    pub(super) fn crossings(&self, other: &Flat) -> Vec<Vec2> {
        match (self, other) {
            (Flat::Line { from: a, to: b }, Flat::Line { from: c, to: d }) => {
                let (u, v) = (b - a, d - c);
                let across = cross(u, v);
                if across.abs() < 1e-12 * u.norm() * v.norm() {
                    return Vec::new();
                }
                vec![a + u * (cross(c - a, v) / across)]
            }
            (Flat::Line { from, to }, Flat::Arc { center, radius, .. })
            | (Flat::Arc { center, radius, .. }, Flat::Line { from, to }) => {
                let d = (to - from).normalize();
                let foot = from + d * (center - from).dot(&d);
                let room = radius * radius - (foot - center).norm_squared();
                if room < 0.0 {
                    return Vec::new();
                }
                vec![foot + d * room.sqrt(), foot - d * room.sqrt()]
            }
            (Flat::Arc { center: c, radius: r, .. }, Flat::Arc { center: d, radius: s, .. }) => {
                let apart = d - c;
                let distance = apart.norm();
                if distance < SAME_POINT {
                    return Vec::new();
                }
                let along = (distance * distance + r * r - s * s) / (2.0 * distance);
                let room = r * r - along * along;
                if room < 0.0 {
                    return Vec::new();
                }
                let axis = apart / distance;
                let (foot, up) = (c + axis * along, left(axis) * room.sqrt());
                vec![foot + up, foot - up]
            }
        }
    }

    /// Distance of a point to the piece.
    pub(super) fn distance_to(&self, p: Vec2) -> f64 {
        let part = self.part_at(p);
        match self {
            Flat::Line { from, to } => (p - (from + (to - from) * part.clamp(0.0, 1.0))).norm(),
            Flat::Arc { center, radius, .. } if (0.0..=1.0).contains(&part) => {
                ((p - center).norm() - radius).abs()
            }
            Flat::Arc { .. } => (p - self.start()).norm().min((p - self.end()).norm()),
        }
    }

    /// True when a point of the piece's line or circle lies between its ends.
    fn holds(&self, p: Vec2) -> bool {
        (0.0..=1.0).contains(&self.part_at(p))
    }

    /// Least distance between the points of two pieces.
    pub(super) fn gap(&self, other: &Flat) -> f64 {
        if self.crossings(other).into_iter().any(|p| self.holds(p) && other.holds(p)) {
            return 0.0;
        }
        let ends = [
            other.distance_to(self.start()),
            other.distance_to(self.end()),
            self.distance_to(other.start()),
            self.distance_to(other.end()),
        ];
        let between = match (self, other) {
            (Flat::Line { .. }, Flat::Line { .. }) => f64::INFINITY,
            (line @ Flat::Line { from, to }, arc @ Flat::Arc { center, .. })
            | (arc @ Flat::Arc { center, .. }, line @ Flat::Line { from, to }) => {
                let foot = from + (to - from) * line.part_at(*center);
                if line.holds(foot) { arc.distance_to(foot) } else { f64::INFINITY }
            }
            (Flat::Arc { center, radius, .. }, Flat::Arc { center: other_center, .. }) => {
                let way = other_center - center;
                let arm = if way.norm() > SAME_POINT { way.normalize() * *radius } else { Vec2::zeros() };
                let near = [center + arm, center - arm].into_iter().filter(|p| self.holds(*p));
                near.map(|p| other.distance_to(p)).fold(f64::INFINITY, f64::min)
            }
        };
        ends.into_iter().fold(between, f64::min)
    }

    /// Lowest and highest corner of a box that holds the piece.
    pub(super) fn bounds(&self) -> (Vec2, Vec2) {
        let (a, b) = (self.start(), self.end());
        let (mut low, mut high) = (a.inf(&b), a.sup(&b));
        if let Flat::Arc { center, radius, .. } = self {
            for arm in [Vec2::x(), -Vec2::x(), Vec2::y(), -Vec2::y()] {
                let p = center + arm * *radius;
                if self.holds(p) {
                    (low, high) = (low.inf(&p), high.sup(&p));
                }
            }
        }
        (low, high)
    }
}

pub(super) fn unit(angle: f64) -> Vec2 {
    Vec2::new(libm::cos(angle), libm::sin(angle))
}

pub(super) fn left(d: Vec2) -> Vec2 {
    Vec2::new(-d.y, d.x)
}

pub(super) fn cross(a: Vec2, b: Vec2) -> f64 {
    a.x * b.y - a.y * b.x
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Points along a piece.
    fn points(piece: &Flat) -> Vec<Vec2> {
        (0..=400).map(|i| piece.cut(0.0, f64::from(i) / 400.0).end()).collect()
    }

    #[test]
    fn gaps_are_those_of_points_along_the_pieces() {
        let mut seed = 7_u64;
        let mut number = |low: f64, high: f64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            #[expect(clippy::cast_precision_loss, reason = "a number for a test")]
            let part = (seed >> 40) as f64 / 16_777_216.0;
            low + part * (high - low)
        };
        let mut piece = || {
            let p = Vec2::new(number(-10.0, 10.0), number(-10.0, 10.0));
            if number(0.0, 1.0) < 0.5 {
                return Flat::Line { from: p, to: p + Vec2::new(number(-9.0, 9.0), number(-9.0, 9.0)) };
            }
            let (start, sweep) = (number(-PI, PI), number(-6.0, 6.0));
            Flat::Arc { center: p, radius: number(0.5, 8.0), start, sweep }
        };
        for _ in 0..200 {
            let (a, b) = (piece(), piece());
            let (gap, (low, high)) = (a.gap(&b), a.bounds());
            let seen = points(&a).iter().map(|p| b.distance_to(*p)).fold(f64::INFINITY, f64::min);
            assert!(gap <= seen + 1e-9 && seen < gap + 0.15, "{a:?} {b:?}: {gap}, seen {seen}");
            let about = points(&b).iter().map(|p| (p - a.start()).norm()).fold(f64::INFINITY, f64::min);
            let exact = b.distance_to(a.start());
            assert!(exact <= about + 1e-9 && about < exact + 0.15);
            let inside = |p: &Vec2| low.x <= p.x + 1e-9 && p.x <= high.x + 1e-9 && low.y <= p.y + 1e-9;
            assert!(points(&a).iter().all(inside));
        }
    }
}
