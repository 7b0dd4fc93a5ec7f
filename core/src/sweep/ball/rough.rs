//! Bounds of what a ball on a line takes from the rays around a place, with half the figures: they cost a fraction of the
//! ends themselves, and margins for what rounding may do keep them right. `mod.rs` beside this file has the formulas.
//!
//! *Margins*: numbers of half the figures are off by `2^-24` of themselves. Every place and every end comes from a few of
//! them, none larger than the move, its rise and the ball together: `2^-18` of that is several times what they add up to.
//! Places come from one among them besides, from which they are not farther than [`Around`] tells: `2^-21` of that.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them; numbers are \
              shortened on purpose, in this file only"
)]

use super::way::{ANY_OF, AT_END, AT_START, BETWEEN, OF_UPPER, Way};

/// A slope bound touches a ball no nearer to its rim than this part of its squared radius: nearer, slopes are so steep that
/// they say nothing of the rays around.
const RIM: f32 = 0.1;

/// `2^-18`, and `2^-21`.
const MARGIN: f32 = 1.0 / 262_144.0;
const MARGIN_OF_PLACE: f32 = 1.0 / 2_097_152.0;

/// Moves and balls together up to this, mm, are told of in whole nanometres.
const LARGEST: f32 = 1000.0;

/// Places along one direction that lie near each other, mm: one of them with all figures, and how far each lies from it.
#[derive(Clone, Copy, Debug)]
pub struct Around<const N: usize> {
    from: f64,
    by: [f32; N],
    /// The farthest of those that are numbers.
    most: f32,
}

impl<const N: usize> Around<N> {
    /// Those places. The first is a number.
    #[inline(always)]
    pub fn of(places: &[f64; N]) -> Self {
        let from = places[0];
        let (mut by, mut farthest) = ([0.0; N], 0.0);
        for k in 0..N {
            by[k] = (places[k] - from) as f32;
            farthest = most(by[k].abs(), farthest);
        }
        Self { from, by, most: farthest }
    }

    /// Seen from another place.
    #[inline(always)]
    pub(in crate::sweep) const fn seen_from(&self, at: f64) -> Seen<'_, N> {
        Seen { from: self.from - at, by: &self.by, most: self.most }
    }
}

/// [`Around`], seen from another place.
#[derive(Clone, Copy)]
pub(in crate::sweep) struct Seen<'a, const N: usize> {
    from: f64,
    by: &'a [f32; N],
    most: f32,
}

/// Ends between which spans lie on rays around each of `N` places, mm, crossed where none is met.
#[derive(Clone, Copy, Debug)]
pub struct EndBounds<const N: usize> {
    /// Where on the rays the ends count from.
    pub from: f64,
    /// Lower ends.
    pub low: [f32; N],
    /// Upper ends.
    pub high: [f32; N],
    /// Where the rays are touched, in a language of the sweep's own.
    pub touch: [u8; N],
}

impl<const N: usize> EndBounds<N> {
    /// Nothing met.
    pub const NONE: Self =
        Self { from: 0.0, low: [f32::INFINITY; N], high: [f32::NEG_INFINITY; N], touch: [ANY_OF; N] };

    /// The same with all figures.
    #[inline(always)]
    pub(in crate::sweep) fn widened(&self, low: &mut [f64; N], high: &mut [f64; N]) {
        for k in 0..N {
            (low[k], high[k]) = (self.from + f64::from(self.low[k]), self.from + f64::from(self.high[k]));
        }
    }
}

/// Planes between which the ends of the spans lie on rays around each of `N` places.
#[derive(Clone, Copy, Debug)]
pub struct EndPlanes<const N: usize> {
    /// In the middle every end is above this; turned over (below minus this) where upper ends are meant.
    pub under: [f32; N],
    /// In the middle every end is below this where it is finite for the lower ends and for the upper ones; every ray then has a
    /// span. Infinite where that is not known.
    pub over: [f32; N],
    /// Rise for each millimetre along the two coordinates.
    pub slopes: ([f32; N], [f32; N]),
}

