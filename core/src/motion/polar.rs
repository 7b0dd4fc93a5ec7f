//! G15 and G16: X as a radius about the zero of the work offset, Y as an angle, as shops know them.
//!
//! X and Y are kept from block to block while G16 is on, so that a circle of holes is written with its angles alone. What
//! controls differ on (a radius under G91, an axis that was never named, a rotation or a scaling on top) is not guessed.

use super::interpret::Interpreter;
use super::words::{Words, letters};
use super::{Doubt, Fact, Place};
use crate::geom::Axis;
use crate::job::NumberWithoutPoint;

/// Polar coordinates that are on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Polar {
    /// Where they were turned on.
    pub(super) set: Place,
    /// Millimetres; `None`: not named yet.
    radius: Option<f64>,
    /// Degrees, counter-clockwise from +X; `None`: not named yet.
    angle: Option<f64>,
}

pub(super) const XY: u32 = letters(b"XY");

impl Interpreter<'_> {
    /// G16, or G15 when not `on`.
    pub(super) fn take_polar(&mut self, on: bool, place: Place) -> Result<(), Fact> {
        if on && self.modes.plane != Axis::Z {
            return Err(Fact::MotionNotModelled {
                place,
                what: "polar coordinates in another plane than XY",
            });
        }
        self.modes.polar = on.then_some(Polar { set: place, radius: None, angle: None });
        Ok(())
    }

    /// Where X and Y of a block send the tip while G16 is on.
    pub(super) fn polar_target(&mut self, words: &Words) -> Result<[Option<f64>; 2], Fact> {
        let Some(mut polar) = self.modes.polar else { return Ok([None; 2]) };
        let place = words.span_of(XY, None);
        let two_ways = Fact::ReadTwoWays { place, why: Doubt::Polar };
        if self.modes.plane != Axis::Z {
            return Err(Fact::MotionNotModelled {
                place,
                what: "polar coordinates in another plane than XY",
            });
        }
        if !self.placing.plain() || self.placing.fresh {
            return Err(two_ways);
        }
        if let Some(given) = words.get(b'X') {
            let radius = self.length(given);
            // Under G91 some controls count from the present point, some from the radius before.
            if self.modes.incremental || radius < 0.0 {
                return Err(two_ways);
            }
            polar.radius = Some(radius);
        }
        if let Some(given) = words.get(b'Y') {
            let whole = given.point
                || self.control.number_without_point == NumberWithoutPoint::Units
                || given.value.abs() <= 0.0;
            if !whole {
                return Err(two_ways);
            }
            polar.angle = match (self.modes.incremental, polar.angle) {
                (false, _) => Some(given.value),
                (true, Some(before)) => Some(before + given.value),
                (true, None) => return Err(two_ways),
            };
        }
        let (Some(radius), Some(angle)) = (polar.radius, polar.angle) else { return Err(two_ways) };
        let zero = self.zero(words.block)?;
        self.modes.polar = Some(polar);
        let radians = angle.to_radians();
        Ok([Some(zero.x + radius * libm::cos(radians)), Some(zero.y + radius * libm::sin(radians))])
    }
}
