//! A body on a straight line, met by rays along Z.
//!
//! With `s` the level way along the line, `k` its climb, `c` the level distance of the ray from the line and `s0` the
//! way at which the ray is nearest, the body at `s` covers the heights from `k s + lower(d)` to `k s + upper(d)`, with
//! `d^2 = c^2 + (s - s0)^2`. `lower` is convex and grows with `d`, so the lowest point is the minimum of a convex
//! function on one interval: where its slope is zero, or where the interval comes nearest to that. `upper` likewise
//! upside down. As in [`super::across`], every candidate is tried with its true height.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_range_loop,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::ball::{Around, BallAlong, EndBounds, EndPlanes};
use super::lanes::{least, most, span_if, within};
use super::{STANDS_STILL, rounded};
use crate::cutter::{Body, half_chord};
use crate::geom::Vec3;

/// Nearer to a bound than this, mm, rays are looked at one by one.
const CLOSE: f64 = 1e-6;

/// A straight move with everything worked out that does not depend on the ray.
#[derive(Clone, Copy, Debug)]
pub(super) struct LineAlong {
    body: Body,
    upside_down: Body,
    /// Level unit vector of the move; nothing when it stands still or only rises or falls.
    unit: (f64, f64),
    /// Level length, mm.
    length: f64,
    /// Rise over level length; the whole rise, mm, when there is no length.
    climb: f64,
    low: Touch,
    high: Touch,
    /// A cylinder that does not climb: the same heights for every ray that it meets.
    slab: Option<Slab>,
    /// The lower half of a ball that is led along.
    ball: Option<BallAlong>,
}

/// Radius and heights of a level cylinder, and one over the square of its way (0 for none).
#[derive(Clone, Copy, Debug)]
struct Slab {
    radius: f64,
    low: f64,
    high: f64,
    per_square: f64,
    by: (f64, f64),
}

/// Where a surface is lowest over a ray, measured back from the point of the line nearest to the ray.
#[derive(Clone, Copy, Debug)]
enum Touch {
    /// A flat: everywhere the same, so at an end of the time over the ray.
    Flat,
    /// On a cone `(s0 - s) / d` equals the climb over the cone's own slope, so the way back is `by * c` and not under
    /// `least`; on the flat at its tip, of radius `tip`, it is its rear edge.
    Cone { by: f64, least: f64, tip: f64 },
    /// On a rounded corner: by a solve.
    Corner { radius: f64, corner: f64 },
}

impl Touch {
    fn of(body: &Body, climb: f64) -> Self {
        let climb = climb.abs();
        match *body {
            Body::Frustum { z0, z1, r0, r1 } if r0 < r1 => {
                let q = climb * (r1 - r0) / (z1 - z0);
                // Steeper than the cone: the rearmost place there is.
                let (by, least) = if q < 1.0 { (q / (1.0 - q * q).sqrt(), 0.0) } else { (0.0, f64::MAX) };
                Touch::Cone { by, least, tip: if climb > 0.0 { r0 } else { 0.0 } }
            }
            // A ball is never asked: led along it is a matter of its own, and standing still it has no touch.
            Body::Frustum { .. } | Body::HalfBall { .. } => Touch::Flat,
            Body::RoundedDisc { radius, corner, .. } => Touch::Corner { radius, corner },
        }
    }
}

impl LineAlong {
    pub(super) fn new(body: &Body, by: &Vec3, after: bool) -> Self {
        let length = (by.x * by.x + by.y * by.y).sqrt();
        let still = length <= STANDS_STILL;
        let (unit, climb) =
            if still { ((0.0, 0.0), by.z) } else { ((by.x / length, by.y / length), by.z / length) };
        let upside_down = body.upside_down();
        let slab = match *body {
            Body::Frustum { z0, z1, r0, r1 } if !(r0 < r1 || r1 < r0 || climb.abs() > 0.0) => Some(Slab {
                radius: r0,
                low: z0,
                high: z1,
                per_square: if still { 0.0 } else { 1.0 / (length * length) },
                by: (by.x, by.y),
            }),
            Body::Frustum { .. } | Body::HalfBall { .. } | Body::RoundedDisc { .. } => None,
        };
        let ball = match *body {
            Body::HalfBall { radius, .. } if !still => {
                Some(BallAlong::new((radius, body.top()), by, length, after))
            }
            Body::HalfBall { .. } | Body::Frustum { .. } | Body::RoundedDisc { .. } => None,
        };
        Self {
            slab,
            ball,
            body: *body,
            upside_down,
            unit,
            length: if still { 0.0 } else { length },
            climb,
            low: Touch::of(body, climb),
            high: Touch::of(&upside_down, -climb),
        }
    }