impl<const N: usize> EndPlanes<N> {
    /// Nothing known yet.
    pub const NONE: Self =
        Self { under: [f32::NEG_INFINITY; N], over: [f32::INFINITY; N], slopes: ([0.0; N], [0.0; N]) };
}

#[inline(always)]
fn least(a: f32, b: f32) -> f32 {
    if a < b { a } else { b }
}

#[inline(always)]
fn most(a: f32, b: f32) -> f32 {
    if a > b { a } else { b }
}

#[inline(always)]
fn within(x: f32, low: f32, high: f32) -> f32 {
    most(least(x, high), low)
}

#[inline(always)]
fn ends_if(met: bool, low: f32, high: f32) -> (f32, f32) {
    (if met { low } else { f32::INFINITY }, if met { high } else { f32::NEG_INFINITY })
}

/// Half the size of the box of rays around each place.
#[derive(Clone, Copy)]
struct Half {
    p: f32,
    q: f32,
    diagonal: f32,
    diagonal2: f32,
    /// What places, ends and heights may be off by, and the squares of half chords.
    margin: f32,
    margin2: f32,
}

/// The way of a ball's centre as [`Way`] has it, with half the figures.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rough {
    start: (f64, f64),
    unit: (f32, f32),
    length: f32,
    climb: f32,
    share: f32,
    share2: f32,
    radius: f32,
    radius2: f32,
    per_diameter: f32,
    /// What places, ends and heights may be off by, but for what places are that come from others.
    margin: f32,
    fresh: Fresh,
    is_told: bool,
}

/// What of a ray is new to a ball that was at the start of its move already: what lies ahead of the plane there square to the
/// move, at height `z` along the ray where `at + climb z` is not under 0; over `at - length + climb (z - climb length)` where the
/// way was turned.
#[derive(Clone, Copy, Debug)]
struct Fresh {
    /// Low ends are not under `low.0 - low.1 at`, and high ends not over `high.0 + high.1 (length - at)`.
    low: (f32, f32),
    high: (f32, f32),
}

impl Fresh {
    /// Everything without `after`.
    fn of(way: &Way, after: bool, turned: bool) -> Self {
        let (mut low, mut high) = ((f32::NEG_INFINITY, 0.0), (f32::INFINITY, 0.0));
        let per = (1.0 / way.climb) as f32;
        match (after, turned) {
            (false, _) => {}
            (true, false) => low = (0.0, per),
            (true, true) => high = ((way.climb * way.length) as f32, per),
        }
        Self { low, high }
    }
}

impl Rough {
    /// With `after` what the ball takes at the start of its move need not be told of; `turned` tells that the way ends there.
    pub(super) fn of(way: &Way, after: bool, turned: bool) -> Self {
        let size = (way.length * (1.0 + way.climb) + 2.0 * way.radius) as f32;
        Self {
            start: way.start,
            unit: (way.unit.0 as f32, way.unit.1 as f32),
            length: way.length as f32,
            climb: way.climb as f32,
            share: way.share as f32,
            share2: way.share2 as f32,
            radius: way.radius as f32,
            radius2: way.radius2 as f32,
            per_diameter: (0.5 / way.radius) as f32,
            margin: size * MARGIN,
            fresh: Fresh::of(way, after, turned),
            is_told: size <= LARGEST,
        }
    }

    /// True when bounds may be taken in whole nanometres.
    #[inline(always)]
    pub(super) const fn is_told(&self) -> bool {
        self.is_told
    }

    /// True when only what lies ahead is asked for, and the way leads away from its start as the move does.
    #[inline(always)]
    pub(super) fn is_ahead(&self) -> bool {
        self.fresh.low.1 > 0.0
    }

    /// True when only that is asked for, and the way was turned.
    #[inline(always)]
    pub(super) fn is_behind(&self) -> bool {
        self.fresh.high.1 > 0.0
    }

