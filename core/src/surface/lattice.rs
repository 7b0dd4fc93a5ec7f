//! The lattice that the three ray grids share.

use crate::geom::{Axis, Vec3};
use crate::stock::{RayLine, Stock};
use crate::units::NM_PER_MM;

/// Cells of a block along each axis.
pub(super) const SIDE: u32 = 60;

/// Points of a block along each axis: its cells, one more below and above whose vertices or signs are looked at, and one
/// more below; a row of signs is then one word.
pub(super) const POINTS: usize = 64;

/// A block's point 0 lies this many points below its first cell.
pub(super) const BEFORE: i64 = 2;

/// Half nanometres in a millimetre.
pub(super) const HALVES_PER_MM: f64 = 2.0 * NM_PER_MM;

/// Places along one axis. Point 0 and the one after the last lie outside the stock; the others are every so many rays.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    /// Place of point 0, half nanometres (an odd number).
    first: i64,
    /// Distance of neighbours, half nanometres (an even number).
    step: i64,
    /// One over that.
    per_step: f64,
    /// Number of points that are rays.
    rays: u32,
    /// Number of the ray at point 1, and how many rays further the next point lies.
    ray_of_first: u32,
    every: u32,
}

impl Line {
    fn of(line: &RayLine, every: u32) -> Self {
        let every = every.clamp(1, line.count().max(1));
        let step = whole(line.step() * HALVES_PER_MM).max(2) * i64::from(every);
        // As much is left out before the first as behind the last: less than a step, so that the points beyond are outside.
        let ray_of_first = (line.count().max(1) - 1) % every / 2;
        let rays = line.count().saturating_sub(ray_of_first).div_ceil(every);
        let first = whole(line.at(ray_of_first) * HALVES_PER_MM) - step;
        Self { first, step, per_step: 1.0 / number(step), rays, ray_of_first, every }
    }

    /// Place of a point, half nanometres.
    pub(super) const fn place(&self, point: i64) -> i64 {
        self.first + point * self.step
    }

    /// Distance of neighbours, mm.
    pub(super) fn step(&self) -> f64 {
        number(self.step) / HALVES_PER_MM
    }

    /// The point below a whole nanometre.
    #[inline(always)]
    pub(super) fn below(&self, nm: i32) -> i64 {
        // Without a division, which would take longer than all the rest: of numbers under 2^34 the product is so near to the
        // quotient that the whole number below it is right or one off.
        let from = 2 * i64::from(nm) - self.first;
        let near = down(number(from) * self.per_step);
        let over = from - near * self.step;
        near + i64::from(over >= self.step) - i64::from(over < 0)
    }

    /// The ray at a point; `None` outside the stock.
    #[inline(always)]
    pub(super) fn ray(&self, point: i64) -> Option<u32> {
        let number = u32::try_from(point - 1).ok().filter(|i| *i < self.rays)?;
        Some(self.ray_of_first + self.every * number)
    }

    /// Number of the last point that a ray lies on.
    pub(super) fn last(&self) -> i64 {
        i64::from(self.rays)
    }

    /// Number of blocks.
    fn blocks(&self) -> u32 {
        (self.rays + 1).div_ceil(SIDE)
    }

    /// The blocks that look at any place between two (mm): `start..end`.
    fn looking(&self, low: f64, high: f64) -> (u32, u32) {
        let point = |mm: f64| (mm * HALVES_PER_MM - number(self.first)) / number(self.step);
        let side = f64::from(SIDE);
        // Block b looks at the points from 60 b - 2 to 60 b + 61 and at what lies between them; one more for rounding.
        let first = ((point(low) - 62.0) / side).floor();
        let last = ((point(high) + 3.0) / side).ceil();
        let most = f64::from(self.blocks());
        (index(first.clamp(0.0, most)), index(last.clamp(0.0, most)))
    }
}

/// The lattice and its blocks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Lattice {
    pub(super) lines: [Line; 3],
    /// Of how many rays along each axis one is looked at.
    pub(super) every: u32,
}

impl Lattice {
    pub(super) fn of(stock: &Stock, every: u32) -> Self {
        let flat = stock.grid(Axis::Z);
        let lines = [&flat.u, &flat.v, &stock.grid(Axis::X).v];
        Self { lines: lines.map(|line| Line::of(line, every)), every }
    }

    pub(super) const fn line(&self, axis: Axis) -> &Line {
        let [x, y, z] = &self.lines;
        match axis {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        }
    }

    /// Numbers of blocks along X, Y and Z.
    pub(super) fn blocks(&self) -> [u32; 3] {
        self.lines.map(|l| l.blocks())
    }

    /// For each axis the blocks that look at any point of a box.
    pub(super) fn looking(&self, low: &Vec3, high: &Vec3) -> [(u32, u32); 3] {
        Axis::ALL.map(|a| self.line(a).looking(a.of(low), a.of(high)))
    }
}

/// A whole number in floating point as one.
#[expect(clippy::cast_possible_truncation, reason = "a whole number under 2^34")]
fn down(x: f64) -> i64 {
    x as i64
}

/// The nearest whole number.
#[expect(clippy::cast_possible_truncation, reason = "places are below 2^33")]
fn whole(x: f64) -> i64 {
    x.round() as i64
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped by the caller")]
fn index(x: f64) -> u32 {
    x as u32
}

/// A whole number as a floating-point one (places are below 2^33, so exact).
#[expect(clippy::cast_precision_loss, reason = "places are below 2^33")]
pub(super) const fn number(n: i64) -> f64 {
    n as f64
}
