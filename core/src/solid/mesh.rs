use super::mesh_view::View;
use crate::geom::{Axis, Box3, Spans, Vec3};
use crate::job::Mesh;

/// A closed mesh, ready to be met by rays. Millimetres, in the frame of the mesh.
///
/// A line is taken to pass through a triangle by the crossing rule in the plane square to it: an edge counts when its
/// ends lie on different sides of the line's second coordinate (strictly above, or not), and the side of the edge on
/// which the line passes is reckoned from the edge's lower end, the same for both triangles that share it. So a line
/// through an edge or a corner enters and leaves exactly as often as beside it, whatever the rounding.
#[derive(Clone, Debug)]
pub struct MeshSolid {
    vertices: Vec<Vec3>,
    triangles: Vec<[u32; 3]>,
    bounds: Box3,
    /// Triangles by where they lie, seen along X, Y and Z.
    views: [View; 3],
}

/// Why a mesh is not the surface of a solid.
#[derive(Clone, Debug, PartialEq)]
pub enum MeshFault {
    /// It has no triangle with an area.
    Empty,
    /// A triangle names a corner that does not exist, or a corner is not a number.
    Broken,
    /// An edge has a triangle on one side only: the surface has a hole or a crack.
    Open {
        /// Number of such edges.
        edges: usize,
        /// Middle of the first of them.
        at: Vec3,
    },
    /// Neighbouring triangles disagree on which side is outside.
    Flipped {
        /// Number of edges along which they do.
        edges: usize,
        /// Middle of the first of them.
        at: Vec3,
    },
}

impl std::fmt::Display for MeshFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            MeshFault::Empty => write!(f, "it has no triangle with an area"),
            MeshFault::Broken => write!(f, "a triangle names a corner that does not exist"),
            MeshFault::Open { edges, at } => write!(
                f,
                "it is not closed: {edges} edges have a triangle on one side only, the first near \
                 X{:.3} Y{:.3} Z{:.3} mm",
                at.x, at.y, at.z
            ),
            MeshFault::Flipped { edges, at } => write!(
                f,
                "along {edges} edges neighbouring triangles disagree on which side is outside, the first near \
                 X{:.3} Y{:.3} Z{:.3} mm",
                at.x, at.y, at.z
            ),
        }
    }
}

impl std::error::Error for MeshFault {}

impl MeshSolid {
    /// Joins equal corners, drops triangles without area, checks that the surface is closed and turns it outside
    /// out if it is inside out.
    ///
    /// # Errors
    /// When it is not the surface of a solid.
    pub fn new(mesh: &Mesh) -> Result<Self, MeshFault> {
        let (vertices, mut triangles) = weld(mesh)?;
        check_closed(&vertices, &triangles)?;
        if six_volumes(&vertices, &triangles) < 0.0 {
            for [_, b, c] in &mut triangles {
                std::mem::swap(b, c);
            }
        }
        let bounds = vertices.iter().fold(Box3::empty(), |b, v| b.with(*v));
        let views = Axis::ALL.map(|axis| View::new(axis, &bounds, &vertices, &triangles));
        Ok(Self { vertices, triangles, bounds, views })
    }

    /// Smallest box that holds it.
    pub const fn bounds(&self) -> &Box3 {
        &self.bounds
    }

    /// Volume, mm3.
    pub fn volume(&self) -> f64 {
        six_volumes(&self.vertices, &self.triangles) / 6.0
    }

