//! What is true of every surface, however it was cut and made.

use super::*;
use crate::geom::Arc;
use crate::stock::Vectors;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use std::collections::BTreeMap;

/// Every edge has two triangles that run through it in opposite ways, and the triangles round each vertex are one fan.
pub(super) fn check(s: &Surface) {
    let mesh = s.mesh();
    check_triangles(&mesh.triangles);
    let mut places = mesh.points.clone();
    places.sort_unstable();
    places.dedup();
    assert_eq!(places.len(), mesh.points.len(), "vertices at one place");
    assert!((mesh.volume() - s.volume()).abs() <= 1e-9 * s.volume().abs().max(1.0));
}

pub(super) fn check_triangles(triangles: &[[u32; 3]]) {
    // From a vertex and the next one of a triangle to the third.
    let mut fans: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for t in triangles {
        for k in 0..3 {
            let (a, b, c) = (t[k], t[(k + 1) % 3], t[(k + 2) % 3]);
            assert!(a != b);
            assert!(fans.insert((a, b), c).is_none(), "an edge is walked twice the same way");
        }
    }
    // The edges that start at each vertex are together.
    let edges: Vec<(u32, u32)> = fans.keys().copied().collect();
    for group in edges.chunk_by(|p, q| p.0 == q.0) {
        let (a, first) = group[0];
        let (mut next, mut seen) = (first, 0);
        loop {
            next = *fans.get(&(a, next)).expect("an edge has one side only");
            assert!(fans.contains_key(&(next, a)), "an edge has one side only");
            seen += 1;
            if next == first {
                break;
            }
        }
        assert_eq!(seen, group.len(), "the triangles round a vertex are several fans");
    }
}

/// A sweep of some kind through a block of 4 mm.
fn sweep() -> impl Strategy<Value = (Body, Path)> {
    let body = prop_oneof![
        (0.05..1.2_f64).prop_map(cylinder),
        (0.1..1.5_f64).prop_map(|radius| Body::HalfBall { z0: 0.0, radius }),
        (0.0..0.5_f64, 0.1..1.5_f64).prop_map(|(r0, r1)| Body::Frustum { z0: 0.0, z1: 1.3, r0, r1 }),
        (0.3..1.5_f64).prop_map(|radius| Body::RoundedDisc { z0: 0.0, radius, corner: radius * 0.4 }),
    ];
    let point = || (-0.5..4.5_f64, -0.5..4.5_f64, -0.2..3.0_f64).prop_map(|(x, y, z)| Vec3::new(x, y, z));
    let path = prop_oneof![
        (point(), point()).prop_map(|(from, to)| Path::Line { from, to }),
        (point(), point()).prop_map(|(from, to)| Path::Line { from, to: Vec3::new(to.x, to.y, from.z) }),
        (point(), 0.1..1.5_f64, -3.0..3.0_f64, -7.0..7.0_f64, prop::sample::select(vec![0.0, 0.4])).prop_map(
            |(center, radius, start_angle, sweep, rise)| {
                Path::Arc(Arc { center, axis: Axis::Z, radius, start_angle, sweep, rise })
            }
        ),
    ];
    (body, path)
}

fn at_most(cases: u32) -> ProptestConfig {
    ProptestConfig {
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(3),
        ..ProptestConfig::with_cases(cases)
    }
}

proptest! {
    #![proptest_config(at_most(60))]

    #[test]
    fn random_cuts_leave_a_closed_surface_of_the_stocks_volume(
        cuts in prop::collection::vec(sweep(), 1..12),
        spacing in 0.07..0.3_f64,
    ) {
        let mut b = Bench::block([4.0, 4.0, 3.0], spacing);
        let mut changed = Surface::of(&b.stock, &b.history);
        let mut coarse = Surface::coarse(&b.stock, &b.history, 3);
        for (body, path) in cuts {
            let bounds = *Sweep::new(body, &path).bounds();
            b.cut(body, path);
            changed.update(&b.stock, &b.history, &[bounds]);
            coarse.update(&b.stock, &b.history, &[bounds]);
        }
        check(&coarse);
        prop_assert!(coarse == Surface::coarse(&b.stock, &b.history, 3));
        let s = b.surface();
        check(&s);
        prop_assert!(s == changed, "piece by piece it is another surface");
        let (volume, bound) = b.stock.volume();
        prop_assert!((s.volume() - volume).abs() <= bound.max(1e-6), "{} {volume} {bound}", s.volume());
    }
}

/// A block full of crossing slots, about 50 blocks of cells.
pub(super) fn busy() -> Bench {
    let mut b = Bench::block([20.0, 14.0, 8.0], 0.08);
    for n in 0..7 {
        let y = 1.0 + 2.0 * f64::from(n);
        b.cut(cylinder(0.7), line([-3.0, y, 5.0 - 0.3 * f64::from(n)], [23.0, y + 0.7, 4.0]));
        b.cut(Body::HalfBall { z0: 0.0, radius: 0.8 }, line([3.0 * y, -3.0, 3.0], [1.4 * y, 17.0, 6.0]));
    }
    b
}

/// A coarse look leaves out rays, not parts of the block: what is flat stays where it is, whatever number of rays is left over.
#[test]
fn a_coarse_surface_is_as_exact_where_it_looks() {
    let mut b = Bench::block([4.0, 4.0, 3.0], 0.1);
    b.cut(cylinder(1.0), line([-3.0, 2.0, 1.5], [9.0, 2.0, 1.5]));
    for every in [1, 2, 3, 4, 7, 13, 1000] {
        let s = Surface::coarse(&b.stock, &b.history, every);
        check(&s);
        if every < 10 {
            let volume = 48.0 - 2.0 * 4.0 * 1.5;
            assert!((s.volume() - volume).abs() < 0.05, "{every}: {}", s.volume());
            assert!(every < 3 || s.cells() * u64::from(every) < b.surface().cells());
        }
    }
}

#[test]
fn any_number_of_threads_and_any_vectors_make_the_same_surface() {
    let mut b = busy();
    let with = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| b.surface())
    };
    let one = with(1);
    check(&one);
    assert!(one.cells() > 100_000 && one.sides() == [5, 3, 2]);
    assert!(one == with(2) && one == with(8));
    for vectors in [Vectors::Plain, Vectors::Bits256] {
        b.stock = b.stock.with_vectors(vectors);
        assert!(one == b.surface(), "{vectors:?}");
    }
}

#[test]
fn only_blocks_near_a_change_are_meshed_again() {
    let mut b = busy();
    let mut s = b.surface();
    let hole = line([2.0, 2.0, 20.0], [2.0, 2.0, -1.0]);
    b.cut(cylinder(0.5), hole);
    let done =
        s.update(&b.stock, &b.history, &[Box3::between(Vec3::new(1.5, 1.5, 0.0), Vec3::new(2.5, 2.5, 8.0))]);
    assert_eq!(done, [0, 15]);
    assert!(s == b.surface());
    assert!(s.update(&b.stock, &b.history, &[]).is_empty());
    assert!(s.bytes() > 1_000_000 && s.triangles() > 100_000);
}
