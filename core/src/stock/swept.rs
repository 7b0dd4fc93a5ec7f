use crate::cutter::Body;
use crate::geom::{Axis, Box3, Path, Spans, Vec3};
use crate::sweep::Sweep;

/// What the stock asks of a swept volume, in the setup frame. [`Sweep`] answers it; a test may bring its own.
///
/// Only `bounds` and `spans` must be right; the others save work, and their defaults save none.
pub trait Swept: Sync {
    /// A box that holds all of it.
    fn bounds(&self) -> Box3;

    /// Pieces inside it of the line parallel to `axis` through `(u, v)` on `axis.others()`: ascending, disjoint,
    /// mm. Clears `out` first.
    fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans);

    /// Lowest and highest Z when the volume has the same cross-section at every height between them; `None`
    /// otherwise. Then one line of the cross-section serves for every height.
    fn prism(&self) -> Option<(f64, f64)> {
        None
    }

    /// Boxes that together hold all of it, tighter than `bounds`. Clears `out` first.
    fn boxes(&self, out: &mut Vec<Box3>) {
        out.clear();
        out.push(self.bounds());
    }

    /// About when, from 0 at the start to 1 at the end of the path, a point is first met. Orders contacts only.
    fn when(&self, _point: &Vec3) -> f64 {
        0.0
    }
}

impl Swept for Sweep {
    fn bounds(&self) -> Box3 {
        *Sweep::bounds(self)
    }

    fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        Sweep::spans(self, axis, u, v, out);
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

    fn boxes(&self, out: &mut Vec<Box3>) {
        out.clear();
        // Pieces as long as the body is wide; a needle gets pieces of a tenth of a millimetre.
        let reach = self.body().radius().max(0.05);
        let pieces = (self.path().length() / (2.0 * reach)).ceil().clamp(1.0, MOST_BOXES);
        let mut piece = 0.0;
        while piece < pieces {
            let path = self.path().piece(piece / pieces, (piece + 1.0) / pieces);
            out.push(*Sweep::new(*self.body(), &path).bounds());
            piece += 1.0;
        }
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

/// Most boxes for one sweep: enough for a straight cut across a plate, few enough to walk for every row.
const MOST_BOXES: f64 = 64.0;

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
