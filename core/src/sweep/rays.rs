//! A sweep prepared for many rays in one direction.

#![expect(clippy::indexing_slicing, reason = "lanes are counted by a constant")]

use super::across::{LineAcross, Shift};
use super::along::LineAlong;
use super::ball::{Around, EndBounds, EndPlanes, Seen};
use super::helix::Helix;
use super::lanes::{MISSED_HIGH, MISSED_LOW, span_if};
use super::level_arc::LevelArc;
use super::{Sweep, Way};
use crate::cutter::Body;
use crate::geom::{Axis, Box3, Vec3};

/// What rays along one axis meet of a sweep; in the frame of the sweep, like [`Sweep::spans`], of which it gives the very
/// same ends.
#[derive(Clone, Debug)]
pub struct SweptRays<'a> {
    body: Body,
    bounds: &'a Box3,
    axis: Axis,
    kind: Kind<'a>,
}

#[derive(Clone, Debug)]
enum Kind<'a> {
    /// Level rays and a straight line; the ray's coordinates are (side, up) or, with `turned`, (up, side).
    Across { line: LineAcross, from: Vec3, turned: bool },
    /// Rays along Z and a straight line.
    Along { line: LineAlong, from: Vec3 },
    /// Rays along Z and a level arc.
    Arc(&'a LevelArc),
    /// Rays along Z and a helix of a cylinder taller than its rise.
    Bore(&'a Helix),
    /// Rays along Z and any other helix: several spans a ray.
    Turning(&'a Helix),
    /// Level rays and a level arc: several spans a ray.
    ArcAcross,
    /// Anything else: several spans a ray.
    Other,
}

impl Sweep {
    /// Prepares it for rays along an axis. With `after`, for rays from which a sweep that it [`follows`](Sweep::follows) has been
    /// taken: bounds and, of the lower half of a ball, ends may then leave out what that swept too.
    #[inline(always)]
    pub fn rays(&self, axis: Axis, after: bool) -> SweptRays<'_> {
        let kind = match &self.way {
            Way::Line { from, by } => match axis {
                Axis::X | Axis::Y => {
                    let line = LineAcross::new(&self.body, Shift::seen_along(axis, by), after);
                    Kind::Across { line, from: *from, turned: axis == Axis::Y }
                }
                Axis::Z => Kind::Along { line: LineAlong::new(&self.body, by, after), from: *from },
            },
            Way::Level(arc) => match axis {
                Axis::Z => Kind::Arc(arc),
                Axis::X | Axis::Y => Kind::ArcAcross,
            },
            Way::Helix(helix) if axis == Axis::Z && helix.is_single_along(&self.body) => Kind::Bore(helix),
            Way::Helix(helix) if axis == Axis::Z => Kind::Turning(helix),
            Way::Nothing | Way::Whole | Way::Helix(_) | Way::Chords(_) => Kind::Other,
        };
        SweptRays { body: self.body, bounds: &self.bounds, axis, kind }
    }
}

impl SweptRays<'_> {
    /// True when no ray has more than one span, so that [`SweptRays::spans`] tells all.
    #[inline(always)]
    pub const fn single(&self) -> bool {
        matches!(self.kind, Kind::Across { .. } | Kind::Along { .. } | Kind::Arc(_) | Kind::Bore(_))
    }

    /// The span of each of `N` rays through `(u, v)` on `axis.others()`; crossed (`low > high`) where there is none, and
    /// everywhere where rays may have several.
    #[inline(always)]
    pub fn spans<const N: usize>(&self, u: &[f64; N], v: &[f64; N], low: &mut [f64; N], high: &mut [f64; N]) {
        match &self.kind {
            Kind::Across { line, from, turned } => {
                let (side, up) = self.side_and_up(u, v, from, *turned);
                line.spans(&side, &up, low, high);
                self.lead_back(from, low, high);
            }
            Kind::Along { line, from } => {
                let (x, y) = (less(u, from.x), less(v, from.y));
                line.spans(&x, &y, low, high);
                self.lead_back(from, low, high);
            }
            Kind::Arc(arc) => arc.along(&self.body, u, v, low, high),
            Kind::Bore(helix) => helix.along(&self.body, (u, v), low, high),
            Kind::Turning(_) | Kind::ArcAcross | Kind::Other => {
                (*low, *high) = ([MISSED_LOW; N], [MISSED_HIGH; N]);
            }
        }
    }

    /// Ends between which all spans of the rays within `half` of `(u, v)` lie, but for rounding; crossed where none of
    /// them is met. Each of the `N` places stands for itself.
    #[inline(always)]
    pub fn reach<const N: usize>(
        &self,
        u: &[f64; N],
        v: &[f64; N],
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        match &self.kind {
            Kind::Across { line, from, turned } => {
                let (side, up) = self.side_and_up(u, v, from, *turned);
                let half = if *turned { (half.1, half.0) } else { half };
                line.reach(&side, &up, half, low, high);
                self.lead_back(from, low, high);
            }
            Kind::Along { line, from } => {
                let (x, y) = (less(u, from.x), less(v, from.y));
                line.reach(&x, &y, half, low, high);
                self.lead_back(from, low, high);
            }
            Kind::Bore(helix) | Kind::Turning(helix) => {
                helix.reach_along(&self.body, (u, v), half, low, high);
            }
            Kind::Arc(arc) => arc.reach_along(&self.body, (u, v), half, low, high),
            Kind::ArcAcross | Kind::Other => {
                let (p, q) = self.axis.others();
                let (min, max) = (&self.bounds.min, &self.bounds.max);
                for k in 0..N {
                    let met = (p.of(min) - half.0 <= u[k])
                        & (u[k] <= p.of(max) + half.0)
                        & (q.of(min) - half.1 <= v[k])
                        & (v[k] <= q.of(max) + half.1);
                    (low[k], high[k]) = span_if(met, self.axis.of(min), self.axis.of(max));
                }
            }
        }
    }

    /// True for the lower half of a ball on a line, for which [`SweptRays::reach_and_planes`] tells something.
    #[inline(always)]
    pub const fn tells_planes(&self) -> bool {
        match &self.kind {
            Kind::Across { line, .. } => line.ball().is_some(),
            Kind::Along { line, .. } => line.ball().is_some(),
            Kind::Arc(_) | Kind::Bore(_) | Kind::Turning(_) | Kind::ArcAcross | Kind::Other => false,
        }
    }

    /// [`SweptRays::spans`] where planes are told, of rays that are touched as [`SweptRays::reach_and_planes`] tells; nothing
    /// elsewhere.
    #[inline(always)]
    pub fn touched_spans<const N: usize>(
        &self,
        (u, v): (&[f64; N], &[f64; N]),
        touch: u8,
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        (*low, *high) = ([MISSED_LOW; N], [MISSED_HIGH; N]);
        match &self.kind {
            Kind::Across { line, from, turned } => {
                let Some(ball) = line.ball() else { return };
                let (side, up) = self.side_and_up(u, v, from, *turned);
                ball.touched_spans((&side, &up), touch, low, high);
                self.lead_back(from, low, high);
            }
            Kind::Along { line, from } => {
                let Some(ball) = line.ball() else { return };
                ball.spans(&less(u, from.x), &less(v, from.y), low, high);
                self.lead_back(from, low, high);
            }
            Kind::Arc(_) | Kind::Bore(_) | Kind::Turning(_) | Kind::ArcAcross | Kind::Other => {}
        }
    }

    /// [`SweptRays::reach`] with half the figures and where the rays are touched, and for rays along Z the planes between which the
    /// lower ends lie, and the upper ones turned over. False, with nothing done, for all but the lower half of a ball on a line that is not very long.
    #[inline(always)]
    pub fn reach_and_planes<const N: usize>(
        &self,
        (u, v): (&Around<N>, &Around<N>),
        half: (f64, f64),
        ends: &mut EndBounds<N>,
        planes: &mut [EndPlanes<N>; 2],
    ) -> bool {
        match &self.kind {
            Kind::Across { line, from, turned } => {
                let Some(ball) = line.ball().filter(|ball| ball.is_told()) else { return false };
                let half = if *turned { (half.1, half.0) } else { half };
                ball.reach(self.seen_from((u, v), from, *turned), half, ends);
                ends.from += self.axis.of(from);
            }
            Kind::Along { line, from } => {
                let Some(ball) = line.ball().filter(|ball| ball.is_told()) else { return false };
                ball.reach((u.seen_from(from.x), v.seen_from(from.y)), half, from.z, ends, planes);
            }
            Kind::Arc(_) | Kind::Bore(_) | Kind::Turning(_) | Kind::ArcAcross | Kind::Other => return false,
        }
        true
    }

    /// Ends between which all of every one of the rays within `half` of `(u, v)` is taken, but for rounding; crossed where that is
    /// not known. For level rays and the lower half of a ball on a line; nothing elsewhere.
    #[inline(always)]
    pub fn sure<const N: usize>(
        &self,
        (u, v): (&Around<N>, &Around<N>),
        half: (f64, f64),
        ends: &mut EndBounds<N>,
    ) {
        *ends = EndBounds::NONE;
        let Kind::Across { line, from, turned } = &self.kind else { return };
        let Some(ball) = line.ball() else { return };
        let half = if *turned { (half.1, half.0) } else { half };
        ball.sure(self.seen_from((u, v), from, *turned), half, ends);
        ends.from += self.axis.of(from);
    }

    /// For rays along Z the height under which no span ends, of the lower half of a ball on a line; `None` elsewhere.
    #[inline(always)]
    pub fn open_above(&self) -> Option<f64> {
        let Kind::Along { line, from } = &self.kind else { return None };
        Some(line.ball()?.flat_from() + from.z)
    }

    /// The lower ends of [`SweptRays::spans`], infinite where there is none, of rays that are touched as
    /// [`SweptRays::reach_and_planes`] tells, where [`SweptRays::open_above`] tells something; nothing elsewhere.
    #[inline(always)]
    pub fn lower_ends<const N: usize>(&self, (u, v): (&[f64; N], &[f64; N]), touch: u8, low: &mut [f64; N]) {
        *low = [MISSED_LOW; N];
        let Kind::Along { line, from } = &self.kind else { return };
        let Some(ball) = line.ball() else { return };
        ball.lower_ends((&less(u, from.x), &less(v, from.y)), touch, low);
        for low in low {
            *low += from.z;
        }
    }

    /// The ends that every span and every reach has when all are the same: those of a level cylinder seen along Z.
    #[inline(always)]
    pub fn ends(&self) -> Option<(f64, f64)> {
        let Kind::Along { line, from } = &self.kind else { return None };
        let (low, high) = line.heights()?;
        Some((low + from.z, high + from.z))
    }

    /// Mask of the rays (all bits where they meet it), where [`SweptRays::ends`] tells the rest; nothing elsewhere.
    #[inline(always)]
    pub fn met<const N: usize>(&self, u: &[f64; N], v: &[f64; N]) -> [u64; N] {
        let Kind::Along { line, from } = &self.kind else { return [0; N] };
        line.met(&less(u, from.x), &less(v, from.y))
    }

    /// Masks of the places around which some of the rays within `half` meet it, and surely all of them, where [`SweptRays::ends`]
    /// tells the rest; nothing elsewhere.
    #[inline(always)]
    pub fn near<const N: usize>(&self, u: &[f64; N], v: &[f64; N], half: (f64, f64)) -> [[u64; N]; 2] {
        let Kind::Along { line, from } = &self.kind else { return [[0; N]; 2] };
        line.near(&less(u, from.x), &less(v, from.y), half)
    }

    /// How far to the side of the path rays along Z pass, mm: right of a line, outside of an arc. `None` where there is
    /// no such thing: for other rays, paths that go straight up or down, and helices.
    #[inline(always)]
    pub fn beside<const N: usize>(&self, u: &[f64; N], v: &[f64; N]) -> Option<[f64; N]> {
        match &self.kind {
            Kind::Along { line, from } if line.is_led() => {
                let (x, y) = (less(u, from.x), less(v, from.y));
                let mut out = [0.0; N];
                match line.ball() {
                    Some(ball) => ball.beside(&x, &y, &mut out),
                    None => {
                        for k in 0..N {
                            out[k] = line.beside(x[k], y[k]);
                        }
                    }
                }
                Some(out)
            }
            Kind::Arc(arc) => Some(arc.beside(u, v)),
            Kind::Along { .. }
            | Kind::Across { .. }
            | Kind::Bore(_)
            | Kind::Turning(_)
            | Kind::ArcAcross
            | Kind::Other => None,
        }
    }

    /// Two numbers, mm, between which [`SweptRays::beside`] lies for all rays of a box with the first and the last in its
    /// corners; infinite where that is not known.
    #[inline(always)]
    pub fn beside_between<const N: usize>(&self, u: &[f64; N], v: &[f64; N]) -> (f64, f64) {
        match &self.kind {
            Kind::Along { line, from } if line.is_led() => {
                let middle = |a: &[f64; N]| 0.5 * (a[0] + a[N - 1]);
                let half = |a: &[f64; N]| 0.5 * (a[N - 1] - a[0]).abs();
                let c = line.beside(middle(u) - from.x, middle(v) - from.y);
                let spread = line.beside_spread(half(u), half(v));
                (c - spread, c + spread)
            }
            Kind::Along { .. }
            | Kind::Arc(_)
            | Kind::Across { .. }
            | Kind::Bore(_)
            | Kind::Turning(_)
            | Kind::ArcAcross
            | Kind::Other => (f64::NEG_INFINITY, f64::INFINITY),
        }
    }

    #[inline(always)]
    fn side_and_up<const N: usize>(
        &self,
        u: &[f64; N],
        v: &[f64; N],
        from: &Vec3,
        turned: bool,
    ) -> ([f64; N], [f64; N]) {
        let (p, q) = self.axis.others();
        let (u, v) = (less(u, p.of(from)), less(v, q.of(from)));
        if turned { (v, u) } else { (u, v) }
    }

    /// The same of places that lie near each other.
    #[inline(always)]
    fn seen_from<'b, const N: usize>(
        &self,
        (u, v): (&'b Around<N>, &'b Around<N>),
        from: &Vec3,
        turned: bool,
    ) -> (Seen<'b, N>, Seen<'b, N>) {
        let (p, q) = self.axis.others();
        let (u, v) = (u.seen_from(p.of(from)), v.seen_from(q.of(from)));
        if turned { (v, u) } else { (u, v) }
    }

    /// From the start of a line back to the frame's origin.
    #[inline(always)]
    fn lead_back<const N: usize>(&self, from: &Vec3, low: &mut [f64; N], high: &mut [f64; N]) {
        let along = self.axis.of(from);
        for k in 0..N {
            low[k] += along;
            high[k] += along;
        }
    }
}

#[inline(always)]
fn less<const N: usize>(places: &[f64; N], by: f64) -> [f64; N] {
    let mut out = *places;
    for x in &mut out {
        *x -= by;
    }
    out
}

/// The one span of a body led along the straight line from the origin by `by`; `None` when the ray misses it.
///
/// A convex body on a straight line sweeps a convex body (the Minkowski sum of the two), so that no ray has more
/// than one span.
pub(super) fn line_span(body: &Body, by: &Vec3, axis: Axis, u: f64, v: f64) -> Option<(f64, f64)> {
    let (mut low, mut high) = ([0.0], [0.0]);
    match axis {
        Axis::X | Axis::Y => {
            let (side, up) = if axis == Axis::X { (u, v) } else { (v, u) };
            let line = LineAcross::new(body, Shift::seen_along(axis, by), false);
            line.spans(&[side], &[up], &mut low, &mut high);
        }
        Axis::Z => LineAlong::new(body, by, false).spans(&[u], &[v], &mut low, &mut high),
    }
    super::lanes::span_of(low, high)
}
