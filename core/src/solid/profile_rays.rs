//! A line of the plane against an outline, in closed form: the pieces inside it, and the pieces near it.

use super::owned::tidy;
use super::profile::{Piece, Profile, Round, cross};
use crate::geom::{Spans, Vec2};
use smallvec::SmallVec;

impl Profile {
    /// The pieces inside the outline of the line on which one coordinate is `fixed`; the other runs: the first when
    /// `first`. An end exactly on the line counts as below it, so that every closed outline is crossed an even
    /// number of times.
    pub(super) fn inside(&self, first: bool, fixed: f64, out: &mut Spans) {
        out.clear();
        let mut at: SmallVec<[f64; 8]> = SmallVec::new();
        for piece in self.pieces_for(first) {
            at.extend(piece.crossing(fixed));
        }
        at.sort_by(f64::total_cmp);
        for pair in at.chunks_exact(2) {
            if let [low, high] = pair
                && low < high
            {
                out.push((*low, *high));
            }
        }
    }

    /// True when the point lies inside.
    pub(super) fn contains(&self, p: &Vec2) -> bool {
        self.pieces.iter().filter_map(|piece| piece.crossing(p.y)).filter(|u| *u > p.x).count() % 2 == 1
    }

    /// The pieces of the line (see [`Profile::inside`]) that are nearer than `width` to the outline itself.
    pub(super) fn near(&self, first: bool, fixed: f64, width: f64, out: &mut Spans) {
        out.clear();
        for piece in self.pieces_for(first) {
            out.extend(disc(&piece.a, width, fixed));
            match piece.arc {
                None => out.extend(stripe(piece, width, fixed)),
                Some(round) => ring(piece, &round, width, fixed, out),
            }
        }
        tidy(out);
    }

    /// Distance to the outline.
    pub(super) fn distance(&self, p: &Vec2) -> f64 {
        self.pieces.iter().map(|piece| (piece.nearest(p) - p).norm()).fold(f64::INFINITY, f64::min)
    }

    /// The pieces seen by rays along the plane's first coordinate, or along its second.
    pub(super) fn pieces_for(&self, first: bool) -> &[Piece] {
        if first { &self.pieces } else { &self.swapped }
    }
}

impl Piece {
    /// First coordinate at which the piece crosses the line at second coordinate `v`.
    pub(super) fn crossing(&self, v: f64) -> Option<f64> {
        if (self.a.y > v) == (self.b.y > v) {
            return None;
        }
        Some(match self.arc {
            None => self.a.x + (v - self.a.y) / (self.b.y - self.a.y) * (self.b.x - self.a.x),
            Some(r) => {
                let h = v - r.center.y;
                r.center.x + r.side.x * (r.radius * r.radius - h * h).max(0.0).sqrt()
            }
        })
    }
}

/// Chord of a disc.
fn disc(center: &Vec2, radius: f64, v: f64) -> Option<(f64, f64)> {
    let h = v - center.y;
    let half = radius * radius - h * h;
    (half > 0.0).then(|| (center.x - half.sqrt(), center.x + half.sqrt()))
}

/// The line against the rectangle of half width `width` along a straight piece.
fn stripe(piece: &Piece, width: f64, v: f64) -> Option<(f64, f64)> {
    let length = (piece.b - piece.a).norm();
    let d = (piece.b - piece.a) / length;
    let from = Vec2::new(-piece.a.x, v - piece.a.y);
    let mut span = (f64::NEG_INFINITY, f64::INFINITY);
    keep(&mut span, d.x, from.dot(&d), 0.0, length);
    keep(&mut span, -d.y, cross(&d, &from), -width, width);
    (span.0 < span.1).then_some(span)
}

/// Narrows `span` to where `low <= slope * u + constant <= high`.
fn keep(span: &mut (f64, f64), slope: f64, constant: f64, low: f64, high: f64) {
    if slope == 0.0 {
        if !(low <= constant && constant <= high) {
            *span = (0.0, 0.0);
        }
        return;
    }
    let (a, b) = ((low - constant) / slope, (high - constant) / slope);
    span.0 = span.0.max(a.min(b));
    span.1 = span.1.min(a.max(b));
}

