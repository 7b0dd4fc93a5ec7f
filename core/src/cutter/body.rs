/// A convex body of revolution about the spindle axis. Heights are measured up from the tool's tip, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Body {
    /// A cylinder or a (truncated) cone between two heights; `r0` at `z0`, `r1` at `z1`, `z0 < z1`.
    Frustum {
        /// Lower height.
        z0: f64,
        /// Upper height.
        z1: f64,
        /// Radius at the lower height; may be 0.
        r0: f64,
        /// Radius at the upper height; may be 0.
        r1: f64,
    },
    /// The lower half of a ball, lowest point at `z0`, equator at `z0 + radius`.
    HalfBall {
        /// Height of the lowest point.
        z0: f64,
        /// Radius.
        radius: f64,
    },
    /// A flat bottom with a rounded corner from `z0` up to `z0 + corner`, where the radius is reached.
    RoundedDisc {
        /// Height of the flat bottom.
        z0: f64,
        /// Full radius.
        radius: f64,
        /// Corner radius, less than `radius`.
        corner: f64,
    },
}

/// Bodies thinner than this, millimetres, are none: a tenth of a nanometre, the least that two numbers can differ by
/// at the size of a machine with room to compute.
const LEAST_SIZE: f64 = 1e-7;

impl Body {
    /// Height of its lowest point, millimetres.
    pub const fn bottom(&self) -> f64 {
        match *self {
            Body::Frustum { z0, .. } | Body::HalfBall { z0, .. } | Body::RoundedDisc { z0, .. } => z0,
        }
    }

    /// Height of its flat top, millimetres.
    pub fn top(&self) -> f64 {
        match *self {
            Body::Frustum { z1, .. } => z1,
            Body::HalfBall { z0, radius } => z0 + radius,
            Body::RoundedDisc { z0, corner, .. } => z0 + corner,
        }
    }

    /// Largest radius, millimetres.
    pub fn radius(&self) -> f64 {
        match *self {
            Body::Frustum { r0, r1, .. } => r0.max(r1),
            Body::HalfBall { radius, .. } | Body::RoundedDisc { radius, .. } => radius,
        }
    }

    /// True when its sizes are finite and it is at least a tenth of a nanometre high and wide; anything else sweeps
    /// nothing.
    pub fn is_solid(&self) -> bool {
        let sized = self.bottom().is_finite() && self.top().is_finite() && self.radius().is_finite();
        sized
            && self.top() - self.bottom() >= LEAST_SIZE
            && self.radius() >= LEAST_SIZE
            && match *self {
                Body::Frustum { r0, r1, .. } => r0 >= 0.0 && r1 >= 0.0,
                Body::HalfBall { .. } => true,
                Body::RoundedDisc { radius, corner, .. } => corner > 0.0 && corner <= radius,
            }
    }

    /// Radius of its section at a height, millimetres; `None` below the bottom or above the top.
    pub fn radius_at(&self, height: f64) -> Option<f64> {
        if !(self.bottom() <= height && height <= self.top()) {
            return None;
        }
        Some(match *self {
            Body::Frustum { z0, z1, r0, r1 } => {
                // From the nearer end, so that both ends come out exactly.
                let t = (height - z0) / (z1 - z0);
                if t < 0.5 { r0 + (r1 - r0) * t } else { r1 - (r1 - r0) * ((z1 - height) / (z1 - z0)) }
            }
            Body::HalfBall { z0, radius } => half_chord(radius, height - (z0 + radius)),
            Body::RoundedDisc { z0, radius, corner } => {
                (radius - corner) + half_chord(corner, height - (z0 + corner))
            }
        })
    }

    /// Height of the lower surface at a distance from the axis, millimetres; `None` outside the radius.
    pub fn lower_at(&self, distance: f64) -> Option<f64> {
        if distance > self.radius() {
            return None;
        }
        Some(match *self {
            Body::Frustum { z0, z1, r0, r1 } => {
                if distance <= r0 {
                    z0
                } else {
                    // From the nearer end, so that both ends come out exactly.
                    let t = (distance - r0) / (r1 - r0);
                    if t < 0.5 { z0 + (z1 - z0) * t } else { z1 - (z1 - z0) * ((r1 - distance) / (r1 - r0)) }
                }
            }
            Body::HalfBall { z0, radius } => z0 + sagitta(radius, distance),
            Body::RoundedDisc { z0, radius, corner } => {
                z0 + sagitta(corner, (distance - (radius - corner)).max(0.0))
            }
        })
    }

