use proofcut_core::job::Job;
use proofcut_core::motion::{Run, ToolCall};
use proofcut_core::proof::move_seconds;

/// When each move of a run is made, seconds from the start of its program: feeds, rapids, tool changes and dwells.
/// Acceleration is not modelled, and stops by M0 take no time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Clock {
    /// When each move begins.
    begins: Vec<f64>,
    /// How long each takes.
    takes: Vec<f64>,
    total: f64,
}

impl Clock {
    /// Reads the times of a run.
    pub fn of(job: &Job, run: &Run) -> Self {
        let mut clock = Self::default();
        let change = job.machine.changer.seconds.unwrap_or(0.0);
        let waits = |call: &ToolCall| match call {
            ToolCall::Change { .. } => change,
            ToolCall::Dwell { seconds } => *seconds,
            ToolCall::Ready { .. }
            | ToolCall::Stop { .. }
            | ToolCall::LengthOffset { .. }
            | ToolCall::RadiusOffset { .. }
            | ToolCall::End => 0.0,
        };
        let mut events = run.events.iter().peekable();
        for (index, m) in run.moves.iter().enumerate() {
            while let Some(event) = events.next_if(|e| e.before_move <= index) {
                clock.total += waits(&event.call);
            }
            let seconds = move_seconds(job, m);
            let seconds = if seconds.is_finite() { seconds.max(0.0) } else { 0.0 };
            clock.begins.push(clock.total);
            clock.takes.push(seconds);
            clock.total += seconds;
        }
        clock.total += events.map(|e| waits(&e.call)).sum::<f64>();
        clock
    }

    /// Time of the whole program, s.
    pub const fn total(&self) -> f64 {
        self.total
    }

    /// The time at which so many moves are made, and a part (0 to 1) of the next.
    pub fn time(&self, made: usize, part: f64) -> f64 {
        match (self.begins.get(made), made.checked_sub(1)) {
            (Some(begins), _) if part > 0.0 => begins + part * self.takes.get(made).copied().unwrap_or(0.0),
            (_, Some(last)) => {
                let begins = self.begins.get(last).copied().unwrap_or(self.total);
                begins + self.takes.get(last).copied().unwrap_or(0.0)
            }
            _ => 0.0,
        }
    }

    /// How many moves are made at a time, and what part of the next.
    pub fn at(&self, time: f64) -> (usize, f64) {
        let begun = self.begins.partition_point(|b| *b <= time);
        let Some(last) = begun.checked_sub(1) else { return (0, 0.0) };
        let (begins, takes) = (self.begins.get(last), self.takes.get(last));
        let (begins, takes) = (begins.copied().unwrap_or(0.0), takes.copied().unwrap_or(0.0));
        let part = if takes > 0.0 { (time - begins) / takes } else { 1.0 };
        if part >= 1.0 { (begun, 0.0) } else { (last, part.max(0.0)) }
    }
}
