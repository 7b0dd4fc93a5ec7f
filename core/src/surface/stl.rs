use super::mesh::SurfaceMesh;
use crate::geom::Vec3;
use crate::units::Unit;
use std::collections::BTreeSet;

/// Bytes before the first triangle, and of each.
const HEAD: usize = 84;
const EACH: usize = 50;

/// Length of the free text at the start.
const TEXT: usize = 80;

impl SurfaceMesh {
    /// The mesh as a binary STL file in a unit of length, part frame: 80 bytes of text, the number of triangles, then for each its
    /// normal and corners in single precision, low byte first. `text` is cut to 80 bytes.
    ///
    /// A single-precision number is within 4 nm of the place up to 128 mm from the part's zero, 60 nm up to 2 m. Vertices that
    /// would fall together are moved apart by the least step of such numbers, since readers join corners by their places.
    pub fn stl(&self, text: &str, unit: Unit) -> Vec<u8> {
        let places = self.single_places(unit);
        let mut out = Vec::with_capacity(HEAD + EACH * self.triangles.len());
        // A file that begins with `solid` could be taken for the text form.
        let text = text.bytes().filter(u8::is_ascii).take(TEXT);
        out.extend(text);
        out.resize(TEXT, b' ');
        out.extend(u32::try_from(self.triangles.len()).unwrap_or(u32::MAX).to_le_bytes());
        for t in &self.triangles {
            let corners = t.map(|i| places.get(i as usize).copied().unwrap_or_default());
            let [a, b, c] = corners.map(|p| Vec3::from(p.map(f64::from)));
            let normal = (b - a).cross(&(c - a)).try_normalize(0.0).unwrap_or_default();
            for number in [single(normal.x), single(normal.y), single(normal.z)] {
                out.extend(number.to_le_bytes());
            }
            for number in corners.into_iter().flatten() {
                out.extend(number.to_le_bytes());
            }
            out.extend([0, 0]);
        }
        out
    }

    /// Places in single precision, no two the same.
    fn single_places(&self, unit: Unit) -> Vec<[f32; 3]> {
        let mut taken = BTreeSet::new();
        let numbers = 0..u32::try_from(self.points.len()).unwrap_or(u32::MAX);
        numbers
            .map(|i| {
                let p = self.point(i).map(|c| unit.from_mm(c));
                let mut place = [single(p.x), single(p.y), single(p.z)];
                while !taken.insert(place.map(f32::to_bits)) {
                    place[2] = place[2].next_up();
                }
                place
            })
            .collect()
    }
}

/// Nearest single-precision number, without a sign on zero.
#[expect(clippy::cast_possible_truncation, reason = "rounding is what single precision is")]
fn single(x: f64) -> f32 {
    x as f32 + 0.0
}
