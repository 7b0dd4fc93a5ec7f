//! The window: events in, frames out. What it shows is `session`'s and `panels`', how it is drawn `render`'s.
//!
//! *Invariant*: a machine that cannot show a window gets one sentence, never a panic; nothing here waits for the stock.

mod lens;
mod probe;
mod shell;
mod surface;

use crate::session::{Disk, Session, Wake};
use shell::{Event, Shell};
use std::fmt;
use std::sync::Arc;
use winit::event_loop::EventLoop;

/// Why there is no window. Its text says what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoWindow {
    said: String,
}

impl NoWindow {
    fn new(said: impl fmt::Display) -> Self {
        Self { said: said.to_string() }
    }
}

impl fmt::Display for NoWindow {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said)
    }
}

impl std::error::Error for NoWindow {}

/// Opens a window on a job and returns when it is closed.
///
/// # Errors
/// When there is no display, no graphics driver, or a library is missing.
pub fn open(path: &str, disk: Arc<dyn Disk>) -> Result<(), NoWindow> {
    probe::display()?;
    let events = EventLoop::<Event>::with_user_event().build().map_err(probe::no_display)?;
    let proxy = events.create_proxy();
    let wake: Wake = {
        let proxy = proxy.clone();
        // The loop is gone only when the window is closed.
        Arc::new(move || drop(proxy.send_event(Event::News)))
    };
    let session = Session::new(path, disk, Arc::clone(&wake));
    let mut shell = Shell::new(session, proxy, wake);
    events.run_app(&mut shell).map_err(probe::no_display)?;
    shell.failed.map_or(Ok(()), Err)
}
