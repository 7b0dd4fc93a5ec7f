use super::{Axis, Box3, Vec3};

/// The way of the tool tip during one move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Path {
    /// A straight line. `from == to` is a tool that stands still.
    Line {
        /// Start, millimetres.
        from: Vec3,
        /// End, millimetres.
        to: Vec3,
    },
    /// A circular arc or a helix.
    Arc(Arc),
}

/// A circular arc about an axis parallel to X, Y or Z, or a helix when it rises along that axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Point of the axis of rotation at the height of the start, millimetres.
    pub center: Vec3,
    /// Axis of rotation: Z for G17, Y for G18, X for G19.
    pub axis: Axis,
    /// Radius, millimetres, positive.
    pub radius: f64,
    /// Angle of the start, radians, from `axis.others().0` towards `axis.others().1`.
    pub start_angle: f64,
    /// Angle swept, radians; positive is counter-clockwise seen from the positive end of the axis; may be
    /// more than a full turn.
    pub sweep: f64,
    /// Signed travel along the axis over the whole sweep, millimetres.
    pub rise: f64,
}

impl Arc {
    /// Point of the arc at parameter `t` from 0 to 1.
    pub fn point(&self, t: f64) -> Vec3 {
        let angle = self.start_angle + self.sweep * t;
        let (u, v) = self.axis.others();
        let mut p = self.center;
        u.set(&mut p, u.of(&self.center) + self.radius * libm::cos(angle));
        v.set(&mut p, v.of(&self.center) + self.radius * libm::sin(angle));
        self.axis.set(&mut p, self.axis.of(&self.center) + self.rise * t);
        p
    }

    /// Length along the helix, millimetres.
    pub fn length(&self) -> f64 {
        libm::hypot(self.radius * self.sweep, self.rise)
    }
}

impl Path {
    /// Point at parameter `t` from 0 (start) to 1 (end).
    pub fn point(&self, t: f64) -> Vec3 {
        match self {
            Path::Line { from, to } => from + (to - from) * t,
            Path::Arc(arc) => arc.point(t),
        }
    }

    /// Start of the path.
    pub fn start(&self) -> Vec3 {
        match self {
            Path::Line { from, .. } => *from,
            Path::Arc(arc) => arc.point(0.0),
        }
    }

    /// End of the path.
    pub fn end(&self) -> Vec3 {
        match self {
            Path::Line { to, .. } => *to,
            Path::Arc(arc) => arc.point(1.0),
        }
    }

    /// Length along the path, millimetres.
    pub fn length(&self) -> f64 {
        match self {
            Path::Line { from, to } => (to - from).norm(),
            Path::Arc(arc) => arc.length(),
        }
    }

    /// The piece between two parameters, `0 <= t0 <= t1 <= 1`.
    #[must_use]
    pub fn piece(&self, t0: f64, t1: f64) -> Self {
        match self {
            Path::Line { .. } => Path::Line { from: self.point(t0), to: self.point(t1) },
            Path::Arc(arc) => {
                let mut center = arc.center;
                arc.axis.set(&mut center, arc.axis.of(&arc.center) + arc.rise * t0);
                Path::Arc(Arc {
                    center,
                    start_angle: arc.start_angle + arc.sweep * t0,
                    sweep: arc.sweep * (t1 - t0),
                    rise: arc.rise * (t1 - t0),
                    ..*arc
                })
            }
        }
    }

    /// The smallest box that holds the path (exact but for rounding).
    pub fn bounds(&self) -> Box3 {
        let mut b = Box3::empty().with(self.start()).with(self.end());
        if let Path::Arc(arc) = self {
            let (u, v) = arc.axis.others();
            let (lo, hi) = if arc.sweep < 0.0 {
                (arc.start_angle + arc.sweep, arc.start_angle)
            } else {
                (arc.start_angle, arc.start_angle + arc.sweep)
            };
            let quarter = std::f64::consts::FRAC_PI_2;
            // A quarter point k lies on the arc when some turn brings k * 90 degrees into [lo, hi].
            for (k, axis, sign) in [(0.0, u, 1.0), (1.0, v, 1.0), (2.0, u, -1.0), (3.0, v, -1.0)] {
                let angle = k * quarter;
                let turns = ((lo - angle) / (4.0 * quarter)).ceil();
                if angle + turns * 4.0 * quarter <= hi {
                    let edge = axis.of(&arc.center) + sign * arc.radius;
                    let (mut lo_corner, mut hi_corner) = (b.min, b.max);
                    axis.set(&mut lo_corner, axis.of(&b.min).min(edge));
                    axis.set(&mut hi_corner, axis.of(&b.max).max(edge));
                    b = Box3 { min: lo_corner, max: hi_corner };
                }
            }
        }
        b
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI, TAU};

    #[test]
    fn bounds_of_a_half_turn_and_of_a_helix() {
        let arc = Arc {
            center: Vec3::new(1.0, 2.0, 3.0),
            axis: Axis::Z,
            radius: 5.0,
            start_angle: FRAC_PI_2,
            sweep: PI,
            rise: 0.0,
        };
        let b = Path::Arc(arc).bounds();
        assert!((b.min - Vec3::new(-4.0, -3.0, 3.0)).norm() < 1e-12);
        assert!((b.max - Vec3::new(1.0, 7.0, 3.0)).norm() < 1e-9);
        let helix = Path::Arc(Arc { sweep: -3.0 * TAU, rise: -6.0, ..arc });
        assert!((helix.bounds().size() - Vec3::new(10.0, 10.0, 6.0)).norm() < 1e-9);
        assert!((helix.piece(0.25, 0.5).start() - helix.point(0.25)).norm() < 1e-12);
        assert!((helix.length() - libm::hypot(30.0 * PI, 6.0)).abs() < 1e-9);
    }
}