    /// Pieces inside it of the line parallel to `axis` through `(u, v)` on `axis.others()`: ascending, disjoint.
    /// Clears `out` first. Where closed surfaces overlap, inside any of them is inside.
    pub fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        out.clear();
        let [x, y, z] = &self.views;
        let view = match axis {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        };
        let mut crossings: Vec<(f64, i32)> = Vec::new();
        for t in view.at(u, v) {
            if let Some(corners) = self.triangles.get(*t as usize).and_then(|t| self.corners(*t)) {
                crossings.extend(crossing(axis, u, v, &corners));
            }
        }
        crossings.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let (mut depth, mut start) = (0, 0.0);
        for (at, turn) in crossings {
            let before = depth;
            depth += turn;
            if before <= 0 && depth > 0 {
                start = at;
            } else if before > 0 && depth <= 0 && start < at {
                out.push((start, at));
            }
        }
    }

    /// True when a point lies inside (on the surface: either).
    pub fn contains(&self, p: &Vec3) -> bool {
        if !self.bounds.contains(p) {
            return false;
        }
        let mut spans = Spans::new();
        self.spans(Axis::Z, p.x, p.y, &mut spans);
        spans.iter().any(|s| s.0 <= p.z && p.z <= s.1)
    }

    /// Unit normal, outward, of the triangle that a line parallel to `axis` crosses nearest to `p`, a point of the
    /// line; `None` when it crosses none.
    pub fn normal_at(&self, axis: Axis, p: &Vec3) -> Option<Vec3> {
        let (first, second) = axis.others();
        let (u, v) = (first.of(p), second.of(p));
        let [x, y, z] = &self.views;
        let view = match axis {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        };
        let mut best: Option<(f64, Vec3)> = None;
        for t in view.at(u, v) {
            let Some([a, b, c]) = self.triangles.get(*t as usize).and_then(|t| self.corners(*t)) else {
                continue;
            };
            let Some((at, _)) = crossing(axis, u, v, &[a, b, c]) else { continue };
            let off = (at - axis.of(p)).abs();
            if best.is_none_or(|(nearest, _)| off < nearest) {
                best = Some((off, (b - a).cross(&(c - a))));
            }
        }
        best.and_then(|(_, normal)| normal.try_normalize(0.0))
    }

    fn corners(&self, triangle: [u32; 3]) -> Option<[Vec3; 3]> {
        corners(&self.vertices, triangle)
    }
}

pub(super) fn corners(vertices: &[Vec3], [a, b, c]: [u32; 3]) -> Option<[Vec3; 3]> {
    Some([*vertices.get(a as usize)?, *vertices.get(b as usize)?, *vertices.get(c as usize)?])
}

/// Where a line crosses a triangle, and +1 where it goes in, -1 where it comes out.
fn crossing(axis: Axis, u: f64, v: f64, corners: &[Vec3; 3]) -> Option<(f64, i32)> {
    let [a, b, c] = corners;
    let (first, second) = axis.others();
    let flat = |p: &Vec3| (first.of(p), second.of(p));
    // Winding of the triangle's outline about the line: +1 counter-clockwise, seen from the axis' positive end.
    let turn = [(a, b), (b, c), (c, a)].iter().map(|(p, q)| winding(u, v, flat(p), flat(q))).sum::<i32>();
    if turn == 0 {
        return None;
    }
    let normal = (b - a).cross(&(c - a));
    let slope = axis.of(&normal);
    let lean = first.of(&normal) * (u - first.of(a)) + second.of(&normal) * (v - second.of(a));
    let (low, high) = lowest_and_highest(axis, corners);
    // A triangle seen edge-on has no slope to speak of; its height is then any of its own.
    let at = axis.of(a) - lean / slope;
    let at = if at.is_finite() { at.clamp(low, high) } else { 0.5 * (low + high) };
    // A face that looks up (counter-clockwise from above) is where a line going up comes out.
    Some((at, -turn))
}

fn lowest_and_highest(axis: Axis, corners: &[Vec3; 3]) -> (f64, f64) {
    let low = corners.iter().map(|p| axis.of(p)).fold(f64::INFINITY, f64::min);
    let high = corners.iter().map(|p| axis.of(p)).fold(f64::NEG_INFINITY, f64::max);
    (low, high)
}

/// What the edge from `p` to `q` adds to the winding of an outline about `(u, v)`.
fn winding(u: f64, v: f64, p: (f64, f64), q: (f64, f64)) -> i32 {
    let (p_above, q_above) = (p.1 > v, q.1 > v);
    if p_above == q_above {
        return 0;
    }
    let (low, high) = if q_above { (p, q) } else { (q, p) };
    let side = (high.0 - low.0) * (v - low.1) - (u - low.0) * (high.1 - low.1);
    match (side > 0.0, q_above) {
        (true, true) => 1,
        (true, false) => -1,
        (false, _) => 0,
    }
}

