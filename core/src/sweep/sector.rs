//! Plane figures that a disc leaves along a circular arc, met by a line: an annular sector with a disc at each end.

use super::lanes::{least, most};
use super::merge;
use crate::cutter::half_chord;
use crate::geom::Spans;
use std::f64::consts::{PI, TAU};

/// A sector of directions in a plane, counter-clockwise from `from` to `to`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sector {
    /// Unit vector of the first direction; any when the sector is everything, and so of the last.
    pub(super) from: (f64, f64),
    /// Unit vector of the last direction.
    pub(super) to: (f64, f64),
    /// Angle between them, radians, not negative; a full turn or more is everything.
    pub(super) angle: f64,
}

/// `a x b`: positive when `b` lies to the left of `a`.
fn cross(a: (f64, f64), b: (f64, f64)) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

impl Sector {
    /// The sector from an angle on through `angle >= 0`.
    pub(super) fn new(start: f64, angle: f64) -> Self {
        if angle >= TAU {
            return Self { from: (1.0, 0.0), to: (1.0, 0.0), angle };
        }
        let end = start + angle;
        Self { from: (libm::cos(start), libm::sin(start)), to: (libm::cos(end), libm::sin(end)), angle }
    }

    /// The same with the two axes of the plane exchanged.
    pub(super) const fn flipped(&self) -> Self {
        Self { from: (self.to.1, self.to.0), to: (self.from.1, self.from.0), angle: self.angle }
    }

    /// True when the direction of the point belongs to the sector (its edges do, and the middle).
    #[cfg(test)]
    pub(super) fn contains(&self, p: (f64, f64)) -> bool {
        if self.angle >= TAU {
            true
        } else if self.angle <= PI {
            cross(self.from, p) >= 0.0 && cross(p, self.to) >= 0.0
        } else {
            !(cross(self.to, p) > 0.0 && cross(p, self.from) > 0.0)
        }
    }

    /// Distances of points from the arc of a radius in this sector, about the origin.
    #[inline(always)]
    pub(super) fn distances_to_arc<const N: usize>(
        &self,
        radius: f64,
        x: &[f64; N],
        y: &[f64; N],
    ) -> [f64; N] {
        let (whole, narrow) = (self.angle >= TAU, self.angle <= PI);
        let mut out = [0.0; N];
        for ((d, x), y) in out.iter_mut().zip(x).zip(y) {
            let p = (*x, *y);
            let (left, right) = (cross(self.from, p), cross(p, self.to));
            // Over half a turn: outside lies what is strictly between the last and the first direction.
            let inside = if narrow { least(left, right) >= 0.0 } else { !(most(left, right) < 0.0) };
            let to_end = |e: (f64, f64)| {
                let (x, y) = (p.0 - radius * e.0, p.1 - radius * e.1);
                x * x + y * y
            };
            let to_circle = ((p.0 * p.0 + p.1 * p.1).sqrt() - radius).abs();
            let to_ends = least(to_end(self.from), to_end(self.to)).sqrt();
            *d = if inside | whole { to_circle } else { to_ends };
        }
        out
    }

    /// The part of the line `(x, y)`, `y` fixed, that a disc covers whose middle runs along the arc: added to `out`
    /// with `x` shifted by `shift`.
    pub(super) fn disc_on_line(&self, arc: f64, disc: f64, y: f64, shift: f64, out: &mut Spans) {
        let outer = arc + disc;
        if !(y.abs() <= outer) {
            return;
        }
        let to = half_chord(outer, y);
        let inner = arc - disc;
        if inner > 0.0 && y.abs() < inner {
            let from = half_chord(inner, y);
            self.part_of_line(y, (-to, -from), shift, out);
            self.part_of_line(y, (from, to), shift, out);
        } else {
            self.part_of_line(y, (-to, to), shift, out);
        }
        if self.angle < TAU {
            for end in [self.from, self.to] {
                let (x, e) = (arc * end.0, y - arc * end.1);
                if e.abs() <= disc {
                    let w = half_chord(disc, e);
                    merge::push(out, shift + (x - w), shift + (x + w));
                }
            }
        }
    }

    /// Adds the part of `low..high` on the line at `y` whose directions lie in the sector.
    fn part_of_line(&self, y: f64, piece: (f64, f64), shift: f64, out: &mut Spans) {
        let (low, high) = piece;
        if self.angle >= TAU {
            merge::push(out, shift + low, shift + high);
        } else if self.angle <= PI {
            let (a, b) = half_line(self.from, y, false);
            let (c, d) = half_line(self.to, y, true);
            merge::push(out, shift + low.max(a).max(c), shift + high.min(b).min(d));
        } else {
            // All but the sector from `to` round to `from`, which is less than half a turn.
            let (a, b) = half_line(self.to, y, false);
            let (c, d) = half_line(self.from, y, true);
            let (hole_from, hole_to) = (a.max(c), b.min(d));
            if hole_from < hole_to {
                merge::push(out, shift + low, shift + high.min(hole_from));
                merge::push(out, shift + low.max(hole_to), shift + high);
            } else {
                merge::push(out, shift + low, shift + high);
            }
        }
    }
}

/// The `x` at which `(x, y)` lies to the left of a direction (or to its right).
fn half_line(direction: (f64, f64), y: f64, right: bool) -> (f64, f64) {
    // left: dx * y - dy * x >= 0
    let (dx, dy) = if right { (-direction.0, -direction.1) } else { direction };
    if dy > 0.0 {
        (f64::NEG_INFINITY, dx * y / dy)
    } else if dy < 0.0 {
        (dx * y / dy, f64::INFINITY)
    } else if dx * y >= 0.0 {
        (f64::NEG_INFINITY, f64::INFINITY)
    } else {
        (f64::INFINITY, f64::NEG_INFINITY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn on_line(sector: &Sector, arc: f64, disc: f64, y: f64) -> Spans {
        let mut out = Spans::new();
        sector.disc_on_line(arc, disc, y, 0.0, &mut out);
        out
    }

    #[test]
    fn a_ring_a_half_ring_and_a_disc_larger_than_its_arc() {
        let full = Sector::new(0.3, TAU);
        assert_eq!(on_line(&full, 5.0, 1.0, 0.0).as_slice(), &[(-6.0, -4.0), (4.0, 6.0)]);
        assert_eq!(on_line(&full, 5.0, 1.0, 4.0).as_slice(), &[(-20.0_f64.sqrt(), 20.0_f64.sqrt())]);
        let half = Sector::new(0.0, PI);
        assert_eq!(on_line(&half, 5.0, 1.0, -0.6).as_slice(), &[(-5.8, -4.2), (4.2, 5.8)]);
        assert_eq!(on_line(&half, 1.0, 5.0, 0.0).len(), 1, "no hole when the disc is larger than the arc");
        assert!(on_line(&half, 5.0, 1.0, -1.1).is_empty());
    }

    #[test]
    fn more_than_half_a_turn_leaves_a_mouth() {
        // From 45 degrees round to -45 degrees: open towards +x.
        let s = Sector::new(PI / 4.0, 1.5 * PI);
        let spans = on_line(&s, 10.0, 1.0, 0.0);
        assert_eq!(spans.len(), 1);
        assert!((spans[0].0 + 11.0).abs() < 1e-12 && (spans[0].1 + 9.0).abs() < 1e-12);
        assert!(s.contains((-1.0, 0.0)) && !s.contains((1.0, 0.0)) && s.contains((0.0, -1.0)));
    }
}
