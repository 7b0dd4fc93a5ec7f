//! Lines of level moves that wait to be brought to the rays.
//!
//! A level is cleared by many short moves that follow each other over the same lines of the section. Brought to the
//! rays one by one, each would fetch the same packets from memory again; so they are collected, block of lines by block
//! of lines, and the packets see all of them in order at one visit. Ops that cannot wait (they report what they
//! meet, or are no prisms) are done when nothing is left waiting. This changes no byte: on every ray the cuts
//! come in the order of the program.

#![expect(clippy::indexing_slicing, reason = "the list of blocks is made long enough before it is used")]

use super::cover::{Fresh, Heights};
use super::packet::{Cut16, Ints};

/// Ops that wait on a block of lines at most: enough for several rows of short moves, few enough to stay near the processor.
pub(super) const MOST: usize = 32;

/// The lines that one op cuts in a block of sixteen.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) lines: Cut16,
    /// Rays along the height that it cuts.
    pub(super) heights: Heights,
    /// Mark for the ends that it makes.
    pub(super) id: u32,
    /// Number of its tally.
    pub(super) tally: usize,
    /// From which ray along the height on each line may be new; [`FAR`](super::nm::FAR) where nothing is.
    pub(super) new: Ints,
}

/// What waits on a block of lines.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    pub(super) entries: Vec<Entry>,
    /// What may be new of all of them together.
    pub(super) fresh: Fresh,
}

impl Lines {
    fn empty() -> Self {
        Self { entries: Vec::with_capacity(MOST), fresh: Fresh::NONE }
    }
}

/// Everything that waits in a band.
#[derive(Clone, Debug, Default)]
pub(super) struct Waiting {
    blocks: Vec<Option<Box<Lines>>>,
    /// Blocks on which something waits.
    busy: Vec<u32>,
}

impl Waiting {
    /// Adds an op's lines, with what is new of them; true when the block should now be seen to.
    #[inline(always)]
    pub(super) fn add(&mut self, block: u32, entry: Entry, fresh: &Fresh) -> bool {
        let at = block as usize;
        if self.blocks.len() <= at {
            self.blocks.resize(at + 1, None);
        }
        let lines = self.blocks[at].get_or_insert_with(|| Box::new(Lines::empty()));
        if lines.entries.is_empty() {
            self.busy.push(block);
        }
        lines.fresh.widen(fresh);
        lines.entries.push(entry);
        lines.entries.len() >= MOST
    }

    /// Takes one block on which something waits.
    pub(super) fn next(&mut self) -> Option<u32> {
        self.busy.last().copied()
    }

    /// Takes what waits on a block, to be given back to [`Waiting::done`].
    pub(super) fn take(&mut self, block: u32) -> Option<Box<Lines>> {
        self.busy.retain(|b| *b != block);
        self.blocks.get_mut(block as usize)?.take()
    }

    /// Keeps the room of what was taken for what comes next.
    pub(super) fn done(&mut self, block: u32, mut lines: Box<Lines>) {
        lines.entries.clear();
        lines.fresh = Fresh::NONE;
        if let Some(slot) = self.blocks.get_mut(block as usize) {
            *slot = Some(lines);
        }
    }
}
