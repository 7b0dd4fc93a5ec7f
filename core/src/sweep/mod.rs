//! What a convex body of revolution sweeps along a path, met by rays along X, Y and Z.
//!
//! Closed forms for lines, level arcs and the helices of milling; arcs of shorter and shorter chords with a
//! proven bound for the rest. `README.md` in this folder has the formulas, their sources and the bounds.
//!
//! *Invariant*: a sweep knows nothing of stock; its spans are right to 2 nanometres normal to the surface.

#![expect(
    clippy::neg_cmp_op_on_partial_ord,
    reason = "`!(a <= b)` is also true when one of them is not a number, and then nothing is swept"
)]

mod across;
mod along;
mod angle;
mod ball;
mod chords;
mod helix;
mod lanes;
mod level_arc;
mod merge;
mod normal;
mod normal_search;
mod rays;
mod root;
mod rounded;
mod sector;

#[cfg(test)]
mod tests;

pub use ball::{Around, EndBounds, EndPlanes};
pub use rays::SweptRays;

use crate::cutter::Body;
use crate::geom::{Arc, Axis, Box3, Path, Spans, Vec3};

/// Paths shorter than this, millimetres, are a tool that stands still: a thousandth of a nanometre.
const STANDS_STILL: f64 = 1e-9;

/// Bounds are larger than the sweep by this, millimetres, so that rounding never makes them too small.
const BOUNDS_MARGIN: f64 = 1e-9;

/// Most turns of an arc, and longest coordinate, millimetres, that are computed with. No machine and no program has
/// such moves; beyond, a sweep is taken as its whole box, which is too much and never too little.
const MOST_TURNS: f64 = 10_000.0;
const FARTHEST: f64 = 1e7;

/// Largest product of an arc's radius and angles, mm rad: rounding of the angles then moves no point by more than
/// 2e-8 mm.
const MOST_ANGLE: f64 = 1e8;

/// Steepest helix, millimetres of rise per radian, that is computed by its angles, for the same reason: rounding of
/// an angle of a few turns stays below 1e-8 mm of height. Chords serve for steeper ones.
const STEEPEST: f64 = 1e6;

/// A body moved along a path, in the frame of the path (the setup frame).
///
/// Boundaries belong to the sweep. A body without volume, or numbers that are not finite, sweep nothing.
#[derive(Clone, Debug)]
pub struct Sweep {
    body: Body,
    path: Path,
    bounds: Box3,
    way: Way,
}

/// The path as it is computed with. What is rare and large lies elsewhere: there are many sweeps.
#[derive(Clone, Debug)]
enum Way {
    /// Nothing is swept.
    Nothing,
    /// Beyond all sense: the whole box.
    Whole,
    /// A straight line from here by this much.
    Line { from: Vec3, by: Vec3 },
    /// An arc about Z without rise.
    Level(level_arc::LevelArc),
    /// An arc about Z with rise.
    Helix(Box<helix::Helix>),
    /// Any other arc.
    Chords(Box<chords::Chords>),
}

impl Sweep {
    /// The body with its tip led along the path.
    pub fn new(body: Body, path: &Path) -> Self {
        let (way, bounds) = if body.is_solid() && is_finite(path) {
            (Way::of(&body, path), swept_bounds(&body, path))
        } else {
            (Way::Nothing, Box3::empty())
        };
        Self { body, path: *path, bounds, way }
    }

    /// The body.
    pub const fn body(&self) -> &Body {
        &self.body
    }

    /// The path.
    pub const fn path(&self) -> &Path {
        &self.path
    }

    /// A box that holds all of it; larger than the smallest such box by less than a picometre and the rounding of
    /// the path. Empty when nothing is swept.
    pub const fn bounds(&self) -> &Box3 {
        &self.bounds
    }

    /// A box that holds all of it that is not above a height; as tight as [`Sweep::bounds`] where it is a ball on a line, and
    /// no larger than that elsewhere.
    pub fn bounds_below(&self, top: f64) -> Box3 {
        let (Body::HalfBall { z0, radius }, Way::Line { .. }) = (&self.body, &self.way) else {
            return self.bounds;
        };
        let way = self.path.bounds();
        let depth = top - (way.min.z + z0);
        if !(depth > 0.0 && depth < *radius) {
            return self.bounds;
        }
        let r = crate::cutter::half_chord(*radius, radius - depth);
        let (min, max) = (way.min - Vec3::new(r, r, 0.0), way.max + Vec3::new(r, r, 0.0));
        let min = Vec3::new(min.x, min.y, self.bounds.min.z);
        Box3 { min, max: Vec3::new(max.x, max.y, top.min(self.bounds.max.z)) }.grown(BOUNDS_MARGIN)
    }

