//! Where the vertex of a sheet lies in its cell.
//!
//! On an edge or corner of the part: where the tangent planes of the crossings meet (least squares; T. Ju, F. Losasso,
//! S. Schaefer, J. Warren, "Dual Contouring of Hermite Data", SIGGRAPH 2002), along the directions that they
//! determine, otherwise in the middle of the crossings. On a smooth face: a little outside the face, so that the
//! mesh has the face's volume and keeps within a sixth of the bow of a lattice edge on either side.

use super::eigen::eigen;
use crate::geom::Vec3;

/// Normals that differ from their mean by less belong to one smooth face: cosine of 0.04 rad. An edge of 0.08 rad is
/// rounded by at most 0.01 of the spacing.
const SMOOTH: f64 = 1.0 - 0.5 * 0.04 * 0.04;

/// Directions along which the planes bind less than this part of the strongest are left free: planes 0.06 rad apart.
const BINDS: f64 = 1.0e-3;

/// Part of the mean distance of the tangent planes beyond the middle of the crossings at which a smooth face's vertex
/// is put. At 1/2 it would lie on the face (for a circle the chord is square to the mean of the normals at its ends) and
/// at 1 where the planes meet. A bow of height s over an edge between vertices has 2/3 s mean height, and lies 1/2 + 1/3
/// of the planes' distance out.
const OUT: f64 = 5.0 / 6.0;

/// A crossing seen from the middle of its cell: place, mm, and unit normal.
pub(super) type Tangent = (Vec3, Vec3);

/// The range that a vertex may lie in, along each axis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Room {
    pub(super) min: Vec3,
    pub(super) max: Vec3,
}

impl Room {
    pub(super) fn holds(&self, p: &Vec3) -> bool {
        p.iter().zip(&self.min).zip(&self.max).all(|((p, low), high)| low <= p && p <= high)
    }

    pub(super) fn clamp(&self, p: &Vec3) -> Vec3 {
        // What is no number, where opposite planes bind nothing, becomes the lowest there is.
        let within = |p: f64, low: f64, high: f64| p.max(low).min(high);
        let (low, high) = (&self.min, &self.max);
        Vec3::new(within(p.x, low.x, high.x), within(p.y, low.y, high.y), within(p.z, low.z, high.z))
    }

    /// The point of a line nearest to `p`, a point of the line, that lies in the room.
    #[inline(always)]
    fn slide(&self, p: &Vec3, along: &Vec3) -> Option<Vec3> {
        let (mut from, mut to) = (f64::NEG_INFINITY, f64::INFINITY);
        for i in 0..3 {
            let (Some(at), Some(by)) = (p.get(i), along.get(i)) else { continue };
            let (Some(low), Some(high)) = (self.min.get(i), self.max.get(i)) else { continue };
            if by.abs() < 1.0e-9 {
                if at < low || high < at {
                    return None;
                }
                continue;
            }
            let (a, b) = ((low - at) / by, (high - at) / by);
            from = from.max(a.min(b));
            to = to.min(a.max(b));
        }
        (from <= to).then(|| p + along * 0.0_f64.clamp(from, to))
    }
}

/// The vertex of a sheet, seen from where its crossings, and the middle of them, are seen. `beyond` says of a place outside
/// the room whether it is allowed nevertheless.
#[inline(always)]
pub(super) fn vertex(
    tangents: &[Tangent],
    middle: &Vec3,
    cell: &Room,
    beyond: impl Fn(&Vec3) -> bool,
) -> Vec3 {
    let mut sum = Vec3::zeros();
    for (_, n) in tangents {
        sum += n;
    }
    let length = sum.norm();
    let mean = sum / length;
    let (mut out, mut count, mut smooth) = (0.0, 0.0, length > 0.0);
    for (p, n) in tangents {
        out += n.dot(&(p - middle));
        count += 1.0;
        smooth &= n.dot(&mean) >= SMOOTH;
    }
    if smooth {
        return cell.clamp(&(middle + mean * (OUT * out / count)));
    }
    sharp(tangents, middle, cell, beyond)
}

#[inline(always)]
fn sharp(tangents: &[Tangent], middle: &Vec3, cell: &Room, beyond: impl Fn(&Vec3) -> bool) -> Vec3 {
    let mut a = [[0.0; 3]; 3];
    let mut b = Vec3::zeros();
    for (p, n) in tangents {
        b += n * n.dot(&(p - middle));
        for (row, x) in a.iter_mut().zip(n) {
            for (slot, y) in row.iter_mut().zip(n) {
                *slot += x * y;
            }
        }
    }
    let modes = eigen(a);
    let [first, second, third] = modes.map(|(strength, v)| (strength, v * (v.dot(&b) / strength)));
    let bound = |m: &(f64, Vec3)| m.0 > BINDS * first.0;
    let edge = middle + first.1 + second.1;
    if bound(&second) && bound(&third) {
        let corner = edge + third.1;
        if cell.holds(&corner) || beyond(&corner) {
            return corner;
        }
    }
    if bound(&second) {
        if cell.holds(&edge) || beyond(&edge) {
            return edge;
        }
        if let Some(p) = cell.slide(&edge, &modes[2].1) {
            return p;
        }
    }
    cell.clamp(&edge)
}
