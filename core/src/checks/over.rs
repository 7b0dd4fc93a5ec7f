use super::distance::{Shape, nearest_on_path};
use crate::cutter::Part;
use crate::geom::{Arc, Box3, Path, Vec3};

/// The lowest point of a tool over a piece of workholding. Setup frame, millimetres.
///
/// A tool is over a piece while the piece's shadow in the XY plane comes under the tool's widest cutting or shank
/// radius, widened by the job's clearance. Of several equally low places the one with the least clearance counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Lowest {
    /// Index of the piece.
    pub piece: usize,
    /// The move.
    pub move_index: usize,
    /// Tip of the tool there: where to jog to.
    pub tip: Vec3,
    /// Distance between the whole assembly, holder too, and the piece there; never more than the truth, 0 when they
    /// touch.
    pub clearance: f64,
}

/// Heights that differ by less than this, millimetres, are equally low.
const SAME_HEIGHT: f64 = 1.0e-6;
/// Longest piece of an arc whose chord tells where it is over a solid, radians: off by 3e-4 of the radius, by which the
/// solid's shadow is widened.
const CHORD: f64 = 0.05;
/// Most pieces of one arc.
const MOST_CHORDS: f64 = 100_000.0;

impl Lowest {
    /// Lower, or as low and nearer.
    pub(super) fn is_lower_than(&self, other: &Self) -> bool {
        if (self.tip.z - other.tip.z).abs() <= SAME_HEIGHT {
            return self.clearance < other.clearance;
        }
        self.tip.z < other.tip.z
    }
}

/// Takes a path into account. `shadow`: radius within which a piece counts as under the tool.
pub(super) fn lowest_over(
    known: &mut Option<Lowest>,
    parts: &[Part],
    shadow: f64,
    shape: &Shape,
    path: &Path,
    index: usize,
) {
    let tips = path.bounds();
    if known.as_ref().is_some_and(|k| tips.min.z > k.tip.z + SAME_HEIGHT)
        || !may_be_over(&tips, shadow, shape)
    {
        return;
    }
    let mut look = Look { known, parts, shadow, shape, index };
    match path {
        Path::Line { .. } => look.piece(path, 0.0),
        Path::Arc(arc) => look.arc(path, arc),
    }
}

fn may_be_over(tips: &Box3, shadow: f64, shape: &Shape) -> bool {
    let b = shape.bounds();
    tips.min.x - shadow <= b.max.x
        && b.min.x <= tips.max.x + shadow
        && tips.min.y - shadow <= b.max.y
        && b.min.y <= tips.max.y + shadow
}

struct Look<'a> {
    known: &'a mut Option<Lowest>,
    parts: &'a [Part],
    shadow: f64,
    shape: &'a Shape,
    index: usize,
}

impl Look<'_> {
    fn arc(&mut self, path: &Path, arc: &Arc) {
        let count = (arc.sweep.abs() / CHORD).ceil().clamp(1.0, MOST_CHORDS);
        let angle = arc.sweep / count;
        let off = arc.radius * angle * angle / 8.0;
        let mut k = 0.0;
        while k < count {
            self.piece(&path.piece(k / count, (k + 1.0) / count), off);
            k += 1.0;
        }
    }

    /// A straight piece, or a piece of an arc that is nowhere more than `off` away from its chord: the chord tells where
    /// it is over the solid, the piece itself how high and how near it is there.
    fn piece(&mut self, path: &Path, off: f64) {
        let (from, to) = (path.start(), path.end());
        let lowest = path.bounds().min.z;
        if self.known.as_ref().is_some_and(|k| lowest > k.tip.z + SAME_HEIGHT) {
            return;
        }
        let Some((t0, t1)) = self.over(from, to, off) else { return };
        let (a, b) = (path.point(t0), path.point(t1));
        let (part, low) = if (a.z - b.z).abs() <= SAME_HEIGHT {
            (path.piece(t0, t1), if a.z < b.z { a } else { b })
        } else {
            let low = if a.z < b.z { a } else { b };
            (Path::Line { from: low, to: low }, low)
        };
        let z = low.z;
        let lower = self.known.as_ref().is_none_or(|k| z < k.tip.z - SAME_HEIGHT);
        let same = self.known.as_ref().is_some_and(|k| (z - k.tip.z).abs() <= SAME_HEIGHT);
        if !lower && !same {
            return;
        }
        let beyond = match self.known {
            Some(k) if same => k.clearance,
            _ => f64::INFINITY,
        };
        let mut best = Lowest { piece: 0, move_index: self.index, tip: low, clearance: beyond };
        for body in self.parts {
            let near = nearest_on_path(self.shape, &body.body, &part, best.clearance);
            if near.gap < best.clearance {
                best.clearance = near.gap;
                best.tip = part.point(near.along);
            }
        }
        if best.clearance < beyond {
            *self.known = Some(best);
        }
    }

    /// The part of a line, as parameters, on which the tool is over the piece.
    fn over(&self, from: Vec3, to: Vec3, off: f64) -> Option<(f64, f64)> {
        let reach = self.shadow + off;
        let away = |t: f64| {
            let p = from + (to - from) * t;
            self.shape.shadow_distance(p.x, p.y) - reach
        };
        let (first, last) = (away(0.0), away(1.0));
        if first <= 0.0 && last <= 0.0 {
            return Some((0.0, 1.0));
        }
        let inside = if first <= 0.0 {
            0.0
        } else if last <= 0.0 {
            1.0
        } else {
            // The distance to a convex shadow falls and rises along a line: thirds find its lowest place.
            let (mut low, mut high) = (0.0, 1.0);
            for _ in 0..64 {
                let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
                if away(a) <= away(b) {
                    high = b;
                } else {
                    low = a;
                }
            }
            let middle = 0.5 * (low + high);
            if away(middle) > 0.0 {
                return None;
            }
            middle
        };
        let border = |mut within: f64, mut outside: f64| {
            for _ in 0..44 {
                let t = 0.5 * (within + outside);
                if away(t) <= 0.0 {
                    within = t;
                } else {
                    outside = t;
                }
            }
            within
        };
        let t0 = if first <= 0.0 { 0.0 } else { border(inside, 0.0) };
        let t1 = if last <= 0.0 { 1.0 } else { border(inside, 1.0) };
        Some((t0, t1))
    }
}
