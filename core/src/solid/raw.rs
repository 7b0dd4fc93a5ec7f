use super::mesh::{MeshFault, MeshSolid};
use crate::geom::{Axis, Box3, Spans, Vec3};
use crate::job::{RawStock, RoundBar};

/// Raw stock, ready to be met by rays. Part frame, mm.
#[derive(Clone, Debug)]
pub struct RawSolid {
    shape: Shape,
    bounds: Box3,
}

#[derive(Clone, Debug)]
enum Shape {
    Box,
    Cylinder(RoundBar),
    Mesh(Box<MeshSolid>),
}

impl RawSolid {
    /// Prepares raw stock.
    ///
    /// # Errors
    /// When a mesh is not the closed surface of a solid.
    pub fn new(raw: &RawStock) -> Result<Self, MeshFault> {
        let shape = match raw {
            RawStock::Box(_) => Shape::Box,
            RawStock::Cylinder(bar) => Shape::Cylinder(*bar),
            RawStock::Mesh(mesh) => Shape::Mesh(Box::new(MeshSolid::new(mesh)?)),
        };
        Ok(Self { shape, bounds: raw_bounds(raw) })
    }

    /// Smallest box that holds it.
    pub const fn bounds(&self) -> &Box3 {
        &self.bounds
    }

    /// Pieces inside it of the line parallel to `axis` through `(u, v)` on `axis.others()`: ascending, disjoint.
    /// Clears `out` first.
    pub fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        out.clear();
        match &self.shape {
            Shape::Box => {
                let (first, second) = axis.others();
                let (low, high) = (&self.bounds.min, &self.bounds.max);
                let inside =
                    first.of(low) <= u && u <= first.of(high) && second.of(low) <= v && v <= second.of(high);
                if inside && axis.of(low) < axis.of(high) {
                    out.push((axis.of(low), axis.of(high)));
                }
            }
            Shape::Cylinder(bar) => out.extend(bar_span(bar, axis, u, v)),
            Shape::Mesh(mesh) => mesh.spans(axis, u, v, out),
        }
    }

    /// The one piece inside it of every line parallel to `axis` that meets its box, when all are the same.
    pub fn same_on_all(&self, axis: Axis) -> Option<(f64, f64)> {
        matches!(self.shape, Shape::Box).then(|| (axis.of(&self.bounds.min), axis.of(&self.bounds.max)))
    }

    /// Unit normal, outward, where a line parallel to `axis` meets the surface at `p`; `None` when it meets no face
    /// near there (only a mesh can say that).
    pub fn normal_at(&self, axis: Axis, p: &Vec3) -> Option<Vec3> {
        let across = |low: f64, high: f64| {
            let mut n = Vec3::zeros();
            axis.set(&mut n, if 2.0 * axis.of(p) < low + high { -1.0 } else { 1.0 });
            n
        };
        match &self.shape {
            Shape::Cylinder(bar) if bar.axis != axis => {
                let mut out = p - bar.center;
                bar.axis.set(&mut out, 0.0);
                out.try_normalize(0.0)
            }
            Shape::Box | Shape::Cylinder(_) => {
                Some(across(axis.of(&self.bounds.min), axis.of(&self.bounds.max)))
            }
            Shape::Mesh(mesh) => mesh.normal_at(axis, p),
        }
    }

    /// True when a point lies inside (on the surface: either).
    pub fn contains(&self, p: &Vec3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        match &self.shape {
            Shape::Box => true,
            Shape::Cylinder(bar) => {
                let (u, v) = bar.axis.others();
                libm::hypot(u.of(p) - u.of(&bar.center), v.of(p) - v.of(&bar.center)) <= bar.radius
            }
            Shape::Mesh(mesh) => mesh.contains(p),
        }
    }
}

/// Smallest box that holds raw stock, part frame, mm.
pub fn raw_bounds(raw: &RawStock) -> Box3 {
    match raw {
        RawStock::Box(b) => *b,
        RawStock::Mesh(mesh) => mesh.bounds(),
        RawStock::Cylinder(bar) => {
            let (u, v) = bar.axis.others();
            let (mut low, mut high) = (bar.center, bar.center);
            bar.axis.set(&mut low, bar.from);
            bar.axis.set(&mut high, bar.to);
            for a in [u, v] {
                a.set(&mut low, a.of(&bar.center) - bar.radius);
                a.set(&mut high, a.of(&bar.center) + bar.radius);
            }
            Box3 { min: low, max: high }
        }
    }
}

/// The piece of a line parallel to `axis` inside a round bar.
fn bar_span(bar: &RoundBar, axis: Axis, u: f64, v: f64) -> Option<(f64, f64)> {
    let (first, second) = axis.others();
    let offset = |a: Axis, at: f64| at - a.of(&bar.center);
    if axis == bar.axis {
        let (x, y) = (offset(first, u), offset(second, v));
        return (x * x + y * y < bar.radius * bar.radius && bar.from < bar.to).then_some((bar.from, bar.to));
    }
    // One of the two coordinates runs along the bar, the other across it.
    let (along, across) = if first == bar.axis { (u, offset(second, v)) } else { (v, offset(first, u)) };
    let rest = (bar.radius - across) * (bar.radius + across);
    if rest <= 0.0 || along < bar.from || bar.to < along {
        return None;
    }
    let half = rest.sqrt();
    Some((axis.of(&bar.center) - half, axis.of(&bar.center) + half))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_through_a_round_bar() {
        let bar =
            RoundBar { axis: Axis::Y, center: Vec3::new(1.0, 77.0, 2.0), radius: 5.0, from: -10.0, to: 20.0 };
        let solid = RawSolid::new(&RawStock::Cylinder(bar)).expect("no mesh");
        let mut spans = Spans::new();
        solid.spans(Axis::Y, 2.0, 1.0, &mut spans);
        assert_eq!(spans.as_slice(), [(-10.0, 20.0)]);
        solid.spans(Axis::X, 0.0, 5.0, &mut spans);
        assert_eq!(spans.as_slice(), [(-3.0, 5.0)]);
        solid.spans(Axis::Z, -3.0, 0.0, &mut spans);
        assert_eq!(spans.as_slice(), [(-1.0, 5.0)]);
        solid.spans(Axis::Z, -3.0, 21.0, &mut spans);
        assert!(spans.is_empty());
        assert_eq!(solid.bounds().min, Vec3::new(-4.0, -10.0, -3.0));
        assert_eq!(solid.normal_at(Axis::Y, &Vec3::new(2.0, 20.0, 1.0)), Some(Vec3::y()));
        assert_eq!(solid.normal_at(Axis::X, &Vec3::new(-3.0, 0.0, 5.0)), Some(Vec3::new(-0.8, 0.0, 0.6)));
        assert!(solid.contains(&Vec3::new(1.0, 0.0, 6.9)) && !solid.contains(&Vec3::new(5.0, 0.0, 6.0)));
    }
}
