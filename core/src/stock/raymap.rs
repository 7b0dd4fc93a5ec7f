use super::nm::nm_from_mm;
use super::packet::{Cut16, Ints, LANES, whole};
use super::swept::{Lanes, ManyRays, Swept};
use crate::geom::{Axis, Frame, Spans};

/// Low and high end of spans, nm.
pub(super) type Ends = (i32, i32);

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
            for span in spans {
                let (low, high) = self.part_from_setup(*span);
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
        whole(self.nm(&low, &high))
    }

    /// Mask of the same rays that meet a volume with [`RayMap::same_ends`].
    #[inline(always)]
    pub(super) fn met<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes) -> Ints {
        let (p, q) = self.ordered(u, v);
        rays.met(p, q)
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

    /// How far to the side of the path rays through setup coordinates pass.
    #[inline(always)]
    pub(super) fn beside<R: ManyRays>(&self, rays: &R, u: &Lanes, v: &Lanes) -> Option<Lanes> {
        let (p, q) = self.ordered(u, v);
        rays.beside(p, q)
    }

    /// Setup spans in whole nanometres of the part.
    #[inline(always)]
    fn nm(&self, low: &Lanes, high: &Lanes) -> Cut16 {
        let mut cut = Cut16::NONE;
        let (near, far) = if self.sign < 0.0 { (high, low) } else { (low, high) };
        for (out, x) in cut.low.iter_mut().zip(near) {
            *out = nm_from_mm(self.origin + self.sign * x);
        }
        for (out, x) in cut.high.iter_mut().zip(far) {
            *out = nm_from_mm(self.origin + self.sign * x);
        }
        cut
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
