//! The lower half of a ball on a straight line, met by rays along Z and by level rays.
//!
//! Seen along a ray, the centre runs on a straight way, and the ray is a point at distance `c` from it, nearest to
//! its place `at`. With `W^2 = R^2 - c^2`, `g` the climb of the centre along the ray and `e` the way from the nearest
//! place, a chord ends at `g (at + e) -+ sqrt(W^2 - e^2)`. The lower end is lowest, and the upper highest, at
//! `e = -+ W g / sqrt(1 + g^2)`, where it is `g at -+ W sqrt(1 + g^2)`, or at the end of the way that comes nearest
//! to that. Which of the three it is shows in squares, so that each end costs one square root.
//!
//! The way is turned so that `g` is not negative.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    clippy::cast_possible_truncation,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them; numbers are \
              shortened where any value will do"
)]

use super::lanes::{MISSED_LOW, least, most, span_if, within};
use crate::geom::Vec3;

/// A slope bound touches a ball no nearer to its rim than this part of its squared radius: nearer, slopes are so steep that
/// they say nothing of the rays around.
const RIM: f64 = 0.1;

/// Nearer than this, mm and mm^2, rounding may decide, and rays are looked at one by one.
const CLOSE: f64 = 1e-6;

/// Where on its way a ball touches rays: a number, so that each has a loop of its own, which the compiler makes vectors of.
const AT_START: u8 = 0;
const AT_END: u8 = 1;
const BETWEEN: u8 = 2;
/// Not the same for all of them, or not known.
const ANY_OF: u8 = 3;

/// Square root with half the figures, off by less than a part of [`ABOUT`]; nothing where the square is negative.
#[inline(always)]
fn about(square: f64) -> f64 {
    f64::from((most(square, 0.0) as f32).sqrt())
}

/// See [`about`].
const ABOUT: f64 = 1e-6;

/// Square root; nothing where the square is negative.
#[inline(always)]
fn root(square: f64) -> f64 {
    most(square, 0.0).sqrt()
}

/// The way of the centre, seen along the rays.
#[derive(Clone, Copy, Debug)]
struct Way {
    /// Where it starts.
    start: (f64, f64),
    /// Unit vector.
    unit: (f64, f64),
    length: f64,
    /// Climb along the ray for each millimetre of the way.
    climb: f64,
    /// `sqrt(1 + climb^2)`.
    slope: f64,
    /// How far from the nearest place the ends are extreme, as a part of `W`; and its square.
    share: f64,
    share2: f64,
    radius: f64,
    radius2: f64,
    per_diameter: f64,
}

impl Way {
    /// By `by` across the rays, `length` long, and by `rise` along them.
    fn new(radius: f64, by: (f64, f64), length: f64, rise: f64) -> Self {
        let back = rise < 0.0;
        let start = if back { by } else { (0.0, 0.0) };
        let per = if back { -1.0 } else { 1.0 } / length;
        let climb = rise.abs() / length;
        let slope = (1.0 + climb * climb).sqrt();
        let share = climb / slope;
        Self {
            start,
            unit: (by.0 * per, by.1 * per),
            length,
            climb,
            slope,
            share,
            share2: share * share,
            radius,
            radius2: radius * radius,
            per_diameter: 0.5 / radius,
        }
    }

    /// The nearest place to a point on the way drawn out, and how far beside it is.
    #[inline(always)]
    fn place(&self, p: f64, q: f64) -> (f64, f64) {
        let (p, q) = (p - self.start.0, q - self.start.1);
        (p * self.unit.0 + q * self.unit.1, p * self.unit.1 - q * self.unit.0)
    }

    /// `W^2`.
    #[inline(always)]
    fn square(&self, c: f64) -> f64 {
        (self.radius - c) * (self.radius + c)
    }

    /// The lowest lower end of the chords while the centre is from `from` to `to`, and the square of half the chord
    /// there, which is negative where nothing is met.
    #[inline(always)]
    fn lowest(&self, at: f64, (from, to): (f64, f64), square: f64) -> (f64, f64) {
        let (back, ahead) = (from - at, to - at);
        let lean = self.share2 * square;
        let first = (back >= 0.0) | (back * back <= lean);
        let last = (ahead <= 0.0) & (ahead * ahead >= lean);
        self.end(at, (from, to), square, (first, last & !first), -1.0)
    }

