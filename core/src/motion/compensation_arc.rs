//! Cutter compensation that an arc turns on or off (NISTIR 6556, B.6), where the machine's `control` follows such arcs
//! (`compensation_on_arc`).
//!
//! On: the report draws a circle about the programmed center through the programmed end; it must touch the tool where it
//! stands, and the tool goes round touching it. Where it does not touch, there is no such way. Of an arc given by its
//! radius the report does not say where the center lies. Off: the report has no special move. The arc is what it would be
//! had the tool been brought to where it stands without compensation, so I and J count from there.

use super::arc::{Ends, Fitted, SAME_POINT};
use super::interpret::Interpreter;
use super::modes::Coordinate;
use super::words::Words;
use super::{Doubt, Fact, Place};
use crate::geom::Axis;
use crate::job::Allowance;
use std::f64::consts::TAU;

/// Turns smaller than this, radians, and full ones that lack no more, cannot be told from each other.
const NO_TURN: f64 = 1e-6;

impl Interpreter<'_> {
    fn follows_arcs(&self) -> bool {
        self.control.compensation.on_arc == Allowance::Accepted
    }

    /// How far to the left the tool goes of an arc that is about to turn compensation on; `None`: it does not.
    pub(super) fn enters_by(&self) -> Option<f64> {
        let on = self.compensation.as_ref()?;
        (self.follows_arcs() && !on.leaving && !on.has_begun()).then_some(on.by)
    }

    /// The circle that the tool touches all along an arc that turns compensation on.
    pub(super) fn entry(&self, words: &Words, ends: &Ends, by: f64, place: Place) -> Result<Fitted, Fact> {
        if words.get(b'R').is_some() {
            let what = "turning cutter compensation on by an arc that is given by its radius";
            return Err(Fact::MotionNotModelled { place, what });
        }
        let center = self.center(words, Axis::Z, ends.start, place)?;
        let (stands, radius) = ((ends.start - center).norm(), (ends.end - center).norm());
        if stands.min(radius) < SAME_POINT {
            return Err(Fact::ArcWithoutCenter { place });
        }
        // To the left of a counter-clockwise arc lies its inside.
        let round = if ends.clockwise { radius + by } else { radius - by };
        if round < SAME_POINT {
            return Err(Fact::InsideArcTooSmall { place, radius, tool: by.abs() });
        }
        let gap = (stands - round).abs();
        if gap > self.control.arc_tolerance {
            return Err(Fact::CompensationEntryOnArc { place, gap: Some(gap) });
        }
        let turn = ends.turn(center);
        if turn.sweep.abs() < NO_TURN || TAU - turn.sweep.abs() < NO_TURN {
            let what = "turning cutter compensation on by an arc of a full turn, or of none";
            return Err(Fact::MotionNotModelled { place, what });
        }
        Ok(Fitted { radius, deviation: gap, ..turn })
    }

    /// Ends compensation before an arc that G40 lets leave the contour: it begins where the tool's center stands.
    pub(super) fn leave_on_arc(&mut self, words: &Words, place: Place) -> Result<(), Fact> {
        let leaving = self.compensation.as_ref().is_some_and(|on| on.leaving);
        if !leaving || !self.follows_arcs() {
            return Ok(());
        }
        let both = words.get(b'X').is_some() && words.get(b'Y').is_some();
        if !both || self.modes.incremental {
            return Err(Fact::ReadTwoWays { place, why: Doubt::AxisNotNamed });
        }
        if let Some(stands) = self.release(false)? {
            let [x, y, _] = &mut self.modes.tip;
            (*x, *y) = (Coordinate::Known(stands.x), Coordinate::Known(stands.y));
        }
        Ok(())
    }
}
