//! The way of the tool's center along a contour, in the plane: offset lines and arcs, corners, lead-in and lead-out.
//!
//! Positions in millimetres, setup frame. A tool to the left of the contour has a positive `side`.

use super::flat::{Flat, SAME_POINT, cross, left};
use crate::geom::Vec2;
use crate::job::{Allowance, CompensationRules, CompensationStart, InsideCorner, OutsideCorner};
use std::f64::consts::{FRAC_PI_2, PI};

/// At turns inwards smaller than this, radians, offset lines and circles meet too flatly for their crossing to be told:
/// the two ends are joined. What that takes off too much is below a millionth of the tool's radius.
const FLAT_TURN: f64 = 1e-3;
/// Slack of a crossing at the ends of its lines and arcs, as a part of their length.
const AT_END: f64 = 1e-9;

/// What keeps the tool from following the contour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum ContourFault {
    EntryOnArc,
    /// The lead-in is shorter than the tool's radius: its length.
    EntryTooShort {
        length: f64,
    },
    /// An inside arc of this radius, not larger than the tool's.
    ArcTooSmall {
        radius: f64,
    },
    /// The tool does not fit between this piece and the one before.
    Overcut,
    InsideCorner,
    /// Back along the piece before: on which side the tool turns is not known.
    Reversal,
}

/// One piece of the contour with the way that leads to it.
#[derive(Clone, Debug, Default)]
pub(super) struct Way {
    /// Round the corner before it.
    pub(super) corner: Vec<Flat>,
    /// Along it; `None` when it was not reached.
    pub(super) own: Option<Flat>,
    /// How far the control's way may differ, millimetres.
    pub(super) deviation: f64,
    /// True when a control that does not see this piece from the one before goes another way round their corner.
    pub(super) turns: bool,
}

/// The pieces of a contour: the lead-in, the contour itself, and the lead-out when `exit`.
pub(super) struct Contour<'a> {
    pub(super) pieces: &'a [Flat],
    pub(super) exit: bool,
    /// Distance of the tool's center from the contour, to the left for a positive number.
    pub(super) by: f64,
    pub(super) rules: &'a CompensationRules,
}

