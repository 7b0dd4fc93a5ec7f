//! Does an outline cross itself? Then it has no inside.

use crate::geom::Vec2;
use crate::job::{Outline, OutlineSegment};

/// Crossings nearer than this to the end of a piece are left alone, millimetres: rounded decimals let tangent
/// pieces run through each other by a hair, and that does no harm.
const NEAR_END: f64 = 0.01;

/// A piece with both its ends, and the box around it.
struct Piece {
    from: Vec2,
    to: Vec2,
    /// Centre, radius, and whether it turns clockwise; `None`: a line.
    arc: Option<(Vec2, f64, bool)>,
    low: Vec2,
    high: Vec2,
}

impl Piece {
    fn new(from: Vec2, segment: &OutlineSegment) -> Self {
        match *segment {
            OutlineSegment::Line { to } => {
                Self { from, to, arc: None, low: from.inf(&to), high: from.sup(&to) }
            }
            OutlineSegment::Arc { to, center, clockwise } => {
                // The box of the whole circle: more pairs are looked at than need be, none is missed.
                let radius = (from - center).norm();
                let reach = Vec2::repeat(radius);
                let arc = Some((center, radius, clockwise));
                Self { from, to, arc, low: center - reach, high: center + reach }
            }
        }
    }

    /// A point of the piece's line or circle: does it lie on the piece, away from its ends?
    fn holds(&self, p: Vec2) -> bool {
        if (p - self.from).norm() < NEAR_END || (p - self.to).norm() < NEAR_END {
            return false;
        }
        match self.arc {
            None => {
                let along = self.to - self.from;
                let t = along.dot(&(p - self.from));
                0.0 <= t && t <= along.norm_squared()
            }
            Some((center, _, clockwise)) => {
                let turn = |q: Vec2| {
                    let (a, b) = (self.from - center, q - center);
                    let angle = libm::atan2(a.perp(&b), a.dot(&b));
                    let angle = if clockwise { -angle } else { angle };
                    if angle < 0.0 { angle + std::f64::consts::TAU } else { angle }
                };
                turn(p) <= turn(self.to)
            }
        }
    }
}

/// A point at which two pieces of an outline cross that do not follow one another; `None` if there is none.
pub(super) fn crossing(outline: &Outline) -> Option<Vec2> {
    let mut pieces = Vec::new();
    let mut here = outline.start;
    for segment in &outline.segments {
        let piece = Piece::new(here, segment);
        here = piece.to;
        pieces.push(piece);
    }
    for (index, piece) in pieces.iter().enumerate() {
        for other in pieces.iter().skip(index + 1) {
            let apart = piece.high.x < other.low.x
                || other.high.x < piece.low.x
                || piece.high.y < other.low.y
                || other.high.y < piece.low.y;
            if apart {
                continue;
            }
            let meet = meetings(piece, other);
            if let Some(p) = meet.into_iter().flatten().find(|p| piece.holds(*p) && other.holds(*p)) {
                return Some(p);
            }
        }
    }
    None
}

/// Where the lines or circles of two pieces meet. Those that only touch, or lie on each other, meet nowhere here.
fn meetings(a: &Piece, b: &Piece) -> [Option<Vec2>; 2] {
    match (a.arc, b.arc) {
        (None, None) => [line_line(a, b), None],
        (None, Some((center, radius, _))) => line_circle(a, center, radius),
        (Some((center, radius, _)), None) => line_circle(b, center, radius),
        (Some((center, radius, _)), Some((other, other_radius, _))) => {
            circle_circle(center, radius, other, other_radius)
        }
    }
}

fn line_line(a: &Piece, b: &Piece) -> Option<Vec2> {
    let (d, e) = (a.to - a.from, b.to - b.from);
    let across = d.perp(&e);
    // Parallel to within rounding.
    if across.abs() <= 1.0e-12 * d.norm() * e.norm() {
        return None;
    }
    Some(a.from + d * ((b.from - a.from).perp(&e) / across))
}

fn line_circle(line: &Piece, center: Vec2, radius: f64) -> [Option<Vec2>; 2] {
    let along = line.to - line.from;
    let along = along / along.norm();
    let foot = line.from + along * along.dot(&(center - line.from));
    let half = (radius * radius - (foot - center).norm_squared()).max(0.0).sqrt();
    if half < NEAR_END { [None; 2] } else { [Some(foot - along * half), Some(foot + along * half)] }
}

fn circle_circle(a: Vec2, ra: f64, b: Vec2, rb: f64) -> [Option<Vec2>; 2] {
    let between = b - a;
    let distance = between.norm();
    if distance < NEAR_END {
        return [None; 2];
    }
    let along = between / distance;
    let to_chord = (distance * distance + ra * ra - rb * rb) / (2.0 * distance);
    let half = (ra * ra - to_chord * to_chord).max(0.0).sqrt();
    let left = Vec2::new(-along.y, along.x);
    let foot = a + along * to_chord;
    if half < NEAR_END { [None; 2] } else { [Some(foot - left * half), Some(foot + left * half)] }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline(points: &[(f64, f64)]) -> Outline {
        let points: Vec<_> = points.iter().map(|(x, y)| Vec2::new(*x, *y)).collect();
        let segments = points.iter().skip(1).chain(points.first()).map(|p| OutlineSegment::Line { to: *p });
        Outline { start: points[0], segments: segments.collect() }
    }

    fn with_arc(mut outline: Outline, index: usize, center: (f64, f64), clockwise: bool) -> Outline {
        let OutlineSegment::Line { to } = outline.segments[index] else { panic!() };
        outline.segments[index] =
            OutlineSegment::Arc { to, center: Vec2::new(center.0, center.1), clockwise };
        outline
    }

    #[test]
    fn a_bow_tie_crosses_and_a_star_of_four_does_not() {
        let tie = outline(&[(0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)]);
        assert!((crossing(&tie).unwrap() - Vec2::new(5.0, 5.0)).norm() < 1e-12);
        let star = [
            (0.0, 0.0),
            (5.0, 2.0),
            (10.0, 0.0),
            (8.0, 5.0),
            (10.0, 10.0),
            (5.0, 8.0),
            (0.0, 10.0),
            (2.0, 5.0),
        ];
        assert_eq!(crossing(&outline(&star)), None);
    }

    #[test]
    fn an_arc_that_bulges_through_the_far_side_crosses() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (0.0, 4.0)];
        // The upper side as a half circle of radius 5: upwards it is an arch, downwards it breaks through the floor.
        assert_eq!(crossing(&with_arc(outline(&square), 2, (5.0, 4.0), false)), None);
        let through = crossing(&with_arc(outline(&square), 2, (5.0, 4.0), true)).unwrap();
        assert!(through.y.abs() < 1e-9 && (through.x - 2.0).abs() < 1e-9, "{through}");
    }

    #[test]
    fn two_arcs_cross_where_their_circles_do() {
        let square = [(0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0)];
        let lens = with_arc(with_arc(outline(&square), 0, (4.0, 0.0), true), 2, (4.0, 6.0), true);
        let p = crossing(&lens).unwrap();
        assert!((p.y - 3.0).abs() < 1e-9, "{p}");
    }

    #[test]
    fn tangent_rounds_with_rounded_decimals_do_not_cross() {
        // A corner of 120 degrees with a round of 5, its points rounded to three decimals.
        let points = [(0.0, 0.0), (20.0, 0.0), (22.887, 0.0), (27.217, 2.5), (35.877, 17.5), (0.0, 17.5)];
        let round = with_arc(outline(&points), 2, (22.887, 5.0), false);
        assert_eq!(crossing(&round), None);
    }
}
