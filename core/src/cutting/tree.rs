use crate::geom::{Axis, Box3, Vec3};
use smallvec::SmallVec;

/// Boxes in the order in which they were added, found again by line or point.
///
/// A tree over the order itself: eight neighbours share a box one level up, and so on. Moves that follow each other
/// lie near each other, so that this is nearly as sharp as sorting by place, grows without rebuilding, and
/// gives what it finds in the order of the program.
#[derive(Clone, Debug, Default)]
pub(super) struct BoxTree {
    /// Level 0 are the boxes themselves.
    levels: Vec<Vec<Box3>>,
}

/// Neighbours that share a box, as a power of two.
const SHIFT: usize = 3;

impl BoxTree {
    /// Adds boxes; an empty one is never found.
    pub(super) fn extend(&mut self, boxes: impl IntoIterator<Item = Box3>) {
        let mut changed = self.len();
        if self.levels.is_empty() {
            self.levels.push(Vec::new());
        }
        if let Some(all) = self.levels.first_mut() {
            all.extend(boxes);
        }
        // Level by level the boxes around what is new, up to one around all.
        for level in 1.. {
            if self.levels.len() == level {
                self.levels.push(Vec::new());
            }
            let (below, above) = self.levels.split_at_mut(level);
            let (Some(below), Some(own)) = (below.last(), above.first_mut()) else { return };
            if below.len() <= 1 {
                self.levels.truncate(level);
                return;
            }
            changed = (changed >> SHIFT).min(own.len());
            own.truncate(changed);
            let children = below.get(changed << SHIFT..).unwrap_or_default();
            own.extend(
                children.chunks(1 << SHIFT).map(|eight| eight.iter().fold(Box3::empty(), |a, b| a.union(b))),
            );
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
        // One at a time at first, then up to 97 at once.
        let mut new = Vec::new();
        for n in 0..1000_u32 {
            let x = f64::from(n * 7919 % 1000) * 0.1;
            let y = f64::from(n * 104_729 % 577) * 0.1;
            let b = if n % 17 == 0 {
                Box3::empty()
            } else {
                Box3::between(Vec3::new(x, y, 0.0), Vec3::new(x + 2.0, y + 3.0, 1.0))
            };
            new.push(b);
            boxes.push(b);
            if n < 80 || n % 7 == 0 && n < 300 {
                tree.extend(new.drain(..));
            }
            if n % 97 == 0 {
                tree.extend(new.drain(..));
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
        tree.extend(new);
        assert_eq!(tree.len(), 1000);
        let whole = boxes.iter().fold(Box3::empty(), |a, b| a.union(b));
        assert_eq!(tree.levels.last(), Some(&vec![whole]));
    }
}
