use super::{Nearest, RESOLUTION, Shape};
use crate::cutter::Body;
use crate::geom::{Arc, Path, Vec3};

/// How near a body comes to a shape while its tip is led along a path; see [`Nearest`], whose `along` then counts on the
/// whole path.
///
/// Lines are judged as a whole. An arc is judged by its chords: a chord is at most `radius * angle^2 / 8` away from its
/// arc (the error of linear interpolation), which is taken off the distance; chords that may hold the least distance
/// are halved until that is a quarter of the resolution.
pub fn nearest_on_path(shape: &Shape, body: &Body, path: &Path, cutoff: f64) -> Nearest {
    match path {
        Path::Line { from, to } => shape.nearest_on_line(body, *from, *to, cutoff),
        Path::Arc(arc) => on_arc(shape, body, arc, cutoff),
    }
}

/// Largest angle of a chord to begin with, radians.
const FIRST_CHORD: f64 = 0.8;
/// A quarter of the resolution: the distance of a chord from its arc at which halving ends.
const FLAT: f64 = 0.25 * RESOLUTION;
/// Most chords to begin with: 4,000 turns' worth would be 31,000; more turns get longer chords and are halved.
const MOST_FIRST_CHORDS: f64 = 40_000.0;

fn on_arc(shape: &Shape, body: &Body, arc: &Arc, cutoff: f64) -> Nearest {
    let whole = arc.sweep.abs();
    let count = (whole / FIRST_CHORD).ceil().clamp(1.0, MOST_FIRST_CHORDS);
    let mut search = Search { shape, body, arc, cutoff, best: None, known_at_most: f64::INFINITY };
    let mut k = 0.0;
    while k < count {
        search.chord(k / count, (k + 1.0) / count);
        if search.best.is_some_and(|b| b.gap <= 0.0) {
            break;
        }
        k += 1.0;
    }
    search.best.unwrap_or(Nearest { gap: cutoff, on_shape: arc.point(0.0), along: 0.0 })
}

struct Search<'a> {
    shape: &'a Shape,
    body: &'a Body,
    arc: &'a Arc,
    cutoff: f64,
    /// Least lower bound of the chords that are done.
    best: Option<Nearest>,
    /// A distance that the least one is not more than.
    known_at_most: f64,
}

