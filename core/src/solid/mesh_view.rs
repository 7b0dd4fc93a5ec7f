use super::mesh::corners;
use crate::geom::{Axis, Box3, Vec3};

/// Triangles in square bins, as seen along one axis.
#[derive(Clone, Debug)]
pub(super) struct View {
    low: (f64, f64),
    /// Bins per millimetre.
    scale: (f64, f64),
    bins: (u32, u32),
    /// Where each bin's triangles begin in `triangles`; one more at the end.
    starts: Vec<u32>,
    triangles: Vec<u32>,
}

/// Most bins along one side.
const MOST_BINS: f64 = 512.0;

impl View {
    /// Sorts triangles into bins.
    pub(super) fn new(axis: Axis, bounds: &Box3, vertices: &[Vec3], triangles: &[[u32; 3]]) -> Self {
        let (first, second) = axis.others();
        let low = (first.of(&bounds.min), second.of(&bounds.min));
        let size = (first.of(&bounds.max) - low.0, second.of(&bounds.max) - low.1);
        #[expect(clippy::cast_precision_loss, reason = "only a guess at a good number of bins")]
        let side = (triangles.len() as f64).sqrt().clamp(1.0, MOST_BINS);
        let count = index(side, 512);
        let per = |length: f64| if length > 0.0 { f64::from(count) / length } else { 0.0 };
        let mut view = Self {
            low,
            scale: (per(size.0), per(size.1)),
            bins: (count, count),
            starts: vec![0; (count * count) as usize + 1],
            triangles: Vec::new(),
        };
        let boxes: Vec<[(u32, u32); 2]> = triangles
            .iter()
            .map(|t| {
                let b = corners(vertices, *t)
                    .map_or_else(Box3::empty, |c| c.iter().fold(Box3::empty(), |b, p| b.with(*p)));
                let bin = |p: &Vec3| view.bin(first.of(p), second.of(p));
                [bin(&b.min), bin(&b.max)]
            })
            .collect();
        view.fill(&boxes);
        view
    }

    /// Counts, then places: each bin's triangles end up together, in ascending order.
    fn fill(&mut self, boxes: &[[(u32, u32); 2]]) {
        let columns = self.bins.0;
        let each = |b: &[(u32, u32); 2]| {
            let [low, high] = *b;
            (low.1..=high.1).flat_map(move |y| (low.0..=high.0).map(move |x| (y * columns + x) as usize))
        };
        for bin in boxes.iter().flat_map(each) {
            if let Some(n) = self.starts.get_mut(bin + 1) {
                *n += 1;
            }
        }
        let mut total = 0;
        for n in &mut self.starts {
            total += *n;
            *n = total;
        }
        self.triangles = vec![0; total as usize];
        let mut next = self.starts.clone();
        for (t, b) in (0..).zip(boxes) {
            for bin in each(b) {
                if let Some(n) = next.get_mut(bin) {
                    if let Some(slot) = self.triangles.get_mut(*n as usize) {
                        *slot = t;
                    }
                    *n += 1;
                }
            }
        }
    }

    fn bin(&self, u: f64, v: f64) -> (u32, u32) {
        let of = |x: f64, low: f64, scale: f64, n: u32| index((x - low) * scale, n.saturating_sub(1));
        (of(u, self.low.0, self.scale.0, self.bins.0), of(v, self.low.1, self.scale.1, self.bins.1))
    }

    /// Triangles that a line through `(u, v)` may cross.
    pub(super) fn at(&self, u: f64, v: f64) -> &[u32] {
        let (x, y) = self.bin(u, v);
        let bin = (y * self.bins.0 + x) as usize;
        let start = self.starts.get(bin).copied().unwrap_or(0) as usize;
        let end = self.starts.get(bin + 1).copied().unwrap_or(0) as usize;
        self.triangles.get(start..end).unwrap_or_default()
    }
}

/// Floor of a number as an index, clamped to `0..=limit`; NaN gives 0.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just before")]
fn index(x: f64, limit: u32) -> u32 {
    x.floor().clamp(0.0, f64::from(limit)) as u32
}
