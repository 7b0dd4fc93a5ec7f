//! The lower half of a ball on a straight line, met by rays along Z.

#![expect(
    clippy::indexing_slicing,
    clippy::needless_bitwise_bool,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::super::lanes::{MISSED_LOW, least, span_if};
use super::rough::{EndBounds, EndPlanes, Rough, Seen};
use super::way::{ANY_OF, AT_END, AT_START, BETWEEN, OF_UPPER, Way, root};
use crate::geom::Vec3;

/// Rays along Z.
#[derive(Clone, Copy, Debug)]
pub(in crate::sweep) struct BallAlong {
    way: Way,
    /// Heights of the centre, which is that of the flat top, where the way starts and where it ends.
    from: f64,
    to: f64,
    /// 1 where the way was not turned, otherwise -1.
    right: f64,
    rough: Rough,
}

impl BallAlong {
    /// A ball whose flat top is at a height over the tip, moved by `by`, of which `length` is level and not nothing. With `after` it
    /// is not asked for what the ball takes where it starts.
    pub(in crate::sweep) fn new((radius, top): (f64, f64), by: &Vec3, length: f64, after: bool) -> Self {
        let way = Way::new(radius, (by.x, by.y), length, by.z);
        let from = top + least(by.z, 0.0);
        let right = if by.z < 0.0 { -1.0 } else { 1.0 };
        let rough = Rough::of(&way, after, by.z < 0.0);
        Self { way, from, to: from + way.climb * length, right, rough }
    }

    /// Spans on rays at `(x, y)` from the tip at the start.
    #[inline(always)]
    pub(in crate::sweep) fn spans<const N: usize>(
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

    /// The lower ends of the same spans, but for what is not asked for, infinite where there is none, of rays that are touched as
    /// [`BallAlong::reach`] tells. They are to be infinite.
    #[inline(always)]
    pub(in crate::sweep) fn lower_ends<const N: usize>(
        &self,
        places: (&[f64; N], &[f64; N]),
        touch: u8,
        low: &mut [f64; N],
    ) {
        match touch % OF_UPPER {
            AT_START if self.rough.is_ahead() => {}
            AT_END if self.rough.is_behind() => {}
            AT_START => self.lower_ends_of::<AT_START, N>(places, low),
            AT_END => self.lower_ends_of::<AT_END, N>(places, low),
            BETWEEN => self.lower_ends_of::<BETWEEN, N>(places, low),
            _ => self.lower_ends_of::<ANY_OF, N>(places, low),
        }
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
    pub(in crate::sweep) const fn flat_from(&self) -> f64 {
        self.from
    }

    /// How far beside the way the rays are, positive to the right of it.
    #[inline(always)]
    pub(in crate::sweep) fn beside<const N: usize>(&self, x: &[f64; N], y: &[f64; N], out: &mut [f64; N]) {
        for k in 0..N {
            out[k] = self.right * self.way.place(x[k], y[k]).1;
        }
    }

    /// Ends between which the spans of all rays within `half` of `(x, y)` lie, crossed where none is met, the tip starting at a
    /// height, and where they are touched; and the planes between which their lower and (turned over) their upper ends lie.
    #[inline(always)]
    pub(in crate::sweep) fn reach<const N: usize>(
        &self,
        places: (Seen<'_, N>, Seen<'_, N>),
        half: (f64, f64),
        tip: f64,
        ends: &mut EndBounds<N>,
        planes: &mut [EndPlanes<N>; 2],
    ) {
        ends.from = tip + self.from;
        self.rough.reach_along(places, half, ends.from, ends, planes);
    }

    /// True when bounds may be taken in whole nanometres.
    #[inline(always)]
    pub(in crate::sweep) const fn is_told(&self) -> bool {
        self.rough.is_told()
    }
}
