//! The way of a ball's centre as a ray sees it, and where on it rays are touched. `mod.rs` beside this file has the formulas.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    clippy::cast_possible_truncation,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them; numbers are \
              shortened where any value will do"
)]

use super::super::lanes::{least, most, within};

/// A slope bound touches a ball no nearer to its rim than this part of its squared radius: nearer, slopes are so steep that
/// they say nothing of the rays around.
pub(super) const RIM: f64 = 0.1;

/// Nearer than this, mm and mm^2, rounding may decide, and rays are looked at one by one.
pub(super) const CLOSE: f64 = 1e-6;

/// Where on its way a ball touches rays: a number, so that each has a loop of its own, which the compiler makes vectors of.
pub(super) const AT_START: u8 = 0;
pub(super) const AT_END: u8 = 1;
pub(super) const BETWEEN: u8 = 2;
/// Not the same for all of them, or not known.
pub(super) const ANY_OF: u8 = 3;

/// Square root with half the figures, off by less than a part of [`ABOUT`]; nothing where the square is negative.
#[inline(always)]
pub(super) fn about(square: f64) -> f64 {
    f64::from((most(square, 0.0) as f32).sqrt())
}

/// See [`about`].
pub(super) const ABOUT: f64 = 1e-6;

/// Square root; nothing where the square is negative.
#[inline(always)]
pub(super) fn root(square: f64) -> f64 {
    most(square, 0.0).sqrt()
}

/// The way of the centre, seen along the rays.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    /// Where it starts.
    pub(super) start: (f64, f64),
    /// Unit vector.
    pub(super) unit: (f64, f64),
    pub(super) length: f64,
    /// Climb along the ray for each millimetre of the way.
    pub(super) climb: f64,
    /// `sqrt(1 + climb^2)`.
    pub(super) slope: f64,
    /// How far from the nearest place the ends are extreme, as a part of `W`; and its square.
    pub(super) share: f64,
    pub(super) share2: f64,
    pub(super) radius: f64,
    pub(super) radius2: f64,
    pub(super) per_diameter: f64,
}

impl Way {
    /// By `by` across the rays, `length` long, and by `rise` along them.
    pub(super) fn new(radius: f64, by: (f64, f64), length: f64, rise: f64) -> Self {
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
    pub(super) fn place(&self, p: f64, q: f64) -> (f64, f64) {
        let (p, q) = (p - self.start.0, q - self.start.1);
        (p * self.unit.0 + q * self.unit.1, p * self.unit.1 - q * self.unit.0)
    }

    /// `W^2`.
    #[inline(always)]
    pub(super) fn square(&self, c: f64) -> f64 {
        (self.radius - c) * (self.radius + c)
    }

    /// The lowest lower end of the chords while the centre is from `from` to `to`, and the square of half the chord
    /// there, which is negative where nothing is met.
    #[inline(always)]
    pub(super) fn lowest(&self, at: f64, (from, to): (f64, f64), square: f64) -> (f64, f64) {
        let (back, ahead) = (from - at, to - at);
        let lean = self.share2 * square;
        let first = (back >= 0.0) | (back * back <= lean);
        let last = (ahead <= 0.0) & (ahead * ahead >= lean);
        self.end(at, (from, to), square, (first, last & !first), -1.0)
    }

    /// The same for the highest upper end.
    #[inline(always)]
    pub(super) fn highest(&self, at: f64, (from, to): (f64, f64), square: f64) -> (f64, f64) {
        let (back, ahead) = (from - at, to - at);
        let lean = self.share2 * square;
        let last = (ahead <= 0.0) | (ahead * ahead <= lean);
        let first = (back >= 0.0) & (back * back >= lean);
        self.end(at, (from, to), square, (first & !last, last), 1.0)
    }

    /// End of the chord at the first place, at the last or between, `sign` below or above its middle.
    #[inline(always)]
    pub(super) fn end(
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
    pub(super) fn touch_low(&self, (at_least, at_most): (f64, f64), (least2, most2): (f64, f64)) -> u8 {
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
    pub(super) fn touch_high(&self, (at_least, at_most): (f64, f64), squares: (f64, f64)) -> u8 {
        match self.touch_low((self.length - at_most, self.length - at_least), squares) {
            AT_START => AT_END,
            AT_END => AT_START,
            other => other,
        }
    }

    /// Places along the way between which rays lie that fill a box, squares of `W` likewise, and how far beside it they are.
    #[inline(always)]
    pub(super) fn range<const N: usize>(&self, p: &[f64; N], q: &[f64; N]) -> [(f64, f64); 3] {
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
    pub(super) fn low_of<const TOUCH: u8>(&self, at: f64, square: f64) -> (f64, f64) {
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
    pub(super) fn high_of<const TOUCH: u8>(&self, at: f64, square: f64) -> (f64, f64) {
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
    pub(super) fn left(&self, e: f64, c: f64, half: (f64, f64)) -> (f64, f64) {
        let (dp, dq) = (e * self.unit.0 + c * self.unit.1, e * self.unit.1 - c * self.unit.0);
        (self.radius2 - e * e - c * c, 2.0 * (dp.abs() * half.0 + dq.abs() * half.1))
    }

    /// True when some point within `diagonal` of a place comes under the ball.
    #[inline(always)]
    pub(super) fn meets(&self, at: f64, c: f64, diagonal: f64) -> bool {
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
    pub(super) fn patch(&self, (at, c): (f64, f64), half: (f64, f64)) -> Patch {
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
pub(super) struct Patch {
    /// All of them lie above a plane, of which this is the height in the middle ...
    pub(super) under: f64,
    /// ... and, where this is finite, below one with the same slopes.
    pub(super) over: f64,
    pub(super) slopes: (f64, f64),
    /// How far the plane rises or falls to the outermost rays.
    pub(super) spread: f64,
    /// Where on the way the ball is that was asked.
    pub(super) place: f64,
}