    /// The heights of every span over the tip, where all have the same.
    #[inline(always)]
    pub(super) fn heights(&self) -> Option<(f64, f64)> {
        self.slab.map(|slab| (slab.low, slab.high))
    }

    /// Mask of the rays that it meets, where all have the same heights.
    #[inline(always)]
    pub(super) fn met<const N: usize>(&self, x: &[f64; N], y: &[f64; N]) -> [u64; N] {
        let Some(slab) = &self.slab else { return [0; N] };
        let square = slab.radius * slab.radius;
        let mut met = [0; N];
        for k in 0..N {
            met[k] = mask_of(slab.square(x[k], y[k]) <= square);
        }
        met
    }

    /// Masks of the places around which some of the rays within `half` are met, and surely all of them, where all have the same
    /// heights.
    #[inline(always)]
    pub(super) fn near<const N: usize>(&self, x: &[f64; N], y: &[f64; N], half: (f64, f64)) -> [[u64; N]; 2] {
        let Some(slab) = &self.slab else { return [[0; N]; 2] };
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        let outer = slab.radius + diagonal;
        // Rounding is far less than this.
        let inner = most(slab.radius - diagonal - CLOSE, 0.0);
        let (outer2, inner2) = (outer * outer, inner * inner);
        let (mut some, mut all) = ([0; N], [0; N]);
        for k in 0..N {
            let square = slab.square(x[k], y[k]);
            (some[k], all[k]) = (mask_of(square <= outer2), mask_of(square < inner2));
        }
        [some, all]
    }

    /// Spans on rays at `(x, y)`, coordinates relative to the tip at the start of the move.
    #[inline(always)]
    pub(super) fn spans<const N: usize>(
        &self,
        x: &[f64; N],
        y: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        if let Some(slab) = &self.slab {
            slab.spans(slab.radius, x, y, low, high);
            return;
        }
        if let Some(ball) = &self.ball {
            ball.spans(x, y, low, high);
            return;
        }
        if self.length <= 0.0 {
            self.upright(x, y, low, high);
            return;
        }
        let (mut c, mut s0, mut first, mut last) = ([0.0; N], [0.0; N], [0.0; N], [0.0; N]);
        let radius = self.body.radius();
        for k in 0..N {
            c[k] = self.beside(x[k], y[k]).abs();
            s0[k] = x[k] * self.unit.0 + y[k] * self.unit.1;
            let reach = half_chord(radius, c[k]);
            first[k] = most(s0[k] - reach, 0.0);
            last[k] = least(s0[k] + reach, self.length);
        }
        let over = Over { c, s0, first, last, radius };
        over.lowest(&self.body, self.low, self.climb, low);
        over.lowest(&self.upside_down, self.high, -self.climb, high);
        for k in 0..N {
            (low[k], high[k]) =
                span_if((over.c[k] <= radius) & (over.first[k] <= over.last[k]), low[k], -high[k]);
        }
    }

    /// True when the move has a level direction.
    #[inline(always)]
    pub(super) const fn is_led(&self) -> bool {
        self.length > 0.0
    }

    /// The lower half of a ball, where that is what is led along.
    #[inline(always)]
    pub(super) const fn ball(&self) -> Option<&BallAlong> {
        self.ball.as_ref()
    }

    /// How far beside the line a ray is, positive to the right of it.
    #[inline(always)]
    pub(super) fn beside(&self, x: f64, y: f64) -> f64 {
        x * self.unit.1 - y * self.unit.0
    }

    /// How far [`LineAlong::beside`] can differ at most within `half` of a ray.
    #[inline(always)]
    pub(super) fn beside_spread(&self, x: f64, y: f64) -> f64 {
        x * self.unit.1.abs() + y * self.unit.0.abs() + CLOSE
    }

    /// A tool that stands still, or goes straight up or down.
    #[inline(always)]
    fn upright<const N: usize>(&self, x: &[f64; N], y: &[f64; N], low: &mut [f64; N], high: &mut [f64; N]) {
        let mut d = [0.0; N];
        for k in 0..N {
            d[k] = (x[k] * x[k] + y[k] * y[k]).sqrt();
        }
        *low = self.body.lowers(&d);
        *high = self.body.uppers(&d);
        for k in 0..N {
            low[k] += least(self.climb, 0.0);
            high[k] += most(self.climb, 0.0);
        }
    }

