//! Where a tool that follows a contour cuts into a part of it that it has yet to follow.
//!
//! A control trims the way of the tool's center at the corners that it sees, a few moves ahead. Beyond, a neck, a slot
//! or a step may be narrower than the tool, and the control drives on. Here the way is held against the whole contour.
//! What the tool crosses after it has followed it is left aside: that is how a finishing pass goes over a roughing pass
//! and a lead-out over a lead-in.
//!
//! Positions in millimetres, setup frame.

use super::contour::Way;
use super::flat::{Flat, cross};
use super::near::{Bounds, Near, Order, Tree};
use super::{Move, MoveKind};
use crate::geom::Vec2;
use std::collections::HashSet;
use std::ops::Range;

/// Places of a contour nearer than this are one, millimetres: posted numbers have that many decimals, and their ends
/// may differ in the last.
const TOUCH: f64 = 0.01;
/// A contour comes back to itself only after at least this length, millimetres: nearer pieces are neighbours.
const LEAST_LOOP: f64 = 0.2;
/// Cuts less deep than this, millimetres, come from rounded coordinates.
const SLACK: f64 = 0.01;
/// A piece that the contour reaches with no more turning than this, radians, lies beside the tool or ahead of it: the
/// corners between have been found wide enough.
const AHEAD: f64 = 1.0;
/// Depths closer than this are one, millimetres: of two the piece that comes first is named.
const ALIKE: f64 = 1e-9;
/// Fewer pieces than this are found faster by their numbers than by their places.
const FEW: usize = 4096;
/// Heights closer than this are one, millimetres.
const SAME_HEIGHT: f64 = 1e-6;

/// A compensated contour with the way that the tool takes along it.
pub(super) struct Stretch<'a> {
    /// The contour, the lead-in first.
    pub(super) pieces: &'a [Flat],
    /// One for each piece.
    pub(super) ways: &'a [Way],
    /// What belongs to each piece.
    pub(super) marks: &'a [Mark],
    /// The last piece leaves the contour.
    pub(super) exit: bool,
    /// Radius that is compensated, positive.
    pub(super) radius: f64,
}

/// Height and kind of a move along a piece.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mark {
    /// Heights of the tip at its start and its end.
    pub(super) heights: (f64, f64),
    /// False for a rapid: it cuts nothing on purpose.
    pub(super) cuts: bool,
    /// How far the machine's path may differ.
    pub(super) deviation: f64,
}

impl Mark {
    pub(super) fn of(m: &Move) -> Self {
        let heights = (m.path.start().z, m.path.end().z);
        Self { heights, cuts: m.kind == MoveKind::Feed, deviation: m.deviation }
    }
}

/// A cut into the contour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Overcut {
    /// Piece that the tool follows.
    pub(super) along: usize,
    /// Piece that it cuts into.
    pub(super) into: usize,
    /// How deep.
    pub(super) depth: f64,
}

/// More comparisons than were allowed.
struct TooMuchWork;

/// A part of the contour that stays.
#[derive(Clone, Copy, Debug)]
struct Wall {
    piece: usize,
    shape: Flat,
    high: f64,
}

