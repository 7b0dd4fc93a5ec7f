//! What a program asks of spindle, registers and tool changer, stay by stay.

use super::fact::Fact;
use super::sections::Section;
use crate::cutter::Hand;
use crate::geom::Path;
use crate::job::{ChangerKind, Job};
use crate::motion::{Move, MoveKind, Run, SpindleTurn, ToolCall};

/// Judges one setup's run. `cuts`: does this move take material? `home`: height of a tip at home, setup frame.
pub fn look(
    job: &Job,
    run: &Run,
    sections: &[Section],
    cuts: &dyn Fn(usize) -> bool,
    home: f64,
) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut no_holder = Vec::new();
    for section in sections {
        let stay =
            Stay { job, run, section, moves: run.moves.get(section.moves.clone()).unwrap_or_default() };
        if section.tool.is_none() {
            facts.extend(stay.no_tool(home));
            continue;
        }
        facts.extend(stay.holder_not_given(&mut no_holder));
        facts.extend(stay.spindle_stands(cuts));
        facts.extend(stay.spindle_way());
        facts.extend(stay.no_length_offset(home));
        facts.extend(stay.registers());
        facts.extend(stay.called_ahead());
        facts.extend(stay.limits());
    }
    facts.extend(run.cut_off.map(|place| Fact::EndMissing { place }));
    facts
}

/// Heights within this of home, millimetres, are home.
const AT_HOME: f64 = 1.0e-6;

struct Stay<'a> {
    job: &'a Job,
    run: &'a Run,
    section: &'a Section,
    moves: &'a [Move],
}

