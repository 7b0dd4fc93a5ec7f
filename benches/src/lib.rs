//! What the measurements share: made-up jobs, their names, and what a process has used.

/// The one of the command, so that what is measured is what is shipped.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

mod files;
mod jobs;
mod name;
mod text;
mod used;
mod zigzag;

pub use files::{Folder, MadeUp};
pub use jobs::{Kind, flat_volume, make};
pub use name::JobName;
pub use used::{fastest, forget_peak, memory_roof, peak_megabytes, processor, processor_seconds};
