//! Taking one vertex out of a mesh: what its triangles are replaced by, and how far that is from them.
//!
//! The vertex is moved onto one of its neighbours, so the new triangles fill the same ring of edges. Seen along the mean
//! normal, old and new cover the same area without folds (it is checked), and both are piecewise flat: so the largest
//! distance between them along that normal, which is at least the distance itself, lies under the vertex or where an
//! old spoke crosses a new one.

#![expect(clippy::indexing_slicing, reason = "places in the ring are counted by its length")]

use crate::geom::Vec3;
use smallvec::SmallVec;

/// Triangles lean at most this much (cosine) from the mean normal: 75 degrees.
const LEAN: f64 = 0.26;

/// New triangles are at least this high over each of their sides, mm, or as high as the lowest old one. Single-precision
/// numbers of an exported file differ by less.
const LEAST_HEIGHT: f64 = 1.0e-4;

/// A ring that is flat to this, mm, is not looked at more closely.
const FLAT: f64 = 3.0e-6;

/// Most neighbours of a vertex that is taken out.
pub(super) const MOST: usize = 24;

/// The triangles round a vertex.
pub(super) struct Star {
    /// The ring, seen along the mean normal from the vertex: two coordinates and the height.
    ring: SmallVec<[Vec3; 12]>,
    /// Largest height of the ring over the vertex.
    bow: f64,
    /// Least height of the old triangles over their sides.
    least: f64,
    /// False where a triangle stands too steep over the mean plane.
    open: bool,
}

impl Star {
    /// The star of a vertex with its neighbours in a ring, counter-clockwise seen from outside.
    pub(super) fn new(vertex: &Vec3, ring: &[Vec3]) -> Self {
        let spokes: SmallVec<[Vec3; 12]> = ring.iter().map(|p| p - vertex).collect();
        let count = spokes.len();
        let next = |i: usize| if i + 1 == count { 0 } else { i + 1 };
        let normals: SmallVec<[Vec3; 12]> = (0..count).map(|i| spokes[i].cross(&spokes[next(i)])).collect();
        let sum: Vec3 = normals.iter().sum();
        let up = sum / sum.norm();
        let open = normals.iter().all(|n| n.dot(&up) > LEAN * n.norm());
        // Any direction square to the normal.
        let other = if up.x.abs() < 0.6 { Vec3::x() } else { Vec3::y() };
        let first = up.cross(&other).normalize();
        let second = up.cross(&first);
        let seen = |p: &Vec3| Vec3::new(p.dot(&first), p.dot(&second), p.dot(&up));
        let least = (0..count).map(|i| lowest(&Vec3::zeros(), &spokes[i], &spokes[next(i)]));
        Self {
            bow: spokes.iter().map(|p| p.dot(&up).abs()).fold(0.0, f64::max),
            least: least.fold(f64::INFINITY, f64::min),
            ring: spokes.iter().map(seen).collect(),
            open,
        }
    }

    /// Largest distance, mm, between the old triangles and the new ones if the vertex is moved onto a neighbour;
    /// `None` where that would fold or flatten a triangle.
    pub(super) fn moved_onto(&self, to: usize) -> Option<f64> {
        let count = self.ring.len();
        let at = |i: usize| &self.ring[(to + i) % count];
        let w = at(0);
        if !self.open {
            return None;
        }
        let need = LEAST_HEIGHT.min(self.least);
        let mut under = None;
        for i in 1..count - 1 {
            let (a, b) = (at(i), at(i + 1));
            let (p, q) = (a - w, b - w);
            let normal = p.cross(&q);
            if !(normal.z > LEAN * normal.norm() && lowest(w, a, b) >= need) {
                return None;
            }
            // Height of the new triangle where the vertex was, at (0, 0).
            if under.is_none() && holds_origin(w, a, b) {
                under = Some((w.z + (normal.x * w.x + normal.y * w.y) / normal.z).abs());
            }
        }
        if self.bow <= FLAT {
            return Some(2.0 * self.bow);
        }
        let mut worst = under?;
        for m in 2..count - 1 {
            for i in (1..count).filter(|i| *i != m) {
                if let Some(gap) = gap(at(i), w, at(m)) {
                    worst = worst.max(gap.abs());
                }
            }
        }
        Some(worst)
    }
}

