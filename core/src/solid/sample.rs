//! Small drawings for tests.

use crate::geom::{Axis, Box3, Direction, Vec2, Vec3};
use crate::job::{
    Drawing, EdgeBreak, Feature, FeatureKind, Hole, HoleBottom, JobPlace, Mesh, Outline, OutlineSegment,
    Shape, Tolerance,
};
use crate::source::{SourceText, Span};
use crate::units::Unit;

pub(crate) fn place() -> JobPlace {
    JobPlace { source: SourceText::new("drawing.json", "{}"), span: Span::new(0, 2) }
}

pub(crate) fn feature(id: &str, kind: FeatureKind) -> Feature {
    Feature {
        id: id.to_owned(),
        kind,
        diameter: None,
        depth: None,
        position: None,
        thread: None,
        breaks: Vec::new(),
        place: place(),
    }
}

pub(crate) fn tolerance(plus: f64, minus: f64) -> Tolerance {
    Tolerance { plus, minus }
}

pub(crate) fn drawing(features: Vec<Feature>) -> Drawing {
    Drawing {
        name: "sample".to_owned(),
        revision: None,
        unit: Unit::Millimetre,
        general_tolerance: Some(tolerance(0.1, 0.1)),
        break_edges: Some(EdgeBreak { leg: 0.5, tolerance: tolerance(0.2, 0.2) }),
        features,
        dimensions: Vec::new(),
        mesh: None,
    }
}

pub(crate) fn block(min: [f64; 3], max: [f64; 3]) -> Shape {
    Shape::Box(Box3 { min: Vec3::from(min), max: Vec3::from(max) })
}

pub(crate) fn hole(at: [f64; 3], into: &str, diameter: f64, bottom: HoleBottom) -> Hole {
    let into = Direction::parse(into).expect("a direction");
    Hole { at: Vec3::from(at), into, diameter, bottom, counterbore: None, countersink: None }
}

/// A rectangle with rounded corners, counter-clockwise, in the drawing's plane coordinates.
pub(crate) fn rounded(min: [f64; 2], max: [f64; 2], r: f64) -> Outline {
    let v = Vec2::new;
    let line = |x, y| OutlineSegment::Line { to: v(x, y) };
    let arc = |x, y, cx, cy| OutlineSegment::Arc { to: v(x, y), center: v(cx, cy), clockwise: false };
    let ([a, b], [c, d]) = (min, max);
    Outline {
        start: v(a + r, b),
        segments: vec![
            line(c - r, b),
            arc(c, b + r, c - r, b + r),
            line(c, d - r),
            arc(c - r, d, c - r, d - r),
            line(a + r, d),
            arc(a, d - r, a + r, d - r),
            line(a, b + r),
            arc(a + r, b, a + r, b + r),
        ],
    }
}

pub(crate) fn prism(along: Axis, from: f64, to: f64, outline: Outline) -> Shape {
    Shape::Prism { along, from, to, outline }
}

/// A block as a mesh, each edge of it cut into `n` parts.
pub(crate) fn block_mesh(min: [f64; 3], max: [f64; 3], n: u32) -> Mesh {
    let (min, size) = (Vec3::from(min), Vec3::from(max) - Vec3::from(min));
    let mut mesh = Mesh { vertices: Vec::new(), triangles: Vec::new() };
    for axis in Axis::ALL {
        let (u, v) = axis.others();
        for (end, top) in [(0.0, false), (1.0, true)] {
            for k in 0..n * n {
                let corner = |du: u32, dv: u32| {
                    let mut part = Vec3::zeros();
                    axis.set(&mut part, end);
                    u.set(&mut part, f64::from(k % n + du) / f64::from(n));
                    v.set(&mut part, f64::from(k / n + dv) / f64::from(n));
                    min + size.component_mul(&part)
                };
                let first = u32::try_from(mesh.vertices.len()).expect("small");
                mesh.vertices.extend([corner(0, 0), corner(1, 0), corner(1, 1), corner(0, 1)]);
                let (b, d) = if top { (1, 3) } else { (3, 1) };
                mesh.triangles.push([first, first + b, first + 2]);
                mesh.triangles.push([first, first + 2, first + d]);
            }
        }
    }
    mesh
}
