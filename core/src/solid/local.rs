use crate::geom::{Axis, Vec2, Vec3};

/// A ray of the part, seen from a shape that is drawn out along an axis.
///
/// The shape's plane has the coordinates `axis.others()`; its height runs along the axis.
#[derive(Clone, Copy, Debug)]
pub(super) enum LocalRay {
    /// Parallel to the shape's axis, through a point of its plane.
    Along(Vec2),
    /// In the shape's plane at a height.
    Across {
        /// True when it runs along the plane's first coordinate, false along its second.
        first: bool,
        /// The other coordinate of the plane.
        fixed: f64,
        /// The height.
        height: f64,
    },
}

impl LocalRay {
    /// The ray along `ray` through `(u, v)` of `ray.others()`, seen from a shape along `shape`.
    pub(super) fn new(shape: Axis, ray: Axis, u: f64, v: f64) -> Self {
        if shape == ray {
            return LocalRay::Along(Vec2::new(u, v));
        }
        let (height, fixed) = if ray.others().0 == shape { (u, v) } else { (v, u) };
        LocalRay::Across { first: shape.others().0 == ray, fixed, height }
    }
}

/// Plane coordinates and height of a point, seen from a shape along `axis`.
pub(super) fn split(axis: Axis, p: &Vec3) -> (Vec2, f64) {
    let (u, v) = axis.others();
    (Vec2::new(u.of(p), v.of(p)), axis.of(p))
}

/// The point with these plane coordinates and height.
pub(super) fn join(axis: Axis, plane: Vec2, height: f64) -> Vec3 {
    let (u, v) = axis.others();
    let mut p = Vec3::zeros();
    u.set(&mut p, plane.x);
    v.set(&mut p, plane.y);
    axis.set(&mut p, height);
    p
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ray_seen_from_a_shape_keeps_its_points() {
        let p = Vec3::new(1.0, 2.0, 3.0);
        for shape in Axis::ALL {
            let (plane, height) = split(shape, &p);
            assert_eq!(join(shape, plane, height), p);
            for ray in Axis::ALL {
                let (u, v) = ray.others();
                match LocalRay::new(shape, ray, u.of(&p), v.of(&p)) {
                    LocalRay::Along(q) => assert_eq!((q, shape), (plane, ray)),
                    LocalRay::Across { first, fixed, height: h } => {
                        assert!((h - height).abs() < 1e-15);
                        assert!((fixed - if first { plane.y } else { plane.x }).abs() < 1e-15);
                    }
                }
            }
        }
    }
}