impl Stretch<'_> {
    /// The deepest cut of each run of pieces along which the tool cuts into the contour, in order; `None` when that takes
    /// more than `work` comparisons, which are counted down.
    pub(super) fn overcuts(&self, work: &mut usize) -> Option<Vec<Overcut>> {
        let last = self.pieces.len() - usize::from(self.exit && self.pieces.len() > 1);
        if last < 2 || self.radius <= SLACK {
            return Some(Vec::new());
        }
        let (mut walls, repeats) = self.walls(1..last, work)?;
        // Rounds that are run again and again are looked at once: the last of walls in one place, below, and the first of
        // ways in one place, which has all of them before it.
        let mut seen = HashSet::new();
        if repeats {
            walls.reverse();
            walls.retain(|w| seen.insert(key(&w.shape, w.high)));
            walls.reverse();
            seen.clear();
        }
        let tree = Tree::new(walls.iter().map(|w| (w.shape.bounds(), w.high)), Order::ByPlace);
        let turning = self.turning();
        let mut found: Vec<Overcut> = Vec::new();
        let mut running = false;
        // The lead-in is left aside: by the rules it passes the corner at which the contour begins at less than its radius.
        for along in 1..last {
            if repeats && !self.is_new(along, &mut seen) {
                running = false;
                continue;
            }
            let worst = self.worst(along, &walls, &tree, &turning, work).ok()?;
            match (worst, found.last_mut().filter(|_| running)) {
                (Some(worst), Some(before)) => {
                    if worst.depth > before.depth {
                        *before = worst;
                    }
                }
                (Some(worst), None) => found.push(worst),
                (None, _) => {}
            }
            running = worst.is_some();
        }
        Some(found)
    }

    /// False for a piece along which the tool goes as it has gone before, corner and height included.
    fn is_new(&self, along: usize, seen: &mut HashSet<[u64; 6]>) -> bool {
        let (Some(way), Some(mark)) = (self.ways.get(along), self.marks.get(along)) else { return false };
        let low = mark.heights.0.min(mark.heights.1);
        let mut new = false;
        for shape in way.corner.iter().chain(&way.own) {
            new |= seen.insert(key(shape, low));
        }
        new
    }

    /// The deepest cut of the tool along one piece; none where there is none.
    fn worst(
        &self,
        along: usize,
        walls: &[Wall],
        tree: &Tree,
        turning: &[(f64, f64)],
        work: &mut usize,
    ) -> Result<Option<Overcut>, TooMuchWork> {
        let none = Ok(None);
        let (Some(way), Some(mark)) = (self.ways.get(along), self.marks.get(along)) else { return none };
        if !mark.cuts {
            return none;
        }
        let begun = turning.get(along).map_or(0.0, |(start, _)| *start);
        let reach = self.radius - SLACK - mark.deviation - way.deviation;
        let ahead = turning.partition_point(|(_, end)| *end <= begun + AHEAD).max(along + 1);
        let from = walls.partition_point(|w| w.piece < ahead);
        let mut worst: Option<Overcut> = None;
        let low = mark.heights.0.min(mark.heights.1);
        for shape in way.corner.iter().chain(&way.own) {
            let near = Bounds::of(shape.bounds(), f64::INFINITY);
            let within = Near { bounds: near, reach, low: low - SAME_HEIGHT };
            tree.visit(from..walls.len(), &within, work, &mut |i| {
                let Some(wall) = walls.get(i) else { return };
                let gap = shape.gap(&wall.shape);
                let depth = self.radius - gap;
                let more =
                    |w: Overcut| depth > w.depth + ALIKE || (depth > w.depth - ALIKE && wall.piece < w.into);
                if gap < reach && worst.is_none_or(more) {
                    worst = Some(Overcut { along, into: wall.piece, depth });
                }
            })
            .ok_or(TooMuchWork)?;
        }
        Ok(worst)
    }

    /// How much the contour has turned, to whichever side, at start and end of each piece; radians, never less than before.
    fn turning(&self) -> Vec<(f64, f64)> {
        let mut turned = 0.0;
        let mut before: Option<Vec2> = None;
        let of = |piece: &Flat| {
            let (start, end) = piece.directions();
            if let Some(before) = before {
                turned += libm::atan2(cross(before, start), before.dot(&start)).abs();
            }
            let at_start = turned;
            if let Flat::Arc { sweep, .. } = piece {
                turned += sweep.abs();
            }
            before = Some(end);
            (at_start, turned)
        };
        self.pieces.iter().map(of).collect()
    }

    /// The parts of the contour that stay: without the ends by which the tool comes to a closed contour and leaves it.
    /// And whether there is more than one closed contour.
    fn walls(&self, range: Range<usize>, work: &mut usize) -> Option<(Vec<Wall>, bool)> {
        let mut walls = Vec::new();
        let mut closed_ones = 0;
        let cuts = |i: usize| self.marks.get(i).is_some_and(|m| m.cuts);
        let mut at = range.start;
        let boxes = || self.pieces.iter().map(|p| (p.bounds(), 0.0));
        let trees = [Tree::new(boxes(), Order::ByNumber), Tree::new(boxes(), Order::ByPlace)];
        while at < range.end {
            if !cuts(at) {
                at += 1;
                continue;
            }
            let end = (at..range.end).find(|i| !cuts(*i)).unwrap_or(range.end);
            let loops = self.loops(at..end, &trees, work)?;
            closed_ones += loops.len();
            let length =
                |r: Range<usize>| self.pieces.get(r).unwrap_or(&[]).iter().map(Flat::length).sum::<f64>();
            let closed: f64 = loops.iter().map(|l| length(l.first..l.last + 1)).sum();
            if closed >= 0.5 * length(at..end) {
                walls.extend(loops.iter().flat_map(|l| self.walls_of(l)));
            } else {
                let whole = Loop { first: at, from: 0.0, last: end - 1, to: 1.0 };
                walls.extend(self.walls_of(&whole));
            }
            at = end;
        }
        Some((walls, closed_ones > 1))
    }

    fn walls_of(&self, l: &Loop) -> impl Iterator<Item = Wall> {
        let l = *l;
        (l.first..=l.last).filter_map(move |piece| {
            let (shape, mark) = (self.pieces.get(piece)?, self.marks.get(piece)?);
            let from = if piece == l.first { l.from } else { 0.0 };
            let to = if piece == l.last { l.to } else { 1.0 };
            let shape = shape.cut(from, to);
            (shape.length() > TOUCH).then_some(Wall {
                piece,
                shape,
                high: mark.heights.0.max(mark.heights.1),
            })
        })
    }

    /// Where the contour comes back to itself, the shortest loops first come first.
    fn loops(&self, range: Range<usize>, trees: &[Tree; 2], work: &mut usize) -> Option<Vec<Loop>> {
        let mut loops = Vec::new();
        let mut lengths = vec![0.0];
        for piece in self.pieces {
            lengths.push(lengths.last().copied().unwrap_or(0.0) + piece.length());
        }
        let length_at = |i: usize, part: f64| {
            let (a, b) = (lengths.get(i).copied().unwrap_or(0.0), lengths.get(i + 1).copied().unwrap_or(0.0));
            a + (b - a) * part
        };
        let (mut start, mut begun) = (range.start, length_at(range.start, 0.0));
        for last in range {
            let Some(piece) = self.pieces.get(last) else { continue };
            let mut best: Option<Loop> = None;
            let near = Near { bounds: Bounds::of(piece.bounds(), 0.0), reach: TOUCH, low: f64::NEG_INFINITY };
            let [by_number, by_place] = trees;
            let tree = if last - start < FEW { by_number } else { by_place };
            tree.visit(start..last, &near, work, &mut |first| {
                let Some(earlier) = self.pieces.get(first) else { return };
                for (from, to) in touches(earlier, piece) {
                    let (begin, end) = (length_at(first, from), length_at(last, to));
                    let found = Loop { first, from, last, to };
                    let sooner = best.is_none_or(|b| (to, b.first, b.from) < (b.to, first, from));
                    if begin >= begun - TOUCH && end - begin > LEAST_LOOP && sooner {
                        best = Some(found);
                    }
                }
            })?;
            if let Some(found) = best {
                (start, begun) = (last, length_at(last, found.to));
                loops.push(found);
            }
        }
        Some(loops)
    }
}

