//! Canned cycles G73, G74, G76, G81 to G89 (NISTIR 6556, 3.5.16; G73, G74 and G76 as shops know them).
//!
//! Where the report and shops differ, an option of the machine's `control` says which way it is, and the shop's reading is
//! its default: G98 goes back to the height at which the cycles began (`cycle_return`), a peck goes out to R
//! (`peck_retract`) and back to a clearance (`peck_clearance`, `chip_break_lift`), L0 or K0 stores the words and drills
//! nothing (`zero_repeats`).

use super::codes::CycleCode;
use super::interpret::Interpreter;
use super::modes::{Coordinate, Level, Sticky};
use super::motion_words::{AXES, Plan};
use super::words::{Words, letters};
use super::{Cycle, Doubt, Fact, MoveKind, Place, SpindleTurn, ToolCall};
use crate::geom::Axis;
use crate::job::{CycleReturn, PeckRetract};

/// Most repeats of one block.
const MOST_REPEATS: f64 = 9999.0;

/// Heights closer than this are one. Millimetres.
const SAME_HEIGHT: f64 = 1e-6;

/// One hole's numbers, setup frame.
#[derive(Clone, Copy)]
pub(super) struct Hole {
    pub(super) code: CycleCode,
    pub(super) place: Place,
    pub(super) retract: f64,
    /// Where G98 goes back to, if that is above R.
    pub(super) back: Coordinate,
    pub(super) bottom: f64,
    pub(super) dwell: Option<f64>,
    pub(super) peck: f64,
    /// Sideways step of G87 and G76, X and Y.
    pub(super) aside: Option<(f64, f64)>,
    /// Height to which G87 cuts upwards.
    pub(super) top: f64,
}

