use crate::cutter::Body;
use crate::geom::{Axis, Box3, Path, Spans, Vec3};
use crate::sweep::{Around, EndBounds, EndPlanes, Sweep, SweptRays};

/// Places or ends for the 16 rays of a packet, or for the 16 packets of a block, mm.
pub type Lanes = [f64; 16];

/// All bits or none for each of them.
pub type Masks = [u64; 16];

/// What the stock asks of a swept volume, in the setup frame. [`Sweep`] answers it; a test may bring its own.
///
/// Only `bounds` and `spans` must be right; the others save work, and may save none.
pub trait Swept: Sync {
    /// The volume prepared for many rays along one axis.
    type Rays<'a>: ManyRays
    where
        Self: 'a;

    /// A box that holds all of it.
    fn bounds(&self) -> Box3;

    /// A box that holds all of it that is not above a height.
    fn bounds_below(&self, _top: f64) -> Box3 {
        self.bounds()
    }

    /// True when all of it that is not above a height and not in another, done shortly before, lies ahead of where it starts, so
    /// that [`Swept::fresh_bounds_below`] and [`Swept::rays`] may leave the rest out.
    fn follows(&self, _before: &Self, _top: f64) -> bool {
        false
    }

    /// [`Swept::bounds_below`] of that.
    fn fresh_bounds_below(&self, top: f64) -> Box3 {
        self.bounds_below(top)
    }

    /// Pieces inside it of the line parallel to `axis` through `(u, v)` on `axis.others()`: ascending, disjoint,
    /// mm. Clears `out` first.
    fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans);

    /// The same for sixteen lines: `see` is told the number of each and its pieces.
    fn spans_of_many(
        &self,
        axis: Axis,
        (u, v): (&Lanes, &Lanes),
        out: &mut Spans,
        mut see: impl FnMut(usize, &Spans),
    ) {
        for (k, (u, v)) in u.iter().zip(v).enumerate() {
            self.spans(axis, *u, *v, out);
            see(k, out);
        }
    }

    /// Prepares it for rays along an axis; with `after`, for rays from which another that it [`follows`](Swept::follows) has
    /// been taken. What that took may then be left out of bounds, and of ends where bounds are asked for with planes.
    fn rays(&self, axis: Axis, after: bool) -> Self::Rays<'_>;

    /// Lowest and highest Z when the volume has the same cross-section at every height between them; `None`
    /// otherwise. Then one line of the cross-section serves for every height.
    fn prism(&self) -> Option<(f64, f64)> {
        None
    }

    /// About when, from 0 at the start to 1 at the end of the path, a point is first met. Orders contacts only.
    fn when(&self, _point: &Vec3) -> f64 {
        0.0
    }
}

/// A swept volume prepared for many rays along one axis, setup frame.
pub trait ManyRays {
    /// True when no ray has more than one span, so that [`ManyRays::spans`] tells all.
    fn single(&self) -> bool;

    /// The span of each ray, crossed where there is none: the very ends that [`Swept::spans`] gives. Asked only when
    /// no ray has more than one.
    fn spans(&self, u: &Lanes, v: &Lanes, low: &mut Lanes, high: &mut Lanes);

    /// Ends between which all spans of the rays within `half` of `(u, v)` lie, to a nanometre; crossed where none of
    /// them is met. Each of the 16 places stands for itself.
    fn reach(&self, u: &Lanes, v: &Lanes, half: (f64, f64), low: &mut Lanes, high: &mut Lanes);

    /// True when [`ManyRays::reach_and_planes`] tells something, for which there must be one span a ray.
    fn tells_planes(&self) -> bool {
        false
    }

    /// [`ManyRays::spans`] of rays that are touched as [`ManyRays::reach_and_planes`] tells, asked only where planes are told.
    fn touched_spans(&self, (u, v): (&Lanes, &Lanes), _touch: u8, low: &mut Lanes, high: &mut Lanes) {
        self.spans(u, v, low, high);
    }

    /// [`ManyRays::reach`] with half the figures and where the rays are touched, and for rays along Z the planes between which the lower ends lie, and the upper
    /// ones turned over. False, with nothing done, where they are not known.
    fn reach_and_planes(
        &self,
        _places: (&Around<16>, &Around<16>),
        _half: (f64, f64),
        _ends: &mut EndBounds<16>,
        _planes: &mut [EndPlanes<16>; 2],
    ) -> bool {
        false
    }

    /// For rays along Z the height under which no span ends, mm, where [`ManyRays::lower_ends`] tells the spans; elsewhere
    /// `None`.
    fn open_above(&self) -> Option<f64> {
        None
    }