/// A piece and a height as bits: the same for two that are the same in every digit.
fn key(shape: &Flat, height: f64) -> [u64; 6] {
    let [a, b, c, d, e] = match shape {
        Flat::Line { from, to } => [from.x, from.y, to.x, to.y, f64::INFINITY],
        Flat::Arc { center, radius, start, sweep } => [center.x, center.y, *radius, *start, *sweep],
    };
    [a, b, c, d, e, height].map(f64::to_bits)
}

/// A part of the contour that begins and ends at one place.
#[derive(Clone, Copy, Debug)]
struct Loop {
    first: usize,
    /// Part of the first piece at which it begins.
    from: f64,
    last: usize,
    /// Part of the last piece at which it ends.
    to: f64,
}

/// Where two pieces touch or cross: parts of the first and of the second.
fn touches(first: &Flat, second: &Flat) -> impl Iterator<Item = (f64, f64)> {
    let ends = [first.start(), first.end(), second.start(), second.end()];
    let on = |piece: &Flat, p: Vec2| {
        let part = piece.part_at(p);
        (piece.distance_to(p) <= TOUCH).then_some(part.clamp(0.0, 1.0))
    };
    let (a, b) = (*first, *second);
    first.crossings(second).into_iter().chain(ends).filter_map(move |p| Some((on(&a, p)?, on(&b, p)?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn too_much_work_is_said() {
        let line = |x0: f64, y0: f64, x1: f64, y1: f64| Flat::Line {
            from: Vec2::new(x0, y0),
            to: Vec2::new(x1, y1),
        };
        let pieces = [
            line(-9.0, -9.0, 0.0, 0.0),
            line(0.0, 0.0, 20.0, 0.0),
            line(20.0, 0.0, 20.0, 9.0),
            line(20.0, 9.0, 0.0, 9.0),
        ];
        let way = |piece: &Flat| Way { own: piece.offset(2.0), ..Way::default() };
        let ways: Vec<Way> = pieces.iter().map(way).collect();
        let marks = [Mark { heights: (0.0, 0.0), cuts: true, deviation: 0.0 }; 4];
        let stretch = Stretch { pieces: &pieces, ways: &ways, marks: &marks, exit: false, radius: 2.0 };
        assert_eq!(stretch.overcuts(&mut 3), None);
        // Untrimmed at the corner of the second and third piece, the way cuts in by the whole radius.
        let found = stretch.overcuts(&mut 1000).unwrap();
        assert_eq!(found.first().map(|o| (o.along, o.into, o.depth)), Some((1, 2, 2.0)));
    }
}
