//! Who makes use of the axis words of a block, and which letters that leaves room for.

#![expect(clippy::wildcard_enum_match_arm, reason = "only the codes that take further letters are named")]

use super::codes::{CycleCode, FeedMode, G, M, Motion, Setting};
use super::modes::{Mode, Modes};
use super::words::{Words, letters};
use super::{Doubt, Fact};
use crate::geom::Axis;
use crate::job::{Allowance, Control};
use crate::source::Span;

pub(super) const AXES: u32 = letters(b"XYZ");

/// What a block does with its axis words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Use {
    /// It has none to use.
    Nothing,
    /// G28, or G30 when `second`.
    Home {
        second: bool,
    },
    /// G0 or G1 in machine coordinates.
    Machine(Motion),
    Motion(Motion),
    Cycle(CycleCode),
    Setting(Setting),
}

/// What a block asks for, found before anything of it is done.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plan {
    pub(super) axis_use: Use,
    /// Mode after the block, and the code that set it.
    pub(super) mode: Mode,
    pub(super) mode_span: Option<Span>,
    pub(super) dwell: Option<Span>,
    pub(super) plane: Axis,
    /// The code that `axis_use` comes from when it is a setting.
    pub(super) setting_span: Option<Span>,
}

/// Codes of a block that ask for its axis words.
#[derive(Default)]
struct Askers {
    home: Option<(bool, Span)>,
    machine: Option<Span>,
    setting: Option<(Setting, Span)>,
    length: bool,
    extended: bool,
    cancel: Option<Span>,
}

impl Plan {
    /// Finds the use of a block's words; an error is the fact that keeps it from being run.
    pub(super) fn of(
        words: &Words,
        modes: &Modes,
        control: &Control,
        first_block: bool,
    ) -> Result<Plan, Fact> {
        let mut plan = Plan {
            axis_use: Use::Nothing,
            mode: modes.mode,
            mode_span: None,
            dwell: None,
            plane: modes.plane,
            setting_span: None,
        };
        let asked = plan.sort(words)?;
        if control.motion_codes_together == Allowance::Refused {
            plan.refuse_together(words, &asked)?;
        }
        if let Some(cancel) = asked.cancel {
            match (plan.mode, plan.mode_span) {
                (Mode::Cycle(_), Some(span)) => {
                    return Err(Fact::CodesExclude { place: words.at(span), first: words.at(cancel) });
                }
                (_, Some(_)) => {}
                _ => plan.mode = Mode::None,
            }
        }
        plan.axis_use = plan.find_use(words, &asked)?;
        if control.motion_without_axes == Allowance::Refused {
            plan.refuse_without_axes(words)?;
        }
        plan.one_use_of_p(words, &asked)?;
        let allowed = plan.allowed(words, &asked, first_block);
        match words.first_outside(allowed) {
            Some(place) if words.get(b'O').is_some_and(|o| o.span == place.span) => {
                Err(Fact::UnknownWord { place })
            }
            Some(place) => Err(Fact::UnusedWord { place }),
            None => Ok(plan),
        }
    }

    /// Refuses a motion code beside G80, G28 or G30.
    fn refuse_together(&self, words: &Words, asked: &Askers) -> Result<(), Fact> {
        let other = asked.cancel.or(asked.home.map(|(_, span)| span));
        match (self.mode_span, other) {
            (Some(a), Some(b)) => {
                Err(Fact::CodesExclude { place: words.at(a.max(b)), first: words.at(a.min(b)) })
            }
            _ => Ok(()),
        }
    }

    /// Refuses a motion code that nothing moves by.
    fn refuse_without_axes(&self, words: &Words) -> Result<(), Fact> {
        match (self.axis_use, self.mode, self.mode_span) {
            (Use::Nothing | Use::Machine(_), Mode::Motion(_), Some(span)) if !words.any(AXES) => {
                Err(Fact::AxisWordsMissing { place: words.at(span) })
            }
            _ => Ok(()),
        }
    }

    fn sort(&mut self, words: &Words) -> Result<Askers, Fact> {
        let mut asked = Askers::default();
        for (code, span) in &words.g {
            match code {
                G::Motion(motion) => (self.mode, self.mode_span) = (Mode::Motion(*motion), Some(*span)),
                G::Cycle(cycle) => (self.mode, self.mode_span) = (Mode::Cycle(*cycle), Some(*span)),
                G::CancelCycle => asked.cancel = Some(*span),
                G::Plane(axis) => self.plane = *axis,
                G::Length(_) | G::LengthMinus => asked.length = true,
                G::Dwell => self.dwell = Some(*span),
                G::Home => asked.home = Some((false, *span)),
                G::SecondHome => asked.home = Some((true, *span)),
                G::MachineCoordinates => asked.machine = Some(*span),
                G::ExtendedOffset => asked.extended = true,
                G::Setting(setting) => {
                    if let Some((_, first)) = asked.setting {
                        return Err(Fact::CodesExclude { place: words.at(*span), first: words.at(first) });
                    }
                    asked.setting = Some((*setting, *span));
                }
                G::Units(_)
                | G::Incremental(_)
                | G::FeedMode(_)
                | G::CompensationOff
                | G::CompensationOn(_)
                | G::Offset(_)
                | G::ShiftOff(_)
                | G::ShiftBack
                | G::ScaleOff
                | G::TurnOff
                | G::PathControl
                | G::PlainSpeed
                | G::Macro
                | G::ModalMacro
                | G::ModalMacroOff
                | G::Polar(_)
                | G::ReturnToR(_) => {}
            }
        }
        Ok(asked)
    }