/// Height of a triangle over its longest side.
pub(super) fn lowest(a: &Vec3, b: &Vec3, c: &Vec3) -> f64 {
    let longest = (b - a).norm_squared().max((c - b).norm_squared()).max((a - c).norm_squared());
    (b - a).cross(&(c - a)).norm() / longest.sqrt()
}

fn cross(a: &Vec3, b: &Vec3) -> f64 {
    a.x * b.y - a.y * b.x
}

fn holds_origin(a: &Vec3, b: &Vec3, c: &Vec3) -> bool {
    cross(a, b) >= 0.0 && cross(b, c) >= 0.0 && cross(c, a) >= 0.0
}

/// Difference in height where the spoke from the origin to `p` crosses the one from `w` to `a`; `None` where they do not
/// cross.
fn gap(p: &Vec3, w: &Vec3, a: &Vec3) -> Option<f64> {
    let along = a - w;
    let turn = cross(p, &along);
    if turn.abs() <= 0.0 {
        return None;
    }
    let s = cross(w, &along) / turn;
    let t = cross(w, p) / turn;
    (0.0 <= s && s <= 1.0 && 0.0 <= t && t <= 1.0).then(|| s * p.z - (w.z + t * along.z))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hexagon(z: impl Fn(f64, f64) -> f64) -> (Vec3, Vec<Vec3>) {
        let at = |x: f64, y: f64| Vec3::new(x, y, z(x, y));
        let ring = [(1.0, 0.0), (0.5, 0.8), (-0.5, 0.8), (-1.0, 0.0), (-0.5, -0.8), (0.5, -0.8)]
            .map(|p| at(p.0, p.1));
        (at(0.0, 0.0), ring.to_vec())
    }

    #[test]
    fn a_flat_star_loses_nothing_and_a_hump_its_height() {
        let (v, ring) = hexagon(|x, y| 0.3 * x - 0.2 * y);
        assert!(Star::new(&v, &ring).moved_onto(0).unwrap() < 1e-12);
        let (_, ring) = hexagon(|_, _| 0.0);
        let found = Star::new(&Vec3::new(0.0, 0.0, 0.01), &ring).moved_onto(2).unwrap();
        assert!((found - 0.01).abs() < 1e-6, "{found}");
    }

    #[test]
    fn along_a_fold_nothing_is_lost_and_across_it_much() {
        let (v, ring) = hexagon(|_, y| -y.abs());
        let star = Star::new(&v, &ring);
        assert!(star.moved_onto(0).unwrap() < 1e-12);
        assert!(star.moved_onto(1).is_none_or(|d| d > 0.1));
    }

    #[test]
    fn a_curve_along_the_spokes_is_seen_where_they_cross() {
        // A valley between the spokes of one diagonal only: under the vertex nothing changes.
        let ring: Vec<Vec3> = [(1.0, 0.0, 0.0), (0.0, 1.0, 0.2), (-1.0, 0.0, 0.0), (0.0, -1.0, -0.2)]
            .map(|(x, y, z)| Vec3::new(x, y, z))
            .to_vec();
        let star = Star::new(&Vec3::zeros(), &ring);
        assert!(star.moved_onto(0).is_none_or(|d| d < 1e-12), "the old spokes lie in the new plane");
        let ring: Vec<Vec3> =
            [(1.0, 0.0, 0.0), (0.7, 0.7, 0.3), (0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, -1.0, 0.0)]
                .map(|(x, y, z)| Vec3::new(x, y, z))
                .to_vec();
        let found = Star::new(&Vec3::zeros(), &ring).moved_onto(3);
        assert!(found.is_some_and(|d| d > 0.05), "{found:?}");
    }
}