    /// The same for the highest upper end.
    #[inline(always)]
    fn highest(&self, at: f64, (from, to): (f64, f64), square: f64) -> (f64, f64) {
        let (back, ahead) = (from - at, to - at);
        let lean = self.share2 * square;
        let last = (ahead <= 0.0) | (ahead * ahead <= lean);
        let first = (back >= 0.0) & (back * back >= lean);
        self.end(at, (from, to), square, (first & !last, last), 1.0)
    }

    /// End of the chord at the first place, at the last or between, `sign` below or above its middle.
    #[inline(always)]
    fn end(
        &self,
        at: f64,
        (from, to): (f64, f64),
        square: f64,
        (first, last): (bool, bool),
        sign: f64,
    ) -> (f64, f64) {
        let place = if first {
            from
        } else if last {
            to
        } else {
            at
        };
        let slope = if first | last { 1.0 } else { self.slope };
        let e = place - at;
        let square = square - e * e;
        (self.climb * place + sign * (slope * root(square)), square)
    }

    /// Where on its way the ball is when it touches rays that fill a box, from `at` to `at` along the way and with squares of
    /// `W` between two: whichever of them is asked, where that shows at once. The lower ends; see [`Way::touch_high`].
    #[inline(always)]
    fn touch_low(&self, (at_least, at_most): (f64, f64), (least2, most2): (f64, f64)) -> u8 {
        let (under, over) = (self.share2 * least2 - CLOSE, self.share2 * most2 + CLOSE);
        let behind = most(at_most, 0.0);
        let (past, past_most) = (at_least - self.length, most(at_most - self.length, 0.0));
        if (at_most < -CLOSE) | (behind * behind < under) {
            AT_START
        } else if (past > CLOSE) & (past * past > over) {
            AT_END
        } else if (at_least > CLOSE)
            & (at_least * at_least > over)
            & ((at_most < self.length - CLOSE) | (past_most * past_most < under))
        {
            BETWEEN
        } else {
            ANY_OF
        }
    }

    /// The same for the upper ends: seen from the other end of the way.
    #[inline(always)]
    fn touch_high(&self, (at_least, at_most): (f64, f64), squares: (f64, f64)) -> u8 {
        match self.touch_low((self.length - at_most, self.length - at_least), squares) {
            AT_START => AT_END,
            AT_END => AT_START,
            other => other,
        }
    }

    /// Places along the way between which rays lie that fill a box, squares of `W` likewise, and how far beside it they are.
    #[inline(always)]
    fn range<const N: usize>(&self, p: &[f64; N], q: &[f64; N]) -> [(f64, f64); 3] {
        let (middle, half) =
            (|a: &[f64; N]| 0.5 * (a[0] + a[N - 1]), |a: &[f64; N]| 0.5 * (a[N - 1] - a[0]).abs());
        let (at, c) = self.place(middle(p), middle(q));
        let (u, v) = (self.unit.0.abs(), self.unit.1.abs());
        let (along, across) = (half(p) * u + half(q) * v + CLOSE, half(p) * v + half(q) * u + CLOSE);
        let (nearest, farthest) = (most(c.abs() - across, 0.0), c.abs() + across);
        let squares = (self.radius2 - farthest * farthest, self.radius2 - nearest * nearest);
        [(at - along, at + along), squares, (c - across, c + across)]
    }

    /// [`Way::lowest`], for the whole way, of a ray that is touched as all of its box are ([`AT_START`] and so on).
    #[inline(always)]
    fn low_of<const TOUCH: u8>(&self, at: f64, square: f64) -> (f64, f64) {
        match TOUCH {
            AT_START | AT_END => {
                let place = if TOUCH == AT_START { 0.0 } else { self.length };
                let left = square - (place - at) * (place - at);
                (self.climb * place - root(left), left)
            }
            BETWEEN => (self.climb * at - self.slope * root(square), square),
            _ => self.lowest(at, (0.0, self.length), square),
        }
    }