impl Contour<'_> {
    /// The way of the tool's center, one entry for each piece, and the piece at which it cannot go on.
    pub(super) fn follow(&self) -> (Vec<Way>, Option<(usize, ContourFault)>) {
        let mut ways = vec![Way::default(); self.pieces.len()];
        let fault = self.fill(&mut ways).err();
        if let Some((at, _)) = fault {
            for way in ways.iter_mut().skip(at) {
                *way = Way::default();
            }
        }
        (ways, fault)
    }

    fn fill(&self, ways: &mut [Way]) -> Result<(), (usize, ContourFault)> {
        let Some(lead_in) = self.pieces.first() else { return Ok(()) };
        let last = self.pieces.len() - usize::from(self.exit && self.pieces.len() > 1);
        let round = |p: &Flat| matches!(p, Flat::Arc { .. });
        if !round(lead_in) {
            self.lead_in(lead_in, ways, last)?;
        } else if self.rules.on_arc == Allowance::Refused {
            return Err((0, ContourFault::EntryOnArc));
        } else if let Some(way) = ways.first_mut() {
            way.own = Some(lead_in.offset(self.by).ok_or((0, too_small(lead_in)))?);
        }
        for i in 1..last {
            self.piece(i, ways)?;
        }
        if self.exit && self.pieces.len() > 1 {
            let (Some(piece), Some(from)) = (self.pieces.last(), end_before(last, ways)) else {
                return Ok(());
            };
            if round(piece) {
                return Err((last, ContourFault::EntryOnArc));
            }
            if let Some(way) = ways.get_mut(last) {
                way.own = Some(Flat::Line { from, to: piece.end() });
            }
        }
        Ok(())
    }

    /// The lead-in: from where the tool stands to beside the contour.
    fn lead_in(&self, piece: &Flat, ways: &mut [Way], last: usize) -> Result<(), (usize, ContourFault)> {
        let (from, corner) = (piece.start(), piece.end());
        let (direction, _) = piece.directions();
        let radius = self.by.abs();
        let length = piece.length();
        if length < radius {
            return Err((0, ContourFault::EntryTooShort { length }));
        }
        let next = self.pieces.get(1).filter(|_| last > 1);
        let to = match (self.rules.start, next) {
            (_, None) => corner + left(direction) * self.by,
            (CompensationStart::SquareToNext, Some(next)) => corner + left(next.directions().0) * self.by,
            (CompensationStart::Touching, Some(_)) => {
                // The right angle of the triangle from, to, corner lies at `to`.
                let back = radius / length;
                let aside = (1.0 - back * back).max(0.0).sqrt();
                corner - direction * (radius * back) + left(direction) * (self.by * aside)
            }
        };
        if let Some(way) = ways.first_mut() {
            way.own = Some(Flat::Line { from, to });
        }
        Ok(())
    }

    /// A piece of the contour and the corner before it.
    fn piece(&self, i: usize, ways: &mut [Way]) -> Result<(), (usize, ContourFault)> {
        let fail = |fault| (i, fault);
        let Some(piece) = self.pieces.get(i) else { return Ok(()) };
        let own = piece.offset(self.by).ok_or(fail(too_small(piece)))?;
        let (before, rest) = ways.split_at_mut(i);
        let (Some(before), Some(way)) = (before.last_mut(), rest.first_mut()) else { return Ok(()) };
        way.own = Some(own);
        let Some(earlier) = before.own else { return Ok(()) };
        let straight = matches!(self.pieces.first(), Some(Flat::Line { .. }));
        let square = i == 1 && straight && self.rules.start == CompensationStart::SquareToNext;
        let (start, _) = piece.directions();
        if square {
            let (lead, _) = self.pieces.first().map_or((start, start), Flat::directions);
            way.turns = cross(lead, start).abs() * self.by.abs() > SAME_POINT || lead.dot(&start) < 0.0;
            return Ok(());
        }
        let (_, end) = earlier.directions();
        let turn = libm::atan2(cross(end, start), end.dot(&start));
        let radius = self.by.abs();
        if radius * turn.abs() <= SAME_POINT {
            return Ok(());
        }
        if PI - turn.abs() < 1e-6 {
            return Err(fail(ContourFault::Reversal));
        }
        // To the left of the contour a turn to the right goes round the outside.
        if turn * self.by < 0.0 {
            self.outside(piece.start(), turn, (end, start), before, way);
            return Ok(());
        }
        if turn.abs() <= FLAT_TURN {
            way.corner.push(Flat::Line { from: earlier.end(), to: own.start() });
            way.deviation = radius * turn.abs();
            return Ok(());
        }
        if self.rules.inside_corner == InsideCorner::Refused || i == 1 {
            return Err(fail(ContourFault::InsideCorner));
        }
        way.turns = true;
        let (at, part) = meet(&earlier, &own).ok_or(fail(ContourFault::Overcut))?;
        before.own = Some(earlier.cut(0.0, at));
        way.own = Some(own.cut(part, 1.0));
        Ok(())
    }

    /// Round an outside corner.
    fn outside(&self, corner: Vec2, turn: f64, (end, start): (Vec2, Vec2), before: &mut Way, way: &mut Way) {
        let (from, to) = (corner + left(end) * self.by, corner + left(start) * self.by);
        let radius = self.by.abs();
        if self.rules.outside_corner == OutsideCorner::Arc {
            let arm = from - corner;
            let angle = libm::atan2(arm.y, arm.x);
            way.corner.push(Flat::Arc { center: corner, radius, start: angle, sweep: turn });
            return;
        }
        way.turns = true;
        // Up to a right angle the offset lines meet; round a sharper corner a line goes across.
        let reach =
            if turn.abs() <= FRAC_PI_2 + 1e-9 { radius * libm::tan(turn.abs() / 2.0) } else { radius };
        let (a, b) = (from + end * reach, to - start * reach);
        match &mut before.own {
            Some(Flat::Line { to, .. }) => *to = a,
            _ => way.corner.push(Flat::Line { from, to: a }),
        }
        if (b - a).norm() > SAME_POINT {
            way.corner.push(Flat::Line { from: a, to: b });
        }
        match &mut way.own {
            Some(Flat::Line { from, .. }) => *from = b,
            _ => way.corner.push(Flat::Line { from: b, to }),
        }
    }
}

/// Why a piece has no offset.
fn too_small(piece: &Flat) -> ContourFault {
    match piece {
        Flat::Arc { radius, .. } => ContourFault::ArcTooSmall { radius: *radius },
        Flat::Line { .. } => ContourFault::Overcut,
    }
}

