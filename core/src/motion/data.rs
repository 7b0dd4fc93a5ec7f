//! G10: offsets and registers that the program itself sets.

use super::interpret::Interpreter;
use super::motion_words::AXES;
use super::words::{Words, letters};
use super::{Doubt, Fact, Place};
use crate::geom::{Axis, Vec3};
use crate::job::{OffsetDataL20, WorkOffset};

impl Interpreter<'_> {
    /// G10: L2 sets the zero of a work offset, L10 to L13 a length or radius register.
    pub(super) fn set_data(&mut self, words: &Words, code: Place, place: Place) -> Result<(), Fact> {
        let missing = |letter| Fact::WordMissing { place: code, letter };
        let l = words.index(b'L', 9999.0)?.ok_or(missing('L'))?;
        let p = words.index(b'P', 9999.0)?.ok_or(missing('P'))?;
        let all = words.span_of(AXES | letters(b"LPR"), Some(code.span));
        if matches!(l, 2 | 20) {
            if let Some(r) = words.get(b'R') {
                return Err(Fact::UnusedWord { place: words.at(r.span) });
            }
            return if l == 2 {
                self.set_zero(words, p, place, all)
            } else {
                self.set_l20(words, p, place, all)
            };
        }
        if !matches!(l, 10..=13) {
            self.lose(Fact::OffsetSetUnproven { place: all });
            return Ok(());
        }
        if words.any(AXES) {
            return Err(Fact::UnusedWord { place: words.span_of(AXES, None) });
        }
        let value = self.length(words.get(b'R').ok_or(missing('R'))?);
        let sums = l == 11 || l == 13 || self.modes.incremental;
        let known = if l < 12 { self.register_length(p) } else { self.register_radius(p) };
        let held = match known {
            Some(known) if sums => known + value,
            None if sums => {
                self.lose(Fact::OffsetSetUnproven { place: all });
                return Ok(());
            }
            _ => value,
        };
        if l < 12 {
            let tools = &self.job.tools;
            if tools.iter().any(|t| t.length_offset == p && t.gauge_length.is_none()) {
                // How long the tool truly is, is not told: where the tip goes is not known.
                self.lose(Fact::OffsetSetUnproven { place: all });
            }
            self.lengths.insert(p, held);
        } else {
            self.radii.insert(p, held);
        }
        Ok(())
    }

    fn set_zero(&mut self, words: &Words, p: u32, place: Place, all: Place) -> Result<(), Fact> {
        if p > 9 {
            return Err(Fact::WordOutOfRange { place: words.span_of(letters(b"P"), None) });
        }
        let given = self.given(words);
        if p == 0 {
            // The common shift of all offsets: what it was before is not known.
            if given.iter().flatten().any(|v| v.abs() > 0.0) || !self.modes.incremental {
                self.lose(Fact::OffsetSetUnproven { place: all });
            }
            return Ok(());
        }
        let offset = WorkOffset(u16::try_from(p).unwrap_or(1));
        self.set_zero_of(offset, given, place, all);
        Ok(())
    }

    /// L20: extended offsets on some controls, on others an offset such that the present point gets the numbers given.
    fn set_l20(&mut self, words: &Words, p: u32, place: Place, all: Place) -> Result<(), Fact> {
        let out_of_range = Fact::WordOutOfRange { place: words.span_of(letters(b"P"), None) };
        let given = self.given(words);
        match self.control.offset_data_l20 {
            None => self.lose(Fact::OffsetSetUnproven { place: all }),
            Some(OffsetDataL20::ExtendedOffsets) => {
                let offset = u16::try_from(p).ok().and_then(WorkOffset::extended).ok_or(out_of_range)?;
                self.set_zero_of(offset, given, place, all);
            }
            Some(OffsetDataL20::PresentPoint) => {
                let offset = u16::try_from(p).ok().filter(|p| (1..=9).contains(p)).ok_or(out_of_range)?;
                let shifted = self.placing.shift.norm() + self.placing.local.norm() > 0.0;
                if shifted || !self.placing.plain() {
                    self.lose(Fact::ReadTwoWays { place, why: Doubt::ShiftedSetting });
                }
                let mut zero = self.zero_of(WorkOffset(offset));
                for ((axis, value), tip) in Axis::ALL.into_iter().zip(given).zip(self.modes.tip) {
                    let Some(value) = value else { continue };
                    let now = tip.number().ok_or(Fact::StartUnknown { place })?;
                    let hangs = if axis == Axis::Z { self.length_shift() } else { 0.0 };
                    axis.set(zero.get_or_insert_with(|| Vec3::repeat(f64::NAN)), now - hangs - value);
                }
                self.keep_zero(WorkOffset(offset), zero, all);
            }
        }
        Ok(())
    }

    /// Sets the zero of an offset in machine coordinates, or moves it under G91.
    fn set_zero_of(&mut self, offset: WorkOffset, given: [Option<f64>; 3], place: Place, all: Place) {
        let link = self.machine_zero();
        let mut zero = self.zero_of(offset);
        for (axis, value) in Axis::ALL.into_iter().zip(given) {
            let Some(value) = value else { continue };
            let before = zero.map(|z| axis.of(&z));
            let new = match (self.modes.incremental, link) {
                (true, _) => before.map(|b| b + value),
                (false, Some((machine, in_setup))) => Some(value - axis.of(&machine) + axis.of(&in_setup)),
                (false, None) => None,
            };
            let Some(new) = new else {
                self.lose(Fact::OffsetSetUnproven { place });
                return;
            };
            axis.set(zero.get_or_insert_with(|| Vec3::repeat(f64::NAN)), new);
        }
        self.keep_zero(offset, zero, all);
    }

    fn keep_zero(&mut self, offset: WorkOffset, zero: Option<Vec3>, all: Place) {
        match zero {
            Some(zero) if zero.iter().all(|c| c.is_finite()) => {
                self.placing.zeros.insert(offset, zero);
            }
            // An offset that the job does not list, set in some axes only.
            _ => self.lose(Fact::OffsetSetUnproven { place: all }),
        }
    }
}