    /// True when it is a straight move on from where a sweep of the same body ends, of which all that is not above a height and
    /// was not swept before lies ahead of that place: in front of the plane there square to the move. So it is for every level
    /// move, whose sections are discs, and for the lower half of a ball as long as its flat top is not raised within that height;
    /// what lies behind the plane is nearest to the move at its start.
    pub fn follows(&self, before: &Self, top: f64) -> bool {
        let (Path::Line { from, to }, Way::Line { by, .. }) = (&self.path, &self.way) else { return false };
        let is_led = by.x * by.x + by.y * by.y > STANDS_STILL * STANDS_STILL;
        let lies_ahead = match self.body {
            Body::HalfBall { z0, radius } => to.z <= from.z || top <= from.z + z0 + radius,
            Body::Frustum { .. } | Body::RoundedDisc { .. } => !(by.z.abs() > 0.0),
        };
        // One without numbers for its start sweeps nothing, where it ends either.
        let swept_there =
            self.body == before.body && before.path.end() == *from && !matches!(before.way, Way::Nothing);
        is_led && lies_ahead && swept_there
    }

    /// [`Sweep::bounds_below`] of what it sweeps anew where it [`follows`](Sweep::follows) another.
    pub fn fresh_bounds_below(&self, top: f64) -> Box3 {
        let whole = self.bounds_below(top);
        let Way::Line { from, by } = &self.way else { return whole };
        let length = (by.x * by.x + by.y * by.y).sqrt();
        let (x, y) = (by.x / length, by.y / length);
        // Half the width of what is not above that height.
        let way = self.path.bounds();
        let r = 0.5 * ((whole.max.x - whole.min.x) - (way.max.x - way.min.x));
        // How far ahead of the start the plane is at the heights of the sweep.
        let climb = by.z / length;
        let centre = from.z + self.body.top();
        let ahead = ((centre - whole.max.z) * climb).min((centre - whole.min.z) * climb).min(length);
        let start = [from.x + ahead * x, from.y + ahead * y];
        // The start is a line across the move, the end half a disc before it.
        let of = |along: f64, across: f64, start: f64, end: f64| {
            let side = r * across.abs();
            let (behind, before) = if along < 0.0 { (r, side) } else { (side, r) };
            ((start - side).min(end - behind), (start + side).max(end + before))
        };
        let (xs, ys) = (of(x, y, start[0], from.x + by.x), of(y, x, start[1], from.y + by.y));
        let (z0, z1) = (whole.min.z, whole.max.z);
        let fresh = Box3 { min: Vec3::new(xs.0, ys.0, z0), max: Vec3::new(xs.1, ys.1, z1) };
        fresh.grown(BOUNDS_MARGIN).common(&whole)
    }

