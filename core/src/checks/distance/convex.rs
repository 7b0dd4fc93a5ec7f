//! Distance between two convex bodies that are known only by their farthest points, with a bound that holds.
//!
//! E. G. Gilbert, D. W. Johnson, S. S. Keerthi, "A fast procedure for computing the distance between complex objects
//! in three-dimensional space", IEEE J. Robotics and Automation 4 (1988): walk on the difference of the two bodies
//! towards the origin. Every step gives a plane between the bodies; the widest gap between such planes is the result,
//! so it is never more than the true distance, however the walk ends.

use crate::cutter::Body;
use crate::geom::{Axis, Vec3};
use crate::job::RoundBar;

/// A convex body known by its farthest points.
pub(super) trait Support {
    /// The point of the body that lies farthest in a direction (of any length but 0).
    fn farthest(&self, direction: &Vec3) -> Vec3;
}

/// A tool body led along a straight line.
pub(super) struct Swept<'a> {
    pub(super) body: &'a Body,
    /// Tip at the start.
    pub(super) from: Vec3,
    /// Tip at the end.
    pub(super) to: Vec3,
}

impl Support for Swept<'_> {
    fn farthest(&self, d: &Vec3) -> Vec3 {
        let out = libm::hypot(d.x, d.y);
        let (radius, height) = match *self.body {
            Body::Frustum { z0, z1, r0, r1 } => {
                if r0 * out + z0 * d.z >= r1 * out + z1 * d.z {
                    (r0, z0)
                } else {
                    (r1, z1)
                }
            }
            Body::HalfBall { z0, radius } => rounded(z0, radius, radius, out, d.z),
            Body::RoundedDisc { z0, radius, corner } => rounded(z0, radius, corner, out, d.z),
        };
        let tip = if d.dot(&(self.to - self.from)) > 0.0 { self.to } else { self.from };
        let scale = if out > 0.0 { radius / out } else { 0.0 };
        tip + Vec3::new(d.x * scale, d.y * scale, height)
    }
}

fn rounded(z0: f64, radius: f64, corner: f64, out: f64, dz: f64) -> (f64, f64) {
    let zc = z0 + corner;
    let length = libm::hypot(out, dz);
    if dz >= 0.0 || length <= 0.0 {
        return (radius, zc);
    }
    (radius - corner + corner * out / length, zc + corner * dz / length)
}

/// A triangle.
pub(super) struct Triangle(pub(super) [Vec3; 3]);

impl Support for Triangle {
    fn farthest(&self, d: &Vec3) -> Vec3 {
        let [a, b, c] = self.0;
        let (da, db, dc) = (d.dot(&a), d.dot(&b), d.dot(&c));
        if da >= db && da >= dc {
            a
        } else if db >= dc {
            b
        } else {
            c
        }
    }
}

impl Support for RoundBar {
    fn farthest(&self, d: &Vec3) -> Vec3 {
        let (u, v) = self.axis.others();
        let (du, dv) = (u.of(d), v.of(d));
        let out = libm::hypot(du, dv);
        let scale = if out > 0.0 { self.radius / out } else { 0.0 };
        let mut p = self.center;
        u.set(&mut p, u.of(&self.center) + du * scale);
        v.set(&mut p, v.of(&self.center) + dv * scale);
        let along: Axis = self.axis;
        along.set(&mut p, if along.of(d) > 0.0 { self.to } else { self.from });
        p
    }
}

/// What is known of the distance between two bodies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Separation {
    /// A distance that the true one is not less than; 0 when they meet or nothing better is known.
    pub(super) at_least: f64,
    /// A distance that the true one is not more than.
    #[cfg_attr(not(test), expect(dead_code, reason = "tests judge how tight the bound is"))]
    pub(super) at_most: f64,
    /// A point of the second body near the first one.
    pub(super) on_second: Vec3,
}

/// Steps after which the bound found so far is taken. Smooth bodies need 10 to 30 for a tenth of a micrometre.
const MOST_STEPS: usize = 96;
/// The walk ends when the bounds are this near to each other, millimetres: a hundredth of the micrometre promised.
const ENOUGH: f64 = 1.0e-5;
/// Under this distance, millimetres, rounding decides: the bodies are taken to touch.
const TOUCHING: f64 = 1.0e-9;

/// A point of the difference of the bodies, and the point of the second body that it came from.
#[derive(Clone, Copy)]
struct Corner {
    difference: Vec3,
    second: Vec3,
}