    /// The lower ends of [`ManyRays::spans`], infinite where there is none, of rays that are touched as
    /// [`ManyRays::reach_and_planes`] tells. Asked only where there is such a height.
    fn lower_ends(&self, _places: (&Lanes, &Lanes), _touch: u8, low: &mut Lanes) {
        *low = [f64::INFINITY; 16];
    }

    /// Ends between which all of every one of the rays within `half` of those places is taken, to a nanometre; crossed where
    /// that is not known. Asked only of level rays, where planes are told.
    fn sure(&self, _places: (&Around<16>, &Around<16>), _half: (f64, f64), ends: &mut EndBounds<16>) {
        *ends = EndBounds::NONE;
    }

    /// The ends that every span and every reach has, mm, when all are the same: those of a level cylinder seen along Z.
    fn ends(&self) -> Option<(f64, f64)> {
        None
    }

    /// Mask of the rays that meet it. Asked only when there are such ends.
    fn met(&self, u: &Lanes, v: &Lanes) -> Masks {
        let (mut low, mut high) = ([0.0; 16], [0.0; 16]);
        self.spans(u, v, &mut low, &mut high);
        not_crossed(&low, &high)
    }

    /// Masks of the places around which some of the rays within `half` meet it, and surely all of them. Asked only when there are
    /// such ends.
    fn near(&self, u: &Lanes, v: &Lanes, half: (f64, f64)) -> [Masks; 2] {
        let (mut low, mut high) = ([0.0; 16], [0.0; 16]);
        self.reach(u, v, half, &mut low, &mut high);
        [not_crossed(&low, &high), [0; 16]]
    }

    /// How far to the side of the path the rays pass, mm; `None` where there is no such thing.
    fn beside(&self, u: &Lanes, v: &Lanes) -> Option<Lanes>;

    /// Two numbers between which that lies on all rays of a packet, in its order.
    fn beside_between(&self, _u: &Lanes, _v: &Lanes) -> (f64, f64) {
        (f64::NEG_INFINITY, f64::INFINITY)
    }
}

/// Mask of the lanes whose ends are not crossed.
fn not_crossed(low: &Lanes, high: &Lanes) -> Masks {
    let mut met = [0; 16];
    for (met, (low, high)) in met.iter_mut().zip(low.iter().zip(high)) {
        *met = u64::from(low <= high).wrapping_neg();
    }
    met
}

impl ManyRays for SweptRays<'_> {
    #[inline(always)]
    fn single(&self) -> bool {
        SweptRays::single(self)
    }

    #[inline(always)]
    fn spans(&self, u: &Lanes, v: &Lanes, low: &mut Lanes, high: &mut Lanes) {
        SweptRays::spans(self, u, v, low, high);
    }

    #[inline(always)]
    fn reach(&self, u: &Lanes, v: &Lanes, half: (f64, f64), low: &mut Lanes, high: &mut Lanes) {
        SweptRays::reach(self, u, v, half, low, high);
    }

    #[inline(always)]
    fn tells_planes(&self) -> bool {
        SweptRays::tells_planes(self)
    }

    #[inline(always)]
    fn touched_spans(&self, places: (&Lanes, &Lanes), touch: u8, low: &mut Lanes, high: &mut Lanes) {
        SweptRays::touched_spans(self, places, touch, low, high);
    }

    #[inline(always)]
    fn reach_and_planes(
        &self,
        places: (&Around<16>, &Around<16>),
        half: (f64, f64),
        ends: &mut EndBounds<16>,
        planes: &mut [EndPlanes<16>; 2],
    ) -> bool {
        SweptRays::reach_and_planes(self, places, half, ends, planes)
    }

    #[inline(always)]
    fn open_above(&self) -> Option<f64> {
        SweptRays::open_above(self)
    }

    #[inline(always)]
    fn lower_ends(&self, places: (&Lanes, &Lanes), touch: u8, low: &mut Lanes) {
        SweptRays::lower_ends(self, places, touch, low);
    }

    #[inline(always)]
    fn sure(&self, places: (&Around<16>, &Around<16>), half: (f64, f64), ends: &mut EndBounds<16>) {
        SweptRays::sure(self, places, half, ends);
    }

    #[inline(always)]
    fn ends(&self) -> Option<(f64, f64)> {
        SweptRays::ends(self)
    }

    #[inline(always)]
    fn met(&self, u: &Lanes, v: &Lanes) -> Masks {
        SweptRays::met(self, u, v)
    }

    #[inline(always)]
    fn near(&self, u: &Lanes, v: &Lanes, half: (f64, f64)) -> [Masks; 2] {
        SweptRays::near(self, u, v, half)
    }

    #[inline(always)]
    fn beside(&self, u: &Lanes, v: &Lanes) -> Option<Lanes> {
        SweptRays::beside(self, u, v)
    }

    #[inline(always)]
    fn beside_between(&self, u: &Lanes, v: &Lanes) -> (f64, f64) {
        SweptRays::beside_between(self, u, v)
    }
}

