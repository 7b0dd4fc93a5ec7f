use super::{Axis, Box3, Direction, Vec3};

/// How a setup's axes lie in the part: a signed permutation of axes and an origin.
///
/// Right angles only, so that turning the part over loses nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Part direction of the setup's +X, +Y and +Z.
    axes: [Direction; 3],
    /// Part-frame point of the setup's origin, millimetres.
    pub origin: Vec3,
}

impl Frame {
    /// The setup frame that coincides with the part frame.
    pub const fn part() -> Self {
        Self {
            axes: [
                Direction::new(Axis::X, true),
                Direction::new(Axis::Y, true),
                Direction::new(Axis::Z, true),
            ],
            origin: Vec3::new(0.0, 0.0, 0.0),
        }
    }

    /// From the part direction that points up along the spindle (+Z), the part direction along +X, and
    /// the part-frame origin. `None` when the two directions share an axis.
    pub fn new(up: Direction, right: Direction, origin: Vec3) -> Option<Self> {
        if up.axis == right.axis {
            return None;
        }
        let y = up.vector().cross(&right.vector());
        let axis = Axis::ALL.into_iter().find(|a| a.of(&y).abs() > 0.5)?;
        let forward = Direction::new(axis, axis.of(&y) > 0.0);
        Some(Self { axes: [right, forward, up], origin })
    }

    /// Part direction of a setup axis.
    pub const fn direction(&self, setup_axis: Axis) -> Direction {
        let [x, y, z] = self.axes;
        match setup_axis {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        }
    }

    /// The setup axis that lies along a part axis, and its sense: `(axis, positive)`.
    pub fn setup_axis(&self, part_axis: Axis) -> Direction {
        let axis = Axis::ALL.into_iter().find(|a| self.direction(*a).axis == part_axis).unwrap_or(part_axis);
        Direction::new(axis, self.direction(axis).positive)
    }

    /// The same axes about another origin (part frame).
    #[must_use]
    pub const fn at(&self, origin: Vec3) -> Self {
        Self { axes: self.axes, origin }
    }

    /// A vector of the setup, seen in the part.
    #[inline]
    pub fn part_from_setup_vector(&self, v: &Vec3) -> Vec3 {
        let mut out = Vec3::zeros();
        let [x, y, z] = self.axes;
        x.axis.set(&mut out, x.sign() * v.x);
        y.axis.set(&mut out, y.sign() * v.y);
        z.axis.set(&mut out, z.sign() * v.z);
        out
    }

    /// A point of the setup, seen in the part.
    #[inline]
    pub fn part_from_setup(&self, p: &Vec3) -> Vec3 {
        self.part_from_setup_vector(p) + self.origin
    }

    /// A vector of the part, seen in the setup.
    #[inline]
    pub fn setup_from_part_vector(&self, v: &Vec3) -> Vec3 {
        let [x, y, z] = self.axes;
        Vec3::new(x.sign() * x.axis.of(v), y.sign() * y.axis.of(v), z.sign() * z.axis.of(v))
    }

    /// A point of the part, seen in the setup.
    #[inline]
    pub fn setup_from_part(&self, p: &Vec3) -> Vec3 {
        self.setup_from_part_vector(&(p - self.origin))
    }

    /// A box of the setup, seen in the part.
    pub fn part_box(&self, b: &Box3) -> Box3 {
        Box3::between(self.part_from_setup(&b.min), self.part_from_setup(&b.max))
    }

    /// A box of the part, seen in the setup.
    pub fn setup_box(&self, b: &Box3) -> Box3 {
        Box3::between(self.setup_from_part(&b.min), self.setup_from_part(&b.max))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_24_orientations_are_right_handed_and_invert() {
        let directions: Vec<Direction> =
            Axis::ALL.into_iter().flat_map(|a| [Direction::new(a, true), Direction::new(a, false)]).collect();
        let mut count = 0;
        for up in &directions {
            for right in &directions {
                let Some(frame) = Frame::new(*up, *right, Vec3::new(1.0, 2.0, 3.0)) else { continue };
                count += 1;
                let x = frame.part_from_setup_vector(&Vec3::x());
                let y = frame.part_from_setup_vector(&Vec3::y());
                let z = frame.part_from_setup_vector(&Vec3::z());
                assert_eq!(x.cross(&y), z);
                assert_eq!(z, up.vector());
                let p = Vec3::new(0.3, -0.7, 11.0);
                assert!((frame.setup_from_part(&frame.part_from_setup(&p)) - p).norm() < 1e-12);
                for a in Axis::ALL {
                    let s = frame.setup_axis(a);
                    assert_eq!(frame.direction(s.axis).axis, a);
                    assert_eq!(frame.direction(s.axis).positive, s.positive);
                }
            }
        }
        assert_eq!(count, 24);
    }
}