    /// The same for [`Way::highest`].
    #[inline(always)]
    fn high_of<const TOUCH: u8>(&self, at: f64, square: f64) -> (f64, f64) {
        match TOUCH {
            AT_START | AT_END => {
                let place = if TOUCH == AT_START { 0.0 } else { self.length };
                let left = square - (place - at) * (place - at);
                (self.climb * place + root(left), left)
            }
            BETWEEN => (self.climb * at + self.slope * root(square), square),
            _ => self.highest(at, (0.0, self.length), square),
        }
    }

    /// Of a ray `e` ahead of a place of the ball and `c` beside it: the square of half its chord, and by how much that changes at
    /// most over rays within `half` of it, but for the square of their own distance.
    #[inline(always)]
    fn left(&self, e: f64, c: f64, half: (f64, f64)) -> (f64, f64) {
        let (dp, dq) = (e * self.unit.0 + c * self.unit.1, e * self.unit.1 - c * self.unit.0);
        (self.radius2 - e * e - c * c, 2.0 * (dp.abs() * half.0 + dq.abs() * half.1))
    }

    /// True when some point within `diagonal` of a place comes under the ball.
    #[inline(always)]
    fn meets(&self, at: f64, c: f64, diagonal: f64) -> bool {
        let e = at - within(at, 0.0, self.length);
        let reach = self.radius + diagonal;
        e * e + c * c <= reach * reach
    }

    /// What is known of the lowest lower ends of the rays around a place.
    ///
    /// The lower ends of a ball about the origin lie above every plane of slopes `G` that touches it,
    /// `G p - R sqrt(1 + |G|^2)`, and above the lowest of them while it goes its way. The plane is taken about where the
    /// middle ray touches: any slopes will do. From above, a ball at one place serves for all; it leaves its plane by what
    /// the root over the farthest of the rays does at most.
    #[inline(always)]
    fn patch(&self, (at, c): (f64, f64), half: (f64, f64)) -> Patch {
        let climb = self.climb;
        // The half chord over the ray, by its first two terms: any place will do.
        let w = most(self.radius - c * c * self.per_diameter, 0.0);
        let place = within(at - self.share * w, 0.0, self.length);
        let e = at - place;
        let square = e * e + c * c;
        let (dp, dq) = (e * self.unit.0 + c * self.unit.1, e * self.unit.1 - c * self.unit.0);
        let spread = dp.abs() * half.0 + dq.abs() * half.1;

        let h2 = most(self.radius2 - square, RIM * self.radius2);
        // Half the figures are enough, and much cheaper.
        let per = f64::from(1.0 / (h2 as f32).sqrt());
        // One over that, with all figures.
        let h = h2 * per * (2.0 - h2 * per * per);
        // R sqrt(1 + |G|^2) with |G| = |d| per, from above: the mean of two numbers is not less than the root of their
        // product. Not near the rim they are the same.
        let depth = 0.5 * (h + (square + self.radius2) * per);
        let led = least((climb - e * per) * self.length, 0.0);
        let under = (e * at + c * c) * per - depth + led;

        // How far the square of the half chord falls on any of the rays, and as a part of it.
        let diagonal2 = half.0 * half.0 + half.1 * half.1;
        let falls = 2.0 * spread + diagonal2;
        let part = falls * per * per;
        // At least one over the root over the farthest ray while the part is not over a half.
        let per_w = per * (1.0 + 2.0 * part);
        let bend = 0.5 * per_w * per * (0.5 * spread * falls * per_w + diagonal2 * h);
        let known = (part <= 0.5) & (square <= (1.0 - RIM) * self.radius2);
        let over = if known { climb * place - h + bend } else { f64::INFINITY };
        Patch { under, over, slopes: (dp * per, dq * per), spread: spread * per, place }
    }
}

/// What is known of lower ends of the rays around a place.
struct Patch {
    /// All of them lie above a plane, of which this is the height in the middle ...
    under: f64,
    /// ... and, where this is finite, below one with the same slopes.
    over: f64,
    slopes: (f64, f64),
    /// How far the plane rises or falls to the outermost rays.
    spread: f64,
    /// Where on the way the ball is that was asked.
    place: f64,
}

