use crate::geom::Vec3;
use crate::job::text::{At, Reports};
use crate::job::{Mesh, kinds};
use crate::units::Unit;
use std::collections::BTreeMap;
use std::io::Cursor;

/// Bytes before the triangles of a binary STL file: a header and the count.
const HEAD: usize = 84;
/// Bytes of a triangle in a binary STL file.
const TRIANGLE: usize = 50;

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
    let triangles = match read(bytes) {
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
    let open = open_edges(&mesh);
    if open > 0 || mesh.triangles.is_empty() {
        let message = match open {
            0 => format!("{name} holds no triangle with an area"),
            n => format!("{name} does not enclose a solid: {n} edges of its triangles have no partner"),
        };
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

type Corners = [[f32; 3]; 3];

fn read(bytes: &[u8]) -> Result<Vec<Corners>, String> {
    let count = bytes.get(80..HEAD).and_then(|b| <[u8; 4]>::try_from(b).ok()).map(u32::from_le_bytes);
    let count = count.and_then(|n| usize::try_from(n).ok());
    let is_binary = count.and_then(|n| n.checked_mul(TRIANGLE)).is_some_and(|n| n + HEAD == bytes.len());
    // Some binary files begin with the word that marks a text file, so the length decides first.
    let mut cursor = Cursor::new(bytes);
    let mut triangles = Vec::new();
    if is_binary {
        for chunk in bytes.get(HEAD..).unwrap_or(&[]).chunks_exact(TRIANGLE) {
            triangles.push(binary_triangle(chunk).ok_or("a triangle is cut short")?);
        }
    } else if bytes.trim_ascii_start().starts_with(b"solid") {
        for triangle in stl_io::create_stl_reader(&mut cursor).map_err(|e| e.to_string())? {
            let triangle = triangle.map_err(|e| e.to_string())?;
            triangles.push(triangle.vertices.map(|v| v.0));
        }
    } else {
        return Err("it is neither text nor binary of the right length".to_owned());
    }
    let finite = triangles.iter().flatten().flatten().all(|c| c.is_finite() && c.abs() < 1.0e5);
    if finite { Ok(triangles) } else { Err("a coordinate is not a number, or beyond 100000".to_owned()) }
}

/// Normals are of no interest: the order of the corners says which side is outside.
fn binary_triangle(bytes: &[u8]) -> Option<Corners> {
    let mut corners = [[0.0; 3]; 3];
    let numbers = bytes.get(12..48)?.chunks_exact(4);
    for (slot, number) in corners.iter_mut().flatten().zip(numbers) {
        *slot = f32::from_le_bytes(number.try_into().ok()?);
    }
    Some(corners)
}

/// Merges equal points and leaves out triangles of which two corners are the same.
fn merged(triangles: &[Corners], unit: Unit, origin: Vec3) -> Mesh {
    let mut index_of: BTreeMap<[u32; 3], u32> = BTreeMap::new();
    let mut mesh = Mesh { vertices: Vec::new(), triangles: Vec::new() };
    for corners in triangles {
        let triangle = corners.map(|c| {
            // Adding 0 makes minus zero the same point as zero.
            let key = c.map(|v| (v + 0.0).to_bits());
            *index_of.entry(key).or_insert_with(|| {
                mesh.vertices.push(Vec3::from(c.map(|v| unit.to_mm_exact(as_written(v)))) + origin);
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

/// The decimal number that a single-precision number stands for: 0.9, where its exact value is 0.899999976. Both
/// lie within its rounding; the decimal is the one that was meant.
fn as_written(v: f32) -> f64 {
    v.to_string().parse().unwrap_or_else(|_| f64::from(v))
}

/// How many directed edges have no partner that runs the other way.
fn open_edges(mesh: &Mesh) -> usize {
    let mut balance: BTreeMap<(u32, u32), i64> = BTreeMap::new();
    for [a, b, c] in &mesh.triangles {
        for (from, to) in [(a, b), (b, c), (c, a)] {
            let (key, sense) = if from < to { ((*from, *to), 1) } else { ((*to, *from), -1) };
            *balance.entry(key).or_insert(0) += sense;
        }
    }
    balance.values().filter(|n| **n != 0).count()
}

/// Six times the volume enclosed, cubic millimetres; negative when the mesh is inside out.
fn six_volumes(mesh: &Mesh) -> f64 {
    let middle = mesh.bounds().center();
    let corner = |i: u32| usize::try_from(i).ok().and_then(|i| mesh.vertices.get(i)).map(|v| v - middle);
    let volumes =
        mesh.triangles.iter().filter_map(|[a, b, c]| Some(corner(*a)?.dot(&corner(*b)?.cross(&corner(*c)?))));
    volumes.sum()
}
