//! An arc about Z without rise, for any body: the section at each height is a disc led along an arc, and along Z it
//! is the body's profile at the distance from the arc.

#![expect(clippy::indexing_slicing, reason = "lanes are counted by a constant")]

use super::lanes::{most, span_if, span_of};
use super::merge;
use super::sector::Sector;
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Spans, Vec3};

/// A level arc with its directions worked out.
#[derive(Clone, Copy, Debug)]
pub(super) struct LevelArc {
    center: Vec3,
    radius: f64,
    sector: Sector,
}

impl LevelArc {
    /// The way in which the arc is run does not matter to what it sweeps.
    pub(super) fn new(arc: &Arc) -> Self {
        let start = if arc.sweep < 0.0 { arc.start_angle + arc.sweep } else { arc.start_angle };
        Self { center: arc.center, radius: arc.radius, sector: Sector::new(start, arc.sweep.abs()) }
    }

    pub(super) fn spans(&self, body: &Body, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        let c = &self.center;
        match axis {
            Axis::Z => {
                let (mut low, mut high) = ([0.0], [0.0]);
                self.along(body, &[u], &[v], &mut low, &mut high);
                if let Some((low, high)) = span_of(low, high) {
                    merge::push(out, low, high);
                }
            }
            Axis::X => {
                if let Some(r) = body.radius_at(v - c.z) {
                    self.sector.disc_on_line(self.radius, r, u - c.y, c.x, out);
                }
            }
            Axis::Y => {
                if let Some(r) = body.radius_at(u - c.z) {
                    self.sector.flipped().disc_on_line(self.radius, r, v - c.x, c.y, out);
                }
            }
        }
    }

    /// Spans on rays along Z.
    #[inline(always)]
    pub(super) fn along<const N: usize>(
        &self,
        body: &Body,
        x: &[f64; N],
        y: &[f64; N],
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let d = self.distances(x, y);
        *low = body.lowers(&d);
        *high = body.uppers(&d);
        for k in 0..N {
            low[k] += self.center.z;
            high[k] += self.center.z;
        }
    }

    /// Ends between which the spans of all rays along Z within `half` of `(x, y)` lie; crossed where none is met.
    #[inline(always)]
    pub(super) fn reach_along<const N: usize>(
        &self,
        body: &Body,
        (x, y): (&[f64; N], &[f64; N]),
        half: (f64, f64),
        low: &mut [f64; N],
        high: &mut [f64; N],
    ) {
        let diagonal = (half.0 * half.0 + half.1 * half.1).sqrt();
        let mut d = self.distances(x, y);
        for d in &mut d {
            *d = most(*d - diagonal, 0.0);
        }
        let under = body.lowers(&d);
        let (radius, top) = (body.radius(), body.top());
        for k in 0..N {
            (low[k], high[k]) = span_if(d[k] <= radius, self.center.z + under[k], self.center.z + top);
        }
    }

    /// How far outside the arc's circle points lie.
    #[inline(always)]
    pub(super) fn beside<const N: usize>(&self, x: &[f64; N], y: &[f64; N]) -> [f64; N] {
        let mut out = [0.0; N];
        for k in 0..N {
            let (x, y) = (x[k] - self.center.x, y[k] - self.center.y);
            out[k] = (x * x + y * y).sqrt() - self.radius;
        }
        out
    }

    #[inline(always)]
    fn distances<const N: usize>(&self, x: &[f64; N], y: &[f64; N]) -> [f64; N] {
        let (mut p, mut q) = (*x, *y);
        for k in 0..N {
            p[k] -= self.center.x;
            q[k] -= self.center.y;
        }
        self.sector.distances_to_arc(self.radius, &p, &q)
    }
}
