#![expect(
    clippy::indexing_slicing,
    reason = "lanes are counted by a constant and written so that the compiler makes vectors of them"
)]

use super::nm::{FAR, REACH, Sums, low_half, mm_from_nm, nm_from_mm, nm_in_low_half, short};
use super::packet::{Cut16, Ints, LANES, choose, mask, whole};
use super::slopes::spread;
use super::swept::{Lanes, ManyRays, Masks, Swept};
use crate::geom::{Axis, Frame, Spans};
use crate::sweep::{Around, EndBounds, EndPlanes};
use crate::units::NM_PER_MM;

/// Low and high end of spans, nm.
pub(super) type Ends = (i32, i32);

/// What is known of a volume on the rays around sixteen places.
pub(super) struct Bounds {
    /// Between these all of it lies, as in [`RayMap::reach`].
    pub(super) reach: Cut16,
    /// Where its rays are touched.
    pub(super) touch: [u8; LANES],
    /// Between these its ends lie, setup frame; on rays along the spindle only.
    pub(super) planes: [EndPlanes<LANES>; 2],
    /// How far away the rays are, in the order in which the planes slope.
    pub(super) half: (f64, f64),
}

impl Bounds {
    /// Nothing worked out.
    pub(super) const NONE: Self =
        Self { reach: Cut16::NONE, touch: [0; LANES], planes: [EndPlanes::NONE; 2], half: (0.0, 0.0) };
}

/// Leads rays of the part along one axis into a setup frame, and spans on them back.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RayMap {
    /// Setup axis that the rays lie along.
    axis: Axis,
    /// Part coordinate = `origin + sign * setup coordinate` along the ray.
    sign: f64,
    origin: f64,
    first: Across,
    second: Across,
}

/// One of the two setup coordinates across a ray.
#[derive(Clone, Copy, Debug)]
struct Across {
    /// Taken from the part ray's second coordinate instead of its first.
    from_v: bool,
    sign: f64,
    origin: f64,
}

impl Across {
    fn of(self, u: f64, v: f64) -> f64 {
        self.sign * (if self.from_v { v } else { u } - self.origin)
    }
}

impl RayMap {
    /// For rays along a part axis.
    pub(crate) fn new(frame: &Frame, part_axis: Axis) -> Self {
        let along = frame.setup_axis(part_axis);
        let (x, y) = along.axis.others();
        let across = |setup: Axis| {
            let part = frame.direction(setup);
            let from_v = part.axis == part_axis.others().1;
            Across { from_v, sign: part.sign(), origin: part.axis.of(&frame.origin) }
        };
        Self {
            axis: along.axis,
            sign: along.sign(),
            origin: part_axis.of(&frame.origin),
            first: across(x),
            second: across(y),
        }
    }

    /// Spans of a swept volume on the part ray through `(u, v)`, mm in the part frame, ascending.
    pub(crate) fn spans<S: Swept>(&self, swept: &S, u: f64, v: f64, out: &mut Spans) {
        swept.spans(self.axis, self.first.of(u, v), self.second.of(u, v), out);
        for span in out.iter_mut() {
            *span = self.part_from_setup(*span);
        }
        if self.sign < 0.0 {
            out.reverse();
        }
    }

    /// The spans of a swept volume on 16 part rays through setup coordinates, whole nanometres, in no order: `see` is told
    /// the ray, the number of the span on it and its ends. Those shorter than one are left out.
    pub(super) fn nm_spans<S: Swept>(
        &self,
        swept: &S,
        (u, v): (&Lanes, &Lanes),
        mm: &mut Spans,
        mut see: impl FnMut(usize, usize, i32, i32),
    ) {
        swept.spans_of_many(self.axis, self.ordered(u, v), mm, |k, spans| {
            let mut n = 0;
            for (low, high) in spans {
                // One after the other: both at once could not be read before what was just written has come to the cache.
                let (low, high) = self.part_from_setup((std::hint::black_box(*low), *high));
                let (low, high) = (nm_from_mm(low), nm_from_mm(high));
                if low < high {
                    see(k, n, low, high);
                    n += 1;
                }
            }
        });
    }

    /// The setup axis that the rays lie along.
    pub(super) const fn axis(&self) -> Axis {
        self.axis
    }

    /// The setup coordinate across the rays that belongs to their `u` (with `of_v`, to their `v`) in the part.
    pub(super) fn setup_place(&self, of_v: bool, place: f64) -> f64 {
        let across = if self.first.from_v == of_v { self.first } else { self.second };
        across.sign * (place - across.origin)
    }

