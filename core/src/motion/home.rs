//! G28, G30 and G53: homing and machine coordinates.

use super::codes::{G, Motion};
use super::interpret::Interpreter;
use super::modes::Coordinate;
use super::motion_words::AXES;
use super::polar::XY;
use super::target::axis_letter;
use super::words::{Words, letters};
use super::{Doubt, Fact, MoveKind, Place};
use crate::geom::{Axis, Vec3};
use crate::job::{HomeMoves, WorkOffset};

impl Interpreter<'_> {
    /// Where a machine coordinate puts the tip, setup frame; `None` without machine zeros, or for Z without the
    /// tool's length.
    pub(super) fn in_setup(&self, axis: Axis, machine: f64) -> Option<f64> {
        let (listed, zero) = self.machine_zero()?;
        let hangs = match axis {
            Axis::Z => self.job.tool(self.modes.tool?)?.gauge_length?,
            Axis::X | Axis::Y => 0.0,
        };
        Some(machine - axis.of(&listed) + axis.of(&zero) - hangs)
    }

    /// A work offset's zero in machine coordinates and in the setup frame, of the active offset where both are told;
    /// `None` when no offset has both: then nothing joins machine and setup, and no machine position is known.
    pub(super) fn machine_zero(&self) -> Option<(Vec3, Vec3)> {
        let both =
            |(offset, machine): &(WorkOffset, Vec3)| Some((*machine, self.setup.zero_in_setup(*offset)?));
        let zeros = &self.setup.machine_zeros;
        let active = zeros.iter().find(|(offset, _)| *offset == self.modes.offset).and_then(both);
        active.or_else(|| zeros.iter().find_map(both))
    }

    /// G28 or G30: by way of the programmed point to the home point.
    pub(super) fn home(&mut self, words: &Words, second: bool) -> Result<(), Fact> {
        let code = words.g.iter().find(|(g, _)| matches!(g, G::Home | G::SecondHome)).map(|(_, span)| *span);
        let place = words.span_of(AXES, code);
        let all = self.control.home_moves == HomeMoves::AllAxes;
        if !all && !words.any(AXES) {
            return Err(Fact::AxisWordsMissing { place: words.at(code.unwrap_or_default()) });
        }
        if words.index(b'P', 4.0)?.is_some_and(|p| p < 2) {
            return Err(Fact::WordOutOfRange { place: words.span_of(letters(b"P"), None) });
        }
        if self.modes.polar.is_some() && words.any(XY) {
            return Err(Fact::ReadTwoWays { place, why: Doubt::Polar });
        }
        let by_way = self.target(words)?;
        self.go(place, MoveKind::Rapid, by_way, None)?;
        let named = |axis: Axis| all || words.get(axis_letter(axis)).is_some();
        if second || self.machine_zero().is_none() {
            return self.home_unseen(place, named(Axis::X) || named(Axis::Y), named(Axis::Z), &named);
        }
        if named(Axis::Z) && self.in_setup(Axis::Z, 0.0).is_none() {
            self.lift_home(place)?;
        }
        let to = Axis::ALL.map(|axis| if named(axis) { self.in_setup(axis, 0.0) } else { None });
        self.go(place, MoveKind::Rapid, to, None)
    }

    /// Homing where home is not known: straight up first, clear of everything.
    fn home_unseen(
        &mut self,
        place: Place,
        across: bool,
        up: bool,
        named: &dyn Fn(Axis) -> bool,
    ) -> Result<(), Fact> {
        let [x, y, z] = self.modes.tip;
        let at_home = matches!(z, Coordinate::Home(_));
        if across && !up && !at_home {
            return Err(Fact::HomePathUnknown { place });
        }
        if up {
            self.lift_home(place)?;
        }
        let gone = |axis: Axis, now: Coordinate| if named(axis) { Coordinate::Unknown } else { now };
        let [_, _, z] = self.modes.tip;
        self.modes.tip = [gone(Axis::X, x), gone(Axis::Y, y), z];
        Ok(())
    }

    /// G53: this block in machine coordinates.
    pub(super) fn machine_move(&mut self, words: &Words, motion: Motion) -> Result<(), Fact> {
        let code = words.g.iter().find(|(g, _)| *g == G::MachineCoordinates).map(|(_, span)| *span);
        let place = words.span_of(AXES, code);
        let given = Axis::ALL.map(|axis| words.get(axis_letter(axis)).map(|g| self.length(g)));
        let moved = given.iter().flatten().any(|v| v.abs() > 0.0);
        if self.modes.incremental && moved {
            self.lose(Fact::ReadTwoWays { place, why: Doubt::MachineIncrement });
        }
        let kind = match motion {
            Motion::Rapid => MoveKind::Rapid,
            Motion::Line | Motion::Clockwise | Motion::CounterClockwise => {
                self.need_feed(place);
                MoveKind::Feed
            }
        };
        let [x, y, z] = given;
        if self.machine_zero().is_none() {
            let named = |axis: Axis| words.get(axis_letter(axis)).is_some();
            self.home_unseen(place, x.is_some() || y.is_some(), z.is_some(), &named)?;
            return down_unseen(place, z);
        }
        if let Some(height) = z
            && self.in_setup(Axis::Z, height).is_none()
        {
            self.lift_home(place)?;
            down_unseen(place, Some(height))?;
        }
        let [to_x, to_y, to_z] = Axis::ALL;
        let to = [(to_x, x), (to_y, y), (to_z, z)].map(|(axis, v)| v.and_then(|v| self.in_setup(axis, v)));
        self.go(place, kind, to, None)
    }
}

/// After going up for a machine height other than home: the height is not known.
fn down_unseen(place: Place, height: Option<f64>) -> Result<(), Fact> {
    if height.is_some_and(|h| h.abs() > 0.0) {
        return Err(Fact::HomePathUnknown { place });
    }
    Ok(())
}
