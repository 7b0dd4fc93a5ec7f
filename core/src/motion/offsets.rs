//! Offsets and registers that codes take up: G43, G44, G49, G54 to G59.3, G54.1, D; and the codes that change where
//! program coordinates lie: G52, G92, G50 and G51, G50.1 and G51.1, G68 and G69. And G38.2.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "each stage of a block takes up its own codes and leaves the others to theirs"
)]

use super::codes::{FeedMode, G, Setting};
use super::interpret::Interpreter;
use super::motion_words::AXES;
use super::placing::{Scale, Turn};
use super::target::axis_letter;
use super::words::{Given, Words, letters};
use super::{Doubt, Fact, MoveKind, Place, ToolCall};
use crate::geom::{Axis, Vec2, Vec3};
use crate::job::WorkOffset;
use crate::source::Span;

impl Interpreter<'_> {
    pub(super) fn take_offsets(&mut self, words: &Words) -> Result<(), Fact> {
        for (code, span) in &words.g {
            let place = words.at(*span);
            match code {
                G::Length(true) | G::LengthMinus => {
                    let register =
                        words.index(b'H', 9999.0)?.ok_or(Fact::WordMissing { place, letter: 'H' })?;
                    self.take_length(register, *code == G::LengthMinus, place, words);
                }
                G::Length(false) => {
                    (self.modes.length_register, self.modes.stale_length) = (None, None);
                    self.modes.length_minus = false;
                    self.event(place, ToolCall::LengthOffset { register: None });
                }
                G::Offset(offset) => self.work_offset(*offset, place)?,
                G::ExtendedOffset => {
                    let p = words.index(b'P', 9999.0)?.ok_or(Fact::WordMissing { place, letter: 'P' })?;
                    let place = words.span_of(letters(b"P"), Some(*span));
                    let offset = u16::try_from(p).ok().and_then(WorkOffset::extended);
                    self.work_offset(offset.ok_or(Fact::WordOutOfRange { place })?, place)?;
                }
                G::ShiftOff(keep) => {
                    if *keep && self.placing.shift.norm() > 0.0 {
                        self.placing.kept = Some(self.placing.shift);
                    } else if !keep {
                        self.placing.kept = Some(Vec3::zeros());
                    }
                    self.placing.shift = Vec3::zeros();
                }
                G::ShiftBack => {
                    self.placing.shift = self.placing.kept.ok_or(Fact::OffsetSetUnproven { place })?;
                    self.modes.shift_place = Some(place);
                }
                G::Polar(on) => self.take_polar(*on, place)?,
                G::ScaleOff => self.replace(|p| p.scale = None),
                G::TurnOff => self.replace(|p| p.turn = None),
                _ => {}
            }
        }
        if let Some(register) = words.index(b'D', 9999.0)? {
            self.modes.radius_register = Some(register);
            self.event(words.span_of(letters(b"D"), None), ToolCall::RadiusOffset { register });
        }
        Ok(())
    }

    /// G43 and G44.
    fn take_length(&mut self, register: u32, minus: bool, code: Place, words: &Words) {
        let place = words.span_of(letters(b"H"), Some(code.span));
        self.modes.length_register = (register != 0).then_some(register);
        self.modes.length_minus = minus && register != 0;
        (self.modes.stale_length, self.modes.length_place) = (None, Some(code));
        let register = self.modes.length_register;
        self.event(place, ToolCall::LengthOffset { register });
        if let Some(register) = register.filter(|_| minus && self.length_shift_of_minus().is_none()) {
            self.lose(Fact::LengthRegisterUnknown { place, register });
        }
    }

    fn work_offset(&mut self, offset: WorkOffset, place: Place) -> Result<(), Fact> {
        if self.zero_of(offset).is_none() {
            return Err(Fact::OffsetWithoutZero { place, offset });
        }
        let shifted = self.placing.local.norm() > 0.0 || !self.placing.plain();
        if shifted && offset != self.modes.offset {
            // Does a local shift, a rotation or a scaling go along to the other offset? Controls differ.
            self.lose(Fact::ReadTwoWays { place, why: Doubt::ShiftedOffset });
        }
        self.modes.offset = offset;
        Ok(())
    }

    /// Changes rotation, scaling or mirror; a change of what is on makes the axis that is not named next uncertain.
    fn replace(&mut self, change: impl FnOnce(&mut super::placing::Placing)) {
        let before = (self.placing.turn, self.placing.scale, self.placing.mirror);
        change(&mut self.placing);
        if before != (self.placing.turn, self.placing.scale, self.placing.mirror) {
            self.placing.fresh = true;
        }
    }

    /// Does a code that uses the axis words for something other than motion.
    pub(super) fn set(&mut self, words: &Words, setting: Setting, code: Span) -> Result<(), Fact> {
        let place = words.span_of(AXES, Some(code));
        let code = words.at(code);
        if matches!(setting, Setting::Scale | Setting::Mirror | Setting::Turn) {
            let whole = words.span_of(AXES | letters(b"RPIJK"), Some(code.span));
            self.placing.set = Some(whole);
        }
        match setting {
            Setting::Data => self.set_data(words, code, place),
            Setting::Local => self.set_local(words, code, place),
            Setting::Shift => self.set_shift(words, code, place),
            Setting::Scale => self.set_scale(words, code, place),
            Setting::Mirror => self.set_mirror(words, code),
            Setting::MirrorOff => {
                let named = |axis: Axis| !words.any(AXES) || words.get(axis_letter(axis)).is_some();
                self.replace(|p| {
                    for (mirror, axis) in p.mirror.iter_mut().zip(Axis::ALL) {
                        if named(axis) {
                            *mirror = None;
                        }
                    }
                });
                Ok(())
            }
            Setting::Turn => self.set_turn(words, code, place),
            Setting::Probe => self.probe(words, code, place),
        }
    }

    pub(super) fn given(&self, words: &Words) -> [Option<f64>; 3] {
        Axis::ALL.map(|axis| words.get(axis_letter(axis)).map(|g| self.length(g)))
    }

    /// G52.
    fn set_local(&mut self, words: &Words, code: Place, place: Place) -> Result<(), Fact> {
        if !words.any(AXES) {
            return Err(Fact::AxisWordsMissing { place: code });
        }
        let given = self.given(words);
        let moved = given.iter().flatten().any(|v| v.abs() > 0.0);
        if (self.modes.incremental && moved) || !self.placing.plain() {
            self.lose(Fact::ReadTwoWays { place, why: Doubt::ShiftedSetting });
        }
        for (axis, value) in Axis::ALL.into_iter().zip(given) {
            if let Some(value) = value {
                axis.set(&mut self.placing.local, value);
            }
        }
        Ok(())
    }

    /// G92: the present point gets the numbers given.
    fn set_shift(&mut self, words: &Words, code: Place, place: Place) -> Result<(), Fact> {
        if !words.any(AXES) {
            return Err(Fact::AxisWordsMissing { place: code });
        }
        if !self.placing.plain() || self.placing.local.norm() > 0.0 {
            self.lose(Fact::ReadTwoWays { place, why: Doubt::ShiftedSetting });
        }
        let base = self.zero(words.block)? - self.placing.shift;
        let hangs = Vec3::new(0.0, 0.0, self.length_shift());
        for ((axis, value), tip) in Axis::ALL.into_iter().zip(self.given(words)).zip(self.modes.tip) {
            let Some(value) = value else { continue };
            let now = tip.number().ok_or(Fact::StartUnknown { place })?;
            axis.set(&mut self.placing.shift, now - axis.of(&base) - axis.of(&hangs) - value);
        }
        self.placing.kept = Some(self.placing.shift);
        self.modes.shift_place = Some(place);
        Ok(())
    }

    /// The center that a block gives, program coordinates, the present place where it gives none.
    fn center_given(&self, words: &Words, axes: &[Axis], place: Place) -> Result<Vec3, Fact> {
        let zero = self.zero(words.block)? + Vec3::new(0.0, 0.0, self.length_shift());
        let mut center = Vec3::zeros();
        for (axis, tip) in Axis::ALL.into_iter().zip(self.modes.tip) {
            if !axes.contains(&axis) {
                continue;
            }
            let value = match words.get(axis_letter(axis)) {
                Some(given) => self.length(given),
                None => tip.number().ok_or(Fact::StartUnknown { place })? - axis.of(&zero),
            };
            axis.set(&mut center, value);
        }
        Ok(center)
    }

    /// G51: factors about a point.
    fn set_scale(&mut self, words: &Words, code: Place, place: Place) -> Result<(), Fact> {
        let place = words.span_of(letters(b"PIJK"), Some(place.span));
        if self.placing.turn.is_some() || self.modes.incremental {
            // Turned first: controls differ on the order. Under G91: on what the center is counted from.
            self.lose(Fact::ReadTwoWays { place, why: Doubt::OrderOfPlacing });
        }
        let factor = |given: Given| {
            if given.point { given.value } else { given.value * self.control.scale_increment }
        };
        let p = words.get(b'P').map(factor);
        let single = [b'I', b'J', b'K'].map(|letter| words.get(letter).map(factor));
        let factors = match (p, single) {
            (Some(_), [None, None, None]) | (None, [Some(_), Some(_), Some(_)]) => {
                let [i, j, k] = single.map(|s| s.or(p).unwrap_or(1.0));
                Vec3::new(i, j, k)
            }
            (None, [None, None, None]) => return Err(Fact::WordMissing { place: code, letter: 'P' }),
            // Some factors only, or both forms: controls differ.
            _ => return Err(Fact::ReadTwoWays { place, why: Doubt::Factors }),
        };
        if factors.iter().any(|f| f.abs() < 1e-6 || f.abs() > 1e3) {
            return Err(Fact::WordOutOfRange { place });
        }
        // Without a change in Z its center has no meaning, and Z may be at home.
        let level = (factors.z - 1.0).abs() <= 0.0 && words.get(b'Z').is_none();
        let axes = if level { &[Axis::X, Axis::Y][..] } else { &Axis::ALL[..] };
        let center = self.center_given(words, axes, place)?;
        self.replace(|p| p.scale = Some(Scale { center, factors }));
        Ok(())
    }

    /// G51.1: each axis named is mirrored about its coordinate.
    fn set_mirror(&mut self, words: &Words, code: Place) -> Result<(), Fact> {
        if !words.any(AXES) {
            return Err(Fact::AxisWordsMissing { place: code });
        }
        if self.placing.turn.is_some() || self.placing.scale.is_some() || self.modes.incremental {
            self.lose(Fact::ReadTwoWays {
                place: words.span_of(AXES, Some(code.span)),
                why: Doubt::OrderOfPlacing,
            });
        }
        let given = self.given(words);
        self.replace(|p| {
            for (mirror, value) in p.mirror.iter_mut().zip(given) {
                *mirror = value.or(*mirror);
            }
        });
        Ok(())
    }

    /// G68: turned about a point, counter-clockwise for a positive angle.
    fn set_turn(&mut self, words: &Words, code: Place, place: Place) -> Result<(), Fact> {
        let place = words.span_of(letters(b"R"), Some(place.span));
        if self.modes.plane != Axis::Z {
            return Err(Fact::MotionNotModelled { place: code, what: "rotation in another plane than XY" });
        }
        let angle = words.get(b'R').ok_or(Fact::WordMissing { place: code, letter: 'R' })?;
        let mixed = self.placing.turn.is_some() || !self.placing.plain();
        if self.modes.incremental || mixed {
            // Under G91 some controls add the angle; over a mirror, a scaling or another rotation they differ.
            self.lose(Fact::ReadTwoWays { place, why: Doubt::OrderOfPlacing });
        }
        let whole = angle.point
            || self.control.number_without_point == crate::job::NumberWithoutPoint::Units
            || angle.value.abs() <= 0.0;
        if !whole {
            self.lose(Fact::ReadTwoWays { place, why: Doubt::AngleWithoutPoint });
        }
        let center = self.center_given(words, &[Axis::X, Axis::Y], place)?;
        let radians = angle.value.to_radians();
        let (sin, cos) = (libm::sin(radians), libm::cos(radians));
        self.replace(|p| p.turn = Some(Turn { center: Vec2::new(center.x, center.y), cos, sin }));
        Ok(())
    }

    /// G38.2: towards the programmed point at feed until the probe trips, so that the end is not known.
    fn probe(&mut self, words: &Words, code: Place, place: Place) -> Result<(), Fact> {
        if !words.any(AXES) {
            return Err(Fact::AxisWordsMissing { place: code });
        }
        self.refuse_under(FeedMode::InverseTime, code)?;
        let target = self.target(words)?;
        self.need_feed(place);
        self.go(place, MoveKind::Feed, target, None)?;
        self.lose(Fact::ProbeResultUnknown { place });
        Ok(())
    }

    /// A code that a feed mode excludes.
    pub(super) fn refuse_under(&self, mode: FeedMode, place: Place) -> Result<(), Fact> {
        if self.modes.feed_mode != mode {
            return Ok(());
        }
        Err(Fact::NotWhileActive { place, mode: self.modes.feed_mode_place, what: mode.word() })
    }

    /// What a length register holds as the program or the job say in so many words.
    pub(super) fn register_told(&self, register: u32) -> Option<f64> {
        let set = self.lengths.get(&register).copied();
        set.or_else(|| self.job.registers.as_ref()?.length.get(&register).copied())
    }

    /// What a length register holds, where it is known in numbers.
    pub(super) fn register_length(&self, register: u32) -> Option<f64> {
        let owner = || self.job.tools.iter().find(|t| t.length_offset == register)?.gauge_length;
        self.register_told(register).or_else(owner)
    }

    /// What a radius register holds; `None`: not known.
    pub(super) fn register_radius(&self, register: u32) -> Option<f64> {
        use crate::job::RadiusRegister;
        if register == 0 {
            return Some(0.0);
        }
        let set = self.radii.get(&register).copied();
        let listed = || self.job.registers.as_ref()?.radius.get(&register).copied();
        let usual = || match self.control.radius_register {
            RadiusRegister::Wear => Some(0.0),
            RadiusRegister::ToolRadius => {
                Some(self.job.tools.iter().find(|t| t.radius_offset == register)?.diameter / 2.0)
            }
        };
        set.or_else(listed).or_else(usual)
    }
}
