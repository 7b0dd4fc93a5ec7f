//! Shapes with known volumes and edges.

use super::closed::check;
use super::*;
use std::f64::consts::PI;

fn points(s: &Surface) -> Vec<Vec3> {
    s.blocks().iter().flat_map(|b| (0..).zip(&b.points).map(|(i, _)| b.point(i))).collect()
}

/// Volume taken from a block, over what a formula says, less one.
fn excess(b: &Bench, truth: f64) -> f64 {
    let size = b.stock.raw_bounds().size();
    let s = b.surface();
    check(&s);
    (size.x * size.y * size.z - s.volume()) / truth - 1.0
}

#[test]
fn a_block_is_exact() {
    let s = Bench::block([3.0, 2.0, 1.0], 0.1).surface();
    check(&s);
    assert!((s.volume() - 6.0).abs() < 1e-9, "{}", s.volume());
    let on_faces = |p: &Vec3| {
        (0..3).filter(|i| p[*i].abs() < 1e-9 || (p[*i] - [3.0, 2.0, 1.0][*i]).abs() < 1e-9).count()
    };
    let points = points(&s);
    assert!(points.iter().all(|p| on_faces(p) > 0));
    assert_eq!(points.iter().filter(|p| on_faces(p) == 3).count(), 8);
}

#[test]
fn holes_balls_and_grooves_have_their_volume() {
    let mut b = Bench::block([12.0, 12.0, 4.0], 0.1);
    b.cut(cylinder(2.5), line([6.03, 5.97, 10.0], [6.03, 5.97, -1.0]));
    let off = excess(&b, PI * 2.5 * 2.5 * 4.0);
    assert!(off.abs() < 5e-5, "hole {off:e}");
    let mut b = Bench::block([12.0, 12.0, 6.0], 0.1);
    b.cut(Body::HalfBall { z0: 0.0, radius: 4.0 }, line([6.03, 5.97, 2.0], [6.03, 5.97, 2.0]));
    let off = excess(&b, 2.0 / 3.0 * PI * 64.0);
    assert!(off.abs() < 5e-5, "ball {off:e}");
    let mut b = Bench::block([12.0, 12.0, 4.0], 0.1);
    let cone = Body::Frustum { z0: 0.0, z1: 3.0, r0: 0.0, r1: 3.0 };
    b.cut(cone, line([-20.0, 6.02, 1.03], [30.0, 6.02, 1.03]));
    let off = excess(&b, 12.0 * 2.97 * 2.97);
    assert!(off.abs() < 1e-5, "groove {off:e}");
    // The same across the lattice: its bottom edge comes through the faces of cells without reaching their points.
    let mut b = Bench::block([12.0, 12.0, 4.0], 0.1);
    b.cut(cone, line([-20.0, -20.0, 1.03], [30.0, 30.0, 1.03]));
    let off = excess(&b, 2.97 * 2.97 * 12.0 * 2.0_f64.sqrt() - 2.0 / 3.0 * 2.97_f64.powi(3));
    assert!(off.abs() < 3e-5, "groove across {off:e}");
}

#[test]
fn edges_of_a_groove_across_the_lattice_are_straight() {
    let mut b = Bench::block([12.0, 12.0, 4.0], 0.1);
    let cone = Body::Frustum { z0: 0.0, z1: 3.0, r0: 0.0, r1: 3.0 };
    let way = Vec3::new(3.0, 1.0, 0.0).normalize();
    let from = Vec3::new(6.0, 6.007, 1.503) - way * 40.0;
    b.cut(cone, Path::Line { from, to: from + way * 80.0 });
    let s = b.surface();
    check(&s);
    // How far a vertex lies from the two faces that meet at 90 degrees in the groove's bottom.
    let side = way.cross(&Vec3::z()).normalize();
    let middle = Box3::between(Vec3::new(1.0, 1.0, 0.5), Vec3::new(11.0, 11.0, 2.0));
    let off = |p: &Vec3| (((p - from).dot(&side).abs() - (p.z - from.z)) / 2.0_f64.sqrt()).abs();
    let offs: Vec<f64> = points(&s).iter().filter(|p| middle.contains(p)).map(off).collect();
    let far = offs.iter().filter(|off| **off > 3e-4).count();
    assert!(offs.len() > 1000 && far * 1000 < offs.len(), "{far} of {}", offs.len());
}

