//! Any arc, as chords that are halved where it matters: exact to a proven bound, for what has no closed form.
//!
//! Over an angle `delta` an arc of radius `r` keeps within `eps = r delta^2 / 8` of its chord (with a rise as well: the
//! rise is linear in the angle, so only the circle bows). So what the body sweeps along that piece of arc holds all
//! that the body shrunk by `eps` sweeps along the chord, and lies in all that the grown body sweeps. Pieces whose grown
//! sweep adds nothing to what shrunk sweeps are known to cover are dropped; the others are halved, and `eps` falls to
//! a quarter, until it is below [`CLOSE_ENOUGH`]. Then the chord stands for the arc.

use super::merge;
use super::rays::line_span;
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Spans, Vec3};
use smallvec::SmallVec;

/// Largest distance between the spans' ends and the true surface, normal to it, millimetres: a quarter of a nanometre.
const CLOSE_ENOUGH: f64 = 2.5e-7;

/// Largest angle of a first chord, radians: a sixteenth of a turn.
const FIRST_CHORD: f64 = std::f64::consts::PI / 8.0;

/// An arc about any axis, with or without rise.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chords {
    center: Vec3,
    axis: Axis,
    radius: f64,
    rise: f64,
    /// Unit vector to the start, on `axis.others()`.
    start: (f64, f64),
    /// Cosine and sine of the angle of the first chords, signed.
    step: (f64, f64),
    /// That angle without sign, radians.
    angle: f64,
    /// Number of first chords.
    count: f64,
}

/// A piece of the arc, seen from its centre at the height of the start: unit vectors and heights of both ends.
#[derive(Clone, Copy)]
struct Piece {
    from: (f64, f64),
    to: (f64, f64),
    low: f64,
    high: f64,
}

/// What one round of halving works with.
struct Round {
    grown: Body,
    shrunk: Option<Body>,
    last: bool,
}

impl Chords {
    pub(super) fn new(arc: &Arc) -> Self {
        let count = (arc.sweep.abs() / FIRST_CHORD).ceil().max(1.0);
        let step = arc.sweep / count;
        Self {
            center: arc.center,
            axis: arc.axis,
            radius: arc.radius,
            rise: arc.rise,
            start: (libm::cos(arc.start_angle), libm::sin(arc.start_angle)),
            step: (libm::cos(step), libm::sin(step)),
            angle: step.abs(),
            count,
        }
    }

    pub(super) fn spans(&self, body: &Body, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        let (on_u, on_v) = axis.others();
        let (u, v) = (u - on_u.of(&self.center), v - on_v.of(&self.center));
        let mut angle = self.angle;
        let mut round = self.round(body, angle);
        let mut pieces: SmallVec<[Piece; 16]> = SmallVec::new();
        let mut n = 0.0;
        let mut from = self.start;
        while n < self.count {
            let to =
                (from.0 * self.step.0 - from.1 * self.step.1, from.1 * self.step.0 + from.0 * self.step.1);
            let piece = Piece {
                from,
                to,
                low: self.rise * (n / self.count),
                high: self.rise * ((n + 1.0) / self.count),
            };
            if self.near(&piece, &round.grown, axis, u, v) {
                pieces.push(piece);
            }
            from = to;
            n += 1.0;
        }
        let mut found = Spans::new();
        let mut next: SmallVec<[Piece; 16]> = SmallVec::new();
        while !pieces.is_empty() {
            for piece in &pieces {
                let outer = self.piece_span(piece, &round.grown, axis, u, v);
                let Some((low, high)) = outer else { continue };
                if merge::covers(&found, low, high) {
                    continue;
                }
                let inner = if round.last { Some(body) } else { round.shrunk.as_ref() };
                if let Some((low, high)) = inner.and_then(|b| self.piece_span(piece, b, axis, u, v)) {
                    merge::push(&mut found, low, high);
                }
                if !round.last {
                    next.extend(piece.halves());
                }
            }
            pieces.clear();
            std::mem::swap(&mut pieces, &mut next);
            angle *= 0.5;
            round = self.round(body, angle);
        }
        let shift = axis.of(&self.center);
        for (low, high) in &found {
            merge::push(out, shift + low, shift + high);
        }
    }

    fn round(&self, body: &Body, angle: f64) -> Round {
        let bow = self.radius * angle * angle / 8.0;
        Round { grown: body.grown(bow), shrunk: body.shrunk(bow), last: bow <= CLOSE_ENOUGH }
    }

    fn tip(&self, direction: (f64, f64), height: f64) -> Vec3 {
        let (a, b) = self.axis.others();
        let mut p = Vec3::zeros();
        a.set(&mut p, self.radius * direction.0);
        b.set(&mut p, self.radius * direction.1);
        self.axis.set(&mut p, height);
        p
    }

    fn piece_span(&self, piece: &Piece, body: &Body, axis: Axis, u: f64, v: f64) -> Option<(f64, f64)> {
        let from = self.tip(piece.from, piece.low);
        let by = self.tip(piece.to, piece.high) - from;
        let (on_u, on_v) = axis.others();
        let (low, high) = line_span(body, &by, axis, u - on_u.of(&from), v - on_v.of(&from))?;
        let shift = axis.of(&from);
        Some((shift + low, shift + high))
    }

    /// Quick look: can the ray meet the body along the chord at all?
    fn near(&self, piece: &Piece, body: &Body, axis: Axis, u: f64, v: f64) -> bool {
        let (from, to) = (self.tip(piece.from, piece.low), self.tip(piece.to, piece.high));
        let within = |on: Axis, value: f64| {
            let (below, above) = match on {
                Axis::Z => (body.bottom(), body.top()),
                Axis::X | Axis::Y => (-body.radius(), body.radius()),
            };
            let (a, b) = (on.of(&from), on.of(&to));
            a.min(b) + below <= value && value <= a.max(b) + above
        };
        let (on_u, on_v) = axis.others();
        within(on_u, u) && within(on_v, v)
    }
}

impl Piece {
    fn halves(&self) -> [Self; 2] {
        // At most a sixteenth of a turn lies between the ends, so their sum is far from zero.
        let sum = (self.from.0 + self.to.0, self.from.1 + self.to.1);
        let length = (sum.0 * sum.0 + sum.1 * sum.1).sqrt();
        let middle = (sum.0 / length, sum.1 / length);
        let height = 0.5 * (self.low + self.high);
        [Self { to: middle, high: height, ..*self }, Self { from: middle, low: height, ..*self }]
    }
}
