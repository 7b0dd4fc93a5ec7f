use super::Bounds;
use glam::{Mat4, Vec3};
use proofcut_core::geom::{Frame, Vec3 as Exact};
use std::sync::Arc;

/// Bytes of a vertex: three coordinates and one word for normal and tint.
pub const VERTEX_BYTES: usize = 16;

/// Most triangles of one mesh, so that its buffers stay small enough for every driver.
pub(super) const MOST_TRIANGLES: usize = 1_000_000;

/// A surface: crisp where vertices at one place have several normals. Never empty of meaning: corners exist.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Vertices: X, Y, Z as bits of `f32`, then the word of [`Mesh::word`].
    pub vertices: Vec<[u32; 4]>,
    /// Corners, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
    /// The smallest box around it.
    pub bounds: Bounds,
}

impl Default for Bounds {
    fn default() -> Self {
        Self::EMPTY
    }
}

/// Steps of each of the two coordinates of a normal: 11 bits, an even number so that 0 is one of them; a normal is right to 0.12 degrees.
const NORMAL_STEPS: f32 = 2046.0;

impl Mesh {
    /// Highest tint that a vertex can have.
    pub const MOST_TINT: u16 = 1023;

    /// Normal and tint in one word: bits 0 to 10 and 11 to 21 the normal on an unfolded octahedron (Q. Meyer and
    /// others, "On Floating-Point Normal Vectors", 2010), bits 22 to 31 the tint.
    pub fn word(normal: Vec3, tint: u16) -> u32 {
        let n = normal / (normal.x.abs() + normal.y.abs() + normal.z.abs()).max(1.0e-12);
        let fold = |a: f32, b: f32| (1.0 - b.abs()) * if a < 0.0 { -1.0 } else { 1.0 };
        let (u, v) = if n.z >= 0.0 { (n.x, n.y) } else { (fold(n.x, n.y), fold(n.y, n.x)) };
        let (u, v) = (steps(u), steps(v));
        u | v << 11 | u32::from(tint.min(Self::MOST_TINT)) << 22
    }

    /// The normal of a word, a unit vector.
    pub fn normal_of(word: u32) -> Vec3 {
        let part = |bits: u32| {
            let steps = f32::from(u16::try_from(bits & 0x7FF).unwrap_or(0));
            steps / NORMAL_STEPS * 2.0 - 1.0
        };
        let (u, v) = (part(word), part(word >> 11));
        let z = 1.0 - u.abs() - v.abs();
        let down = (-z).max(0.0);
        let out = |a: f32| if a >= 0.0 { a - down } else { a + down };
        Vec3::new(out(u), out(v), z).normalize()
    }

    /// The tint of a word.
    pub fn tint_of(word: u32) -> u16 {
        u16::try_from(word >> 22).unwrap_or(Self::MOST_TINT)
    }

    /// Place of a vertex; the origin for a number that is none.
    pub fn point(&self, vertex: u32) -> Vec3 {
        self.vertices.get(vertex as usize).map_or(Vec3::ZERO, |[x, y, z, _]| {
            Vec3::new(f32::from_bits(*x), f32::from_bits(*y), f32::from_bits(*z))
        })
    }

    /// Corners of a triangle, as places.
    pub fn corners(&self, triangle: [u32; 3]) -> [Vec3; 3] {
        triangle.map(|v| self.point(v))
    }

    /// Bytes held.
    pub const fn bytes(&self) -> usize {
        self.vertices.capacity() * VERTEX_BYTES + self.triangles.capacity() * size_of::<[u32; 3]>()
    }

    /// Volume inside a closed mesh, mm3 (divergence theorem).
    pub fn volume(&self) -> f64 {
        let exact = |p: Vec3| p.as_dvec3();
        let of = |t: &[u32; 3]| {
            let [a, b, c] = self.corners(*t).map(exact);
            a.dot(b.cross(c)) / 6.0
        };
        self.triangles.iter().map(of).sum()
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 2046; the cast clamps")]
fn steps(x: f32) -> u32 {
    (((x + 1.0) * 0.5 * NORMAL_STEPS).round() as u32).min(2046)
}

/// Collects vertices and triangles; begins another mesh before one grows too large.
#[derive(Debug, Default)]
pub struct MeshBuilder {
    mesh: Mesh,
    done: Vec<Arc<Mesh>>,
}

impl MeshBuilder {
    /// Adds a vertex and gives its number.
    pub fn vertex(&mut self, at: Vec3, normal: Vec3, tint: u16) -> u32 {
        self.packed(at, Mesh::word(normal, tint))
    }

    /// Adds a vertex whose normal and tint are packed already.
    pub(super) fn packed(&mut self, at: Vec3, word: u32) -> u32 {
        let number = u32::try_from(self.mesh.vertices.len()).unwrap_or(u32::MAX);
        self.mesh.vertices.push([at.x.to_bits(), at.y.to_bits(), at.z.to_bits(), word]);
        self.mesh.bounds = self.mesh.bounds.with(at);
        number
    }

    /// Adds a triangle between vertices of the present mesh, counter-clockwise seen from outside.
    pub fn triangle(&mut self, corners: [u32; 3]) {
        self.mesh.triangles.push(corners);
    }

    /// Adds a flat face with four corners, counter-clockwise seen from outside.
    pub fn flat(&mut self, corners: [Vec3; 4], tint: u16) {
        let [a, b, c, _] = corners;
        let normal = (b - a).cross(c - a).normalize_or_zero();
        let [a, b, c, d] = corners.map(|p| self.vertex(p, normal, tint));
        self.triangle([a, b, c]);
        self.triangle([a, c, d]);
    }

    /// Begins another mesh when the present one could not take so many triangles more. Numbers of vertices begin anew.
    pub fn make_room(&mut self, triangles: usize) {
        if self.mesh.triangles.len() + triangles > MOST_TRIANGLES {
            self.close();
        }
    }

    fn close(&mut self) {
        let mesh = std::mem::take(&mut self.mesh);
        if !mesh.triangles.is_empty() {
            self.done.push(Arc::new(mesh));
        }
    }

    /// The meshes, none of them empty.
    pub fn finish(mut self) -> Vec<Arc<Mesh>> {
        self.close();
        self.done
    }
}

/// A vector in the numbers of pictures: to 6e-5 mm at a metre.
#[expect(
    clippy::cast_possible_truncation,
    reason = "pictures need no more; what is out of range becomes infinite"
)]
pub(crate) fn small(p: &Exact) -> Vec3 {
    Vec3::new(p.x as f32, p.y as f32, p.z as f32)
}

/// From the part frame to a setup frame.
pub(super) fn setup_from_part(frame: &Frame) -> Mat4 {
    let column = |v: Exact| small(&frame.setup_from_part_vector(&v)).extend(0.0);
    let origin = small(&frame.setup_from_part(&Exact::zeros())).extend(1.0);
    Mat4::from_cols(column(Exact::x()), column(Exact::y()), column(Exact::z()), origin)
}
