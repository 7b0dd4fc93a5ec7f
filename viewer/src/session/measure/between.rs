//! The distance between two picks.

use super::snap::{On, Snap};
use proofcut_core::geom::Vec3;

/// Where a distance is taken, part frame, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance {
    /// On the first pick, or its plane or axis.
    pub from: Vec3,
    /// On the second.
    pub to: Vec3,
    /// How it is taken.
    pub how: How,
    /// Angle between two faces, two axes, or an axis and a face, radians, 0 to a right angle; `None` where one of the two has
    /// no direction, and for what is parallel.
    pub angle: Option<f64>,
}

/// How a distance is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Square to the face or faces.
    SquareToFace,
    /// The shortest way between two axes.
    BetweenAxes,
    /// Square to the axis.
    SquareToAxis,
    /// Straight from place to place.
    Straight,
}

impl How {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::SquareToFace => "square to the face",
            Self::BetweenAxes => "between the axes",
            Self::SquareToAxis => "square to the axis",
            Self::Straight => "from place to place",
        }
    }
}

/// Directions whose sine is at most this are parallel: a fifth of a second of arc. (Chords of a post are not meant: they
/// differ by minutes.)
const PARALLEL: f64 = 1.0e-6;

impl Distance {
    /// Measures.
    pub fn between(a: &Snap, b: &Snap) -> Self {
        let of = |from, to, how| Self { from, to, how, angle: None };
        match (a.on, b.on) {
            (On::Place, On::Place) => of(a.at, b.at, How::Straight),
            (On::Place, On::Face(n)) => of(a.at, onto_plane(&a.at, &b.at, &n), How::SquareToFace),
            (On::Face(n), On::Place) => of(onto_plane(&b.at, &a.at, &n), b.at, How::SquareToFace),
            (On::Place, On::Axis(d)) => of(a.at, onto_line(&a.at, &b.at, &d), How::SquareToAxis),
            (On::Axis(d), On::Place) => of(onto_line(&b.at, &a.at, &d), b.at, How::SquareToAxis),
            (On::Face(n), On::Face(m)) if sine(&n, &m) <= PARALLEL => {
                of(a.at, onto_plane(&a.at, &b.at, &m), How::SquareToFace)
            }
            (On::Face(n), On::Face(m)) => {
                Self { angle: Some(angle(&n, &m)), ..of(a.at, b.at, How::Straight) }
            }
            (On::Axis(d), On::Axis(e)) if sine(&d, &e) <= PARALLEL => {
                of(a.at, onto_line(&a.at, &b.at, &e), How::BetweenAxes)
            }
            (On::Axis(d), On::Axis(e)) => {
                let (from, to) = nearest(&a.at, &d, &b.at, &e);
                Self { angle: Some(angle(&d, &e)), ..of(from, to, How::BetweenAxes) }
            }
            (On::Axis(d), On::Face(n)) if d.dot(&n).abs() <= PARALLEL => {
                of(a.at, onto_plane(&a.at, &b.at, &n), How::SquareToFace)
            }
            (On::Face(n), On::Axis(d)) if d.dot(&n).abs() <= PARALLEL => {
                of(onto_plane(&b.at, &a.at, &n), b.at, How::SquareToFace)
            }
            (On::Axis(d), On::Face(n)) => Self {
                angle: Some(d.dot(&n).abs().clamp(0.0, 1.0).asin()),
                ..of(onto_line(&b.at, &a.at, &d), b.at, How::SquareToAxis)
            },
            (On::Face(n), On::Axis(d)) => Self {
                angle: Some(d.dot(&n).abs().clamp(0.0, 1.0).asin()),
                ..of(a.at, onto_line(&a.at, &b.at, &d), How::SquareToAxis)
            },
        }
    }

    /// The distance, millimetres.
    pub fn length(&self) -> f64 {
        (self.to - self.from).norm()
    }
}

fn sine(a: &Vec3, b: &Vec3) -> f64 {
    a.cross(b).norm()
}

fn angle(a: &Vec3, b: &Vec3) -> f64 {
    sine(a, b).atan2(a.dot(b).abs())
}

fn onto_plane(p: &Vec3, through: &Vec3, normal: &Vec3) -> Vec3 {
    p - normal * (p - through).dot(normal)
}

fn onto_line(p: &Vec3, through: &Vec3, along: &Vec3) -> Vec3 {
    through + along * (p - through).dot(along)
}

/// The points of two lines that are not parallel at which they come nearest to each other.
fn nearest(a: &Vec3, d: &Vec3, b: &Vec3, e: &Vec3) -> (Vec3, Vec3) {
    let (r, k) = (b - a, d.dot(e));
    let rest = 1.0 - k * k;
    let s = (r.dot(d) - k * r.dot(e)) / rest;
    let t = (k * r.dot(d) - r.dot(e)) / rest;
    (a + d * s, b + e * t)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn snap(at: [f64; 3], on: On) -> Snap {
        let at = Vec3::from(at);
        Snap { picked: at, at, on, name: String::new(), normal: None }
    }

    fn check(a: &Snap, b: &Snap, length: f64, how: How, degrees: Option<f64>) {
        for d in [Distance::between(a, b), Distance::between(b, a)] {
            assert!((d.length() - length).abs() < 1e-12, "{d:?}");
            assert_eq!(d.how, how);
            match (d.angle, degrees) {
                (Some(is), Some(ought)) => assert!((is.to_degrees() - ought).abs() < 1e-9, "{is}"),
                (is, ought) => assert!(is.is_none() && ought.is_none(), "{is:?} {ought:?}"),
            }
        }
        let (there, back) = (Distance::between(a, b), Distance::between(b, a));
        assert!((there.to - there.from + (back.to - back.from)).norm() < 1e-9 || how == How::Straight);
    }

    #[test]
    fn each_pair_is_measured_as_the_trade_does() {
        let half = 0.5_f64.sqrt();
        let place = snap([1.0, 2.0, 3.0], On::Place);
        let floor = snap([10.0, 20.0, -4.0], On::Face(Vec3::z()));
        let ceiling = snap([-5.0, 7.0, 1.5], On::Face(-Vec3::z()));
        let chamfer = snap([0.0, 0.0, 0.0], On::Face(Vec3::new(half, 0.0, half)));
        let hole = snap([3.0, 4.0, 0.0], On::Axis(Vec3::z()));
        let other = snap([6.0, 8.0, 90.0], On::Axis(-Vec3::z()));
        let cross = snap([0.0, 1.0, 5.0], On::Axis(Vec3::x()));
        check(&place, &snap([1.0, 5.0, 7.0], On::Place), 5.0, How::Straight, None);
        check(&place, &floor, 7.0, How::SquareToFace, None);
        check(&floor, &ceiling, 5.5, How::SquareToFace, None);
        check(&place, &hole, 8.0_f64.sqrt(), How::SquareToAxis, None);
        check(&hole, &other, 5.0, How::BetweenAxes, None);
        check(&hole, &cross, 3.0, How::BetweenAxes, Some(90.0));
        check(&cross, &floor, 9.0, How::SquareToFace, None);
        check(&hole, &floor, (49.0_f64 + 256.0).sqrt(), How::SquareToAxis, Some(90.0));
        check(&floor, &chamfer, (100.0_f64 + 400.0 + 16.0).sqrt(), How::Straight, Some(45.0));
    }
}
