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
        let [radius] = self.radii(&[height]);
        (radius >= 0.0).then_some(radius)
    }

    /// Height of the lower surface at a distance from the axis, millimetres; `None` outside the radius.
    pub fn lower_at(&self, distance: f64) -> Option<f64> {
        let [height] = self.lowers(&[distance]);
        (height < f64::INFINITY).then_some(height)
    }

    /// Height of the upper surface at a distance from the axis, millimetres; `None` outside the radius.
    pub fn upper_at(&self, distance: f64) -> Option<f64> {
        let [height] = self.uppers(&[distance]);
        (height > f64::NEG_INFINITY).then_some(height)
    }

    /// [`Body::radius_at`] for several heights; -1 where there is no section.
    #[inline(always)]
    pub(crate) fn radii<const N: usize>(&self, heights: &[f64; N]) -> [f64; N] {
        let mut out = match *self {
            Body::Frustum { r0, r1, .. } if !(r0 < r1 || r1 < r0) => [r0; N],
            Body::Frustum { z0, z1, r0, r1 } => each(heights, |h| between(h, (z0, r0), (z1, r1))),
            Body::HalfBall { z0, radius } => each(heights, |h| half_chord(radius, h - (z0 + radius))),
            Body::RoundedDisc { z0, radius, corner } => {
                each(heights, |h| (radius - corner) + half_chord(corner, h - (z0 + corner)))
            }
        };
        let (bottom, top) = (self.bottom(), self.top());
        for (r, h) in out.iter_mut().zip(heights) {
            *r = if bottom <= *h && *h <= top { *r } else { -1.0 };
        }
        out
    }

    /// [`Body::lower_at`] for several distances; infinite outside the radius.
    #[inline(always)]
    pub(crate) fn lowers<const N: usize>(&self, distances: &[f64; N]) -> [f64; N] {
        let mut out = match *self {
            Body::Frustum { z0, r0, r1, .. } if r1 <= r0 => [z0; N],
            Body::Frustum { z0, z1, r0, r1 } => {
                each(distances, |d| if d <= r0 { z0 } else { between(d, (r0, z0), (r1, z1)) })
            }
            Body::HalfBall { z0, radius } => each(distances, |d| z0 + sagitta(radius, d)),
            Body::RoundedDisc { z0, radius, corner } => each(distances, |d| {
                let beyond = d - (radius - corner);
                z0 + sagitta(corner, if beyond > 0.0 { beyond } else { 0.0 })
            }),
        };
        let radius = self.radius();
        for (h, d) in out.iter_mut().zip(distances) {
            *h = if *d <= radius { *h } else { f64::INFINITY };
        }
        out
    }

    /// [`Body::upper_at`] for several distances; negative infinity outside the radius.
    #[inline(always)]
    pub(crate) fn uppers<const N: usize>(&self, distances: &[f64; N]) -> [f64; N] {
        let upside_down = self.upside_down();
        let mut out = upside_down.lowers(distances);
        for h in &mut out {
            *h = -*h;
        }
        out
    }

    /// The body turned over, as far as its upper surface goes: below it is filled up to the full radius.
    #[inline(always)]
    pub(crate) fn upside_down(&self) -> Self {
        match *self {
            Body::Frustum { z0, z1, r0, r1 } => Body::Frustum { z0: -z1, z1: -z0, r0: r1, r1: r0 },
            Body::HalfBall { radius, .. } | Body::RoundedDisc { radius, .. } => {
                Body::Frustum { z0: -self.top(), z1: -self.bottom(), r0: radius, r1: radius }
            }
        }
    }

    /// Largest radius of its sections between two heights, millimetres; -1 where there is none.
    #[inline(always)]
    pub(crate) fn widest(&self, low: f64, high: f64) -> f64 {
        let (bottom, top) = (self.bottom(), self.top());
        if !(low <= top && bottom <= high) {
            return -1.0;
        }
        // Sections grow or shrink all the way up, so the widest is at one of the ends.
        let [a, b] =
            self.radii(&[if low < bottom { bottom } else { low }, if top < high { top } else { high }]);
        if a > b { a } else { b }
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

/// What `f` makes of each.
#[inline(always)]
fn each<const N: usize>(values: &[f64; N], f: impl Fn(f64) -> f64) -> [f64; N] {
    let mut out = *values;
    for x in &mut out {
        *x = f(*x);
    }
    out
}

/// The value at `x` on the straight line through two points, from the nearer one, so that both come out exactly.
#[inline(always)]
fn between(x: f64, (x0, y0): (f64, f64), (x1, y1): (f64, f64)) -> f64 {
    let t = (x - x0) / (x1 - x0);
    if t < 0.5 { y0 + (y1 - y0) * t } else { y1 - (y1 - y0) * ((x1 - x) / (x1 - x0)) }
}

/// Half the chord of a circle at a distance from its middle: `sqrt(r^2 - d^2)` without cancellation; 0 outside.
#[inline(always)]
pub(crate) fn half_chord(radius: f64, distance: f64) -> f64 {
    let square = (radius - distance) * (radius + distance);
    (if square > 0.0 { square } else { 0.0 }).sqrt()
}

/// Height of a circle's bow: `r - sqrt(r^2 - d^2)`, without cancellation.
#[inline(always)]
pub(crate) fn sagitta(radius: f64, distance: f64) -> f64 {
    let d = if distance > 0.0 { distance } else { 0.0 };
    d * d / (radius + half_chord(radius, d))
}