impl Search<'_> {
    fn chord(&mut self, t0: f64, t1: f64) {
        let (from, to): (Vec3, Vec3) = (self.arc.point(t0), self.arc.point(t1));
        let angle = self.arc.sweep * (t1 - t0);
        let off = self.arc.radius * angle * angle / 8.0;
        let limit = self.cutoff.min(self.known_at_most);
        let near = self.shape.nearest_on_line(self.body, from, to, limit + off);
        let at_least = (near.gap - off).max(0.0);
        if at_least >= self.cutoff {
            return;
        }
        let done = off <= FLAT || t1 - t0 <= 1.0e-12 || at_least >= self.known_at_most - FLAT;
        if done {
            if self.best.is_none_or(|b| at_least < b.gap) {
                let along = t0 + (t1 - t0) * near.along;
                self.best = Some(Nearest { gap: at_least, along, ..near });
            }
            self.known_at_most = self.known_at_most.min(near.gap + off);
            return;
        }
        // A point of the arc itself bounds the least distance from above.
        let middle = 0.5 * (t0 + t1);
        let here =
            self.shape.nearest_on_line(self.body, self.arc.point(middle), self.arc.point(middle), limit);
        if here.gap < limit {
            self.known_at_most = self.known_at_most.min(here.gap + 2.0 * RESOLUTION);
        }
        self.chord(t0, middle);
        if self.best.is_none_or(|b| b.gap > 0.0) {
            self.chord(middle, t1);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Axis, Box3};
    use crate::job::{Mesh, RoundBar, Solid};
    use proptest::prelude::*;
    use std::sync::Arc as Shared;

    fn point(range: f64) -> impl Strategy<Value = Vec3> {
        (-range..range, -range..range, -range..range).prop_map(|(x, y, z)| Vec3::new(x, y, z))
    }

    fn path() -> impl Strategy<Value = Path> {
        let axis = prop_oneof![Just(Axis::X), Just(Axis::Y), Just(Axis::Z)];
        prop_oneof![
            (point(30.0), point(30.0)).prop_map(|(from, to)| Path::Line { from, to }),
            (point(15.0), axis, 1.0..20.0, 0.0..6.0, -9.0..9.0, -8.0..8.0).prop_map(
                |(center, axis, radius, start_angle, sweep, rise)| Path::Arc(Arc {
                    center,
                    axis,
                    radius,
                    start_angle,
                    sweep,
                    rise
                })
            ),
        ]
    }

    fn solid() -> impl Strategy<Value = Solid> {
        let axis = prop_oneof![Just(Axis::X), Just(Axis::Y), Just(Axis::Z)];
        prop_oneof![
            (point(20.0), point(20.0)).prop_map(|(a, b)| Solid::Box(Box3::between(a, b))),
            (point(15.0), axis, 1.0..8.0, -9.0..0.0, 1.0..9.0).prop_map(
                |(center, axis, radius, from, to)| {
                    Solid::Cylinder(RoundBar { axis, center, radius, from, to })
                }
            ),
            (point(20.0), point(20.0))
                .prop_map(|(a, b)| Solid::Mesh(Shared::new(box_mesh(&Box3::between(a, b))))),
        ]
    }

    fn box_mesh(b: &Box3) -> Mesh {
        let pick = |i: u32, bit: u32, lo: f64, hi: f64| if i & bit == 0 { lo } else { hi };
        let vertices = (0..8)
            .map(|i| {
                Vec3::new(
                    pick(i, 1, b.min.x, b.max.x),
                    pick(i, 2, b.min.y, b.max.y),
                    pick(i, 4, b.min.z, b.max.z),
                )
            })
            .collect();
        let quads = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
        Mesh {
            vertices,
            triangles: quads.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect(),
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]
        /// Never more than the least of many single positions, and less by no more than the resolution and the
        /// sampling step allow. A mesh of a box must say what the box says.
        #[test]
        fn bounds_the_sampled_clearance(
            solid in solid(), path in path(), z0 in 0.0..3.0, h in 0.5..30.0, r0 in 0.0..6.0, r1 in 0.1..6.0
        ) {
            let body = Body::Frustum { z0, z1: z0 + h, r0, r1 };
            let shape = Shape::new(&solid);
            let found = nearest_on_path(&shape, &body, &path, f64::INFINITY);
            let mut least = f64::INFINITY;
            let n = 3000;
            for i in 0..=n {
                let tip = path.point(f64::from(i) / f64::from(n));
                let here = shape.nearest_on_line(&body, tip, tip, f64::INFINITY).gap;
                least = least.min(here);
            }
            prop_assert!(found.gap <= least + 3e-5, "{found:?} {least}");
            let step = path.length() / f64::from(n);
            prop_assert!(least <= found.gap + RESOLUTION + step, "{found:?} {least} {step}");
            // A cutoff changes what is looked at, not what is said under it.
            let cut = nearest_on_path(&shape, &body, &path, least + 0.5);
            prop_assert!((cut.gap - found.gap).abs() <= RESOLUTION, "{cut:?} {found:?}");
            if let Solid::Mesh(mesh) = &solid {
                let as_box = nearest_on_path(&Shape::new(&Solid::Box(mesh.bounds())), &body, &path, f64::INFINITY);
                prop_assert!((as_box.gap - found.gap).abs() <= RESOLUTION, "{as_box:?} {found:?}");
            }
        }
    }

    #[test]
    fn a_tool_wholly_inside_a_mesh_touches_it() {
        let mesh = box_mesh(&Box3::between(Vec3::repeat(-50.0), Vec3::repeat(50.0)));
        let shape = Shape::new(&Solid::Mesh(Shared::new(mesh)));
        let body = Body::Frustum { z0: 0.0, z1: 10.0, r0: 3.0, r1: 3.0 };
        let path = Path::Line { from: Vec3::zeros(), to: Vec3::x() };
        assert!(nearest_on_path(&shape, &body, &path, 1.0).gap <= 0.0);
    }

    /// A full circle around an upright post stays at the same distance everywhere: the worst case for halving.
    #[test]
    fn constant_clearance_along_a_circle() {
        let post = RoundBar { axis: Axis::Z, center: Vec3::zeros(), radius: 10.0, from: -20.0, to: 5.0 };
        let body = Body::Frustum { z0: 0.0, z1: 20.0, r0: 5.0, r1: 5.0 };
        let circle = Path::Arc(Arc {
            center: Vec3::zeros(),
            axis: Axis::Z,
            radius: 18.0,
            start_angle: 0.3,
            sweep: std::f64::consts::TAU,
            rise: 0.0,
        });
        let gap = nearest_on_path(&Shape::new(&Solid::Cylinder(post)), &body, &circle, f64::INFINITY).gap;
        assert!((3.0 - RESOLUTION..=3.0).contains(&gap), "{gap}");
    }
}
