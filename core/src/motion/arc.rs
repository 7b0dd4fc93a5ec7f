//! G2 and G3: circular arcs and helices by centre or by radius (NISTIR 6556, 3.5.3).

use super::emit::Step;
use super::interpret::Interpreter;
use super::modes::Coordinate;
use super::motion_words::{AXES, Plan, center_letters};
use super::target::axis_letter;
use super::words::{Words, letters};
use super::{Doubt, Fact, MoveKind, Place};
use crate::geom::{Arc, Axis, Path, Vec2, Vec3};
use crate::job::{Allowance, ArcCenters, HelixFeed};
use std::f64::consts::{PI, TAU};

/// Ends nearer than this are one point: a thousandth of the finest increment of any control, above the rounding of
/// sums of increments. Millimetres.
pub(super) const SAME_POINT: f64 = 1e-6;

impl Interpreter<'_> {
    pub(super) fn arc(&mut self, words: &Words, plan: &Plan, clockwise: bool) -> Result<(), Fact> {
        const ARC: u32 = AXES | letters(b"IJKR");
        let place = words.span_of(ARC, plan.mode_span);
        let what = "an arc in a plane that is turned or scaled unequally";
        let factor = self.placing.plane_factor(plan.plane).ok_or(Fact::MotionNotModelled { place, what })?;
        let clockwise = clockwise != self.placing.flips(plan.plane);
        if self.modes.polar.is_some() && words.get(b'R').is_none() {
            // Are I and J polar too? Controls differ.
            return Err(Fact::ReadTwoWays { place, why: Doubt::Polar });
        }
        self.leave_on_arc(words, place)?;
        let target = self.target(words)?;
        let from = self.tip().ok_or(Fact::StartUnknown { place })?;
        let mut to = from;
        for (axis, value) in Axis::ALL.into_iter().zip(target) {
            axis.set(&mut to, value.unwrap_or(axis.of(&from)));
        }
        self.need_feed(place);
        let (u, v) = plan.plane.others();
        let flat = |p: &Vec3| Vec2::new(u.of(p), v.of(p));
        let ends = Ends { start: flat(&from), end: flat(&to), clockwise };
        let fitted = if let Some(by) = self.enters_by() {
            self.entry(words, &ends, by, place)?
        } else if let Some(given) = words.get(b'R') {
            let place = words.at(given.span);
            let radius = self.length(given) * factor;
            ends.with_radius(radius, self.control.arc_tolerance).map_err(|fault| fault.fact(place))?
        } else {
            let center = self.center(words, plan.plane, flat(&from), place)?;
            self.check_end(words, plan)?;
            self.about(&ends, center, place)?
        };
        let mut center = from;
        u.set(&mut center, fitted.center.x);
        v.set(&mut center, fitted.center.y);
        let arc = Arc {
            center,
            axis: plan.plane,
            radius: fitted.radius,
            start_angle: fitted.start_angle,
            sweep: fitted.sweep,
            rise: plan.plane.of(&to) - plan.plane.of(&from),
        };
        let round = arc.radius * arc.sweep.abs();
        let feed_factor = match self.control.helix_feed {
            HelixFeed::OnCircle if round > 0.0 => arc.length() / round,
            HelixFeed::OnCircle | HelixFeed::AlongPath => 1.0,
        };
        let line = Step::line(place, MoveKind::Feed, from, to);
        self.emit(Step { path: Path::Arc(arc), deviation: fitted.deviation, feed_factor, ..line })?;
        for ((tip, to), now) in self.modes.tip.iter_mut().zip(target).zip([from.x, from.y, from.z]) {
            *tip = match (to, *tip) {
                (Some(to), _) => Coordinate::Known(to),
                (None, home @ Coordinate::Home(_)) => home,
                (None, _) => Coordinate::Known(now),
            };
        }
        Ok(())
    }

    /// Refuses a full circle that names no end where the control does.
    fn check_end(&self, words: &Words, plan: &Plan) -> Result<(), Fact> {
        let (u, v) = plan.plane.others();
        let named = [u, v].into_iter().any(|axis| words.get(axis_letter(axis)).is_some());
        if named || self.control.circle_without_end == Allowance::Accepted {
            return Ok(());
        }
        let code = plan.mode_span.map(|span| words.at(span));
        Err(Fact::AxisWordsMissing {
            place: code.unwrap_or_else(|| words.span_of(center_letters(plan.plane), None)),
        })
    }

    /// The programmed centre in the plane, setup frame.
    pub(super) fn center(&self, words: &Words, plane: Axis, start: Vec2, place: Place) -> Result<Vec2, Fact> {
        if !words.any(center_letters(plane)) {
            return Err(Fact::ArcWithoutCenter { place });
        }
        let (u, v) = plane.others();
        let letter = |axis: Axis| axis_letter(axis) - (b'X' - b'I');
        let given = |axis: Axis| words.get(letter(axis)).map(|g| self.length(g));
        match self.control.arc_centers {
            ArcCenters::Incremental => {
                let mut step = Vec3::zeros();
                u.set(&mut step, given(u).unwrap_or(0.0));
                v.set(&mut step, given(v).unwrap_or(0.0));
                if !self.placing.plain() {
                    step = self.placing.direction(step);
                }
                Ok(start + Vec2::new(u.of(&step), v.of(&step)))
            }
            ArcCenters::Absolute if !self.placing.plain() => {
                let what = "centers counted from the program zero under rotation, scaling or mirror";
                Err(Fact::MotionNotModelled { place, what })
            }
            ArcCenters::Absolute => {
                let zero = self.zero(place)?;
                let missing = |axis: Axis| Fact::WordMissing { place, letter: char::from(letter(axis)) };
                let shift = |axis: Axis| if axis == Axis::Z { self.length_shift() } else { 0.0 };
                let at = |axis: Axis| {
                    given(axis).map(|g| g + axis.of(&zero) + shift(axis)).ok_or_else(|| missing(axis))
                };
                Ok(Vec2::new(at(u)?, at(v)?))
            }
        }
    }

    fn about(&mut self, ends: &Ends, center: Vec2, place: Place) -> Result<Fitted, Fact> {
        let (at_start, at_end) = ((ends.start - center).norm(), (ends.end - center).norm());
        if at_start.max(at_end) < SAME_POINT {
            return Err(Fact::ArcWithoutCenter { place });
        }
        let tolerance = self.control.arc_tolerance;
        if (at_start - at_end).abs() > tolerance {
            self.notice(Fact::ArcRadiusMismatch { place, at_start, at_end, tolerance });
        }
        Ok(ends.about(center))
    }
}

