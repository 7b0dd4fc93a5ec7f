use crate::geom::{Axis, Box3, Vec3};
use crate::job::Mesh;
use crate::solid::MeshSolid;

/// Triangles of a mesh in a tree of boxes, so that only those near a tool are looked at.
#[derive(Clone, Debug)]
pub(super) struct Tree {
    triangles: Vec<[Vec3; 3]>,
    nodes: Vec<Node>,
    /// The mesh as rays meet it; `None` when it is not closed.
    closed: Option<MeshSolid>,
}

#[derive(Clone, Debug)]
struct Node {
    bounds: Box3,
    /// First triangle and one past the last, for a leaf.
    triangles: (usize, usize),
    /// Index of the first of two children, for a branch.
    children: Option<(usize, usize)>,
}

/// Triangles in a leaf: looking at four boxes costs about as much as one triangle.
const IN_LEAF: usize = 4;

impl Tree {
    pub(super) fn new(mesh: &Mesh) -> Self {
        let corner = |i: u32| usize::try_from(i).ok().and_then(|i| mesh.vertices.get(i)).copied();
        let mut triangles: Vec<[Vec3; 3]> = mesh
            .triangles
            .iter()
            .filter_map(|[a, b, c]| Some([corner(*a)?, corner(*b)?, corner(*c)?]))
            .collect();
        let mut nodes = Vec::new();
        let count = triangles.len();
        if count > 0 {
            build(&mut triangles, 0, count, &mut nodes);
        }
        Self { triangles, nodes, closed: MeshSolid::new(mesh).ok() }
    }

    /// Middle of the box around it.
    pub(super) fn center(&self) -> Vec3 {
        self.nodes.first().map_or_else(Vec3::zeros, |n| n.bounds.center())
    }

    /// Least distance over all triangles nearer than `cutoff` to a box, by a judge that is given a triangle and the best
    /// so far. Gives the distance (`cutoff` when none is nearer) and the nearest point.
    pub(super) fn nearest(
        &self,
        around: &Box3,
        cutoff: f64,
        judge: impl Fn([Vec3; 3], f64) -> (f64, Vec3),
    ) -> (f64, Vec3) {
        let mut best = (cutoff, around.center());
        let mut open: Vec<usize> = if self.nodes.is_empty() { Vec::new() } else { vec![0] };
        while let Some(node) = open.pop().and_then(|i| self.nodes.get(i)) {
            if super::between_boxes(&node.bounds, around) >= best.0 {
                continue;
            }
            if let Some((left, right)) = node.children {
                open.extend(self.nearer_last(left, right, around));
                continue;
            }
            for triangle in self.triangles.get(node.triangles.0..node.triangles.1).unwrap_or_default() {
                let found = judge(*triangle, best.0);
                if found.0 < best.0 {
                    best = found;
                }
            }
            if best.0 <= 0.0 {
                break;
            }
        }
        best
    }

    fn nearer_last(&self, left: usize, right: usize, around: &Box3) -> [usize; 2] {
        let distance =
            |i: usize| self.nodes.get(i).map_or(f64::INFINITY, |n| super::between_boxes(&n.bounds, around));
        if distance(left) <= distance(right) { [right, left] } else { [left, right] }
    }

    /// Is the point inside the mesh?
    ///
    /// For a mesh that is not closed by the angle that the surface fills seen from the point (A. van Oosterom and
    /// J. Strackee, "The solid angle of a plane triangle", IEEE Trans. Biomedical Engineering 30, 1983): a full turn
    /// inside, nothing outside. More than a quarter counts as inside, so that an open mesh errs towards a collision.
    pub(super) fn holds(&self, p: &Vec3) -> bool {
        if !self.nodes.first().is_some_and(|n| n.bounds.contains(p)) {
            return false;
        }
        if let Some(solid) = &self.closed {
            return solid.contains(p);
        }
        let turn: f64 = self
            .triangles
            .iter()
            .map(|[a, b, c]| {
                let (a, b, c) = (a - p, b - p, c - p);
                let (la, lb, lc) = (a.norm(), b.norm(), c.norm());
                let over = a.dot(&b.cross(&c));
                let under = la * lb * lc + a.dot(&b) * lc + b.dot(&c) * la + c.dot(&a) * lb;
                2.0 * libm::atan2(over, under)
            })
            .sum();
        turn.abs() > std::f64::consts::PI
    }
}

fn build(triangles: &mut [[Vec3; 3]], first: usize, last: usize, nodes: &mut Vec<Node>) -> usize {
    let here = triangles.get_mut(first..last).unwrap_or_default();
    let bounds = here.iter().flatten().fold(Box3::empty(), |b, p| b.with(*p));
    let index = nodes.len();
    nodes.push(Node { bounds, triangles: (first, last), children: None });
    let count = last - first;
    if count > IN_LEAF {
        let size = bounds.size();
        let axis = Axis::ALL.into_iter().fold(Axis::X, |a, b| if b.of(&size) > a.of(&size) { b } else { a });
        let key = |t: &[Vec3; 3]| t.iter().map(|p| axis.of(p)).sum::<f64>();
        here.sort_by(|a, b| key(a).total_cmp(&key(b)));
        let half = first + count / 2;
        let left = build(triangles, first, half, nodes);
        let right = build(triangles, half, last, nodes);
        if let Some(node) = nodes.get_mut(index) {
            node.children = Some((left, right));
        }
    }
    index
}