fn end_before(i: usize, ways: &[Way]) -> Option<Vec2> {
    ways.get(i.checked_sub(1)?)?.own.map(|own| own.end())
}

/// Where two pieces of the way cross, nearest to their common corner: part of the first, part of the second.
fn meet(first: &Flat, second: &Flat) -> Option<(f64, f64)> {
    let inside = |part: f64| (-AT_END..=1.0 + AT_END).contains(&part);
    let candidates = first.crossings(second).into_iter().filter_map(|p| {
        let (a, b) = (first.part_at(p), second.part_at(p));
        // A piece that would be left without length, or run backwards, is one that the tool does not fit.
        (inside(a) && inside(b) && a > AT_END && b < 1.0 - AT_END).then_some((a.min(1.0), b.max(0.0)))
    });
    let way = |(a, b): &(f64, f64)| (1.0 - a) * first.length() + b * second.length();
    candidates.min_by(|a, b| way(a).total_cmp(&way(b)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Flat {
        Flat::Line { from: Vec2::new(x0, y0), to: Vec2::new(x1, y1) }
    }

    fn follow(
        pieces: &[Flat],
        by: f64,
        rules: CompensationRules,
    ) -> (Vec<Way>, Option<(usize, ContourFault)>) {
        Contour { pieces, exit: false, by, rules: &rules }.follow()
    }

    #[test]
    fn an_inside_corner_is_cut_where_the_lines_cross() {
        let pieces = [line(0.0, -5.0, 0.0, 0.0), line(0.0, 0.0, 10.0, 0.0), line(10.0, 0.0, 10.0, 10.0)];
        let (ways, fault) = follow(&pieces, 2.0, CompensationRules::default());
        assert_eq!(fault, None);
        assert_eq!(ways[1].own.unwrap().end(), Vec2::new(8.0, 2.0));
        assert_eq!(ways[2].own.unwrap().start(), Vec2::new(8.0, 2.0));
        let short = [pieces[0], pieces[1], line(10.0, 0.0, 10.0, 1.0), line(10.0, 1.0, 20.0, 1.0)];
        assert_eq!(follow(&short, 2.0, CompensationRules::default()).1, Some((2, ContourFault::Overcut)));
    }

    #[test]
    fn an_outside_corner_by_arc_and_by_lines() {
        let pieces = [line(0.0, -5.0, 0.0, 0.0), line(0.0, 0.0, 10.0, 0.0), line(10.0, 0.0, 10.0, -10.0)];
        let (ways, _) = follow(&pieces, 2.0, CompensationRules::default());
        assert!(
            matches!(ways[2].corner[..], [Flat::Arc { radius, sweep, .. }] if (radius - 2.0).abs() < 1e-12
            && (sweep + FRAC_PI_2).abs() < 1e-12)
        );
        let rules = CompensationRules { outside_corner: OutsideCorner::Line, ..CompensationRules::default() };
        let (ways, _) = follow(&pieces, 2.0, rules);
        assert!((ways[1].own.unwrap().end() - Vec2::new(12.0, 2.0)).norm() < 1e-12);
        assert!((ways[2].own.unwrap().start() - Vec2::new(12.0, 2.0)).norm() < 1e-9);
        let back = [pieces[0], pieces[1], line(10.0, 0.0, 0.0, -1.0)];
        let (ways, _) = follow(&back, 2.0, rules);
        assert!((ways[1].own.unwrap().end() - Vec2::new(12.0, 2.0)).norm() < 1e-12);
        assert_eq!(ways[2].corner.len(), 1);
    }

    #[test]
    fn an_inside_arc_must_be_larger_than_the_tool() {
        let arc = Flat::Arc { center: Vec2::new(0.0, 3.0), radius: 3.0, start: -FRAC_PI_2, sweep: PI };
        let pieces = [line(-20.0, 0.0, -10.0, 0.0), line(-10.0, 0.0, 0.0, 0.0), arc];
        let rules = CompensationRules::default();
        assert_eq!(follow(&pieces, 3.0, rules).1, Some((2, ContourFault::ArcTooSmall { radius: 3.0 })));
        let (ways, fault) = follow(&pieces, 2.0, rules);
        assert_eq!(fault, None);
        assert!(matches!(ways[2].own, Some(Flat::Arc { radius, .. }) if (radius - 1.0).abs() < 1e-12));
        assert!(ways[2].corner.is_empty() && !ways[2].turns);
    }
}