/// Planes between which the ends of the spans lie on rays around each of `N` places.
#[derive(Clone, Copy, Debug)]
pub struct EndPlanes<const N: usize> {
    /// In the middle every end is above this; turned over (below minus this) where upper ends are meant.
    pub under: [f64; N],
    /// In the middle every end is below this where it is finite for the lower ends and for the upper ones; every ray then has a
    /// span. Infinite where that is not known.
    pub over: [f64; N],
    /// Rise for each millimetre along the two coordinates.
    pub slopes: ([f64; N], [f64; N]),
}

impl<const N: usize> EndPlanes<N> {
    /// Nothing known yet.
    pub const NONE: Self =
        Self { under: [f64::NEG_INFINITY; N], over: [f64::INFINITY; N], slopes: ([0.0; N], [0.0; N]) };

    #[inline(always)]
    fn put(&mut self, k: usize, from: f64, patch: &Patch) {
        self.under[k] = from + patch.under;
        self.over[k] = from + patch.over;
        (self.slopes.0[k], self.slopes.1[k]) = patch.slopes;
    }
}

/// Rays along Z.
#[derive(Clone, Copy, Debug)]
pub(super) struct BallAlong {
    way: Way,
    /// Heights of the centre, which is that of the flat top, where the way starts and where it ends.
    from: f64,
    to: f64,
    /// 1 where the way was not turned, otherwise -1.
    right: f64,
}

impl BallAlong {
    /// A ball whose flat top is at a height over the tip, moved by `by`, of which `length` is level and not nothing.
    pub(super) fn new((radius, top): (f64, f64), by: &Vec3, length: f64) -> Self {
        let way = Way::new(radius, (by.x, by.y), length, by.z);
        let from = top + least(by.z, 0.0);
        let right = if by.z < 0.0 { -1.0 } else { 1.0 };
        Self { way, from, to: from + way.climb * length, right }
    }

    /// Spans on rays at `(x, y)` from the tip at the start.
    #[inline(always)]
    pub(super) fn spans<const N: usize>(
        &self,
        x: &[f64; N],
        y: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        let (mut place, mut square, mut short) = ([0.0; N], [0.0; N], [0_u64; N]);
        for k in 0..N {
            let (at, c) = way.place(x[k], y[k]);
            let w2 = way.square(c);
            let (end, left) = way.lowest(at, (0.0, way.length), w2);
            (low[k], high[k]) = span_if(left >= 0.0, self.from + end, self.to);
            let ahead = way.length - at;
            let reaches = (ahead <= 0.0) | (ahead * ahead <= w2);
            short[k] = u64::from((left >= 0.0) & !reaches);
            (place[k], square[k]) = (at, w2);
        }
        // Rays near the rim that the ball has left before its way ends.
        if short.iter().fold(0, |all, short| all | short) != 0 {
            for k in 0..N {
                let end = self.from + way.climb * (place[k] + root(square[k]));
                high[k] = if short[k] != 0 { end } else { high[k] };
            }
        }
    }

    /// The lower ends of the same spans, infinite where there is none, of rays that fill a box with the first and the last in
    /// its corners; and between which distances beside the way all of them are.
    #[inline(always)]
    pub(super) fn lower_ends<const N: usize>(
        &self,
        (x, y): (&[f64; N], &[f64; N]),
        low: &mut [f64; N],
    ) -> (f64, f64) {
        let way = &self.way;
        let [places, between, beside] = way.range(x, y);
        match way.touch_low(places, between) {
            AT_START => self.lower_ends_of::<AT_START, N>((x, y), low),
            AT_END => self.lower_ends_of::<AT_END, N>((x, y), low),
            BETWEEN => self.lower_ends_of::<BETWEEN, N>((x, y), low),
            _ => self.lower_ends_of::<ANY_OF, N>((x, y), low),
        }
        if self.right < 0.0 { (-beside.1, -beside.0) } else { beside }
    }

    #[inline(always)]
    fn lower_ends_of<const TOUCH: u8, const N: usize>(
        &self,
        (x, y): (&[f64; N], &[f64; N]),
        low: &mut [f64; N],
    ) {
        let way = &self.way;
        for k in 0..N {
            let (at, c) = way.place(x[k], y[k]);
            let (end, left) = way.low_of::<TOUCH>(at, way.square(c));
            low[k] = if left >= 0.0 { self.from + end } else { MISSED_LOW };
        }
    }