    /// The pieces inside it of the line parallel to `axis` through `(u, v)`, the coordinates on
    /// `axis.others()`. Clears `out` first; then ascending, disjoint pairs `low < high`.
    ///
    /// Gaps of less than a nanometre are closed.
    pub fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        out.clear();
        if !self.is_beside(axis, u, v) {
            return;
        }
        let (on_u, on_v) = axis.others();
        let (min, max) = (&self.bounds.min, &self.bounds.max);
        match &self.way {
            Way::Nothing => {}
            Way::Whole => merge::push(out, axis.of(min), axis.of(max)),
            Way::Line { from, by } => {
                let (u, v) = (u - on_u.of(from), v - on_v.of(from));
                if let Some((low, high)) = rays::line_span(&self.body, by, axis, u, v) {
                    merge::push(out, axis.of(from) + low, axis.of(from) + high);
                }
            }
            Way::Level(arc) => arc.spans(&self.body, axis, u, v, out),
            Way::Helix(helix) => helix.spans(&self.body, axis, u, v, out),
            Way::Chords(chords) => chords.spans(&self.body, axis, u, v, out),
        }
    }

    /// The same for many lines, one after the other: `see` is told the number of each and its pieces. What lines of one
    /// height have in common is worked out once.
    pub fn spans_of_many<const N: usize>(
        &self,
        axis: Axis,
        (u, v): (&[f64; N], &[f64; N]),
        out: &mut Spans,
        mut see: impl FnMut(usize, &Spans),
    ) {
        let mut levels = helix::Levels::new();
        for (k, (u, v)) in u.iter().zip(v).enumerate() {
            match &self.way {
                Way::Helix(helix) if helix::Helix::is_plain_across(&self.body, axis) => {
                    out.clear();
                    if self.is_beside(axis, *u, *v) {
                        helix.across(&self.body, axis, &mut levels, (*u, *v), out);
                    }
                }
                Way::Nothing
                | Way::Whole
                | Way::Line { .. }
                | Way::Level(_)
                | Way::Helix(_)
                | Way::Chords(_) => self.spans(axis, *u, *v, out),
            }
            see(k, out);
        }
    }

    /// True when the line parallel to `axis` through `(u, v)` meets the box of the sweep.
    fn is_beside(&self, axis: Axis, u: f64, v: f64) -> bool {
        let (on_u, on_v) = axis.others();
        let (min, max) = (&self.bounds.min, &self.bounds.max);
        // Written so that a coordinate that is not a number is outside, too.
        on_u.of(min) <= u && u <= on_u.of(max) && on_v.of(min) <= v && v <= on_v.of(max)
    }

    /// True when the point lies inside or on the boundary.
    pub fn contains(&self, p: &Vec3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let mut spans = Spans::new();
        self.spans(Axis::Z, p.x, p.y, &mut spans);
        spans.iter().any(|(low, high)| *low <= p.z && p.z <= *high)
    }
}

impl Way {
    fn of(body: &Body, path: &Path) -> Self {
        let size = body.radius().max(body.top().abs()).max(body.bottom().abs());
        if size > FARTHEST || !is_sensible(path) {
            return Way::Whole;
        }
        match path {
            Path::Line { from, to } => Way::Line { from: *from, by: to - from },
            Path::Arc(arc) if arc.radius * arc.sweep.abs() <= STANDS_STILL => {
                let from = arc.point(0.0);
                Way::Line { from, by: arc.point(1.0) - from }
            }
            Path::Arc(arc) if arc.axis == Axis::Z && arc.rise.abs() <= STANDS_STILL => {
                Way::Level(level_arc::LevelArc::new(arc))
            }
            Path::Arc(arc) if arc.axis == Axis::Z && arc.rise.abs() <= STEEPEST * arc.sweep.abs() => {
                Way::Helix(Box::new(helix::Helix::new(arc)))
            }
            Path::Arc(arc) => Way::Chords(Box::new(chords::Chords::new(arc))),
        }
    }
}

fn is_finite(path: &Path) -> bool {
    let finite = |v: &Vec3| v.iter().all(|x| x.is_finite());
    match path {
        Path::Line { from, to } => finite(from) && finite(to),
        Path::Arc(Arc { center, radius, start_angle, sweep, rise, axis: _ }) => {
            finite(center)
                && radius.is_finite()
                && *radius >= 0.0
                && start_angle.is_finite()
                && sweep.is_finite()
                && rise.is_finite()
        }
    }
}

fn is_sensible(path: &Path) -> bool {
    let near = |v: &Vec3| v.amax() <= FARTHEST;
    match path {
        Path::Line { from, to } => near(from) && near(to),
        Path::Arc(arc) => {
            near(&arc.center)
                && arc.radius.max(arc.rise.abs()) <= FARTHEST
                && arc.sweep.abs() <= MOST_TURNS * std::f64::consts::TAU
                && arc.radius * (arc.start_angle.abs() + arc.sweep.abs()) <= MOST_ANGLE
        }
    }
}

fn swept_bounds(body: &Body, path: &Path) -> Box3 {
    let r = body.radius();
    let way = path.bounds();
    Box3 { min: way.min + Vec3::new(-r, -r, body.bottom()), max: way.max + Vec3::new(r, r, body.top()) }
        .grown(BOUNDS_MARGIN)
}
