//! Meshes with fewer triangles: still closed, near the full one, few; and the file that they are written to.

use super::super::SurfaceMesh;
use super::closed::{busy, check_triangles};
use super::*;
use crate::units::Unit;

/// A micrometre.
const MICRON: f64 = 1e-3;

/// Distance of a point from a mesh, mm (every triangle is tried).
fn distance(mesh: &SurfaceMesh, p: &Vec3) -> f64 {
    let to = |[a, b, c]: [Vec3; 3]| {
        let n = (b - a).cross(&(c - a));
        let foot = p - n * ((p - a).dot(&n) / n.norm_squared());
        let inside = |p: &Vec3, q: &Vec3| (q - p).cross(&(foot - p)).dot(&n) >= 0.0;
        if inside(&a, &b) && inside(&b, &c) && inside(&c, &a) {
            return (p - foot).norm();
        }
        let side = |p0: &Vec3, p1: &Vec3| {
            let d = p1 - p0;
            let t = ((p - p0).dot(&d) / d.norm_squared()).clamp(0.0, 1.0);
            (p - (p0 + d * t)).norm()
        };
        side(&a, &b).min(side(&b, &c)).min(side(&c, &a))
    };
    mesh.triangles.iter().map(|t| to(t.map(|i| mesh.point(i)))).fold(f64::INFINITY, f64::min)
}

fn lowest_triangle(mesh: &SurfaceMesh) -> f64 {
    let height = |[a, b, c]: [Vec3; 3]| {
        let longest = (b - a).norm().max((c - b).norm()).max((a - c).norm());
        (b - a).cross(&(c - a)).norm() / longest
    };
    mesh.triangles.iter().map(|t| height(t.map(|i| mesh.point(i)))).fold(f64::INFINITY, f64::min)
}

#[test]
fn a_block_has_twelve_triangles() {
    let s = Bench::block([7.0, 6.5, 6.2], 0.1).surface();
    let mesh = s.simplified(MICRON);
    check_triangles(&mesh.triangles);
    assert_eq!((mesh.triangles.len(), mesh.points.len()), (12, 8));
    assert!((mesh.volume() - 7.0 * 6.5 * 6.2).abs() < 1e-9);
}

#[test]
fn a_bored_and_chamfered_block_stays_within_a_micrometre() {
    let mut b = Bench::block([7.0, 6.5, 3.0], 0.1);
    b.cut(cylinder(1.5), line([3.03, 3.31, 10.0], [3.03, 3.31, -1.0]));
    let chamfer = Body::Frustum { z0: 0.0, z1: 4.0, r0: 0.0, r1: 4.0 };
    b.cut(chamfer, line([3.03, 3.31, 1.25], [3.03, 3.31, 1.25]));
    b.cut(Body::HalfBall { z0: 0.0, radius: 1.0 }, line([6.0, 5.5, 2.3], [9.0, 5.5, 2.5]));
    let s = b.surface();
    let full = s.mesh();
    let mesh = s.simplified(MICRON);
    check_triangles(&mesh.triangles);
    assert!(
        mesh.triangles.len() * 10 < full.triangles.len(),
        "{} of {}",
        mesh.triangles.len(),
        full.triangles.len()
    );
    assert!(lowest_triangle(&mesh) > 1e-5);
    assert!((mesh.volume() - full.volume()).abs() < 0.5 * MICRON * 100.0);
    for p in (0..u32::try_from(full.points.len()).unwrap()).step_by(17) {
        let off = distance(&mesh, &full.point(p));
        assert!(off < MICRON + 1e-9, "{off} at {:?}", full.point(p));
    }
    // And the other way: the middles of the new triangles.
    for t in mesh.triangles.iter().step_by(23) {
        let p = t.map(|i| mesh.point(i)).iter().sum::<Vec3>() / 3.0;
        assert!(distance(&full, &p) < MICRON + 1e-9);
    }
}

#[test]
fn a_busy_part_stays_closed_and_the_same_for_any_number_of_threads() {
    let s = busy().surface();
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| s.simplified(MICRON))
    };
    let mesh = with(1);
    check_triangles(&mesh.triangles);
    assert!(lowest_triangle(&mesh) > 1e-6, "{}", lowest_triangle(&mesh));
    assert!((mesh.volume() / s.volume() - 1.0).abs() < 1e-4);
    assert_eq!(mesh, with(3));
}

#[test]
fn an_stl_file_has_its_triangles_and_no_two_vertices_at_one_place() {
    let s = Bench::block([2.0, 1.5, 1.0], 0.1).surface();
    let mut mesh = s.simplified(MICRON);
    let bytes = mesh.stl("block", Unit::Millimetre);
    assert_eq!(bytes.len(), 84 + 50 * 12);
    assert_eq!(&bytes[..6], b"block ");
    assert_eq!(bytes[80..84], 12_u32.to_le_bytes());
    let number = |at: usize| f32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
    let mut corners = std::collections::BTreeSet::new();
    for t in 0..12 {
        let at = 84 + 50 * t;
        let normal = [0, 4, 8].map(|i| number(at + i).abs());
        assert!((normal.iter().sum::<f32>() - 1.0).abs() < 1e-6);
        corners.extend((0..3).map(|c| [0, 4, 8].map(|i| bytes[at + 12 + 12 * c + i..][..4].to_vec())));
    }
    assert_eq!(corners.len(), 8);
    // Two places that are the same in single precision are moved apart.
    let far = i32::MAX - 10;
    mesh.points[0] = [far, 0, 0];
    mesh.points[1] = [far + 1, 0, 0];
    let triangle = mesh.triangles.iter().find(|t| t.contains(&0) && t.contains(&1));
    assert!(triangle.is_some());
    let bytes = mesh.stl("", Unit::Millimetre);
    let places: std::collections::BTreeSet<&[u8]> =
        (0..36).map(|n| &bytes[84 + 50 * (n / 3) + 12 + 12 * (n % 3)..][..12]).collect();
    assert_eq!(places.len(), 8);
}
