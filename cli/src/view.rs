//! `proofcut view`: the window.

use crate::arguments::ViewJob;
use crate::disk::Disk;
use crate::outcome::Outcome;
use crate::page::{Pages, Stream};
use proofcut_core::job::Files;
use proofcut_core::report::{Part, Role, Text};
use proofcut_viewer::session;
use std::sync::Arc;
use std::time::UNIX_EPOCH;

/// Opens the window and returns when it is closed.
pub(crate) fn run(view: &ViewJob, pages: &mut Pages) -> Outcome {
    crate::quiet::driver();
    if let Some(threads) = view.threads {
        // Only the first call in a process has an effect, and this is the first.
        let _set = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global();
    }
    match proofcut_viewer::window::open(&view.job, Arc::new(Shelf)) {
        Ok(()) => Outcome::NothingFound,
        Err(why) => {
            let text = Text::of(Role::Fault, "no window").and(Role::Plain, format!(": {why}"));
            pages.show(Stream::Err, &[Part::Paragraph(text)]);
            Outcome::Unproven
        }
    }
}

/// Files on disk, and when they were written.
struct Shelf;

impl Files for Shelf {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        Disk::default().read(path)
    }
}

impl session::Disk for Shelf {
    fn mark(&self, path: &str) -> Option<u128> {
        let about = std::fs::metadata(path).ok()?;
        let written = about.modified().ok()?.duration_since(UNIX_EPOCH).map_or(0, |d| d.as_nanos());
        // Time in the upper bits, length in the lower: two writings within one tick of the disk's clock differ by length.
        Some(written << 48 | u128::from(about.len()) & 0xffff_ffff_ffff)
    }
}