    /// The nearest places on the way drawn out, how far beside it the rays are, and how far from its start along the second of
    /// their directions.
    #[inline(always)]
    fn places<const N: usize>(&self, p: Seen<'_, N>, q: Seen<'_, N>) -> [[f32; N]; 3] {
        let (mut at, mut c, mut up) = ([0.0; N], [0.0; N], [0.0; N]);
        // No place for itself with all figures: those lanes are twice as wide, and all else would be done in vectors half full.
        let (from_p, from_q) = ((p.from - self.start.0) as f32, (q.from - self.start.1) as f32);
        for k in 0..N {
            let (p, q) = (from_p + p.by[k], from_q + q.by[k]);
            at[k] = p * self.unit.0 + q * self.unit.1;
            c[k] = p * self.unit.1 - q * self.unit.0;
            up[k] = q;
        }
        [at, c, up]
    }

    /// The boxes of rays within `half` of such places.
    #[inline(always)]
    fn boxes<const N: usize>(&self, p: Seen<'_, N>, q: Seen<'_, N>, half: (f64, f64)) -> Half {
        let square = half.0 * half.0 + half.1 * half.1;
        let margin = self.margin + most(p.most, q.most) * MARGIN_OF_PLACE;
        Half {
            p: half.0 as f32,
            q: half.1 as f32,
            diagonal: square.sqrt() as f32,
            diagonal2: square as f32,
            margin,
            margin2: 4.0 * margin * self.radius,
        }
    }

    /// What of a span can be new on any of the rays around one.
    #[inline(always)]
    fn clip(&self, at: f32, half: &Half, (low, high): (f32, f32)) -> (f32, f32) {
        let spread = half.diagonal + half.margin;
        let Fresh { low: (from, per_low), high: (to, per_high) } = self.fresh;
        // Not a number where it cannot be told: the other is taken.
        let from = from - (at + spread) * per_low;
        let to = to + (self.length - at + spread) * per_high;
        (most(from, low), least(to, high))
    }

    /// Of a ray `e` ahead of a place of the ball and `c` beside it: the square of half its chord, and by how much that changes at
    /// most over the rays around it, but for the square of their own distance.
    #[inline(always)]
    fn left(&self, e: f32, c: f32, half: &Half) -> (f32, f32) {
        let (dp, dq) = (e * self.unit.0 + c * self.unit.1, e * self.unit.1 - c * self.unit.0);
        (self.radius2 - e * e - c * c, 2.0 * (dp.abs() * half.p + dq.abs() * half.q))
    }

    /// Ends between which the spans of all rays within `half` of level rays lie, counted from where the way starts, and where they
    /// are touched. The centre stays between two heights over its start.
    ///
    /// A ray that lies by `D` beside one at distance `d` from a place of the ball has half a chord of square
    /// `R^2 - |d + D|^2`, at most `R^2 - d^2 + 2 |d D|`. From the place nearest to the middle ray to any other this gains at
    /// most the square of the diagonal.
    #[inline(always)]
    pub(super) fn reach_across<const N: usize>(
        &self,
        (side, up): (Seen<'_, N>, Seen<'_, N>),
        half: (f64, f64),
        (lowest, highest): (f64, f64),
        ends: &mut EndBounds<N>,
    ) {
        let half = self.boxes(side, up, half);
        let (bottom, top) = (lowest as f32 - half.q - half.margin, highest as f32 + half.q + half.margin);
        let [at, c, up] = self.places(side, up);
        let mut touch = [0; N];
        for k in 0..N {
            let place = within(at[k], 0.0, self.length);
            let (left, spread) = self.left(at[k] - place, c[k], &half);
            let square = left + spread + half.diagonal2 + half.margin2;
            let up = up[k];
            let met = (square >= 0.0) & (up <= top);
            let w = most(least(square, self.radius2), 0.0).sqrt();
            let ahead = w + half.diagonal + half.margin;
            let (from, to) = (most(place - ahead, 0.0), least(place + ahead, self.length));
            let (l, h) = self.clip(at[k], &half, (self.climb * from - w, self.climb * to + w));
            (ends.low[k], ends.high[k]) = ends_if(met, l - half.margin, h + half.margin);
            let (of_low, of_high) = self.touch(at[k], c[k], &half);
            // The centre is never below one of the rays.
            touch[k] = if up < bottom { of_low + i32::from(OF_UPPER) * of_high } else { i32::from(ANY_OF) };
        }
        ends.touch = touch.map(|touch| touch as u8);
    }