/// Distance between two convex bodies. `beyond`: the walk may end as soon as the distance is known to be at least this.
pub(super) fn separation(first: &impl Support, second: &impl Support, beyond: f64) -> Separation {
    let corner = |direction: &Vec3| {
        let s = second.farthest(&-direction);
        Corner { difference: first.farthest(direction) - s, second: s }
    };
    let start = corner(&Vec3::x());
    let mut simplex: Vec<Corner> = Vec::with_capacity(4);
    simplex.push(start);
    let mut nearest = start.difference;
    let mut on_second = start.second;
    let mut at_least = 0.0_f64;
    for _ in 0..MOST_STEPS {
        let distance = nearest.norm();
        if distance <= TOUCHING {
            return Separation { at_least: 0.0, at_most: 0.0, on_second };
        }
        let next = corner(&-nearest);
        at_least = at_least.max(nearest.dot(&next.difference) / distance);
        if distance - at_least <= ENOUGH || at_least >= beyond {
            break;
        }
        if simplex.len() >= 4 || simplex.iter().any(|c| (c.difference - next.difference).norm() <= TOUCHING) {
            break;
        }
        simplex.push(next);
        let Some(weights) = nearest_to_origin(&mut simplex) else {
            return Separation { at_least: 0.0, at_most: 0.0, on_second: next.second };
        };
        let before = distance;
        nearest = Vec3::zeros();
        on_second = Vec3::zeros();
        for (c, w) in simplex.iter().zip(weights) {
            nearest += c.difference * w;
            on_second += c.second * w;
        }
        if nearest.norm() >= before {
            break;
        }
    }
    Separation { at_least: (at_least - TOUCHING).max(0.0), at_most: nearest.norm(), on_second }
}

/// Reduces the corners to the smallest face that holds the point nearest to the origin and gives its weights; `None`
/// when the origin lies inside the tetrahedron.
fn nearest_to_origin(simplex: &mut Vec<Corner>) -> Option<[f64; 4]> {
    let mut best: Option<(f64, u8, [f64; 4])> = None;
    let count = simplex.len();
    // All faces: the nearest point lies inside exactly one of them. 15 at most, so trying all is both simple and safe.
    for mask in 1_u8..(1 << count) {
        let Some((weights, squared)) = inside_face(simplex, mask) else { continue };
        if mask.count_ones() == 4 {
            return None;
        }
        if best.is_none_or(|(b, _, _)| squared < b) {
            best = Some((squared, mask, weights));
        }
    }
    let (_, mask, weights) = best?;
    let mut index = 0_u8;
    let mut kept = [0.0; 4];
    let mut slots = kept.iter_mut();
    for (i, w) in weights.iter().enumerate() {
        if mask & (1 << i) != 0
            && let Some(slot) = slots.next()
        {
            *slot = *w;
        }
    }
    simplex.retain(|_| {
        let keep = mask & (1 << index) != 0;
        index += 1;
        keep
    });
    Some(kept)
}

