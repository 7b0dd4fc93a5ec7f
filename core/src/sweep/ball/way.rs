//! The way of a ball's centre as a ray sees it, and where on it rays are touched. `mod.rs` beside this file has the formulas.

#![expect(clippy::needless_bitwise_bool, reason = "written so that the compiler makes vectors of lanes")]

use super::super::lanes::most;

/// Where on its way a ball touches rays: a number, so that each has a loop of its own, which the compiler makes vectors of.
///
/// Not the same for all of them, or not known.
pub(super) const ANY_OF: u8 = 0;
pub(super) const AT_START: u8 = 1;
pub(super) const AT_END: u8 = 2;
pub(super) const BETWEEN: u8 = 3;
/// At its start or end, and only what is new is asked for: any place in the ball there will do, such as that of its middle.
pub(super) const MIDDLE: u8 = 4;

/// What the touch of upper ends is multiplied by, to be told in one number with that of lower ends.
pub(super) const OF_UPPER: u8 = 4;

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

    /// [`Way::lowest`], for the whole way, of a ray that is touched as all of its box are ([`AT_START`] and so on).
    #[inline(always)]
    pub(super) fn low_of<const TOUCH: u8>(&self, at: f64, square: f64) -> (f64, f64) {
        match TOUCH {
            AT_START | AT_END => {
                let place = if TOUCH == AT_START { 0.0 } else { self.length };
                let left = square - (place - at) * (place - at);
                (self.climb * place - root(left), left)
            }
            MIDDLE => (0.0, square - at * at),
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
            MIDDLE => {
                let left = square - (self.length - at) * (self.length - at);
                (self.climb * self.length, left)
            }
            BETWEEN => (self.climb * at + self.slope * root(square), square),
            _ => self.highest(at, (0.0, self.length), square),
        }
    }
}