    /// Ends between which all of every one of those rays is taken; crossed where that is not known. The centre rises by `rise`
    /// for each millimetre of its way.
    ///
    /// Half a chord is at least the root of `R^2 - d^2 - 2 |d D| - D^2` on all of them, as in [`Rough::reach_across`]. Every ray
    /// that meets the ball at two places is taken between them.
    #[inline(always)]
    pub(super) fn sure_across<const N: usize>(
        &self,
        (side, up): (Seen<'_, N>, Seen<'_, N>),
        half: (f64, f64),
        rise: f64,
        ends: &mut EndBounds<N>,
    ) {
        let (half, rise) = (self.boxes(side, up, half), rise as f32);
        let [at, c, up] = self.places(side, up);
        let off = half.diagonal2 + half.margin2;
        for k in 0..N {
            let (at, c) = (at[k], c[k]);
            let lean = self.share * most(self.radius2 - c * c, 0.0).sqrt();
            let (first, last) = (within(at - lean, 0.0, self.length), within(at + lean, 0.0, self.length));
            let ((back, back_spread), (ahead, ahead_spread)) =
                (self.left(at - first, c, &half), self.left(at - last, c, &half));
            let (back2, ahead2) = (back - back_spread - off, ahead - ahead_spread - off);
            // The balls must have their centres above all of these rays.
            let top = up[k] + half.q + half.margin;
            let known = (back2 > 0.0) & (ahead2 > 0.0) & (top <= first * rise) & (top <= last * rise);
            let (l, h) = (most(back2, 0.0).sqrt(), most(ahead2, 0.0).sqrt());
            let (low, high) = (self.climb * first - l, self.climb * last + h);
            (ends.low[k], ends.high[k]) = ends_if(known, low + half.margin, high - half.margin);
        }
    }

    /// Ends between which the spans of all rays within `half` of rays along Z lie, counted from the height of the centre where the
    /// way starts, which is `height`, and where they are touched; and the planes between which their lower and (turned over)
    /// their upper ends lie.
    #[inline(always)]
    pub(super) fn reach_along<const N: usize>(
        &self,
        (x, y): (Seen<'_, N>, Seen<'_, N>),
        half: (f64, f64),
        height: f64,
        ends: &mut EndBounds<N>,
        [lows, highs]: &mut [EndPlanes<N>; 2],
    ) {
        let half = self.boxes(x, y, half);
        let [at, c, _] = self.places(x, y);
        let rise = self.climb * self.length;
        let height = height as f32;
        let margin = half.margin + height.abs() * MARGIN_OF_PLACE;
        let outer = self.radius + half.diagonal;
        let outer2 = outer * outer + half.margin2;
        let mut touch = [0; N];
        for k in 0..N {
            let (at, c) = (at[k], c[k]);
            let patch = self.patch((at, c), &half);
            let bound = most(patch.under - patch.spread, -self.radius);
            let e = at - within(at, 0.0, self.length);
            let (l, h) = self.clip(at, &half, (bound, rise));
            let met = e * e + c * c <= outer2;
            (ends.low[k], ends.high[k]) = ends_if(met, l - half.margin, h + half.margin);
            touch[k] = self.touch(at, c, &half).0;
            lows.under[k] = height + patch.under - margin;
            lows.over[k] = height + patch.over + margin;
            (lows.slopes.0[k], lows.slopes.1[k]) = patch.slopes;
            highs.under[k] = -(height + rise) - margin;
            highs.over[k] = -(height + self.climb * patch.place) + margin;
            (highs.slopes.0[k], highs.slopes.1[k]) = (0.0, 0.0);
        }
        ends.touch = touch.map(|touch| touch as u8);
    }