/// The foot of the perpendicular from the origin on the face with these corners, when it lies inside the face: weights
/// of the corners and squared distance.
fn inside_face(simplex: &[Corner], mask: u8) -> Option<([f64; 4], f64)> {
    let mut picked = [(0_usize, Vec3::zeros()); 4];
    let mut count = 0;
    for (i, c) in simplex.iter().enumerate() {
        if mask & (1 << i) != 0
            && let Some(slot) = picked.get_mut(count)
        {
            *slot = (i, c.difference);
            count += 1;
        }
    }
    let [(ia, a), (ib, b), (ic, c), (id, d)] = picked;
    let mut weights = [0.0; 4];
    let mut give = |i: usize, w: f64| {
        if let Some(slot) = weights.get_mut(i) {
            *slot = w;
        }
    };
    match count {
        1 => give(ia, 1.0),
        2 => {
            let ab = b - a;
            let squared = ab.norm_squared();
            let t = -a.dot(&ab) / squared;
            if !(squared > 0.0 && t > 0.0 && t < 1.0) {
                return None;
            }
            give(ia, 1.0 - t);
            give(ib, t);
        }
        3 => {
            let normal = (b - a).cross(&(c - a));
            let squared = normal.norm_squared();
            let wa = b.cross(&c).dot(&normal) / squared;
            let wb = c.cross(&a).dot(&normal) / squared;
            let wc = 1.0 - wa - wb;
            if !(squared > 0.0 && wa > 0.0 && wb > 0.0 && wc > 0.0) {
                return None;
            }
            give(ia, wa);
            give(ib, wb);
            give(ic, wc);
        }
        _ => {
            let volume = (b - a).dot(&(c - a).cross(&(d - a)));
            let wa = b.dot(&c.cross(&d)) / volume;
            let wb = -a.dot(&c.cross(&d)) / volume;
            let wc = a.dot(&b.cross(&d)) / volume;
            let wd = 1.0 - wa - wb - wc;
            // A flat tetrahedron decides nothing: its faces do.
            let scale = (b - a).norm() * (c - a).norm() * (d - a).norm();
            if !(volume.abs() > 1.0e-12 * scale && wa > 0.0 && wb > 0.0 && wc > 0.0 && wd > 0.0) {
                return None;
            }
            give(ia, wa);
            give(ib, wb);
            give(ic, wc);
            give(id, wd);
        }
    }
    let [wa, wb, wc, wd] = weights;
    let foot: Vec3 = simplex
        .iter()
        .zip([wa, wb, wc, wd])
        .map(|(c, w)| c.difference * w)
        .fold(Vec3::zeros(), |sum, p| sum + p);
    Some((weights, foot.norm_squared()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::distance::bodies::body;
    use crate::checks::distance::meridian;
    use proptest::prelude::*;

    fn point(range: f64) -> impl Strategy<Value = Vec3> {
        (-range..range, -range..range, -range..range).prop_map(|(x, y, z)| Vec3::new(x, y, z))
    }

    fn to_point(body: &Body, tip: Vec3, p: Vec3) -> f64 {
        let d = p - tip;
        meridian::to_point(body, libm::hypot(d.x, d.y), d.z)
    }

    proptest! {
        #[test]
        fn triangle_bounds_hold_the_sampled_distance(
            body in body(15.0), tip in point(8.0), a in point(9.0), b in point(9.0), c in point(9.0)
        ) {
            let swept = Swept { body: &body, from: tip, to: tip };
            let s = separation(&swept, &Triangle([a, b, c]), f64::INFINITY);
            let mut least = f64::INFINITY;
            let n = 60;
            for i in 0..=n {
                for k in 0..=(n - i) {
                    let (s, t) = (f64::from(i) / f64::from(n), f64::from(k) / f64::from(n));
                    least = least.min(to_point(&body, tip, a + (b - a) * s + (c - a) * t));
                }
            }
            let mesh_step = (b - a).norm().max((c - a).norm()) / f64::from(n);
            prop_assert!(s.at_least <= least + 1e-9, "{s:?} {least}");
            prop_assert!(least - mesh_step * 1.5 <= s.at_least + 1e-4, "{s:?} {least}");
            prop_assert!(s.at_most - s.at_least < 1e-4, "{s:?}");
        }

        #[test]
        fn lying_bar_bounds_hold_the_sampled_distance(
            body in body(15.0), tip in point(8.0), center in point(9.0), radius in 0.2..4.0, length in 0.2..9.0
        ) {
            let bar = RoundBar { axis: Axis::X, center, radius, from: -1.0, to: length - 1.0 };
            let swept = Swept { body: &body, from: tip, to: tip };
            let s = separation(&swept, &bar, f64::INFINITY);
            let mut least = f64::INFINITY;
            for i in 0..=60 {
                for k in 0..72 {
                    for r in 0..=6 {
                        let angle = f64::from(k) * std::f64::consts::TAU / 72.0;
                        let r = radius * f64::from(r) / 6.0;
                        let p = Vec3::new(-1.0 + length * f64::from(i) / 60.0,
                            center.y + r * libm::cos(angle), center.z + r * libm::sin(angle));
                        least = least.min(to_point(&body, tip, p));
                    }
                }
            }
            prop_assert!(s.at_least <= least + 1e-9, "{s:?} {least}");
            prop_assert!(least <= s.at_least + 0.5, "{s:?} {least}");
            prop_assert!(s.at_most - s.at_least < 1e-4, "{s:?}");
        }
    }

    #[test]
    fn a_swept_body_is_as_near_as_its_nearest_place() {
        let body = Body::Frustum { z0: 0.0, z1: 20.0, r0: 5.0, r1: 5.0 };
        let swept = Swept { body: &body, from: Vec3::new(-50.0, 8.0, 0.0), to: Vec3::new(50.0, 8.0, 0.0) };
        let triangle =
            Triangle([Vec3::new(0.0, 0.0, 3.0), Vec3::new(1.0, 0.0, 5.0), Vec3::new(1.0, -1.0, 4.0)]);
        let s = separation(&swept, &triangle, f64::INFINITY);
        assert!(s.at_least <= 3.0 && s.at_least > 3.0 - 1e-4, "{s:?}");
    }
}
