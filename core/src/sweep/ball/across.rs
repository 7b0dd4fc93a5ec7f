//! The lower half of a ball on a straight line, met by level rays.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::super::across::clip;
use super::super::lanes::{least, most, span_if, within};
use super::rough::{EndBounds, Rough, Seen};
use super::way::{ANY_OF, AT_END, AT_START, BETWEEN, MIDDLE, OF_UPPER, Way, root};

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
    rough: Rough,
}

impl BallAcross {
    /// A ball whose centre is at a height over the tip, moved by `by` sideways and up, which is not nothing, and by `along` along
    /// the rays. With `after` it is not asked for what the ball takes where it starts.
    pub(in crate::sweep) fn new(
        (radius, centre): (f64, f64),
        by: (f64, f64),
        along: f64,
        after: bool,
    ) -> Self {
        let length = (by.0 * by.0 + by.1 * by.1).sqrt();
        let mut way = Way::new(radius, by, length, along);
        way.start.1 += centre;
        let up = way.unit.1;
        let per_up = if up.abs() > 0.0 { 1.0 / up } else { 0.0 };
        let rough = Rough::of(&way, after, along < 0.0);
        Self { way, along: least(along, 0.0), rise: (up, per_up), most: most(up * length, 0.0), rough }
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

    /// [`BallAcross::spans`], but for what is not asked for, of rays that are touched as [`BallAcross::reach`] tells. Low and high
    /// are to be crossed.
    #[inline(always)]
    pub(in crate::sweep) fn touched_spans<const N: usize>(
        &self,
        places: (&[f64; N], &[f64; N]),
        touch: u8,
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let (ahead, behind) = (self.rough.is_ahead(), self.rough.is_behind());
        match (touch % OF_UPPER, touch / OF_UPPER) {
            (AT_START, AT_START) if ahead => {}
            (AT_END, AT_END) if behind => {}
            (AT_START, AT_END) if ahead => self.spans_of::<MIDDLE, AT_END, N>(places, low, high),
            (AT_START, AT_END) if behind => self.spans_of::<AT_START, MIDDLE, N>(places, low, high),
            (AT_START, AT_END) => self.spans_of::<AT_START, AT_END, N>(places, low, high),
            (AT_START, AT_START) => self.spans_of::<AT_START, AT_START, N>(places, low, high),
            (AT_END, AT_END) => self.spans_of::<AT_END, AT_END, N>(places, low, high),
            (AT_START, _) if ahead => self.spans_of::<MIDDLE, ANY_OF, N>(places, low, high),
            (_, AT_END) if behind => self.spans_of::<ANY_OF, MIDDLE, N>(places, low, high),
            (BETWEEN, BETWEEN) => self.spans_of::<BETWEEN, BETWEEN, N>(places, low, high),
            _ => self.spans(places.0, places.1, low, high),
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

    /// Ends between which the spans of all rays within `half` of `(side, up)` lie, crossed where none is met, and where they are
    /// touched.
    #[inline(always)]
    pub(in crate::sweep) fn reach<const N: usize>(
        &self,
        places: (Seen<'_, N>, Seen<'_, N>),
        half: (f64, f64),
        ends: &mut EndBounds<N>,
    ) {
        let (lowest, highest) = (least(self.rise.0 * self.way.length, 0.0), self.most);
        self.rough.reach_across(places, half, (lowest, highest), ends);
        ends.from = self.along;
    }

    /// Ends between which all of every one of those rays is taken; crossed where that is not known.
    #[inline(always)]
    pub(in crate::sweep) fn sure<const N: usize>(
        &self,
        places: (Seen<'_, N>, Seen<'_, N>),
        half: (f64, f64),
        ends: &mut EndBounds<N>,
    ) {
        self.rough.sure_across(places, half, self.rise.0, ends);
        ends.from = self.along;
    }

    /// True when bounds may be taken in whole nanometres.
    #[inline(always)]
    pub(in crate::sweep) const fn is_told(&self) -> bool {
        self.rough.is_told()
    }
}