    /// Where all of the rays around a place are touched by lower ends and by upper ones, where that shows at once.
    ///
    /// Lower ends are lowest `W k / sqrt(1 + k^2)` behind the nearest place, upper ends highest as far ahead of it, or at the end of
    /// the way that comes nearest to that. Lengths are compared by their squares.
    #[inline(always)]
    fn touch(&self, at: f32, c: f32, half: &Half) -> (i32, i32) {
        let (u, v) = (self.unit.0.abs(), self.unit.1.abs());
        let along = half.p * u + half.q * v + half.margin;
        let across = half.p * v + half.q * u + half.margin;
        let (nearest, farthest) = (most(c.abs() - across, 0.0), c.abs() + across);
        let least2 = self.share2 * (self.radius2 - farthest * farthest - half.margin2);
        let most2 = self.share2 * (self.radius2 - nearest * nearest + half.margin2);
        // Of all of them the first and the last, seen from the start of the way and, backwards, from its end.
        let (first, last) = (at - along, at + along);
        let (first_back, last_back) = (self.length - last, self.length - first);
        let place = |(first, last): (f32, f32), (first_back, last_back): (f32, f32)| {
            let at_start = (last < 0.0) | (last * last < least2);
            let at_end = (last_back < 0.0) & (last_back * last_back > most2);
            let after_start = (first > 0.0) & (first * first > most2);
            let before_end = (first_back > 0.0) | (first_back * first_back < least2);
            (at_start, at_end, after_start & before_end)
        };
        let code = |(at_start, at_end, between): (bool, bool, bool), start: u8, end: u8| {
            let known = if between { i32::from(BETWEEN) } else { i32::from(ANY_OF) };
            let known = if at_end { i32::from(end) } else { known };
            if at_start { i32::from(start) } else { known }
        };
        let low = code(place((first, last), (first_back, last_back)), AT_START, AT_END);
        let high = code(place((first_back, last_back), (first, last)), AT_END, AT_START);
        (low, high)
    }

    /// What is known of the lowest lower ends of the rays around a place.
    ///
    /// The lower ends of a ball about the origin lie above every plane of slopes `G` that touches it,
    /// `G p - R sqrt(1 + |G|^2)`, and above the lowest of them while it goes its way. The plane is taken about where the
    /// middle ray touches: any slopes will do. From above, a ball at one place serves for all; it leaves its plane by what
    /// the root over the farthest of the rays does at most.
    #[inline(always)]
    fn patch(&self, (at, c): (f32, f32), half: &Half) -> Patch {
        let climb = self.climb;
        // The half chord over the ray, by its first two terms: any place will do.
        let w = most(self.radius - c * c * self.per_diameter, 0.0);
        let place = within(at - self.share * w, 0.0, self.length);
        let e = at - place;
        let square = e * e + c * c;
        let (dp, dq) = (e * self.unit.0 + c * self.unit.1, e * self.unit.1 - c * self.unit.0);
        let spread = dp.abs() * half.p + dq.abs() * half.q;

        let h2 = most(self.radius2 - square, RIM * self.radius2);
        let per = 1.0 / h2.sqrt();
        let h = h2 * per;
        // R sqrt(1 + |G|^2) with |G| = |d| per, from above: the mean of two numbers is not less than the root of their
        // product. Not near the rim they are the same.
        let depth = 0.5 * (h + (square + self.radius2) * per);
        let led = least((climb - e * per) * self.length, 0.0);
        let under = (e * at + c * c) * per - depth + led;

        // How far the square of the half chord falls on any of the rays, and as a part of it.
        let falls = 2.0 * spread + half.diagonal2;
        let part = falls * per * per;
        // At least one over the root over the farthest ray while the part is not over a half.
        let per_w = per * (1.0 + 2.0 * part);
        let bend = 0.5 * per_w * per * (0.5 * spread * falls * per_w + half.diagonal2 * h);
        let known = (part <= 0.5) & (square <= (1.0 - RIM) * self.radius2);
        let over = if known { climb * place - h + bend } else { f32::INFINITY };
        Patch { under, over, slopes: (dp * per, dq * per), spread: spread * per, place }
    }
}

/// What is known of lower ends of the rays around a place.
struct Patch {
    /// All of them lie above a plane, of which this is the height in the middle ...
    under: f32,
    /// ... and, where this is finite, below one with the same slopes.
    over: f32,
    slopes: (f32, f32),
    /// How far the plane rises or falls to the outermost rays.
    spread: f32,
    /// Where on the way the ball is that was asked.
    place: f32,
}