/// The line against the ring of half width `width` along an arc piece.
fn ring(piece: &Piece, round: &Round, width: f64, v: f64, out: &mut Spans) {
    let Some(outer) = disc(&round.center, round.radius + width, v) else { return };
    // The quarter's wedge, as two half planes through the centre.
    let mut wedge = outer;
    let from = Vec2::new(-round.center.x, v - round.center.y);
    let sense = if round.ccw { 1.0 } else { -1.0 };
    let (a, b) = ((piece.a - round.center) * sense, (piece.b - round.center) * sense);
    keep(&mut wedge, -a.y, cross(&a, &from), 0.0, f64::INFINITY);
    keep(&mut wedge, b.y, cross(&from, &b), 0.0, f64::INFINITY);
    if wedge.0 >= wedge.1 {
        return;
    }
    match disc(&round.center, (round.radius - width).max(0.0), v) {
        Some((low, high)) => {
            out.extend((wedge.0 < low).then(|| (wedge.0, wedge.1.min(low))));
            out.extend((high < wedge.1).then(|| (wedge.0.max(high), wedge.1)));
        }
        None => out.push(wedge),
    }
}

#[cfg(test)]
mod tests {
    use super::super::profile::Profile;
    use crate::geom::{Axis, Spans, Vec2};
    use crate::job::{Outline, OutlineSegment};

    /// A D with a bite: lines, a half turn out and a quarter turn in.
    pub(crate) fn odd_outline() -> Outline {
        let line = |x, y| OutlineSegment::Line { to: Vec2::new(x, y) };
        Outline {
            start: Vec2::new(0.0, 0.0),
            segments: vec![
                line(6.0, 0.0),
                OutlineSegment::Arc {
                    to: Vec2::new(6.0, 4.0),
                    center: Vec2::new(6.0, 2.0),
                    clockwise: false,
                },
                line(2.0, 4.0),
                OutlineSegment::Arc { to: Vec2::new(0.0, 2.0), center: Vec2::new(0.0, 4.0), clockwise: true },
                line(0.0, 0.0),
            ],
        }
    }

    fn length(spans: &Spans) -> f64 {
        spans.iter().map(|(a, b)| b - a).sum()
    }

    #[test]
    fn area_and_chords_agree_in_both_directions() {
        let area = 6.0 * 4.0 + 2.0 * std::f64::consts::PI - std::f64::consts::PI;
        for along in Axis::ALL {
            let p = Profile::from_outline(along, &odd_outline());
            assert!((p.area() - area).abs() < 1e-12, "{along:?}: {}", p.area());
            assert_eq!(p.ccw, along != Axis::Y);
            let mut spans = Spans::new();
            for first in [true, false] {
                let n = 20_000;
                let (low, high) = if first { (p.min.y, p.max.y) } else { (p.min.x, p.max.x) };
                let step = (high - low) / f64::from(n);
                let sum: f64 = (0..n)
                    .map(|i| {
                        p.inside(first, low + (f64::from(i) + 0.5) * step, &mut spans);
                        length(&spans) * step
                    })
                    .sum();
                assert!((sum - area).abs() < 1e-4, "{along:?} {first}: {sum}");
            }
        }
    }

    #[test]
    fn what_is_near_is_what_the_distance_says() {
        let p = Profile::from_outline(Axis::Z, &odd_outline());
        let mut near = Spans::new();
        let mut inside = Spans::new();
        let mut seen = [0, 0];
        for i in 0..120 {
            let v = -0.7 + 0.0471 * f64::from(i);
            for first in [true, false] {
                p.near(first, v, 0.31, &mut near);
                p.inside(first, v, &mut inside);
                for j in 0..200 {
                    let u = -0.6 + 0.0493 * f64::from(j);
                    let q = if first { Vec2::new(u, v) } else { Vec2::new(v, u) };
                    let d = p.distance(&q);
                    if (d - 0.31).abs() > 1e-9 {
                        assert_eq!(near.iter().any(|(a, b)| *a < u && u < *b), d < 0.31, "{q:?} {first}");
                        seen[usize::from(d < 0.31)] += 1;
                    }
                    if d > 1e-9 {
                        assert_eq!(inside.iter().any(|(a, b)| *a < u && u < *b), p.contains(&q), "{q:?}");
                    }
                }
            }
        }
        assert!(seen.iter().all(|n| *n > 1000));
    }
}