    /// Setup coordinates that belong to `u` and `v`, in the order in which a volume is asked.
    #[inline(always)]
    fn ordered<'a, T: ?Sized>(&self, u: &'a T, v: &'a T) -> (&'a T, &'a T) {
        if self.first.from_v { (v, u) } else { (u, v) }
    }

    /// Cuts on 16 part rays through the setup coordinates that belong to their `(u, v)`, for a volume with one span a
    /// ray.
    #[inline(always)]
    pub(super) fn cut<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes) -> Cut16 {
        let (mut low, mut high) = ([0.0; LANES], [0.0; LANES]);
        let (p, q) = self.ordered(u, v);
        rays.spans(p, q, &mut low, &mut high);
        // Kept as whole arrays in the width of the numbers: written in halves and read at once, a processor would wait for it.
        let (mut of_low, mut of_high) = ([0; LANES], [0; LANES]);
        for k in 0..LANES {
            of_low[k] = nm_in_low_half(self.origin + self.sign * low[k]);
            of_high[k] = nm_in_low_half(self.origin + self.sign * high[k]);
        }
        let (of_low, of_high) = whole((of_low, of_high));
        self.turned(&of_low.map(low_half), &of_high.map(low_half))
    }

    /// The same for a volume that tells planes for its ends and where rays are touched, not yet kept as whole arrays.
    #[inline(always)]
    pub(super) fn touched_cut<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes, touch: u8) -> Cut16 {
        let (mut low, mut high) = ([0.0; LANES], [0.0; LANES]);
        rays.touched_spans(self.ordered(u, v), touch, &mut low, &mut high);
        self.nm(&low, &high)
    }

    /// Where a volume that tells [`RayMap::open`] begins on 16 part rays, nm, upwards as the setup sees it;
    /// [`REACH`] where it meets none.
    #[inline(always)]
    pub(super) fn lower_ends<R: ManyRays>(
        &self,
        rays: &R,
        (u, v): (&Lanes, &Lanes),
        touch: u8,
        out: &mut Ints,
    ) {
        let mut low = [0.0; LANES];
        rays.lower_ends(self.ordered(u, v), touch, &mut low);
        let origin = self.sign * self.origin;
        for k in 0..LANES {
            out[k] = nm_from_mm(origin + low[k]);
        }
    }

    /// A height, nm, upwards as the setup sees it: of material that is not above it no span of the volume ends below the top.
    /// `-FAR` where that is not known.
    #[inline(always)]
    pub(super) fn open<R: ManyRays>(&self, rays: &R) -> i32 {
        // A few nanometres for rounding, overlaps and films.
        rays.open_above().map_or(-FAR, |mm| nm_from_mm(self.sign * self.origin + mm) - 16)
    }

    /// Mask of the same rays that meet a volume with [`RayMap::same_ends`].
    #[inline(always)]
    pub(super) fn met<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes) -> Masks {
        let (p, q) = self.ordered(u, v);
        rays.met(p, q)
    }

    /// Masks of the places around which some of the part rays within `half` meet such a volume, and surely all of them.
    #[inline(always)]
    pub(super) fn near<R: ManyRays>(
        &self,
        rays: &R,
        (u, v): (&Lanes, &Lanes),
        half: (f64, f64),
    ) -> [Masks; 2] {
        let half = if self.first.from_v { (half.1, half.0) } else { half };
        let (p, q) = self.ordered(u, v);
        rays.near(p, q, half)
    }

    /// The ends that a volume has on every ray that it meets, nm, when they are all the same.
    pub(super) fn same_ends<R: ManyRays>(&self, rays: &R) -> Option<Ends> {
        let (low, high) = rays.ends()?;
        let (low, high) = self.part_from_setup((low, high));
        Some((nm_from_mm(low), nm_from_mm(high)))
    }

    /// Ends between which a volume can reach on any part ray within `half` of those setup coordinates. Rounding may make them a
    /// nanometre too near, which [`NOISE`](super::nm::NOISE) covers: what they miss by that is no cut.
    #[inline(always)]
    pub(super) fn reach<R: ManyRays>(
        &self,
        rays: &R,
        (u, v): (&Lanes, &Lanes),
        half: (f64, f64),
        same: Option<Ends>,
    ) -> Cut16 {
        let (mut low, mut high) = ([0.0; LANES], [0.0; LANES]);
        let half = if self.first.from_v { (half.1, half.0) } else { half };
        let (p, q) = self.ordered(u, v);
        rays.reach(p, q, half, &mut low, &mut high);
        match same {
            Some(ends) => Cut16::where_met(&low, &high, ends),
            None => self.nm(&low, &high),
        }
    }

    /// Works out what is known of a volume on the rays within `half` of those places. False, and what `bounds` holds then is worth nothing,
    /// where it tells no planes for its ends or they count from too far away.
    #[inline(always)]
    pub(super) fn bounds<R: ManyRays>(
        &self,
        rays: &R,
        (u, v): (&Around<LANES>, &Around<LANES>),
        half: (f64, f64),
        bounds: &mut Bounds,
    ) -> bool {
        let mut ends = EndBounds::NONE;
        bounds.half = if self.first.from_v { (half.1, half.0) } else { half };
        if !rays.reach_and_planes(self.ordered(u, v), bounds.half, &mut ends, &mut bounds.planes) {
            return false;
        }
        bounds.touch = ends.touch;
        self.nm_roughly(&ends).map(|reach| bounds.reach = reach).is_some()
    }

    /// Ends between which it takes all of every one of the rays, to a nanometre; crossed where that is not known.
    #[inline(always)]
    pub(super) fn sure<R: ManyRays>(
        &self,
        rays: &R,
        (u, v): (&Around<LANES>, &Around<LANES>),
        bounds: &Bounds,
    ) -> Option<Cut16> {
        let mut ends = EndBounds::NONE;
        if self.axis == Axis::Z {
            let [lows, highs] = &bounds.planes;
            let half = (short(bounds.half.0), short(bounds.half.1));
            for k in 0..LANES {
                ends.low[k] = lows.over[k] + spread((lows.slopes.0[k], lows.slopes.1[k]), half);
                ends.high[k] = -(highs.over[k] + spread((highs.slopes.0[k], highs.slopes.1[k]), half));
            }
        } else {
            rays.sure(self.ordered(u, v), bounds.half, &mut ends);
        }
        self.nm_roughly(&ends)
    }

    /// Bounds in whole nanometres of the part; `None` where they count from so far away that their sums could overflow.
    #[inline(always)]
    fn nm_roughly(&self, ends: &EndBounds<LANES>) -> Option<Cut16> {
        let from = self.origin + self.sign * ends.from;
        let is_near = from.abs() <= mm_from_nm(REACH);
        if !is_near {
            return None;
        }
        let from = nm_from_mm(from);
        let (mut of_low, mut of_high) = ([0; LANES], [0; LANES]);
        let sums = Sums::from(from);
        let per = short(self.sign * NM_PER_MM);
        for k in 0..LANES {
            of_low[k] = sums.add(per * ends.low[k]);
            of_high[k] = sums.add(per * ends.high[k]);
        }
        Some(self.turned(&of_low, &of_high))
    }

    /// True when the rays run down in the setup.
    #[inline(always)]
    pub(super) fn is_turned(&self) -> bool {
        self.sign < 0.0
    }

    /// How far to the side of the path rays through setup coordinates pass.
    #[inline(always)]
    pub(super) fn beside<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes) -> Option<Lanes> {
        let (p, q) = self.ordered(u, v);
        rays.beside(p, q)
    }

    /// Two numbers between which that lies for the rays of a packet.
    #[inline(always)]
    pub(super) fn beside_between<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes) -> (f64, f64) {
        let (p, q) = self.ordered(u, v);
        rays.beside_between(p, q)
    }

    /// Setup spans in whole nanometres of the part.
    #[inline(always)]
    fn nm(&self, low: &Lanes, high: &Lanes) -> Cut16 {
        let (mut of_low, mut of_high) = ([0; LANES], [0; LANES]);
        for k in 0..LANES {
            of_low[k] = nm_from_mm(self.origin + self.sign * low[k]);
            of_high[k] = nm_from_mm(self.origin + self.sign * high[k]);
        }
        self.turned(&of_low, &of_high)
    }

    /// A cut between two ends, given as the setup sees them upwards.
    #[inline(always)]
    fn turned(&self, of_low: &Ints, of_high: &Ints) -> Cut16 {
        let turned = [mask(self.sign < 0.0); LANES];
        Cut16 { low: choose(&turned, of_high, of_low), high: choose(&turned, of_low, of_high) }
    }

    /// A span along the ray, setup to part.
    pub(super) fn part_from_setup(&self, (low, high): (f64, f64)) -> (f64, f64) {
        if self.sign < 0.0 {
            (self.origin - high, self.origin - low)
        } else {
            (self.origin + low, self.origin + high)
        }
    }
}