    /// Ends between which the spans of all rays within `half` of `(x, y)` lie; crossed where none is met.
    #[inline(always)]
    pub(super) fn reach<const N: usize>(
        &self,
        x: &[f64; N],
        y: &[f64; N],
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        let radius = self.body.radius();
        if let Some(slab) = &self.slab {
            slab.spans(radius + diagonal, x, y, low, high);
            return;
        }
        if let Some(ball) = &self.ball {
            let mut planes = [EndPlanes::NONE; 2];
            let mut ends = EndBounds::NONE;
            let (x, y) = (Around::of(x), Around::of(y));
            ball.reach((x.seen_from(0.0), y.seen_from(0.0)), half, 0.0, &mut ends, &mut planes);
            ends.widened(low, high);
            return;
        }
        let top = self.body.top();
        let (mut d, mut sag, mut lift) = ([0.0; N], [0.0; N], [0.0; N]);
        for k in 0..N {
            let s0 = x[k] * self.unit.0 + y[k] * self.unit.1;
            let ahead = s0 - within(s0, 0.0, self.length);
            let c =
                if self.length > 0.0 { self.beside(x[k], y[k]) } else { (x[k] * x[k] + y[k] * y[k]).sqrt() };
            d[k] = most((c * c + ahead * ahead).sqrt() - diagonal, 0.0);
            // The tip's heights while any of these rays is under the tool.
            let (a, b) = if self.length > 0.0 {
                (
                    self.climb * within(s0 - diagonal - radius, 0.0, self.length),
                    self.climb * within(s0 + diagonal + radius, 0.0, self.length),
                )
            } else {
                (0.0, self.climb)
            };
            sag[k] = least(a, b);
            lift[k] = most(a, b);
        }
        let under = self.body.lowers(&d);
        for k in 0..N {
            (low[k], high[k]) = span_if(d[k] <= radius, sag[k] + under[k], lift[k] + top);
        }
    }
}

impl Slab {
    /// Heights on the rays that are at most `radius` from the way.
    #[inline(always)]
    fn spans<const N: usize>(
        &self,
        radius: f64,
        x: &[f64; N],
        y: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let square = radius * radius;
        for k in 0..N {
            (low[k], high[k]) = span_if(self.square(x[k], y[k]) <= square, self.low, self.high);
        }
    }

    /// Square of the distance from the way.
    #[inline(always)]
    fn square(&self, x: f64, y: f64) -> f64 {
        let t = within((x * self.by.0 + y * self.by.1) * self.per_square, 0.0, 1.0);
        let (dx, dy) = (x - t * self.by.0, y - t * self.by.1);
        dx * dx + dy * dy
    }
}

/// All bits where true, none where false, as wide as the numbers that are compared.
#[inline(always)]
const fn mask_of(condition: bool) -> u64 {
    (condition as u64).wrapping_neg()
}

/// When a body is over rays: from `first` to `last` along the line.
struct Over<const N: usize> {
    c: [f64; N],
    s0: [f64; N],
    first: [f64; N],
    last: [f64; N],
    radius: f64,
}

impl<const N: usize> Over<N> {
    /// Lowest heights of a body's lower surface.
    #[inline(always)]
    fn lowest(&self, body: &Body, touch: Touch, climb: f64, out: &mut [f64; N]) {
        let bottom = body.bottom();
        match touch {
            Touch::Flat => {
                for k in 0..N {
                    out[k] = bottom + least(climb * self.first[k], climb * self.last[k]);
                }
            }
            Touch::Cone { by, least, tip } => {
                let mut back = [0.0; N];
                for k in 0..N {
                    back[k] = most(most(by * self.c[k], half_chord(tip, self.c[k])), least);
                }
                self.lowest_at(body, climb, &back, out);
            }
            Touch::Corner { radius, corner } => {
                let mut back = [0.0; N];
                for k in 0..N {
                    back[k] = rounded::back(self.c[k], (radius, corner), climb.abs());
                }
                self.lowest_at(body, climb, &back, out);
            }
        }
    }

    /// Heights where the ray is touched `back` behind the nearest point, or as near to that as can be.
    #[inline(always)]
    fn lowest_at(&self, body: &Body, climb: f64, back: &[f64; N], out: &mut [f64; N]) {
        let (mut d, mut at) = ([0.0; N], [0.0; N]);
        for k in 0..N {
            let s = within(self.s0[k] - back[k].copysign(climb), self.first[k], self.last[k]);
            let x = s - self.s0[k];
            d[k] = least((self.c[k] * self.c[k] + x * x).sqrt(), self.radius);
            at[k] = climb * s;
        }
        let heights = body.lowers(&d);
        for k in 0..N {
            out[k] = at[k] + heights[k];
        }
    }
}