    fn find_use(&mut self, words: &Words, asked: &Askers) -> Result<Use, Fact> {
        if let Some((setting, span)) = asked.setting {
            let other = asked.home.map(|(_, span)| span).or(asked.machine).or(self.mode_span);
            if let Some(first) = other {
                return Err(Fact::CodesExclude { place: words.at(span), first: words.at(first) });
            }
            self.setting_span = Some(span);
            return Ok(Use::Setting(setting));
        }
        if let Some((second, span)) = asked.home {
            // Shops write G0 beside G28; any other motion code would fight for the axis words.
            return match (self.mode, self.mode_span) {
                (Mode::Motion(Motion::Rapid), _) | (_, None) => Ok(Use::Home { second }),
                (_, Some(first)) => Err(Fact::CodesExclude { place: words.at(span), first: words.at(first) }),
            };
        }
        if let Some(span) = asked.machine {
            return match self.mode {
                Mode::Motion(motion @ (Motion::Rapid | Motion::Line)) => Ok(Use::Machine(motion)),
                Mode::None => Err(Fact::NoMotionMode { place: words.at(span) }),
                Mode::Motion(_) | Mode::Cycle(_) => Err(Fact::CodesExclude {
                    place: words.at(span),
                    first: words.at(self.mode_span.unwrap_or(span)),
                }),
            };
        }
        if self.dwell.is_some() && words.get(b'P').is_none() {
            return Ok(Use::Nothing);
        }
        self.motion_use(words)
    }

    fn motion_use(&self, words: &Words) -> Result<Use, Fact> {
        let arc_words = words.any(letters(b"IJKR"));
        match self.mode {
            Mode::Motion(motion @ (Motion::Clockwise | Motion::CounterClockwise))
                if words.any(AXES) || arc_words =>
            {
                Ok(Use::Motion(motion))
            }
            Mode::Motion(motion) if words.any(AXES) => Ok(Use::Motion(motion)),
            Mode::Cycle(cycle) if words.any(AXES) => Ok(Use::Cycle(cycle)),
            Mode::Cycle(_) => match self.mode_span {
                Some(span) => Err(Fact::WordMissing { place: words.at(span), letter: 'X' }),
                None => Ok(Use::Nothing),
            },
            Mode::None if words.any(AXES) => Err(Fact::NoMotionMode { place: words.span_of(AXES, None) }),
            Mode::None | Mode::Motion(_) => Ok(Use::Nothing),
        }
    }

    /// P belongs to one code: a dwell, a cycle, an offset or a call.
    fn one_use_of_p(&self, words: &Words, asked: &Askers) -> Result<(), Fact> {
        let Some(p) = words.get(b'P') else { return Ok(()) };
        let setting = matches!(self.axis_use, Use::Setting(Setting::Data | Setting::Scale));
        let cycle = matches!(self.axis_use, Use::Cycle(_));
        let home = matches!(self.axis_use, Use::Home { second: true });
        let calls = words.m.iter().any(|(m, _)| matches!(m, M::Call | M::Return));
        let users = [self.dwell.is_some(), asked.extended, setting || cycle || home, calls];
        if users.into_iter().filter(|u| *u).count() > 1 {
            return Err(Fact::ReadTwoWays { place: words.at(p.span), why: Doubt::OneLetterTwoUses });
        }
        Ok(())
    }

    /// Letters that have a use in this block.
    fn allowed(&self, words: &Words, asked: &Askers, first_block: bool) -> u32 {
        let mut set = letters(b"FSTD");
        if first_block {
            set |= letters(b"O");
        }
        if asked.length {
            set |= letters(b"H");
        }
        if asked.extended {
            set |= letters(b"P");
        }
        for (m, _) in &words.m {
            match m {
                M::Call => set |= letters(b"PL"),
                M::Return => set |= letters(b"P"),
                M::RigidTap => set |= letters(b"S"),
                _ => {}
            }
        }
        if self.dwell.is_some() {
            set |= if words.get(b'P').is_some() { letters(b"P") } else { letters(b"X") };
        }
        set | match self.axis_use {
            Use::Nothing => 0,
            Use::Home { second: true } => AXES | letters(b"P"),
            Use::Home { second: false }
            | Use::Machine(_)
            | Use::Motion(Motion::Rapid | Motion::Line)
            | Use::Setting(
                Setting::Local | Setting::Shift | Setting::Mirror | Setting::MirrorOff | Setting::Probe,
            ) => AXES,
            Use::Motion(Motion::Clockwise | Motion::CounterClockwise) => {
                AXES | if words.get(b'R').is_some() { letters(b"R") } else { center_letters(self.plane) }
            }
            Use::Cycle(code) => AXES | code.letters(),
            Use::Setting(Setting::Data) => AXES | letters(b"LPR"),
            Use::Setting(Setting::Scale) => AXES | letters(b"PIJK"),
            Use::Setting(Setting::Turn) => letters(b"XYR"),
        }
    }
}

impl CycleCode {
    /// Letters beside the axes that a cycle has a use for.
    const fn letters(self) -> u32 {
        match self {
            CycleCode::ChipBreak | CycleCode::Peck => letters(b"RPQLK"),
            CycleCode::FineBore => letters(b"RPQIJLK"),
            CycleCode::BackBore => letters(b"RPQIJKL"),
            _ => letters(b"RPLK"),
        }
    }
}

impl FeedMode {
    /// The code that sets it.
    pub(super) const fn word(self) -> &'static str {
        match self {
            FeedMode::PerMinute => "feed per minute (G94)",
            FeedMode::InverseTime => "inverse time feed (G93)",
            FeedMode::PerTurn => "feed per revolution (G95)",
        }
    }
}

/// Letters of an arc's centre in a plane.
pub(super) fn center_letters(plane: Axis) -> u32 {
    match plane {
        Axis::X => letters(b"JK"),
        Axis::Y => letters(b"IK"),
        Axis::Z => letters(b"IJ"),
    }
}