/// Corners joined where their coordinates are equal, and the triangles that have three different ones.
fn weld(mesh: &Mesh) -> Result<(Vec<Vec3>, Vec<[u32; 3]>), MeshFault> {
    if mesh.vertices.iter().any(|v| !v.iter().all(|c| c.is_finite())) {
        return Err(MeshFault::Broken);
    }
    // -0.0 and 0.0 are the same place.
    let key = |v: &Vec3| [v.x + 0.0, v.y + 0.0, v.z + 0.0];
    let mut order: Vec<usize> = (0..mesh.vertices.len()).collect();
    let compare = |a: &[f64; 3], b: &[f64; 3]| {
        a.iter().zip(b).map(|(x, y)| x.total_cmp(y)).find(|o| o.is_ne()).unwrap_or(std::cmp::Ordering::Equal)
    };
    let keys: Vec<[f64; 3]> = mesh.vertices.iter().map(key).collect();
    let at = |n: usize| keys.get(n).copied().unwrap_or_default();
    order.sort_by(|a, b| compare(&at(*a), &at(*b)).then(a.cmp(b)));
    let mut number = vec![0_u32; keys.len()];
    let mut vertices: Vec<Vec3> = Vec::new();
    for n in order {
        let here = Vec3::from(at(n));
        if vertices.last() != Some(&here) {
            vertices.push(here);
        }
        if let Some(slot) = number.get_mut(n) {
            *slot = u32::try_from(vertices.len() - 1).map_err(|_| MeshFault::Broken)?;
        }
    }
    let mut triangles = Vec::with_capacity(mesh.triangles.len());
    for [a, b, c] in &mesh.triangles {
        let find = |n: &u32| number.get(*n as usize).copied().ok_or(MeshFault::Broken);
        let (a, b, c) = (find(a)?, find(b)?, find(c)?);
        if a != b && b != c && c != a {
            triangles.push([a, b, c]);
        }
    }
    if triangles.is_empty() { Err(MeshFault::Empty) } else { Ok((vertices, triangles)) }
}

/// Every edge must be walked as often one way as the other; an edge walked only one way has an open side.
fn check_closed(vertices: &[Vec3], triangles: &[[u32; 3]]) -> Result<(), MeshFault> {
    let mut edges: Vec<(u32, u32, bool)> = Vec::with_capacity(triangles.len() * 3);
    for [a, b, c] in triangles {
        for (p, q) in [(a, b), (b, c), (c, a)] {
            edges.push((*p.min(q), *p.max(q), p < q));
        }
    }
    edges.sort_unstable();
    let (mut open, mut flipped) = (Vec::new(), Vec::new());
    for group in edges.chunk_by(|x, y| (x.0, x.1) == (y.0, y.1)) {
        let forward = group.iter().filter(|e| e.2).count();
        if 2 * forward != group.len() {
            let list = if group.len() % 2 == 1 { &mut open } else { &mut flipped };
            list.extend(group.first().map(|e| (e.0, e.1)));
        }
    }
    let middle = |list: &[(u32, u32)]| {
        let (a, b) = list.first().copied()?;
        Some((vertices.get(a as usize)? + vertices.get(b as usize)?) * 0.5)
    };
    if let Some(at) = middle(&open) {
        return Err(MeshFault::Open { edges: open.len(), at });
    }
    if let Some(at) = middle(&flipped) {
        return Err(MeshFault::Flipped { edges: flipped.len(), at });
    }
    Ok(())
}

