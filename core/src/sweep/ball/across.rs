//! The lower half of a ball on a straight line, met by level rays.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::super::across::clip;
use super::super::lanes::{least, most, span_if, within};
use super::way::{ABOUT, ANY_OF, AT_END, AT_START, CLOSE, Way, about, root};

/// Level rays.
#[derive(Clone, Copy, Debug)]
pub(in crate::sweep) struct BallAcross {
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
    pub(in crate::sweep) fn new((radius, centre): (f64, f64), by: (f64, f64), along: f64) -> Self {
        let length = (by.0 * by.0 + by.1 * by.1).sqrt();
        let mut way = Way::new(radius, by, length, along);
        way.start.1 += centre;
        let up = way.unit.1;
        let per_up = if up.abs() > 0.0 { 1.0 / up } else { 0.0 };
        Self { way, along: least(along, 0.0), rise: (up, per_up), most: most(up * length, 0.0) }
    }

    /// Spans on rays at `(side, up)` from the tip at the start.
    #[inline(always)]
    pub(in crate::sweep) fn spans<const N: usize>(
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
            let window = clip((0.0, way.length), self.rise, up[k] - way.start.1);
            let (l, low_left) = way.lowest(at, window, w2);
            let (h, high_left) = way.highest(at, window, w2);
            let met = (window.0 <= window.1) & (low_left >= 0.0) & (high_left >= 0.0);
            (low[k], high[k]) = span_if(met, self.along + l, self.along + h);
        }
    }

    /// [`BallAcross::spans`] of rays that fill a box with the first and the last in its corners.
    #[inline(always)]
    pub(in crate::sweep) fn spans_in_box<const N: usize>(
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
            let window = clip((0.0, way.length), self.rise, up[k] - way.start.1);
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
    pub(in crate::sweep) fn reach<const N: usize>(
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
    pub(in crate::sweep) fn sure<const N: usize>(
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