/// Ends of an arc in its plane.
pub(super) struct Ends {
    pub(super) start: Vec2,
    pub(super) end: Vec2,
    pub(super) clockwise: bool,
}

/// An arc that fits both ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fitted {
    pub(super) center: Vec2,
    pub(super) radius: f64,
    pub(super) start_angle: f64,
    pub(super) sweep: f64,
    /// Largest distance to any path that a control may take from the numbers as programmed.
    pub(super) deviation: f64,
}

/// Why there is no arc of a radius.
#[derive(Clone, Copy, Debug, PartialEq)]
enum RadiusFault {
    FullCircle,
    OutOfReach { radius: f64, least: f64 },
}

impl RadiusFault {
    fn fact(self, place: Place) -> Fact {
        match self {
            RadiusFault::FullCircle => Fact::FullCircleWithRadius { place },
            RadiusFault::OutOfReach { radius, least } => Fact::ArcOutOfReach { place, radius, least },
        }
    }
}

impl Ends {
    /// About a programmed centre. Where the two radii differ, the arc about the point of the chord's bisector next to the
    /// centre fits both ends; every path between the two radii about the programmed centre then lies within the shift
    /// plus the difference of the radii. For a nearly full turn that point lies far off: then the arc keeps the centre,
    /// takes the mean radius, and misses its ends by half the difference.
    fn about(&self, center: Vec2) -> Fitted {
        let (r_start, r_end) = ((self.start - center).norm(), (self.end - center).norm());
        let chord = self.end - self.start;
        let length = chord.norm();
        if length < SAME_POINT {
            let sweep = if self.clockwise { -TAU } else { TAU };
            let arm = self.start - center;
            let start_angle = libm::atan2(arm.y, arm.x);
            return Fitted { center, radius: r_start, start_angle, sweep, deviation: 0.0 };
        }
        let along = chord / length;
        let middle = (self.start + self.end) * 0.5;
        let shift = along * (middle - center).dot(&along);
        let moved = center + shift;
        let radius = (self.start - moved).norm();
        let deviation = shift.norm() + (r_start - radius).abs().max((r_end - radius).abs());
        let mean = (r_start + r_end) * 0.5;
        let half = (r_start - r_end).abs() * 0.5;
        if deviation > 4.0 * half + SAME_POINT {
            return Fitted { radius: mean, deviation: half, ..self.turn(center) };
        }
        Fitted { radius, deviation, ..self.turn(moved) }
    }

    /// Of a radius; negative for the long way round.
    fn with_radius(&self, radius: f64, tolerance: f64) -> Result<Fitted, RadiusFault> {
        let chord = self.end - self.start;
        let length = chord.norm();
        if length < SAME_POINT {
            return Err(RadiusFault::FullCircle);
        }
        let (half, size) = (length * 0.5, radius.abs());
        let middle = (self.start + self.end) * 0.5;
        if size < half {
            if half - size > tolerance {
                return Err(RadiusFault::OutOfReach { radius, least: half });
            }
            let sweep = if self.clockwise { -PI } else { PI };
            return Ok(Fitted { radius: half, sweep, deviation: half - size, ..self.turn(middle) });
        }
        let left = Vec2::new(-chord.y, chord.x) / length;
        let to_left = self.clockwise == (radius < 0.0);
        let off = (size * size - half * half).sqrt();
        let center = if to_left { middle + left * off } else { middle - left * off };
        Ok(Fitted { radius: size, ..self.turn(center) })
    }

    /// Angles about a centre.
    pub(super) fn turn(&self, center: Vec2) -> Fitted {
        let angle = |p: Vec2| libm::atan2(p.y - center.y, p.x - center.x);
        let start_angle = angle(self.start);
        let forward = angle(self.end) - start_angle;
        let sweep = if self.clockwise { -(-forward).rem_euclid(TAU) } else { forward.rem_euclid(TAU) };
        Fitted { center, radius: (self.start - center).norm(), start_angle, sweep, deviation: 0.0 }
    }
}