    /// Height of the upper surface at a distance from the axis, millimetres; `None` outside the radius.
    pub fn upper_at(&self, distance: f64) -> Option<f64> {
        if distance > self.radius() {
            return None;
        }
        match *self {
            Body::Frustum { z0, z1, r0, r1 } => {
                let upside_down = Body::Frustum { z0: -z1, z1: -z0, r0: r1, r1: r0 };
                upside_down.lower_at(distance).map(|h| -h)
            }
            Body::HalfBall { .. } | Body::RoundedDisc { .. } => Some(self.top()),
        }
    }

    /// True when the point at this distance from the axis and this height lies inside or on the boundary.
    pub fn contains(&self, distance: f64, height: f64) -> bool {
        self.radius_at(height).is_some_and(|r| distance <= r)
    }

    /// A body of the same kind that holds every point within `by` of this one, and nothing farther away than a
    /// small multiple of `by` (for a cone the factor grows with its slope).
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        match *self {
            Body::Frustum { z0, z1, r0, r1 } => {
                let slope = (r1 - r0) / (z1 - z0);
                let side = libm::hypot(1.0, slope);
                Body::Frustum {
                    z0: z0 - by,
                    z1: z1 + by,
                    r0: r0 + (side - slope) * by,
                    r1: r1 + (side + slope) * by,
                }
            }
            // The middle moves up by `by` and the radius grows by twice that: the flat top rises by `by`, and a
            // ball about the old middle, grown by `by`, stays inside.
            Body::HalfBall { z0, radius } => Body::HalfBall { z0: z0 - by, radius: radius + 2.0 * by },
            Body::RoundedDisc { z0, radius, corner } => {
                Body::RoundedDisc { z0: z0 - by, radius: radius + 2.0 * by, corner: corner + 2.0 * by }
            }
        }
    }

    /// A body of the same kind whose every point is at least `by` deep inside this one; `None` when none is left.
    pub fn shrunk(&self, by: f64) -> Option<Self> {
        match *self {
            Body::Frustum { z0, z1, r0, r1 } => {
                let slope = (r1 - r0) / (z1 - z0);
                let side = libm::hypot(1.0, slope);
                let (mut low, mut high) = (z0 + by, z1 - by);
                let (mut at_low, mut at_high) = (r0 - (side - slope) * by, r1 - (side + slope) * by);
                if at_low < 0.0 && at_high < 0.0 {
                    return None;
                }
                // A cone that has shrunk past its point is cut off where the radius is zero.
                if at_low < 0.0 {
                    low -= at_low / slope;
                    at_low = 0.0;
                }
                if at_high < 0.0 {
                    high -= at_high / slope;
                    at_high = 0.0;
                }
                (low < high).then_some(Body::Frustum { z0: low, z1: high, r0: at_low, r1: at_high })
            }
            Body::HalfBall { z0, radius } => {
                (2.0 * by < radius).then_some(Body::HalfBall { z0: z0 + by, radius: radius - 2.0 * by })
            }
            Body::RoundedDisc { z0, radius, corner } => (2.0 * by < corner).then_some(Body::RoundedDisc {
                z0: z0 + by,
                radius: radius - 2.0 * by,
                corner: corner - 2.0 * by,
            }),
        }
    }
}

/// Half the chord of a circle at a distance from its middle: `sqrt(r^2 - d^2)` without cancellation; 0 outside.
pub(crate) fn half_chord(radius: f64, distance: f64) -> f64 {
    ((radius - distance) * (radius + distance)).max(0.0).sqrt()
}

/// Height of a circle's bow: `r - sqrt(r^2 - d^2)`, without cancellation.
pub(crate) fn sagitta(radius: f64, distance: f64) -> f64 {
    if distance <= 0.0 { 0.0 } else { distance * distance / (radius + half_chord(radius, distance)) }
}
