//! Who makes use of the axis words of a block, and which letters that leaves room for.

use super::Fact;
use super::codes::{CycleCode, G, M, Motion};
use super::modes::{Mode, Modes};
use super::words::{Words, letters};
use crate::geom::Axis;
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
}

impl Plan {
    /// Finds the use of a block's words; an error is the fact that keeps it from being run.
    pub(super) fn of(words: &Words, modes: &Modes, first_block: bool) -> Result<Plan, Fact> {
        let mut plan = Plan {
            axis_use: Use::Nothing,
            mode: modes.mode,
            mode_span: None,
            dwell: None,
            plane: modes.plane,
        };
        let (mut home, mut machine, mut length, mut cancel) = (None, None, false, None);
        for (code, span) in &words.g {
            match code {
                G::Motion(motion) => (plan.mode, plan.mode_span) = (Mode::Motion(*motion), Some(*span)),
                G::Cycle(cycle) => (plan.mode, plan.mode_span) = (Mode::Cycle(*cycle), Some(*span)),
                G::CancelCycle => cancel = Some(*span),
                G::Plane(axis) => plan.plane = *axis,
                G::Length(_) => length = true,
                G::CompensationOn => {
                    return Err(Fact::CompensationNotModelled { place: words.at(*span) });
                }
                G::Dwell => plan.dwell = Some(*span),
                G::Home => home = Some((false, *span)),
                G::SecondHome => home = Some((true, *span)),
                G::MachineCoordinates => machine = Some(*span),
                G::Units(_)
                | G::Incremental(_)
                | G::InverseTime(_)
                | G::CompensationOff
                | G::Offset(_)
                | G::ReturnToR(_) => {}
            }
        }
        if let Some(cancel) = cancel {
            match (plan.mode, plan.mode_span) {
                (Mode::Cycle(_), Some(span)) => {
                    return Err(Fact::CodesExclude { place: words.at(span), first: words.at(cancel) });
                }
                (_, Some(_)) => {}
                _ => plan.mode = Mode::None,
            }
        }
        plan.axis_use = plan.find_use(words, home, machine)?;
        let allowed = plan.allowed(words, length, first_block);
        match words.first_outside(allowed) {
            Some(place) if words.get(b'O').is_some_and(|o| o.span == place.span) => {
                Err(Fact::UnknownWord { place })
            }
            Some(place) => Err(Fact::UnusedWord { place }),
            None => Ok(plan),
        }
    }

    fn find_use(
        &self,
        words: &Words,
        home: Option<(bool, Span)>,
        machine: Option<Span>,
    ) -> Result<Use, Fact> {
        if let Some((second, span)) = home {
            // Shops write G0 beside G28; any other motion code would fight for the axis words.
            return match (self.mode, self.mode_span) {
                (Mode::Motion(Motion::Rapid), _) | (_, None) => Ok(Use::Home { second }),
                (_, Some(first)) => Err(Fact::CodesExclude { place: words.at(span), first: words.at(first) }),
            };
        }
        if let Some(span) = machine {
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

    /// Letters that have a use in this block.
    fn allowed(&self, words: &Words, length: bool, first_block: bool) -> u32 {
        let mut set = letters(b"FSTD");
        if first_block {
            set |= letters(b"O");
        }
        if length {
            set |= letters(b"H");
        }
        if words.m.iter().any(|(m, _)| *m == M::RigidTap) {
            set |= letters(b"S");
        }
        if self.dwell.is_some() {
            set |= if words.get(b'P').is_some() { letters(b"P") } else { letters(b"X") };
        }
        set | match self.axis_use {
            Use::Nothing => 0,
            Use::Home { second: true } => AXES | letters(b"P"),
            Use::Home { second: false } | Use::Machine(_) | Use::Motion(Motion::Rapid | Motion::Line) => AXES,
            Use::Motion(Motion::Clockwise | Motion::CounterClockwise) => {
                AXES | if words.get(b'R').is_some() { letters(b"R") } else { center_letters(self.plane) }
            }
            Use::Cycle(CycleCode::ChipBreak | CycleCode::Peck) => AXES | letters(b"RPQLK"),
            Use::Cycle(_) => AXES | letters(b"RPLK"),
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