/// Six times the volume inside.
fn six_volumes(vertices: &[Vec3], triangles: &[[u32; 3]]) -> f64 {
    let Some(origin) = vertices.first() else { return 0.0 };
    triangles
        .iter()
        .filter_map(|t| corners(vertices, *t))
        .map(|[a, b, c]| (a - origin).dot(&(b - origin).cross(&(c - origin))))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A cube from 0 to 2, its twelve triangles with corners of their own as an STL file has them.
    fn cube() -> Mesh {
        let quads = [
            [[0, 0, 0], [0, 2, 0], [2, 2, 0], [2, 0, 0]],
            [[0, 0, 2], [2, 0, 2], [2, 2, 2], [0, 2, 2]],
            [[0, 0, 0], [2, 0, 0], [2, 0, 2], [0, 0, 2]],
            [[0, 2, 0], [0, 2, 2], [2, 2, 2], [2, 2, 0]],
            [[0, 0, 0], [0, 0, 2], [0, 2, 2], [0, 2, 0]],
            [[2, 0, 0], [2, 2, 0], [2, 2, 2], [2, 0, 2]],
        ];
        let mut mesh = Mesh { vertices: Vec::new(), triangles: Vec::new() };
        for q in quads {
            for corners in [[q[0], q[1], q[2]], [q[0], q[2], q[3]]] {
                let n = u32::try_from(mesh.vertices.len()).unwrap();
                mesh.vertices.extend(corners.map(|c| Vec3::from(c.map(f64::from))));
                mesh.triangles.push([n, n + 1, n + 2]);
            }
        }
        mesh
    }

    fn spans(solid: &MeshSolid, axis: Axis, u: f64, v: f64) -> Vec<(f64, f64)> {
        let mut out = Spans::new();
        solid.spans(axis, u, v, &mut out);
        out.to_vec()
    }

    #[test]
    fn lines_through_faces_diagonals_edges_and_corners() {
        let solid = MeshSolid::new(&cube()).unwrap();
        assert!((solid.volume() - 8.0).abs() < 1e-12);
        for axis in Axis::ALL {
            // The diagonals of the faces run through (1, 1): a line there meets the edge of two triangles.
            for (u, v) in [(0.3, 1.7), (1.0, 1.0), (0.5, 0.5), (1.5, 0.5)] {
                assert_eq!(spans(&solid, axis, u, v), [(0.0, 2.0)], "{axis:?} {u} {v}");
            }
            assert!(spans(&solid, axis, 2.1, 1.0).is_empty());
            let mut top = Vec3::repeat(0.3);
            axis.set(&mut top, 2.0);
            let up = solid.normal_at(axis, &top).unwrap();
            assert!((axis.of(&up) - 1.0).abs() < 1e-12 && (up.norm() - 1.0).abs() < 1e-12);
            assert_eq!(solid.normal_at(axis, &Vec3::repeat(5.0)), None);
            // On the border a line is in or out, but never half through.
            for (u, v) in [(0.0, 1.0), (2.0, 1.0), (1.0, 0.0), (1.0, 2.0), (0.0, 0.0), (2.0, 2.0)] {
                let found = spans(&solid, axis, u, v);
                assert!(found.is_empty() || found == [(0.0, 2.0)], "{axis:?} {u} {v} {found:?}");
            }
        }
        assert!(solid.contains(&Vec3::new(1.0, 1.0, 1.9)) && !solid.contains(&Vec3::new(1.0, 1.0, 2.1)));
    }

    #[test]
    fn a_mesh_turned_inside_out_is_the_same_solid() {
        let mut mesh = cube();
        for [_, b, c] in &mut mesh.triangles {
            std::mem::swap(b, c);
        }
        let solid = MeshSolid::new(&mesh).unwrap();
        assert_eq!(spans(&solid, Axis::Z, 0.7, 0.2), [(0.0, 2.0)]);
    }

    #[test]
    fn two_shells_make_two_spans() {
        let mut mesh = cube();
        let upper = cube();
        let n = u32::try_from(mesh.vertices.len()).unwrap();
        mesh.vertices.extend(upper.vertices.iter().map(|v| v + Vec3::new(0.5, 0.0, 5.0)));
        mesh.triangles.extend(upper.triangles.iter().map(|t| t.map(|c| c + n)));
        let solid = MeshSolid::new(&mesh).unwrap();
        assert_eq!(spans(&solid, Axis::Z, 1.0, 1.0), [(0.0, 2.0), (5.0, 7.0)]);
        assert_eq!(spans(&solid, Axis::Z, 0.2, 1.0), [(0.0, 2.0)]);
    }

    #[test]
    fn what_is_no_solid_says_why() {
        let mut open = cube();
        open.triangles.pop();
        assert!(matches!(MeshSolid::new(&open), Err(MeshFault::Open { edges: 3, .. })));
        let mut flipped = cube();
        flipped.triangles[0].swap(1, 2);
        assert!(matches!(MeshSolid::new(&flipped), Err(MeshFault::Flipped { edges: 3, .. })));
        let empty = Mesh { vertices: Vec::new(), triangles: Vec::new() };
        assert_eq!(MeshSolid::new(&empty).err(), Some(MeshFault::Empty));
        let mut broken = cube();
        broken.triangles[0][0] = 999;
        assert_eq!(MeshSolid::new(&broken).err(), Some(MeshFault::Broken));
        let mut not_a_number = cube();
        not_a_number.vertices[0].x = f64::NAN;
        assert_eq!(MeshSolid::new(&not_a_number).err(), Some(MeshFault::Broken));
    }
}