impl Stay<'_> {
    /// The stay's moves with their index in the run.
    fn numbered(&self) -> impl Iterator<Item = (usize, &Move)> {
        self.moves.iter().enumerate().map(|(i, m)| (self.section.moves.start + i, m))
    }

    fn fed(&self) -> impl Iterator<Item = (usize, &Move)> {
        self.numbered().filter(|(_, m)| matches!(m.kind, MoveKind::Feed | MoveKind::Thread))
    }

    fn no_tool(&self, home: f64) -> Option<Fact> {
        let (move_index, _) = self.numbered().find(|(_, m)| {
            matches!(m.kind, MoveKind::Feed | MoveKind::Thread) || goes_below(&m.path, home)
        })?;
        Some(Fact::NoToolCalled { move_index })
    }

    /// Told once for each tool that moves; `told` remembers.
    fn holder_not_given(&self, told: &mut Vec<u32>) -> Option<Fact> {
        let tool = self.section.tool.and_then(|t| self.job.tool(t))?;
        if !tool.holder.is_empty() || self.moves.is_empty() || told.contains(&tool.number) {
            return None;
        }
        told.push(tool.number);
        Some(Fact::HolderNotGiven { place: self.section.call?, tool: tool.number })
    }

    fn spindle_stands(&self, cuts: &dyn Fn(usize) -> bool) -> Option<Fact> {
        let stands = |m: &Move| m.spindle == SpindleTurn::Stopped || m.rpm <= 0.0;
        let mut still = self.fed().filter(|(_, m)| stands(m));
        let (move_index, first) = still.next()?;
        let cutting = self.fed().filter(|(_, m)| stands(m)).map(|(i, _)| i).find(|i| cuts(*i));
        Some(Fact::SpindleNotTurning {
            move_index,
            moves: 1 + still.count(),
            cutting,
            no_speed: first.spindle != SpindleTurn::Stopped,
        })
    }

    fn spindle_way(&self) -> Option<Fact> {
        let tool = self.section.tool.and_then(|t| self.job.tool(t))?;
        let right = match tool.hand {
            Hand::Right => SpindleTurn::Clockwise,
            Hand::Left => SpindleTurn::CounterClockwise,
        };
        // A tap backs out the other way round; what it does going in decides.
        let judged =
            |m: &Move| m.kind == MoveKind::Feed || (m.kind == MoveKind::Thread && goes_down(&m.path));
        let mut wrong =
            self.fed().filter(|(_, m)| judged(m) && m.spindle != SpindleTurn::Stopped && m.spindle != right);
        let (move_index, first) = wrong.next()?;
        let tapping = first.kind == MoveKind::Thread;
        Some(Fact::SpindleWrongWay { move_index, moves: 1 + wrong.count(), hand: tool.hand, tapping })
    }

    /// Register 0 is nothing on every control: `G43 H0` is no length offset.
    fn no_length_offset(&self, home: f64) -> Option<Fact> {
        let (move_index, _) = self.numbered().find(|(_, m)| {
            m.kind != MoveKind::Home && m.length_register.is_none_or(|h| h == 0) && goes_below(&m.path, home)
        })?;
        let events = self.run.events.get(self.section.events.clone()).unwrap_or_default();
        let cancelled = events
            .iter()
            .take_while(|e| e.before_move <= move_index)
            .filter(|e| matches!(e.call, ToolCall::LengthOffset { .. }))
            .last()
            .map(|e| e.place);
        Some(Fact::NoLengthOffset { move_index, cancelled })
    }

    fn registers(&self) -> Vec<Fact> {
        let Some(tool) = self.section.tool.and_then(|t| self.job.tool(t)) else { return Vec::new() };
        let mut facts: Vec<Fact> = Vec::new();
        let mut told: Vec<(char, u32)> = Vec::new();
        for event in self.run.events.get(self.section.events.clone()).unwrap_or_default() {
            let (letter, register, own) = match event.call {
                ToolCall::LengthOffset { register: Some(h) } => ('H', h, tool.length_offset),
                ToolCall::RadiusOffset { register: d } => ('D', d, tool.radius_offset),
                ToolCall::LengthOffset { register: None }
                | ToolCall::Ready { .. }
                | ToolCall::Change { .. }
                | ToolCall::Dwell { .. }
                | ToolCall::Stop { .. }
                | ToolCall::End => continue,
            };
            if register == own || register == 0 || told.contains(&(letter, register)) {
                continue;
            }
            told.push((letter, register));
            let owner = self
                .job
                .tools
                .iter()
                .find(|t| register == if letter == 'H' { t.length_offset } else { t.radius_offset });
            facts.push(Fact::RegisterOfOther {
                place: event.place,
                letter,
                register,
                tool: tool.number,
                own,
                owner: owner.map(|t| t.number),
            });
        }
        facts
    }

    /// On a carousel that must take the present tool back to its own pocket first, naming the next tool early turns that
    /// pocket away. Naming it in the block before the change, with no motion between, is harmless.
    fn called_ahead(&self) -> Option<Fact> {
        let changer = &self.job.machine.changer;
        let in_spindle = self.section.tool?;
        if changer.kind != ChangerKind::Carousel || !changer.same_pocket_return {
            return None;
        }
        let events = self.run.events.get(self.section.events.clone()).unwrap_or_default();
        events.iter().find_map(|e| {
            let ToolCall::Ready { tool } = e.call else { return None };
            let early = tool != in_spindle && self.works_after(e.before_move);
            early.then_some(Fact::CalledAhead { place: e.place, tool, in_spindle })
        })
    }

    /// Does the tool still make moves, other than going home for the change?
    fn works_after(&self, before_move: usize) -> bool {
        let rest = before_move.max(self.section.moves.start)..self.section.moves.end;
        self.run.moves.get(rest).unwrap_or_default().iter().any(|m| m.kind != MoveKind::Home)
    }

    fn limits(&self) -> Vec<Fact> {
        let spindle = &self.job.machine.spindle;
        let mut facts = Vec::new();
        let turning = |m: &Move| m.spindle != SpindleTurn::Stopped && m.rpm > 0.0;
        if let Some(limit) = spindle.max_rpm
            && let Some((move_index, m)) = self.numbered().find(|(_, m)| turning(m) && m.rpm > limit)
        {
            facts.push(Fact::SpeedTooHigh { move_index, rpm: m.rpm, limit });
        }
        if let Some(limit) = spindle.min_rpm
            && let Some((move_index, m)) = self.fed().find(|(_, m)| turning(m) && m.rpm < limit)
        {
            facts.push(Fact::SpeedTooLow { move_index, rpm: m.rpm, limit });
        }
        if let Some(limit) = self.job.machine.max_feed
            && let Some((move_index, feed)) =
                self.fed().find_map(|(i, m)| m.feed.filter(|f| *f > limit * (1.0 + 1.0e-9)).map(|f| (i, f)))
        {
            facts.push(Fact::FeedTooHigh { move_index, feed, limit });
        }
        facts
    }
}

fn goes_below(path: &Path, home: f64) -> bool {
    path.bounds().min.z < home - AT_HOME
}

fn goes_down(path: &Path) -> bool {
    path.end().z < path.start().z
}
