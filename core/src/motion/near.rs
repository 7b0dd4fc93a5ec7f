//! What comes near to a place in the plane, found without looking at everything.
//!
//! Positions in millimetres, setup frame.

use crate::geom::Vec2;
use smallvec::SmallVec;
use std::ops::Range;

/// A box in the plane, and the greatest height of what is in it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub(super) low: Vec2,
    pub(super) high: Vec2,
    pub(super) height: f64,
}

impl Bounds {
    const NOTHING: Bounds = Bounds {
        low: Vec2::new(f64::INFINITY, f64::INFINITY),
        high: Vec2::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
        height: f64::NEG_INFINITY,
    };

    pub(super) fn of((low, high): (Vec2, Vec2), height: f64) -> Self {
        Self { low, high, height }
    }

    pub(super) fn join(&self, other: &Bounds) -> Bounds {
        Bounds {
            low: self.low.inf(&other.low),
            high: self.high.sup(&other.high),
            height: self.height.max(other.height),
        }
    }

    pub(super) fn gap(&self, other: &Bounds) -> f64 {
        let apart = |a: f64, b: f64, c: f64, d: f64| (c - b).max(a - d).max(0.0);
        let x = apart(self.low.x, self.high.x, other.low.x, other.high.x);
        let y = apart(self.low.y, self.high.y, other.low.y, other.high.y);
        libm::hypot(x, y)
    }
}

/// What is looked for: all that comes nearer than `reach` to a box and reaches up to the height `low`.
pub(super) struct Near {
    pub(super) bounds: Bounds,
    pub(super) reach: f64,
    pub(super) low: f64,
}

/// In what order boxes are joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// That of the list: best where few numbers are looked at.
    ByNumber,
    /// That of a curve that runs through all places nearby before it goes on.
    ByPlace,
}

/// Boxes of a list, each joined with its neighbour, and so on up to one.
pub(super) struct Tree {
    /// Places for leaves: a power of two.
    leaves: usize,
    nodes: Vec<Node>,
}

/// A box, and the lowest and highest number of what is in it.
#[derive(Clone, Copy, Debug)]
struct Node {
    bounds: Bounds,
    first: u32,
    last: u32,
}

impl Tree {
    pub(super) fn new(items: impl Iterator<Item = ((Vec2, Vec2), f64)>, order: Order) -> Self {
        const NOTHING: Node = Node { bounds: Bounds::NOTHING, first: u32::MAX, last: 0 };
        let node = |(i, (corners, height))| {
            let number = u32::try_from(i).unwrap_or(u32::MAX);
            Node { bounds: Bounds::of(corners, height), first: number, last: number }
        };
        let mut list: Vec<Node> = items.enumerate().map(node).collect();
        let all = list.iter().fold(Bounds::NOTHING, |all, n| all.join(&n.bounds));
        if order == Order::ByPlace {
            list.sort_by_cached_key(|n| along_the_curve(&all, (n.bounds.low + n.bounds.high) * 0.5));
        }
        let leaves = list.len().next_power_of_two();
        let mut nodes = vec![NOTHING; leaves];
        nodes.extend(list);
        nodes.resize(2 * leaves, NOTHING);
        for i in (1..leaves).rev() {
            if let (Some(a), Some(b)) = (nodes.get(2 * i), nodes.get(2 * i + 1)) {
                let bounds = a.bounds.join(&b.bounds);
                let joined = Node { bounds, first: a.first.min(b.first), last: a.last.max(b.last) };
                if let Some(node) = nodes.get_mut(i) {
                    *node = joined;
                }
            }
        }
        Self { leaves, nodes }
    }

    /// Calls `found` for each item of a range of numbers that is near; `None` when the work is used up.
    pub(super) fn visit(
        &self,
        range: Range<usize>,
        near: &Near,
        work: &mut usize,
        found: &mut dyn FnMut(usize),
    ) -> Option<()> {
        let number = |n: u32| usize::try_from(n).unwrap_or(usize::MAX);
        let mut open: SmallVec<[usize; 64]> = SmallVec::from_iter([1]);
        while let Some(at) = open.pop() {
            let Some(node) = self.nodes.get(at) else { continue };
            *work = work.checked_sub(1)?;
            if number(node.last) < range.start || number(node.first) >= range.end {
                continue;
            }
            if node.bounds.height < near.low || node.bounds.gap(&near.bounds) >= near.reach {
                continue;
            }
            if at >= self.leaves {
                found(number(node.first));
            } else {
                open.extend([2 * at + 1, 2 * at]);
            }
        }
        Some(())
    }
}

/// How far along a curve through all places of a box a point lies (Morton 1966): the bits of its coordinates in turn.
fn along_the_curve(all: &Bounds, p: Vec2) -> u64 {
    let part = |p: f64, low: f64, high: f64| {
        let part = if high > low { (p - low) / (high - low) } else { 0.0 };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and 2^32 - 1 by the clamp; what is no number becomes 0"
        )]
        let whole = (part.clamp(0.0, 1.0) * f64::from(u32::MAX)) as u32;
        spread(whole)
    };
    part(p.x, all.low.x, all.high.x) | part(p.y, all.low.y, all.high.y) << 1
}

/// The bits of a number with a 0 between each and the next.
fn spread(number: u32) -> u64 {
    let masks = [
        (16, 0x0000_ffff_0000_ffff),
        (8, 0x00ff_00ff_00ff_00ff),
        (4, 0x0f0f_0f0f_0f0f_0f0f),
        (2, 0x3333_3333_3333_3333),
        (1, 0x5555_5555_5555_5555),
    ];
    masks.into_iter().fold(u64::from(number), |bits, (by, mask)| (bits | bits << by) & mask)
}