impl Swept for Sweep {
    type Rays<'a> = SweptRays<'a>;

    #[inline(always)]
    fn rays(&self, axis: Axis, after: bool) -> SweptRays<'_> {
        Sweep::rays(self, axis, after)
    }

    fn follows(&self, before: &Self, top: f64) -> bool {
        Sweep::follows(self, before, top)
    }

    fn fresh_bounds_below(&self, top: f64) -> Box3 {
        Sweep::fresh_bounds_below(self, top)
    }

    fn bounds(&self) -> Box3 {
        *Sweep::bounds(self)
    }

    fn bounds_below(&self, top: f64) -> Box3 {
        Sweep::bounds_below(self, top)
    }

    fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        Sweep::spans(self, axis, u, v, out);
    }

    fn spans_of_many(
        &self,
        axis: Axis,
        places: (&Lanes, &Lanes),
        out: &mut Spans,
        see: impl FnMut(usize, &Spans),
    ) {
        Sweep::spans_of_many(self, axis, places, out, see);
    }

    fn prism(&self) -> Option<(f64, f64)> {
        let Body::Frustum { z0, z1, r0, r1 } = *self.body() else { return None };
        let (low, high) = match self.path() {
            Path::Line { from, to } if upright(from, to) || level(from.z, to.z) => {
                (from.z.min(to.z), from.z.max(to.z))
            }
            Path::Arc(arc) if arc.axis == Axis::Z && level(arc.rise, 0.0) => (arc.center.z, arc.center.z),
            Path::Line { .. } | Path::Arc(_) => return None,
        };
        level(r0, r1).then_some((low + z0, high + z1))
    }

    fn when(&self, point: &Vec3) -> f64 {
        match self.path() {
            Path::Line { from, to } => {
                let way = to - from;
                let length2 = way.norm_squared();
                if length2 > 0.0 { ((point - from).dot(&way) / length2).clamp(0.0, 1.0) } else { 0.0 }
            }
            Path::Arc(_) => nearest_sample(self.path(), point),
        }
    }
}

impl<T: Swept> Swept for &T {
    type Rays<'a>
        = T::Rays<'a>
    where
        Self: 'a;

    #[inline(always)]
    fn rays(&self, axis: Axis, after: bool) -> T::Rays<'_> {
        T::rays(self, axis, after)
    }

    fn follows(&self, before: &Self, top: f64) -> bool {
        T::follows(self, before, top)
    }

    fn fresh_bounds_below(&self, top: f64) -> Box3 {
        T::fresh_bounds_below(self, top)
    }

    fn bounds(&self) -> Box3 {
        T::bounds(self)
    }

    fn bounds_below(&self, top: f64) -> Box3 {
        T::bounds_below(self, top)
    }

    fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        T::spans(self, axis, u, v, out);
    }

    fn spans_of_many(
        &self,
        axis: Axis,
        places: (&Lanes, &Lanes),
        out: &mut Spans,
        see: impl FnMut(usize, &Spans),
    ) {
        T::spans_of_many(self, axis, places, out, see);
    }

    fn prism(&self) -> Option<(f64, f64)> {
        T::prism(self)
    }

    fn when(&self, point: &Vec3) -> f64 {
        T::when(self, point)
    }
}

/// Samples of an arc for [`Swept::when`].
const SAMPLES: u32 = 64;

#[expect(
    clippy::float_cmp,
    reason = "only the very same number may take the short way; anything else is general"
)]
const fn level(a: f64, b: f64) -> bool {
    a == b
}

fn upright(from: &Vec3, to: &Vec3) -> bool {
    level(from.x, to.x) && level(from.y, to.y)
}

fn nearest_sample(path: &Path, point: &Vec3) -> f64 {
    let mut best = (f64::INFINITY, 0.0);
    for k in 0..=SAMPLES {
        let t = f64::from(k) / f64::from(SAMPLES);
        let distance = (path.point(t) - point).norm_squared();
        if distance < best.0 {
            best = (distance, t);
        }
    }
    best.1
}
