use super::owner::Owners;
use crate::cutting::History;
use crate::geom::{Axis, Vec3};
use crate::stock::CutId;
use crate::units::NM_PER_MM;

/// The faces that belong to one block of lattice cells, with all the vertices that they need: it can be drawn by itself.
///
/// Vertices on the border of a block are held by its neighbours too, at exactly the same place.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SurfaceBlock {
    /// Places of the vertices, whole nanometres, part frame.
    pub points: Vec<[i32; 3]>,
    /// The faces.
    pub faces: Vec<Face>,
    /// For each vertex its cell and sheet, the same number in no other vertex of the block, ascending but for the last few.
    pub(super) keys: Vec<u32>,
    /// Cells of its own through which the surface passes.
    pub(super) cells: u32,
}

/// A face with four corners, two triangles: corners 0, 1, 2 and 0, 2, 3, counter-clockwise seen from outside. Where
/// the last two corners are the same it is one triangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Face {
    /// Corners, indices into [`SurfaceBlock::points`].
    pub corners: [u32; 4],
    /// Who cut the face.
    pub by: CutId,
    /// Exact outward normal at one point of the face, in parts of [`Face::ONE`].
    pub normal: [i16; 3],
}

/// Largest angle, cosine, between the normal of a face and the normal of its cut at one of its corners, for the latter
/// to be taken for shading: 30 degrees. Beyond, the corner lies on an edge of the same cut.
const SAME_FACE: f64 = 0.866;

/// True when the angle between two packed normals is less than that.
fn fits(a: [i16; 3], b: [i16; 3]) -> bool {
    let one = f64::from(Face::ONE);
    let product: f64 = a.iter().zip(b).map(|(a, b)| f64::from(*a) * f64::from(b)).sum();
    product > SAME_FACE * one * one
}

/// How far inside a face, of the way from a corner to the middle, its normal is looked for when the corner tells another.
const INSIDE: f64 = 0.05;

impl Face {
    /// What stands for 1 in a normal.
    pub const ONE: i16 = i16::MAX;

    /// Its triangles.
    pub fn triangles(&self) -> impl Iterator<Item = [u32; 3]> + use<> {
        let [a, b, c, d] = self.corners;
        std::iter::once([a, b, c]).chain((c != d).then_some([a, c, d]))
    }

    /// The normal as a unit vector, to 3e-5.
    pub fn normal(&self) -> Vec3 {
        let [x, y, z] = self.normal.map(f64::from);
        Vec3::new(x, y, z).normalize()
    }
}

impl SurfaceBlock {
    /// True when no surface passes through the block.
    pub const fn is_empty(&self) -> bool {
        self.faces.is_empty()
    }

    /// Number of lattice cells of the block through which the surface passes.
    pub const fn cells(&self) -> u32 {
        self.cells
    }

    /// Place of a vertex, mm, part frame; the part's zero for a number that is none.
    pub fn point(&self, vertex: u32) -> Vec3 {
        self.points.get(vertex as usize).map_or_else(Vec3::zeros, mm)
    }

    /// For each face the normals at its corners, for shading: the exact normal of the face's cut there. So faces of one
    /// cut, or of cuts that run smoothly into each other, look smooth, also across blocks, and edges stay crisp. Where
    /// the cut tells none that fits, the face's own.
    pub fn corner_normals(&self, history: &History) -> Vec<[[i16; 3]; 4]> {
        let mut owners = Owners::new(history);
        let mut normals = Vec::with_capacity(self.faces.len());
        // What a cut told at a point it tells all its faces there.
        let mut told: Vec<(CutId, [i16; 3])> = vec![(CutId::RAW, [0; 3]); self.points.len()];
        for face in &self.faces {
            let mut at_corners = [face.normal; 4];
            for (normal, corner) in at_corners.iter_mut().zip(face.corners) {
                let Some(known) = told.get_mut(corner as usize) else { continue };
                if known.0 == face.by && fits(known.1, face.normal) {
                    *normal = known.1;
                } else if let Some(n) = self.normal_at_corner(face, corner, &mut owners) {
                    *normal = n;
                    *known = (face.by, n);
                }
            }
            normals.push(at_corners);
        }
        normals
    }

    /// The normal of a face's cut at one of its corners; `None` where the cut tells none that fits.
    fn normal_at_corner(&self, face: &Face, corner: u32, owners: &mut Owners<'_>) -> Option<[i16; 3]> {
        let [x, y, z] = face.normal.map(i16::unsigned_abs);
        let steepest = if x >= y && x >= z {
            Axis::X
        } else if y >= z {
            Axis::Y
        } else {
            Axis::Z
        };
        let at = self.point(corner);
        let mut tell = |at: &Vec3| {
            owners.normal(face.by, steepest, at).map(|n| packed(&n)).filter(|n| fits(*n, face.normal))
        };
        // On an edge the cut may tell the normal of its other face: then look a little inside this one.
        tell(&at).or_else(|| {
            let middle = face.corners.iter().map(|c| self.point(*c)).sum::<Vec3>() / 4.0;
            tell(&(at + (middle - at) * INSIDE))
        })
    }

    /// Bytes held.
    pub const fn bytes(&self) -> usize {
        self.points.capacity() * size_of::<[i32; 3]>()
            + self.faces.capacity() * size_of::<Face>()
            + self.keys.capacity() * size_of::<u32>()
    }
}

/// A place in millimetres.
pub(super) fn mm(nm: &[i32; 3]) -> Vec3 {
    let [x, y, z] = nm.map(|c| f64::from(c) / NM_PER_MM);
    Vec3::new(x, y, z)
}

/// A unit vector in parts of [`Face::ONE`].
pub(super) fn packed(n: &Vec3) -> [i16; 3] {
    let one = f64::from(Face::ONE);
    [rounded(n.x * one), rounded(n.y * one), rounded(n.z * one)]
}

#[expect(clippy::cast_possible_truncation, reason = "a part of a unit vector; the cast clamps")]
fn rounded(x: f64) -> i16 {
    (x + 0.5_f64.copysign(x)) as i16
}
