use super::nm::{HALVES_PER_MM, REACH, float, index, mm_from_nm, nm_from_mm};
use crate::geom::{Axis, Box3};

/// Places of the rays of a grid along one of its two directions: evenly spaced, each half a nanometre above a
/// whole one, so that no end of an interval (a whole nanometre) can ever lie on a ray of another grid.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RayLine {
    /// Place of the first ray, less half a nanometre, nm.
    first: i32,
    /// Distance between neighbours, nm.
    step: i32,
    /// Number of rays.
    count: u32,
}

impl RayLine {
    /// Rays in the middle of equal cells, not wider than `spacing`, that fill `low..high` (all mm).
    ///
    /// The cells fill it to half a nanometre per cell.
    pub(super) fn filling(low: f64, high: f64, spacing: f64) -> Self {
        let (low, size) = (nm_from_mm(low), i64::from(nm_from_mm(high)) - i64::from(nm_from_mm(low)));
        let size = size.clamp(1, i64::from(REACH));
        let spacing = i64::from(nm_from_mm(spacing)).clamp(1, size);
        let count = (size + spacing - 1) / spacing;
        let step = (size + count / 2) / count;
        let rest = size - (count - 1) * step;
        let first = i64::from(low) + rest / 2;
        Self {
            first: i32::try_from(first).unwrap_or(low),
            step: i32::try_from(step).unwrap_or(REACH).max(1),
            count: u32::try_from(count).unwrap_or(1),
        }
    }

    /// Number of rays.
    pub const fn count(&self) -> u32 {
        self.count
    }

    /// Distance between neighbouring rays, mm.
    pub fn step(&self) -> f64 {
        mm_from_nm(self.step)
    }

    /// Place of a ray, mm, part frame.
    pub fn at(&self, i: u32) -> f64 {
        self.halves(i) / HALVES_PER_MM
    }

    /// Place of a ray in half nanometres, a whole odd number, exact.
    fn halves(&self, i: u32) -> f64 {
        float(2 * (i64::from(self.first) + i64::from(i) * i64::from(self.step)) + 1)
    }

    /// The rays strictly between two places (mm): `start..end`, empty when there is none.
    pub fn between(&self, low: f64, high: f64) -> (u32, u32) {
        let per_half = 0.5 / f64::from(self.step);
        let start = self.first_where(low * HALVES_PER_MM, per_half, |ray, place| ray > place);
        let end = self.first_where(high * HALVES_PER_MM, per_half, |ray, place| ray >= place);
        (start, end.max(start))
    }

    /// The ray nearest to a place (mm).
    pub fn nearest(&self, at: f64) -> u32 {
        let i = (at - self.at(0)) / self.step() + 0.5;
        index(i, self.count.saturating_sub(1))
    }

    /// The first ray that lies `beyond` a place (half nanometres).
    fn first_where(&self, place: f64, per_half: f64, beyond: impl Fn(f64, f64) -> bool) -> u32 {
        // One behind the last that is not beyond it.
        let along = (place - self.halves(0)) * per_half + 1.0;
        let mut i = index(along, self.count);
        // The product may be a hair off: numbers under 2^34 times one that is off by 2^-53 of itself.
        let over = along - f64::from(i);
        if HAIR < over && over < 1.0 - HAIR {
            return i;
        }
        // Settle it on the places themselves.
        while i > 0 && beyond(self.halves(i - 1), place) {
            i -= 1;
        }
        while i < self.count && !beyond(self.halves(i), place) {
            i += 1;
        }
        i
    }
}

/// Far more than a number of rays, of which there are fewer than 2^31, that is worked out with a few roundings is off by.
const HAIR: f64 = 1e-4;

/// Where the rays of one grid lie: parallel to `axis`, at the places of `u` and `v` along `axis.others()`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GridLayout {
    /// Direction of the rays.
    pub axis: Axis,
    /// Places along `axis.others().0`.
    pub u: RayLine,
    /// Places along `axis.others().1`.
    pub v: RayLine,
}

impl GridLayout {
    /// The grid along an axis over a box.
    pub(super) fn over(axis: Axis, bounds: &Box3, spacing: f64) -> Self {
        let (u, v) = axis.others();
        let line = |a: Axis| RayLine::filling(a.of(&bounds.min), a.of(&bounds.max), spacing);
        Self { axis, u: line(u), v: line(v) }
    }

    /// Number of rays.
    pub fn rays(&self) -> u64 {
        u64::from(self.u.count()) * u64::from(self.v.count())
    }

    /// Area that each ray stands for, mm2.
    pub fn cell_area(&self) -> f64 {
        self.u.step() * self.v.step()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_fill_the_length() {
        for (low, high, spacing) in
            [(0.0, 100.0, 0.1), (-2.54, 78.74, 0.1016), (0.0, 1.0, 0.3), (5.0, 5.000_02, 1.0)]
        {
            let line = RayLine::filling(low, high, spacing);
            let cells = f64::from(line.count()) * line.step();
            assert!((cells - (high - low)).abs() <= f64::from(line.count()) * 0.5e-6 + 1e-12);
            assert!(line.step() <= spacing + 0.5e-6);
            let middle = 0.5 * (line.at(0) + line.at(line.count() - 1));
            assert!((middle - 0.5 * (low + high)).abs() < 1.6e-6, "{middle}");
        }
    }

    #[test]
    fn ranges_are_strict_and_settled_on_the_places() {
        let line = RayLine::filling(0.0, 1.0, 0.1);
        assert_eq!(line.between(-5.0, 5.0), (0, 10));
        assert_eq!(line.between(line.at(3), line.at(6)), (4, 6));
        assert_eq!(line.between(line.at(3) - 1e-9, line.at(6) + 1e-9), (3, 7));
        assert_eq!(line.between(0.16, 0.17), (2, 2));
        assert_eq!(line.between(7.0, 9.0), (10, 10));
        assert_eq!(line.between(9.0, 7.0).1 - line.between(9.0, 7.0).0, 0);
        assert_eq!(line.nearest(0.52), 5);
        assert_eq!(line.nearest(-3.0), 0);
    }
}