    /// No span ends below this, over the tip at the start.
    #[inline(always)]
    pub(super) const fn flat_from(&self) -> f64 {
        self.from
    }

    /// How far beside the way the rays are, positive to the right of it.
    #[inline(always)]
    pub(super) fn beside<const N: usize>(&self, x: &[f64; N], y: &[f64; N], out: &mut [f64; N]) {
        for k in 0..N {
            out[k] = self.right * self.way.place(x[k], y[k]).1;
        }
    }

    /// Ends between which the spans of all rays within `half` of `(x, y)` lie, crossed where none is met; and the planes between
    /// which their lower and (turned over) their upper ends lie.
    #[inline(always)]
    pub(super) fn reach<const N: usize>(
        &self,
        (x, y): (&[f64; N], &[f64; N]),
        half: (f64, f64),
        (low, high): (&mut [f64; N], &mut [f64; N]),
        [lows, highs]: &mut [EndPlanes<N>; 2],
    ) {
        let way = &self.way;
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        for k in 0..N {
            let (at, c) = way.place(x[k], y[k]);
            let patch = way.patch((at, c), half);
            let bound = most(patch.under - patch.spread, -way.radius);
            (low[k], high[k]) = span_if(way.meets(at, c, diagonal), self.from + bound, self.to);
            lows.put(k, self.from, &patch);
            highs.under[k] = -self.to;
            highs.over[k] = -(self.from + way.climb * patch.place);
            (highs.slopes.0[k], highs.slopes.1[k]) = (0.0, 0.0);
        }
    }
}

/// Level rays.
#[derive(Clone, Copy, Debug)]
pub(super) struct BallAcross {
    way: Way,
    /// Where the centre starts along the rays.
    along: f64,
    /// Height that the way gains for each millimetre, and one over it (0 for none).
    rise: (f64, f64),
    /// Highest that the centre comes over its start.
    most: f64,
}

impl BallAcross {
    /// A ball whose centre is at a height over the tip, moved by `by` sideways and up, which is not nothing, and by `along` along
    /// the rays.
    pub(super) fn new((radius, centre): (f64, f64), by: (f64, f64), along: f64) -> Self {
        let length = (by.0 * by.0 + by.1 * by.1).sqrt();
        let mut way = Way::new(radius, by, length, along);
        way.start.1 += centre;
        let up = way.unit.1;
        let per_up = if up.abs() > 0.0 { 1.0 / up } else { 0.0 };
        Self { way, along: least(along, 0.0), rise: (up, per_up), most: most(up * length, 0.0) }
    }

    /// Spans on rays at `(side, up)` from the tip at the start.
    #[inline(always)]
    pub(super) fn spans<const N: usize>(
        &self,
        side: &[f64; N],
        up: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        if !(way.climb > 0.0) {
            self.square_spans(side, up, low, high);
            return;
        }
        for k in 0..N {
            let (at, c) = way.place(side[k], up[k]);
            let w2 = way.square(c);
            // While the centre is not below the ray.
            let window = super::across::clip((0.0, way.length), self.rise, up[k] - way.start.1);
            let (l, low_left) = way.lowest(at, window, w2);
            let (h, high_left) = way.highest(at, window, w2);
            let met = (window.0 <= window.1) & (low_left >= 0.0) & (high_left >= 0.0);
            (low[k], high[k]) = span_if(met, self.along + l, self.along + h);
        }
    }

    /// [`BallAcross::spans`] of rays that fill a box with the first and the last in its corners.
    #[inline(always)]
    pub(super) fn spans_in_box<const N: usize>(
        &self,
        side: &[f64; N],
        up: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        let top = most(up[0], up[N - 1]) - way.start.1;
        let lowest = least(self.rise.0 * way.length, 0.0);
        if !(way.climb > 0.0) | !(top < lowest - CLOSE) {
            self.spans(side, up, low, high);
            return;
        }
        // The centre is never below one of the rays.
        let [places, between, _] = way.range(side, up);
        match (way.touch_low(places, between), way.touch_high(places, between)) {
            (AT_START, AT_END) => self.spans_of::<AT_START, AT_END, N>((side, up), low, high),
            (AT_START, AT_START) => self.spans_of::<AT_START, AT_START, N>((side, up), low, high),
            (AT_END, AT_END) => self.spans_of::<AT_END, AT_END, N>((side, up), low, high),
            _ => self.spans_of::<ANY_OF, ANY_OF, N>((side, up), low, high),
        }
    }

