use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use proofcut_core::proof::Progress;
use std::cell::Cell;
use std::io::IsTerminal;
use std::time::{Duration, Instant};

/// A run shorter than this shows no bar: it would only flicker.
const LONG: Duration = Duration::from_millis(400);

/// Steps of the bar.
const STEPS: u16 = 1000;

/// A progress bar on standard error, shown on a terminal when the run is long.
pub(crate) struct Bar {
    shown: ProgressBar,
    begun: Instant,
    /// True once there is nothing more to decide about showing it.
    settled: Cell<bool>,
}

impl Bar {
    /// A bar that has not been shown yet.
    pub(crate) fn new(quiet: bool) -> Self {
        let bar = ProgressBar::with_draw_target(Some(u64::from(STEPS)), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{bar:30} {percent:>3}% {msg}") {
            bar.set_style(style.progress_chars("=> "));
        }
        let settled = quiet || !std::io::stderr().is_terminal();
        Self { shown: bar, begun: Instant::now(), settled: Cell::new(settled) }
    }

    /// Takes the bar away.
    pub(crate) fn done(&self) {
        self.shown.finish_and_clear();
    }
}

impl Progress for Bar {
    fn at(&self, what: &str, done: f64) {
        if !self.settled.get() && self.begun.elapsed() > LONG {
            self.settled.set(true);
            self.shown.set_draw_target(ProgressDrawTarget::stderr());
        }
        // In thousandths, by comparison: a number that is no number leaves the bar where it is.
        let reached = (0..=STEPS).rev().find(|step| f64::from(*step) <= done * f64::from(STEPS));
        if let Some(step) = reached {
            self.shown.set_position(u64::from(step));
        }
        self.shown.set_message(what.to_owned());
    }
}
