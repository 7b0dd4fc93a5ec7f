use crate::geom::{Axis, Box3, Vec3};
use smallvec::SmallVec;

/// Boxes in the order in which they were added, found again by line or point.
///
/// A tree over the order itself: eight neighbours share a box one level up, and so on. Moves that follow each other
/// lie near each other, so that this is nearly as sharp as sorting by place, grows by one without rebuilding, and
/// gives what it finds in the order of the program.
#[derive(Clone, Debug, Default)]
pub(super) struct BoxTree {
    /// Level 0 are the boxes themselves.
    levels: Vec<Vec<Box3>>,
}

/// Neighbours that share a box, as a power of two.
const SHIFT: usize = 3;

impl BoxTree {
    /// Adds a box; an empty one is never found.
    pub(super) fn push(&mut self, b: Box3) {
        let mut index = self.len();
        for level in 0.. {
            if self.levels.len() == level {
                // A new level above: all that stands below it so far, in one box.
                let below = level.checked_sub(1).and_then(|l| self.levels.get(l));
                let all = below.map(|l| l.iter().fold(Box3::empty(), |a, b| a.union(b)));
                self.levels.push(all.into_iter().collect());
            }
            if let Some(boxes) = self.levels.get_mut(level) {
                match boxes.get_mut(index) {
                    Some(slot) => *slot = slot.union(&b),
                    None => boxes.push(b),
                }
                if boxes.len() == 1 {
                    return;
                }
            }
            index >>= SHIFT;
        }
    }

    /// A box around those from one number up to another, which is left out.
    pub(super) fn union(&self, from: usize, before: usize) -> Box3 {
        let boxes = self.levels.first().and_then(|all| all.get(from..before.min(all.len())));
        boxes.unwrap_or_default().iter().fold(Box3::empty(), |a, b| a.union(b))
    }

    /// Number of boxes.
    pub(super) fn len(&self) -> usize {
        self.levels.first().map_or(0, Vec::len)
    }

    /// Calls `see` with the number of every box for which `meets` holds, ascending, until it returns false.
    /// `meets` must hold for a box whenever it holds for one inside it.
    pub(super) fn each(&self, meets: impl Fn(&Box3) -> bool, mut see: impl FnMut(usize) -> bool) {
        let Some(top) = self.levels.len().checked_sub(1) else { return };
        // Deep enough for eight levels, sixteen million boxes.
        let mut open: SmallVec<[(usize, usize); 64]> = SmallVec::from_iter([(top, 0)]);
        while let Some((level, index)) = open.pop() {
            let Some(b) = self.levels.get(level).and_then(|l| l.get(index)) else { continue };
            if !meets(b) {
                continue;
            }
            match level.checked_sub(1) {
                None => {
                    if !see(index) {
                        return;
                    }
                }
                // The last one in is the first one out: push the children backwards.
                Some(below) => open.extend((0..1 << SHIFT).rev().map(|n| (below, (index << SHIFT) + n))),
            }
        }
    }
}

/// True when the line parallel to `axis` through `(u, v)` meets a box.
pub(super) fn line_meets(b: &Box3, axis: Axis, u: f64, v: f64) -> bool {
    let (p, q) = axis.others();
    p.of(&b.min) <= u && u <= p.of(&b.max) && q.of(&b.min) <= v && v <= q.of(&b.max)
}

/// True when a box is not empty and holds a point.
pub(super) fn holds(b: &Box3, p: &Vec3) -> bool {
    b.contains(p)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_exactly_the_boxes_on_the_line_in_order() {
        let mut tree = BoxTree::default();
        let mut boxes = Vec::new();
        for n in 0..1000_u32 {
            let x = f64::from(n * 7919 % 1000) * 0.1;
            let y = f64::from(n * 104_729 % 577) * 0.1;
            let b = if n % 17 == 0 {
                Box3::empty()
            } else {
                Box3::between(Vec3::new(x, y, 0.0), Vec3::new(x + 2.0, y + 3.0, 1.0))
            };
            tree.push(b);
            boxes.push(b);
            if n % 97 == 0 {
                for k in 0..50 {
                    let at = f64::from(k) * 2.0;
                    let mut found = Vec::new();
                    tree.each(
                        |b| line_meets(b, Axis::Z, at, at * 0.5),
                        |i| {
                            found.push(i);
                            true
                        },
                    );
                    let want: Vec<usize> =
                        (0..boxes.len()).filter(|i| line_meets(&boxes[*i], Axis::Z, at, at * 0.5)).collect();
                    assert_eq!(found, want);
                }
            }
        }
        assert_eq!(tree.len(), 1000);
    }
}