impl Interpreter<'_> {
    /// The first cycle after other motion: nothing is kept, and G98 will come back to this height.
    pub(super) fn first_cycle(&mut self) {
        let [_, _, initial] = self.modes.tip;
        self.modes.sticky = Some(Sticky { initial, r: None, z: None, dwell: None, peck: None, aside: None });
    }

    /// Another cycle straight after one: Z, P and Q must be given again.
    pub(super) fn next_cycle(&mut self) {
        if let Some(sticky) = &mut self.modes.sticky {
            (sticky.z, sticky.dwell, sticky.peck, sticky.aside) = (None, None, None, None);
        }
    }

    pub(super) fn cycle(&mut self, words: &Words, plan: &Plan, code: CycleCode) -> Result<(), Fact> {
        let place = words.span_of(AXES | letters(b"R"), plan.mode_span);
        if plan.plane != Axis::Z {
            return Err(Fact::CycleAcrossSpindle { place });
        }
        let by_feed = words.at(plan.mode_span.unwrap_or(place.span));
        self.refuse_under(super::codes::FeedMode::InverseTime, by_feed)?;
        let repeats = self.repeats(words, code)?;
        let hole = self.hole(words, code, place, by_feed)?;
        if !self.placing.height_plain() {
            // Are R and Q scaled along? Controls differ.
            self.lose(Fact::ReadTwoWays { place, why: Doubt::ScaledCycle });
        }
        if code == CycleCode::BackBore {
            return self.back_bore(words, &hole, repeats);
        }
        if hole.retract < hole.bottom - SAME_HEIGHT {
            let (retract, bottom) = (hole.retract, hole.bottom);
            return Err(Fact::CycleUpsideDown { place, retract, bottom });
        }
        if repeats == 0 {
            return Ok(());
        }
        self.need_feed(place);
        let kind = cycle_kind(code);
        let [_, _, now] = self.modes.tip;
        if now.height().is_some_and(|z| z < hole.retract - SAME_HEIGHT) {
            self.go(place, MoveKind::Rapid, [None, None, Some(hole.retract)], Some(kind))?;
        }
        for _ in 0..repeats {
            let [x, y, _] = self.target_of(words, false)?;
            self.go(place, MoveKind::Rapid, [x, y, None], Some(kind))?;
            if self.tip().is_none() {
                return Err(Fact::StartUnknown { place });
            }
            self.down(&hole, MoveKind::Rapid, hole.retract)?;
            self.drill(&hole)?;
        }
        Ok(())
    }

    /// L or K: whole number, 0 drills nothing unless the control refuses it. K of G87 is a height.
    fn repeats(&self, words: &Words, code: CycleCode) -> Result<u32, Fact> {
        let l = words.index(b'L', MOST_REPEATS)?;
        let k = if code == CycleCode::BackBore { None } else { words.index(b'K', MOST_REPEATS)? };
        match (l, k) {
            (Some(_), Some(_)) => Err(Fact::UnusedWord { place: words.span_of(letters(b"K"), None) }),
            (l, k) => match l.or(k).unwrap_or(1) {
                0 if self.control.zero_repeats_refused => {
                    Err(Fact::WordOutOfRange { place: words.span_of(letters(b"LK"), None) })
                }
                repeats => Ok(repeats),
            },
        }
    }

    /// Takes up the block's words and joins them with what earlier blocks left.
    fn hole(&mut self, words: &Words, code: CycleCode, place: Place, cycle: Place) -> Result<Hole, Fact> {
        let zero = self.zero(words.block)?.z + self.length_shift();
        let [_, _, now] = self.modes.tip;
        let Some(mut sticky) = self.modes.sticky else { return Err(Fact::NoMotionMode { place }) };
        let missing = |letter: char| Fact::WordMissing { place: cycle, letter };
        let (r, r_doubtful) = match words.get(b'R').map(|g| self.length(g)) {
            Some(programmed) => self.given_r(programmed, zero, now, sticky.initial, place)?,
            None => self.kept_r(sticky.r.ok_or(missing('R'))?, zero, now, place)?,
        };
        let (programmed, z_doubtful) = if let Some(given) = words.get(b'Z') {
            (self.length(given), false)
        } else {
            let kept = sticky.z.ok_or(missing('Z'))?;
            (kept.programmed, kept.incremental != self.modes.incremental)
        };
        let incremental = self.modes.incremental;
        let bottom = if incremental { r.height + programmed } else { zero + programmed };
        if r_doubtful || z_doubtful {
            self.lose(Fact::ReadTwoWays { place, why: Doubt::CycleLevels });
        }
        sticky.r = Some(r);
        sticky.z = Some(Level { programmed, incremental, height: bottom, from: r.height });
        sticky.dwell = self.dwell_seconds(words)?.or(sticky.dwell);
        sticky.peck = words.get(b'Q').map(|g| self.length(g)).or(sticky.peck);
        sticky.aside = self.aside(words, code)?.or(sticky.aside);
        self.modes.sticky = Some(sticky);
        let needs_peck = matches!(code, CycleCode::Peck | CycleCode::ChipBreak);
        let needs_dwell = matches!(code, CycleCode::DrillDwell | CycleCode::BoreDwellFeedOut);
        if needs_dwell && sticky.dwell.is_none() {
            return Err(missing('P'));
        }
        let peck = match sticky.peck {
            Some(peck) if needs_peck && peck <= 0.0 => {
                return Err(Fact::WordOutOfRange { place: words.span_of(letters(b"Q"), None) });
            }
            Some(peck) => peck,
            None if needs_peck => return Err(missing('Q')),
            None => 0.0,
        };
        let boring = matches!(code, CycleCode::FineBore | CycleCode::BackBore);
        if boring && sticky.aside.is_none() && sticky.peck.is_none() {
            return Err(missing('Q'));
        }
        let top = match words.get(b'K').filter(|_| code == CycleCode::BackBore).map(|g| self.length(g)) {
            Some(k) if incremental => bottom + k,
            Some(k) => zero + k,
            None => bottom,
        };
        let (dwell, aside) = (sticky.dwell, sticky.aside);
        let back = match self.control.cycle_return {
            CycleReturn::InitialLevel => sticky.initial,
            CycleReturn::LevelBeforeBlock => now,
        };
        Ok(Hole { code, place, retract: r.height, back, bottom, dwell, peck, aside, top })
    }

    /// A dwell in a cycle, seconds; without a point milliseconds where such numbers are increments.
    fn dwell_seconds(&self, words: &Words) -> Result<Option<f64>, Fact> {
        let Some(given) = words.get(b'P') else { return Ok(None) };
        if given.value < 0.0 {
            return Err(Fact::WordOutOfRange { place: words.at(given.span) });
        }
        Ok(Some(self.seconds(given)))
    }

    /// An R word, and whether controls differ on it: under G91 the report counts from the present height, shops from
    /// the height where the cycles began.
    fn given_r(
        &self,
        programmed: f64,
        zero: f64,
        now: Coordinate,
        initial: Coordinate,
        place: Place,
    ) -> Result<(Level, bool), Fact> {
        let incremental = self.modes.incremental;
        if !incremental {
            let height = zero + programmed;
            return Ok((Level { programmed, incremental, height, from: height }, false));
        }
        let from = now.number().ok_or(Fact::StartUnknown { place })?;
        let doubtful = initial.number().is_none_or(|i| (i - from).abs() > SAME_HEIGHT);
        Ok((Level { programmed, incremental, height: from + programmed, from }, doubtful))
    }

    /// R kept from an earlier block, and whether controls differ on it.
    fn kept_r(&self, kept: Level, zero: f64, now: Coordinate, place: Place) -> Result<(Level, bool), Fact> {
        let incremental = self.modes.incremental;
        match (kept.incremental, incremental) {
            (_, false) => {
                let height = zero + kept.programmed;
                Ok((Level { height, from: height, incremental, ..kept }, kept.incremental))
            }
            (true, true) => {
                let from = now.number().ok_or(Fact::StartUnknown { place })?;
                Ok((kept, (from - kept.from).abs() > SAME_HEIGHT))
            }
            (false, true) => {
                let from = now.number().ok_or(Fact::StartUnknown { place })?;
                Ok((Level { height: from + kept.programmed, from, incremental, ..kept }, true))
            }
        }
    }

    /// Moves along Z alone.
    pub(super) fn down(&mut self, hole: &Hole, kind: MoveKind, z: f64) -> Result<(), Fact> {
        self.go(hole.place, kind, [None, None, Some(z)], Some(cycle_kind(hole.code)))
    }

    /// From R to the bottom and back to where the cycle leaves the tool.
    fn drill(&mut self, hole: &Hole) -> Result<(), Fact> {
        match hole.code {
            CycleCode::Drill | CycleCode::DrillDwell => {
                self.down(hole, MoveKind::Feed, hole.bottom)?;
                self.cycle_dwell(hole);
                self.clear(hole, MoveKind::Rapid)
            }
            CycleCode::Peck | CycleCode::ChipBreak => {
                self.pecks(hole)?;
                self.cycle_dwell(hole);
                self.clear(hole, MoveKind::Rapid)
            }
            CycleCode::Tap | CycleCode::TapLeft => self.tap(hole),
            CycleCode::BoreFeedOut | CycleCode::BoreDwellFeedOut => {
                self.down(hole, MoveKind::Feed, hole.bottom)?;
                self.cycle_dwell(hole);
                self.down(hole, MoveKind::Feed, hole.retract)?;
                self.clear(hole, MoveKind::Rapid)
            }
            CycleCode::BoreStopOut => self.bore_out(hole),
            CycleCode::FineBore => {
                // A bar is modelled as turning: standing, it has its edge on one side only, and the step aside cannot
                // be followed. The way out is taken without it.
                let what = "the step aside of a standing boring bar";
                self.notice(Fact::MotionNotModelled { place: hole.place, what });
                self.bore_out(hole)
            }
            CycleCode::BoreByHandOut => {
                self.down(hole, MoveKind::Feed, hole.bottom)?;
                self.cycle_dwell(hole);
                self.modes.spindle = SpindleTurn::Stopped;
                self.event(hole.place, ToolCall::Stop { optional: false });
                let what = "the way out by hand";
                self.lose(Fact::MotionNotModelled { place: hole.place, what });
                self.clear(hole, MoveKind::Rapid)
            }
            // Done by `back_bore`.
            CycleCode::BackBore => Ok(()),
        }
    }

    /// Pecks: G83 goes out to R and back to a clearance above the last depth, G73 lifts a little.
    fn pecks(&mut self, hole: &Hole) -> Result<(), Fact> {
        let mut depth = hole.retract;
        loop {
            depth = (depth - hole.peck).max(hole.bottom);
            // A rest too small to be a peck of its own is cut with the last one.
            if depth - hole.bottom < SAME_HEIGHT {
                depth = hole.bottom;
            }
            self.down(hole, MoveKind::Feed, depth)?;
            if depth <= hole.bottom {
                return Ok(());
            }
            if hole.code == CycleCode::Peck {
                let out = match self.control.peck_retract {
                    PeckRetract::RLevel => hole.retract,
                    PeckRetract::ClearLevel => self.level_after(hole).unwrap_or(hole.retract),
                };
                self.down(hole, MoveKind::Rapid, out)?;
                self.down(hole, MoveKind::Rapid, (depth + self.control.peck_clearance).min(hole.retract))?;
            } else {
                self.down(hole, MoveKind::Rapid, (depth + self.control.chip_break_lift).min(hole.retract))?;
            }
        }
    }

    /// In with the thread, the spindle turned round, out with the thread, and round again.
    fn tap(&mut self, hole: &Hole) -> Result<(), Fact> {
        let turning = self.modes.spindle;
        self.down(hole, MoveKind::Thread, hole.bottom)?;
        self.cycle_dwell(hole);
        self.modes.spindle = match turning {
            SpindleTurn::Stopped => SpindleTurn::Stopped,
            SpindleTurn::Clockwise => SpindleTurn::CounterClockwise,
            SpindleTurn::CounterClockwise => SpindleTurn::Clockwise,
        };
        self.down(hole, MoveKind::Thread, hole.retract)?;
        self.modes.spindle = turning;
        self.clear(hole, MoveKind::Rapid)
    }

    pub(super) fn cycle_dwell(&mut self, hole: &Hole) {
        if let Some(seconds) = hole.dwell {
            self.event(hole.place, ToolCall::Dwell { seconds });
        }
    }

    /// Back to R (G99), or to where the cycles began where that is higher (G98).
    pub(super) fn clear(&mut self, hole: &Hole, kind: MoveKind) -> Result<(), Fact> {
        let height = self.level_after(hole);
        self.down(hole, kind, height.unwrap_or(hole.retract))?;
        if height.is_some() {
            let [_, _, z] = &mut self.modes.tip;
            *z = hole.back;
        }
        Ok(())
    }

    /// The height above R that a cycle ends at; `None`: at R.
    fn level_after(&self, hole: &Hole) -> Option<f64> {
        hole.back.height().filter(|z| !self.modes.return_to_r && *z > hole.retract)
    }
}

pub(super) fn cycle_kind(code: CycleCode) -> Cycle {
    match code {
        CycleCode::Drill | CycleCode::DrillDwell => Cycle::Drill,
        CycleCode::Peck | CycleCode::ChipBreak => Cycle::Peck,
        CycleCode::Tap | CycleCode::TapLeft => Cycle::Tap,
        CycleCode::BoreFeedOut
        | CycleCode::BoreStopOut
        | CycleCode::BoreDwellFeedOut
        | CycleCode::FineBore
        | CycleCode::BackBore
        | CycleCode::BoreByHandOut => Cycle::Bore,
    }
}
