//! From the numbers of a block to places in the setup frame.

use super::interpret::Interpreter;
use super::motion_words::AXES;
use super::polar::XY;
use super::words::{Given, Words};
use super::{Doubt, Fact, Place};
use crate::geom::{Axis, Vec3};
use crate::job::{NumberWithoutPoint, WorkOffset};
use crate::units::Unit;

impl Interpreter<'_> {
    /// A length in millimetres, read as the control reads it.
    pub(super) fn length(&self, given: Given) -> f64 {
        let whole = given.point || self.control.number_without_point == NumberWithoutPoint::Units;
        // One increment is the last decimal that the control has: 0.0001 in or 0.001 mm.
        let increment = match self.modes.unit {
            Unit::Inch => 1e4,
            Unit::Millimetre => 1e3,
        };
        self.modes.unit.to_mm(if whole { given.value } else { given.value / increment })
    }

    /// Zero of a work offset, setup frame, without shifts; `None` when neither job nor program tells it.
    pub(super) fn zero_of(&self, offset: WorkOffset) -> Option<Vec3> {
        let set = self.placing.zeros.get(&offset).copied();
        set.or_else(|| self.setup.zero_in_setup(offset))
    }

    /// Zero of the program's coordinates, setup frame, shifts included.
    pub(super) fn zero(&self, place: Place) -> Result<Vec3, Fact> {
        let offset = self.modes.offset;
        let zero = self.zero_of(offset).ok_or(Fact::OffsetWithoutZero { place, offset })?;
        Ok(zero + self.placing.local + self.placing.shift)
    }

    /// How far the true tip hangs above where the control believes it to be.
    ///
    /// Only known when the job tells what is entered at the machine and how long the tool is; otherwise the tip is where
    /// the program puts it. A register that is not listed holds the length of the tool that it belongs to.
    pub(super) fn length_shift(&self) -> f64 {
        if self.modes.length_minus {
            return self.length_shift_of_minus().unwrap_or(0.0);
        }
        let shift = || {
            if self.job.registers.is_none() && self.lengths.is_empty() {
                return None;
            }
            let gauge = self.job.tool(self.modes.tool?)?.gauge_length?;
            Some(self.register_length(self.modes.length_register?)? - gauge)
        };
        shift().unwrap_or(0.0)
    }

    /// The same under G44, which takes the register off; `None` where the register or the tool's length is not told.
    pub(super) fn length_shift_of_minus(&self) -> Option<f64> {
        let gauge = self.job.tool(self.modes.tool?)?.gauge_length?;
        Some(-self.register_told(self.modes.length_register?)? - gauge)
    }

    /// Where the axis words send the tip, setup frame; `None` for an axis that stays.
    pub(super) fn target(&mut self, words: &Words) -> Result<[Option<f64>; 3], Fact> {
        self.target_of(words, true)
    }

    /// The same; without `height` Z is left out: it belongs to a cycle.
    pub(super) fn target_of(&mut self, words: &Words, height: bool) -> Result<[Option<f64>; 3], Fact> {
        if !words.any(AXES) {
            return Ok([None; 3]);
        }
        let polar = self.modes.polar.is_some() && words.any(XY);
        if !polar && (!self.placing.plain() || self.placing.fresh) {
            return self.target_placed(words, height);
        }
        let zero = self.zero(words.block)?;
        let mut target = [None; 3];
        if polar {
            let [x, y] = self.polar_target(words)?;
            target = [x, y, None];
        }
        for ((slot, tip), axis) in target.iter_mut().zip(self.modes.tip).zip(Axis::ALL) {
            let taken = if axis == Axis::Z { height } else { !polar };
            let Some(given) = words.get(axis_letter(axis)).filter(|_| taken) else { continue };
            let value = self.length(given);
            *slot = if !self.modes.incremental {
                let shift = if axis == Axis::Z { self.length_shift() } else { 0.0 };
                Some(axis.of(&zero) + value + shift)
            } else if value.abs() > 0.0 {
                let unknown = Fact::StartUnknown { place: words.at(given.span) };
                Some(tip.number().ok_or(unknown)? + value)
            } else {
                None
            };
        }
        Ok(target)
    }

    /// The same under rotation, scaling or mirror. X and Y go together there.
    fn target_placed(&mut self, words: &Words, height: bool) -> Result<[Option<f64>; 3], Fact> {
        let zero = self.zero(words.block)? + Vec3::new(0.0, 0.0, self.length_shift());
        let given = Axis::ALL.map(|axis| words.get(axis_letter(axis)).map(|g| self.length(g)));
        let [x, y, z] = given;
        let z = z.filter(|_| height);
        let given = [x, y, z];
        let incremental = self.modes.incremental;
        let across = x.is_some() || y.is_some();
        let unknown = Fact::StartUnknown { place: words.span_of(AXES, None) };
        if across && self.placing.fresh {
            self.placing.fresh = false;
            let moves = x.is_none_or(|v| v.abs() > 0.0) || y.is_none_or(|v| v.abs() > 0.0);
            if x.is_none() || y.is_none() || (incremental && moves) {
                self.lose(Fact::ReadTwoWays { place: words.span_of(AXES, None), why: Doubt::AxisNotNamed });
            }
        }
        let needs = [
            across && (incremental || x.is_none() || y.is_none()),
            across && (incremental || x.is_none() || y.is_none()),
            z.is_some() && incremental,
        ];
        // Coordinates that nothing is counted from may be any number.
        let mut now = Vec3::zeros();
        for ((axis, tip), needed) in Axis::ALL.into_iter().zip(self.modes.tip).zip(needs) {
            match tip.number() {
                Some(at) => axis.set(&mut now, at - axis.of(&zero)),
                None if needed => return Err(unknown),
                None => {}
            }
        }
        let mut programmed = self.placing.programmed(now);
        for (axis, value) in Axis::ALL.into_iter().zip(given) {
            let Some(value) = value else { continue };
            let to = if incremental { axis.of(&programmed) + value } else { value };
            axis.set(&mut programmed, to);
        }
        let to = self.placing.point(programmed) + zero;
        Ok([across.then_some(to.x), across.then_some(to.y), z.is_some().then_some(to.z)])
    }
}

/// The letter of an axis.
pub(super) const fn axis_letter(axis: Axis) -> u8 {
    match axis {
        Axis::X => b'X',
        Axis::Y => b'Y',
        Axis::Z => b'Z',
    }
}
