use super::mesh::{MeshFault, MeshSolid};
use crate::geom::{Axis, Box3, Vec3};
use crate::job::Mesh;

/// A closed mesh that also tells its nearest point: a tree of boxes over its triangles.
#[derive(Clone, Debug)]
pub(super) struct NearMesh {
    pub(super) solid: MeshSolid,
    triangles: Vec<[Vec3; 3]>,
    root: Node,
}

/// A box around some triangles: either their numbers or two smaller boxes.
#[derive(Clone, Debug)]
struct Node {
    bounds: Box3,
    triangles: Vec<usize>,
    halves: Option<Box<[Node; 2]>>,
}

/// Triangles that are not worth a further box.
const FEW: usize = 8;

impl NearMesh {
    /// Takes the drawing's mesh.
    ///
    /// # Errors
    /// When it is not the surface of a solid.
    pub(super) fn new(mesh: &Mesh) -> Result<Self, MeshFault> {
        let solid = MeshSolid::new(mesh)?;
        let corner = |i: u32| mesh.vertices.get(i as usize).copied();
        let triangles: Vec<[Vec3; 3]> = mesh
            .triangles
            .iter()
            .filter_map(|[a, b, c]| Some([corner(*a)?, corner(*b)?, corner(*c)?]))
            .collect();
        let root = Node::over(&triangles, (0..triangles.len()).collect());
        Ok(Self { solid, triangles, root })
    }

    /// The point of the surface that is nearest to `p`.
    pub(super) fn nearest(&self, p: &Vec3) -> Option<Vec3> {
        let mut best = None;
        self.root.search(&self.triangles, p, &mut best);
        best.map(|(_, q)| q)
    }
}

impl Node {
    fn over(all: &[[Vec3; 3]], mut own: Vec<usize>) -> Self {
        let bounds = own.iter().filter_map(|i| all.get(*i)).flatten().fold(Box3::empty(), |b, v| b.with(*v));
        if own.len() <= FEW {
            return Self { bounds, triangles: own, halves: None };
        }
        let size = bounds.size();
        let longest = Axis::ALL
            .into_iter()
            .reduce(|a, b| if b.of(&size) > a.of(&size) { b } else { a })
            .unwrap_or(Axis::X);
        let middle = |i: &usize| all.get(*i).map_or(0.0, |[a, b, c]| longest.of(&(a + b + c)));
        own.sort_by(|a, b| middle(a).total_cmp(&middle(b)).then(a.cmp(b)));
        let upper = own.split_off(own.len() / 2);
        let halves = Some(Box::new([Self::over(all, own), Self::over(all, upper)]));
        Self { bounds, triangles: Vec::new(), halves }
    }

    fn distance(&self, p: &Vec3) -> f64 {
        (self.bounds.min - p).sup(&(p - self.bounds.max)).sup(&Vec3::zeros()).norm()
    }

    fn search(&self, all: &[[Vec3; 3]], p: &Vec3, best: &mut Option<(f64, Vec3)>) {
        if best.is_some_and(|b| self.distance(p) >= b.0) {
            return;
        }
        for corners in self.triangles.iter().filter_map(|i| all.get(*i)) {
            let q = on_triangle(p, corners);
            let d = (q - p).norm();
            if best.is_none_or(|b| d < b.0) {
                *best = Some((d, q));
            }
        }
        if let Some(halves) = &self.halves {
            let [a, b] = halves.as_ref();
            let (near, far) = if b.distance(p) < a.distance(p) { (b, a) } else { (a, b) };
            near.search(all, p, best);
            far.search(all, p, best);
        }
    }
}

/// The point of a triangle that is nearest to `p`: its foot on the plane where that lies inside, otherwise on an edge.
fn on_triangle(p: &Vec3, [a, b, c]: &[Vec3; 3]) -> Vec3 {
    let normal = (b - a).cross(&(c - a));
    let square = normal.norm_squared();
    if square > 0.0 {
        let foot = p - normal * ((p - a).dot(&normal) / square);
        let inside = |from: &Vec3, to: &Vec3| (to - from).cross(&(foot - from)).dot(&normal) >= 0.0;
        if inside(a, b) && inside(b, c) && inside(c, a) {
            return foot;
        }
    }
    let on_edge = |from: &Vec3, to: &Vec3| {
        let d = to - from;
        let t = (p - from).dot(&d) / d.norm_squared();
        if t > 0.0 { from + d * t.min(1.0) } else { *from }
    };
    let nearer = |q: Vec3, r: Vec3| if (r - p).norm_squared() < (q - p).norm_squared() { r } else { q };
    nearer(nearer(on_edge(a, b), on_edge(b, c)), on_edge(c, a))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tree_finds_what_a_walk_over_all_triangles_finds() {
        let mesh = super::super::sample::block_mesh([0.0; 3], [4.0, 3.0, 2.0], 6);
        let near = NearMesh::new(&mesh).expect("closed");
        for i in 0..400 {
            let k = f64::from(i);
            let p = Vec3::new(
                (k * 0.37).rem_euclid(6.0) - 1.0,
                (k * 0.53).rem_euclid(5.0) - 1.0,
                (k * 0.71).rem_euclid(4.0) - 1.0,
            );
            let out = Vec3::new((p.x - 4.0).max(-p.x), (p.y - 3.0).max(-p.y), (p.z - 2.0).max(-p.z));
            // Distance to the surface of a block: outside by its corner box, inside by the nearest face.
            let truth = if out.max() > 0.0 { out.sup(&Vec3::zeros()).norm() } else { -out.max() };
            let found = near.nearest(&p).expect("a surface");
            assert!(((found - p).norm() - truth).abs() < 1e-12, "{p:?}");
        }
    }
}