#[test]
fn a_small_chamfer_on_a_wall_is_flat_to_its_edges() {
    // A wall at x = 5.013 chamfered by 0.25 mm from the top at z = 4.
    let mut b = Bench::block([10.0, 6.0, 4.0], 0.1);
    b.cut(cylinder(3.0), line([2.013, -9.0, 1.021], [2.013, 20.0, 1.021]));
    let chamfer = Body::Frustum { z0: 0.0, z1: 4.0, r0: 0.0, r1: 4.0 };
    b.cut(chamfer, line([3.263, -9.0, 2.0], [3.263, 20.0, 2.0]));
    let s = b.surface();
    check(&s);
    let near = |p: &Vec3, x: f64, z: f64| (p.x - x).abs() < 2e-4 && (p.z - z).abs() < 2e-4;
    for y in 5..55 {
        let row: Vec<Vec3> =
            points(&s).into_iter().filter(|p| (p.y - 0.1 * f64::from(y)).abs() < 0.051).collect();
        assert!(row.iter().any(|p| near(p, 5.013, 3.75)), "lower edge at row {y}");
        assert!(row.iter().any(|p| near(p, 5.263, 4.0)), "upper edge at row {y}");
        assert!(row.iter().any(|p| near(p, 5.013, 1.021)), "bottom of the wall at row {y}");
    }
}

#[test]
fn walls_and_webs_thinner_than_the_lattice_leave_a_closed_surface() {
    for thickness in [0.31, 0.17, 0.09, 0.04] {
        let mut b = Bench::block([8.0, 8.0, 3.0], 0.1);
        let way = Vec3::new(1.0, 0.37, 0.0).normalize();
        let side = Vec3::new(-way.y, way.x, 0.0) * (1.0 + thickness / 2.0);
        for sign in [1.0, -1.0] {
            let middle = Vec3::new(4.0, 4.0, 0.7) + side * sign;
            b.cut(cylinder(1.0), Path::Line { from: middle - way * 20.0, to: middle + way * 20.0 });
        }
        check(&b.surface());
    }
}

#[test]
fn faces_know_their_cut_and_shade_with_crisp_edges() {
    let mut b = Bench::block([8.0, 8.0, 5.0], 0.1);
    b.turn(Direction::new(Axis::X, false), up(Axis::Y), Vec3::new(0.0, 4.0, 2.5));
    // Down along +X of the part, from beyond the face at x = 0 to x = 3.
    b.cut(cylinder(1.5), line([0.0, 0.0, 5.0], [0.0, 0.0, -3.0]));
    let s = b.surface();
    check(&s);
    let (mut bore, mut raw) = (0, 0);
    for block in s.blocks() {
        let shaded = block.corner_normals(&b.history);
        for (face, corners) in block.faces.iter().zip(shaded) {
            let at: Vec<Vec3> = face.corners.iter().map(|c| block.point(*c)).collect();
            let middle = (at[0] + at[2]) * 0.5;
            let bottom = face.normal().x < -0.99;
            let turned = (at[1] - at[0]).cross(&(at[2] - at[0]));
            assert!(turned.dot(&face.normal()) >= 0.0, "outward");
            if b.history.origin(face.by).is_none() {
                raw += 1;
                continue;
            }
            bore += 1;
            assert!(middle.x < 3.01 && Vec3::new(0.0, middle.y - 4.0, middle.z - 2.5).norm() < 1.501);
            for (p, n) in at.iter().zip(corners) {
                let n = Vec3::from(n.map(f64::from)) / f64::from(super::super::Face::ONE);
                let radial = Vec3::new(0.0, 4.0 - p.y, 2.5 - p.z).normalize();
                let truth = if bottom { -Vec3::x() } else { radial };
                assert!((n - truth).norm() < 4e-3, "{n:?} at {p:?}, {:?}", face.normal());
            }
        }
    }
    assert!(bore > 1000 && raw > 10_000);
}
