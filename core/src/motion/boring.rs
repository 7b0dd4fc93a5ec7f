//! The boring cycles that stop the spindle: G76, G86, G87.
//!
//! The step aside of a standing bar (G76, G87) is not modelled: tools are bodies of revolution here, and a bar that stands
//! has its edge on one side only. Taken as turning it would cut the wall that it leaves. So G76 is followed without the
//! step, G87 with it where I and J give its direction, and either is `unproven`.

use super::codes::CycleCode;
use super::cycle::{Hole, cycle_kind};
use super::interpret::Interpreter;
use super::modes::Coordinate;
use super::words::{Words, letters};
use super::{Fact, MoveKind, SpindleTurn};

impl Interpreter<'_> {
    /// The sideways step of a boring cycle; `None`: not given as I and J.
    pub(super) fn aside(&self, words: &Words, code: CycleCode) -> Result<Option<(f64, f64)>, Fact> {
        if !matches!(code, CycleCode::FineBore | CycleCode::BackBore) || !words.any(letters(b"IJ")) {
            return Ok(None);
        }
        if let Some(q) = words.get(b'Q') {
            return Err(Fact::UnusedWord { place: words.at(q.span) });
        }
        let step = |letter| words.get(letter).map_or(0.0, |g| self.length(g));
        let step = self.placing.direction(crate::geom::Vec3::new(step(b'I'), step(b'J'), 0.0));
        Ok(Some((step.x, step.y)))
    }

    /// Down at feed, out at rapid with the spindle standing.
    pub(super) fn bore_out(&mut self, hole: &Hole) -> Result<(), Fact> {
        self.down(hole, MoveKind::Feed, hole.bottom)?;
        self.cycle_dwell(hole);
        let turning = self.modes.spindle;
        self.modes.spindle = SpindleTurn::Stopped;
        self.clear(hole, MoveKind::Rapid)?;
        self.modes.spindle = turning;
        Ok(())
    }

    /// G87: down beside the hole's axis, aside into it, up at feed, and back the same way.
    pub(super) fn back_bore(&mut self, words: &Words, hole: &Hole, repeats: u32) -> Result<(), Fact> {
        let place = hole.place;
        if repeats == 0 {
            return Ok(());
        }
        self.notice(Fact::MotionNotModelled { place, what: "the step aside of a standing boring bar" });
        let Some((di, dj)) = hole.aside else {
            // Q says how far, the machine's setting which way.
            return Err(Fact::MotionNotModelled {
                place,
                what: "a back bore whose step aside has no direction",
            });
        };
        self.need_feed(place);
        let kind = Some(cycle_kind(hole.code));
        for _ in 0..repeats {
            let [x, y, _] = self.target_of(words, false)?;
            let [now_x, now_y, _] = self.modes.tip;
            let at = |to: Option<f64>, now: Coordinate| to.or(now.number());
            let (Some(x), Some(y)) = (at(x, now_x), at(y, now_y)) else {
                return Err(Fact::StartUnknown { place });
            };
            let turning = self.modes.spindle;
            self.go(place, MoveKind::Rapid, [Some(x + di), Some(y + dj), None], kind)?;
            self.modes.spindle = SpindleTurn::Stopped;
            self.down(hole, MoveKind::Rapid, hole.bottom)?;
            self.go(place, MoveKind::Rapid, [Some(x), Some(y), None], kind)?;
            self.modes.spindle = turning;
            self.down(hole, MoveKind::Feed, hole.top)?;
            self.cycle_dwell(hole);
            self.down(hole, MoveKind::Feed, hole.bottom)?;
            self.modes.spindle = SpindleTurn::Stopped;
            self.go(place, MoveKind::Rapid, [Some(x + di), Some(y + dj), None], kind)?;
            self.clear(hole, MoveKind::Rapid)?;
            self.go(place, MoveKind::Rapid, [Some(x), Some(y), None], kind)?;
            self.modes.spindle = turning;
        }
        Ok(())
    }
}
