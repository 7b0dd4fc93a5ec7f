use super::stl::{Corners, triangles};
use crate::geom::Vec3;
use crate::job::text::{At, Reports};
use crate::job::{Mesh, kinds};
use crate::units::Unit;
use std::collections::BTreeMap;

/// Reads an STL file, text or binary, merges equal corner points, and makes sure that it encloses a solid. `at`:
/// where the file is named. Coordinates are in `unit`; `origin`, in millimetres, is added.
pub(super) fn mesh(
    name: &str,
    bytes: &[u8],
    unit: Unit,
    origin: Vec3,
    at: &At,
    reports: &mut Reports,
) -> Option<Mesh> {
    let triangles = match triangles(bytes) {
        Ok(triangles) => triangles,
        Err(why) => {
            let message = format!("{name} is not a sound STL file: {why}");
            reports.fault(
                kinds::MESH_NOT_READ,
                at,
                message,
                "",
                "export the mesh again as STL, text or binary",
            );
            return None;
        }
    };
    let mut mesh = merged(&triangles, unit, origin);
    let problem = match open_edges(&mesh) {
        (0, _) if mesh.triangles.is_empty() => Some(format!("{name} holds no triangle with an area")),
        (0, _) => None,
        (edges, first) => {
            let number = |axis: f64| unit.number(axis);
            let near = first.map_or(String::new(), |p| {
                format!(", the first near X{} Y{} Z{}", number(p.x), number(p.y), number(p.z))
            });
            Some(format!(
                "{name} does not enclose a solid: {edges} edges of its triangles have no partner{near}"
            ))
        }
    };
    if let Some(message) = problem {
        let help = "export a closed solid, all triangles counter-clockwise seen from outside";
        reports.fault(kinds::MESH_NOT_CLOSED, at, message, "", help);
        return None;
    }
    if six_volumes(&mesh) < 0.0 {
        // A closed surface has only one inside; that the corners run the other way round loses nothing.
        for [_, b, c] in &mut mesh.triangles {
            std::mem::swap(b, c);
        }
        let message = format!("{name} is inside out; its triangles were turned over");
        reports.warn(kinds::MESH_NOT_CLOSED, at, message, "", "export it with its normals outwards");
    }
    Some(mesh)
}

/// Merges equal points and leaves out triangles of which two corners are the same.
fn merged(triangles: &[Corners], unit: Unit, origin: Vec3) -> Mesh {
    let mut index_of: BTreeMap<[u64; 3], u32> = BTreeMap::new();
    let mut mesh = Mesh { vertices: Vec::new(), triangles: Vec::new() };
    for corners in triangles {
        let triangle = corners.map(|c| {
            // Adding 0 makes minus zero the same point as zero.
            let key = c.map(|v| (v + 0.0).to_bits());
            *index_of.entry(key).or_insert_with(|| {
                mesh.vertices.push(Vec3::from(c.map(|v| unit.to_mm_exact(v))) + origin);
                u32::try_from(mesh.vertices.len() - 1).unwrap_or(u32::MAX)
            })
        });
        let [a, b, c] = triangle;
        if a != b && b != c && c != a {
            mesh.triangles.push(triangle);
        }
    }
    mesh
}

/// How many edges are not run through equally often both ways, and the middle of the first of them.
fn open_edges(mesh: &Mesh) -> (usize, Option<Vec3>) {
    let mut balance: BTreeMap<(u32, u32), i64> = BTreeMap::new();
    for [a, b, c] in &mesh.triangles {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let (key, sense) = if from < to { ((*from, *to), 1) } else { ((*to, *from), -1) };
            *balance.entry(key).or_insert(0) += sense;
        }
    }
    let mut open = balance.iter().filter(|(_, n)| **n != 0).map(|(edge, _)| *edge);
    let first = open.next();
    let middle = first.and_then(|(a, b)| Some((corner(mesh, a)? + corner(mesh, b)?) * 0.5));
    (usize::from(first.is_some()) + open.count(), middle)
}

fn corner(mesh: &Mesh, index: u32) -> Option<Vec3> {
    usize::try_from(index).ok().and_then(|i| mesh.vertices.get(i)).copied()
}

/// Six times the volume enclosed, cubic millimetres; negative when the mesh is inside out.
fn six_volumes(mesh: &Mesh) -> f64 {
    let middle = mesh.bounds().center();
    let corner = |i: u32| usize::try_from(i).ok().and_then(|i| mesh.vertices.get(i)).map(|v| v - middle);
    let volumes =
        mesh.triangles.iter().filter_map(|[a, b, c]| Some(corner(*a)?.dot(&corner(*b)?.cross(&corner(*c)?))));
    volumes.sum()
}
