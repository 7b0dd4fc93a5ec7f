//! Eigenvalues of symmetric matrices of three.

#![expect(clippy::indexing_slicing, reason = "rows and columns are constants")]

use crate::geom::Vec3;

/// Rounds of rotations; three or four do.
const ROUNDS: usize = 8;

/// Eigenvalues, largest first, and unit eigenvectors of a symmetric matrix (cyclic Jacobi rotations).
#[inline(always)]
pub(super) fn eigen(mut a: [[f64; 3]; 3]) -> [(f64, Vec3); 3] {
    let mut v = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    for _ in 0..ROUNDS {
        let [[_, xy, xz], [_, _, yz], _] = a;
        if xy * xy + xz * xz + yz * yz <= 1.0e-30 {
            break;
        }
        rotate::<0, 1>(&mut a, &mut v);
        rotate::<0, 2>(&mut a, &mut v);
        rotate::<1, 2>(&mut a, &mut v);
    }
    let [x, y, z] = v;
    let mut modes = [(a[0][0], Vec3::from(x)), (a[1][1], Vec3::from(y)), (a[2][2], Vec3::from(z))];
    modes.sort_by(|p, q| q.0.total_cmp(&p.0));
    modes
}

/// Turns the plane of two axes so that their common element becomes zero; the rows of `v` follow.
#[inline(always)]
fn rotate<const P: usize, const Q: usize>(a: &mut [[f64; 3]; 3], v: &mut [[f64; 3]; 3]) {
    let off = a[P][Q];
    if off.abs() <= 0.0 {
        return;
    }
    let theta = (a[Q][Q] - a[P][P]) / (2.0 * off);
    let t = 1.0_f64.copysign(theta) / (theta.abs() + (theta * theta + 1.0).sqrt());
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    for row in a.iter_mut() {
        let (p, q) = (row[P], row[Q]);
        row[P] = c * p - s * q;
        row[Q] = s * p + c * q;
    }
    for k in 0..3 {
        let (p, q) = (a[P][k], a[Q][k]);
        a[P][k] = c * p - s * q;
        a[Q][k] = s * p + c * q;
        let (p, q) = (v[P][k], v[Q][k]);
        v[P][k] = c * p - s * q;
        v[Q][k] = s * p + c * q;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_matrix_is_the_sum_of_its_modes() {
        let a = [[2.0, -0.3, 0.7], [-0.3, 1.0, 0.1], [0.7, 0.1, 3.0]];
        let modes = eigen(a);
        assert!(modes[0].0 >= modes[1].0 && modes[1].0 >= modes[2].0);
        for i in 0..3 {
            for j in 0..3 {
                let sum: f64 = modes.iter().map(|(s, v)| s * v[i] * v[j]).sum();
                assert!((sum - a[i][j]).abs() < 1e-12);
            }
        }
    }
}
