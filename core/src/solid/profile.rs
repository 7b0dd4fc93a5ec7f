use crate::geom::{Axis, Vec2};
use crate::job::{Outline, OutlineSegment};
use std::f64::consts::{FRAC_PI_2, TAU};

/// A piece of a closed outline: a line, or an arc within one quarter of its circle, so that it is monotone in both
/// coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    /// Start.
    pub(super) a: Vec2,
    /// End; equal, to the bit, to the next piece's start.
    pub(super) b: Vec2,
    /// The circle, when it is an arc.
    pub(super) arc: Option<Round>,
}

/// The circle of an arc piece.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Round {
    pub(super) center: Vec2,
    pub(super) radius: f64,
    /// Signs of the quarter that the piece lies in.
    pub(super) side: Vec2,
    /// True when it turns counter-clockwise.
    pub(super) ccw: bool,
}

/// A closed outline in the plane of a shape (coordinates `axis.others()`), millimetres.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Profile {
    /// Pieces in order; the last ends where the first starts.
    pub(super) pieces: Vec<Piece>,
    /// The same with both coordinates swapped, for rays along the other coordinate.
    pub(super) swapped: Vec<Piece>,
    /// Lowest corner of the box around it.
    pub(super) min: Vec2,
    /// Highest corner of the box around it.
    pub(super) max: Vec2,
    /// True when it runs counter-clockwise.
    pub(super) ccw: bool,
    /// How far at most the ends of an arc lie off its circle, millimetres: the rounding of the print's decimals.
    pub(super) loose: f64,
}

/// Turns smaller than this are rounding, radians.
const TINY_ANGLE: f64 = 1.0e-9;

impl Profile {
    /// From an outline of the drawing for a shape along `along`.
    ///
    /// The drawing counts the plane's coordinates in alphabetical order; for a shape along Y that is the reverse of
    /// `Axis::others`, so coordinates are swapped and arcs turn the other way.
    pub(super) fn from_outline(along: Axis, outline: &Outline) -> Self {
        let swap = along == Axis::Y;
        let turn = |p: &Vec2| if swap { Vec2::new(p.y, p.x) } else { *p };
        let mut pieces = Vec::new();
        let mut at = turn(&outline.start);
        let last = outline.segments.len().saturating_sub(1);
        for (i, segment) in outline.segments.iter().enumerate() {
            let close = |to: &Vec2| if i == last { turn(&outline.start) } else { turn(to) };
            match segment {
                OutlineSegment::Line { to } => {
                    let to = close(to);
                    pieces.push(Piece { a: at, b: to, arc: None });
                    at = to;
                }
                OutlineSegment::Arc { to, center, clockwise } => {
                    let to = close(to);
                    push_arc(&mut pieces, at, to, turn(center), *clockwise == swap);
                    at = to;
                }
            }
        }
        Self::from_pieces(pieces)
    }

    /// A rectangle between two corners.
    pub(super) fn rectangle(min: Vec2, max: Vec2) -> Self {
        let corners = [min, Vec2::new(max.x, min.y), max, Vec2::new(min.x, max.y), min];
        let pieces = corners.iter().zip(corners.iter().skip(1));
        Self::from_pieces(pieces.map(|(a, b)| Piece { a: *a, b: *b, arc: None }).collect())
    }

    /// A circle.
    pub(super) fn circle(center: Vec2, radius: f64) -> Self {
        let start = center + Vec2::new(radius, 0.0);
        let mut pieces = Vec::new();
        push_arc(&mut pieces, start, start, center, true);
        Self::from_pieces(pieces)
    }

    fn from_pieces(mut pieces: Vec<Piece>) -> Self {
        pieces.retain(|p| p.a != p.b);
        let mut min = Vec2::repeat(f64::INFINITY);
        let mut max = Vec2::repeat(f64::NEG_INFINITY);
        for p in &pieces {
            min = min.inf(&p.a);
            max = max.sup(&p.a);
        }
        let ccw = pieces.iter().map(Piece::area).sum::<f64>() > 0.0;
        let swapped = pieces.iter().map(Piece::swapped).collect();
        let loose = pieces.iter().map(Piece::loose).fold(0.0, f64::max);
        Self { pieces, swapped, min, max, ccw, loose }
    }

    /// Area that it encloses, mm2.
    #[cfg(test)]
    pub(super) fn area(&self) -> f64 {
        self.pieces.iter().map(Piece::area).sum::<f64>().abs()
    }

    /// Unit vector at parameter `t` of a piece that points into the outline.
    pub(super) fn inward(&self, piece: &Piece, t: f64) -> Vec2 {
        let d = piece.tangent(t);
        if self.ccw { Vec2::new(-d.y, d.x) } else { Vec2::new(d.y, -d.x) }
    }
}

impl Piece {
    /// Twice-signed area between the piece and the origin, halved: summed over a closed outline it is the area.
    fn area(&self) -> f64 {
        let chord = 0.5 * cross(&self.a, &self.b);
        self.arc.map_or(chord, |round| {
            let sweep = round.sweep(&self.a, &self.b);
            let segment = 0.5 * round.radius * round.radius * (sweep - libm::sin(sweep));
            if round.ccw { chord + segment } else { chord - segment }
        })
    }

