//! The memory that a stock may take, held while it is cut.

use std::sync::atomic::{AtomicU64, Ordering::Relaxed};

/// Bytes that a piece of material takes on its ray.
pub(super) const BYTES_PER_PIECE: u64 = 16;

/// What part of the limit the ops done to a band between two looks at what it holds may always add, if each split the
/// material of every ray that it can meet: 64 MB of 2 GB. A single op may be larger. Far from the limit looks are rarer: all
/// threads together then could not reach it.
const BETWEEN_LOOKS: u64 = 32;

/// Bytes held by all bands, and how many they may be.
///
/// While ops are run a band only ever takes more (what its blocks can give back they give back in the end), so that whether the
/// limit was passed does not depend on the order in which the bands tell what they took.
#[derive(Debug)]
pub(super) struct Room {
    held: AtomicU64,
    limit: Option<u64>,
    threads: u64,
}

impl Room {
    /// No limit.
    pub(super) fn endless() -> Self {
        Self { held: AtomicU64::new(0), limit: None, threads: threads() }
    }

    /// So many bytes are held of those allowed.
    pub(super) fn of(held: u64, limit: u64) -> Self {
        Self { held: AtomicU64::new(held), limit: Some(limit), threads: threads() }
    }

    /// How many bytes ops done to a band may add before it must tell what it has taken.
    pub(super) fn until_look(&self) -> u64 {
        self.limit.map_or(u64::MAX, |limit| {
            let left = limit.saturating_sub(self.held.load(Relaxed));
            (limit / BETWEEN_LOOKS).max(left / self.threads)
        })
    }

    /// A band has taken so many bytes more.
    pub(super) fn take(&self, bytes: u64) {
        self.held.fetch_add(bytes, Relaxed);
    }

    /// True when more is held than allowed.
    pub(super) fn is_over(&self) -> bool {
        self.limit.is_some_and(|limit| self.held.load(Relaxed) > limit)
    }
}

/// Threads that may work at once.
fn threads() -> u64 {
    rayon::current_num_threads().max(1) as u64
}