    #[inline(always)]
    fn spans_of<const LOW: u8, const HIGH: u8, const N: usize>(
        &self,
        (side, up): (&[f64; N], &[f64; N]),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        for k in 0..N {
            let (at, c) = way.place(side[k], up[k]);
            let square = way.square(c);
            let (l, low_left) = way.low_of::<LOW>(at, square);
            let (h, high_left) = way.high_of::<HIGH>(at, square);
            let met = (low_left >= 0.0) & (high_left >= 0.0);
            (low[k], high[k]) = span_if(met, self.along + l, self.along + h);
        }
    }

    /// The same for a way square to the rays: both ends lie equally far from it, and one root serves both.
    #[inline(always)]
    fn square_spans<const N: usize>(
        &self,
        side: &[f64; N],
        up: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        for k in 0..N {
            let (at, c) = way.place(side[k], up[k]);
            let window = super::across::clip((0.0, way.length), self.rise, up[k] - way.start.1);
            let e = within(at, window.0, window.1) - at;
            let square = way.square(c) - e * e;
            let w = root(square);
            let met = (window.0 <= window.1) & (square >= 0.0);
            (low[k], high[k]) = span_if(met, self.along - w, self.along + w);
        }
    }

    /// Ends between which the spans of all rays within `half` of `(side, up)` lie, crossed where none is met.
    ///
    /// A ray that lies by `D` beside one at distance `d` from a place of the ball has half a chord of square
    /// `R^2 - |d + D|^2`, at most `R^2 - d^2 + 2 |d D|`. From the place nearest to the middle ray to any other this gains at
    /// most the square of the diagonal.
    #[inline(always)]
    pub(super) fn reach<const N: usize>(
        &self,
        (side, up): (&[f64; N], &[f64; N]),
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        let diagonal2 = diagonal * diagonal;
        for k in 0..N {
            let (at, c) = way.place(side[k], up[k]);
            let place = within(at, 0.0, way.length);
            let (left, spread) = way.left(at - place, c, half);
            let square = left + spread + diagonal2;
            let met = (square >= 0.0) & (up[k] - way.start.1 - half.1 <= self.most);
            let w = about(least(square, way.radius2)) * (1.0 + ABOUT);
            let (from, to) = (most(place - w - diagonal, 0.0), least(place + w + diagonal, way.length));
            (low[k], high[k]) =
                span_if(met, self.along + way.climb * from - w, self.along + way.climb * to + w);
        }
    }

    /// Ends between which all of every one of those rays is taken; crossed where that is not known.
    ///
    /// Half a chord is at least the root of `R^2 - d^2 - 2 |d D| - D^2` on all of them, as in [`BallAcross::reach`]. Every ray
    /// that meets the ball at two places is taken between them.
    #[inline(always)]
    pub(super) fn sure<const N: usize>(
        &self,
        (side, up): (&[f64; N], &[f64; N]),
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let way = &self.way;
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        let diagonal2 = diagonal * diagonal;
        for k in 0..N {
            let (at, c) = way.place(side[k], up[k]);
            let lean = way.share * about(way.square(c));
            let (first, last) = (within(at - lean, 0.0, way.length), within(at + lean, 0.0, way.length));
            let ((back, back_spread), (ahead, ahead_spread)) =
                (way.left(at - first, c, half), way.left(at - last, c, half));
            let (back2, ahead2) = (back - back_spread - diagonal2, ahead - ahead_spread - diagonal2);
            // The balls must have their centres above all of these rays.
            let top = up[k] - way.start.1 + half.1;
            let known =
                (back2 > 0.0) & (ahead2 > 0.0) & (top <= first * self.rise.0) & (top <= last * self.rise.0);
            let (l, h) = (about(back2) * (1.0 - ABOUT), about(ahead2) * (1.0 - ABOUT));
            (low[k], high[k]) =
                span_if(known, self.along + way.climb * first - l, self.along + way.climb * last + h);
        }
    }
}