    fn loose(&self) -> f64 {
        self.arc.map_or(0.0, |r| {
            [self.a, self.b].iter().map(|p| ((p - r.center).norm() - r.radius).abs()).fold(0.0, f64::max)
        })
    }

    fn swapped(&self) -> Self {
        let swap = |p: &Vec2| Vec2::new(p.y, p.x);
        let arc = self.arc.map(|r| Round {
            center: swap(&r.center),
            radius: r.radius,
            side: swap(&r.side),
            ccw: !r.ccw,
        });
        Self { a: swap(&self.a), b: swap(&self.b), arc }
    }

    /// Length, millimetres.
    pub(super) fn length(&self) -> f64 {
        self.arc.map_or_else(|| (self.b - self.a).norm(), |r| r.radius * r.sweep(&self.a, &self.b))
    }

    /// Point at parameter `t` from 0 to 1.
    pub(super) fn point(&self, t: f64) -> Vec2 {
        match self.arc {
            None => self.a + (self.b - self.a) * t,
            Some(r) => {
                let angle = r.angle(&self.a, &self.b, t);
                r.center + Vec2::new(libm::cos(angle), libm::sin(angle)) * r.radius
            }
        }
    }

    /// Unit direction of travel at parameter `t`.
    pub(super) fn tangent(&self, t: f64) -> Vec2 {
        match self.arc {
            None => (self.b - self.a).try_normalize(0.0).unwrap_or_else(Vec2::x),
            Some(r) => {
                let angle = r.angle(&self.a, &self.b, t);
                let d = Vec2::new(-libm::sin(angle), libm::cos(angle));
                if r.ccw { d } else { -d }
            }
        }
    }

    /// Nearest point of the piece.
    pub(super) fn nearest(&self, p: &Vec2) -> Vec2 {
        let d = self.b - self.a;
        match self.arc {
            None => {
                let t = (p - self.a).dot(&d) / d.norm_squared();
                if t <= 0.0 {
                    self.a
                } else if t >= 1.0 {
                    self.b
                } else {
                    self.a + d * t
                }
            }
            Some(r) => {
                let w = p - r.center;
                match w.try_normalize(0.0).filter(|_| r.faces(&self.a, &self.b, &w)) {
                    Some(unit) => r.center + unit * r.radius,
                    None if (p - self.a).norm_squared() <= (p - self.b).norm_squared() => self.a,
                    None => self.b,
                }
            }
        }
    }
}

impl Round {
    /// Angle between the ends, radians, positive, at most a quarter turn but for rounding.
    fn sweep(&self, a: &Vec2, b: &Vec2) -> f64 {
        let (from, to) = (a - self.center, b - self.center);
        libm::atan2(cross(&from, &to).abs(), from.dot(&to))
    }

    fn angle(&self, a: &Vec2, b: &Vec2, t: f64) -> f64 {
        let from = a - self.center;
        let start = libm::atan2(from.y, from.x);
        let turn = self.sweep(a, b) * t;
        if self.ccw { start + turn } else { start - turn }
    }

    /// True when `w`, seen from the centre, points between the ends.
    fn faces(&self, a: &Vec2, b: &Vec2, w: &Vec2) -> bool {
        let (from, to) = (a - self.center, b - self.center);
        let (first, second) = (cross(&from, w), cross(w, &to));
        if self.ccw { first >= 0.0 && second >= 0.0 } else { first <= 0.0 && second <= 0.0 }
    }
}

/// The third component of the cross product.
pub(super) fn cross(a: &Vec2, b: &Vec2) -> f64 {
    a.x * b.y - a.y * b.x
}

/// Cuts an arc at the quarters of its circle and appends the pieces. Equal ends are a full circle.
fn push_arc(pieces: &mut Vec<Piece>, from: Vec2, to: Vec2, center: Vec2, ccw: bool) {
    let angle = |p: &Vec2| libm::atan2(p.y - center.y, p.x - center.x);
    let radius = (from - center).norm();
    let sense = if ccw { 1.0 } else { -1.0 };
    let start = angle(&from);
    let mut sweep = (sense * (angle(&to) - start)).rem_euclid(TAU);
    if sweep < TINY_ANGLE || TAU - sweep < TINY_ANGLE {
        sweep = TAU;
    }
    let mut turned = 0.0;
    let mut at = from;
    while turned < sweep {
        // Up to the next multiple of a quarter turn in the sense of travel.
        let here = sense * (start + sense * turned) / FRAC_PI_2;
        let next = ((here + TINY_ANGLE).floor() + 1.0) * FRAC_PI_2 - sense * start;
        let end = if next > sweep - TINY_ANGLE { sweep } else { next };
        let middle = start + sense * 0.5 * (turned + end);
        let side = Vec2::new(libm::cos(middle).signum(), libm::sin(middle).signum());
        let b = if end < sweep { quarter_point(center, radius, start + sense * end) } else { to };
        pieces.push(Piece { a: at, b, arc: Some(Round { center, radius, side, ccw }) });
        (at, turned) = (b, end);
    }
}

/// The exact point of a circle at the quarter nearest to `angle`.
fn quarter_point(center: Vec2, radius: f64, angle: f64) -> Vec2 {
    let (c, s) = (libm::cos(angle), libm::sin(angle));
    if c.abs() > s.abs() {
        center + Vec2::new(radius * c.signum(), 0.0)
    } else {
        center + Vec2::new(0.0, radius * s.signum())
    }
}
