//! Lines of level moves that wait to be brought to the rays.
//!
//! A level is cleared by many short moves that follow each other over the same lines of the section. Brought to the
//! rays one by one, each would fetch the same packets from memory again; so they are collected, block of lines by block
//! of lines, and the packets see all of them in order at one visit. Ops that cannot wait (they report what they
//! meet, or are no prisms) are done when nothing is left waiting. This changes no byte: on every ray the cuts
//! come in the order of the program.

#![expect(
    clippy::indexing_slicing,
    reason = "the list of blocks is made long enough before it is used; lanes are counted by a constant"
)]

use super::block::Added;
use super::cover::{Fresh, Heights};
use super::nm::{FAR, NOISE};
use super::packet::{Cut16, Ints, LANES, Makers, mask, pick};

/// Ops that wait on a block of lines at most: enough for several rows of short moves, few enough to stay near the processor.
pub(super) const MOST: usize = 32;

/// The lines that one op cuts in a block of sixteen.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) lines: Cut16,
    /// What it adds to those before it, as long as [`Lines::joined`].
    pub(super) added: Added,
    /// Rays along the height that it cuts.
    pub(super) heights: Heights,
    /// Mark for the ends that it makes.
    pub(super) id: u32,
    /// Number of its tally.
    pub(super) tally: usize,
    /// From which ray along the height on each line may be new; [`FAR`] where nothing is.
    pub(super) new: Ints,
}

impl Entry {
    /// An op's lines, with what is new of them.
    #[inline(always)]
    pub(super) fn new(lines: &Cut16, heights: Heights, id: u32, tally: usize, fresh: &Fresh) -> Self {
        let added = Added { below: Cut16::NONE, above: *lines };
        Self { lines: *lines, added, heights, id, tally, new: fresh.from }
    }
}

/// What waits on a block of lines.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    pub(super) entries: Vec<Entry>,
    /// What may be new of all of them together.
    pub(super) fresh: Fresh,
    /// True as long as all have the same heights and each joins on to those before it, on every line that it cuts. Then
    /// `all` holds what they cut together, and `by` who makes its ends.
    pub(super) joined: bool,
    pub(super) all: Cut16,
    pub(super) by: Makers,
}

impl Lines {
    fn empty() -> Self {
        let entries = Vec::with_capacity(MOST);
        Self { entries, fresh: Fresh::NONE, joined: true, all: Cut16::NONE, by: Makers::all(0) }
    }

    /// Works out what an op adds to those before it.
    #[inline(always)]
    fn join(&mut self, entry: &mut Entry) {
        self.joined &= self.entries.first().is_none_or(|first| first.heights == entry.heights);
        let (lines, all) = (&entry.lines, &mut self.all);
        let mut apart = 0;
        for k in 0..LANES {
            let (low, high) = (lines.low[k], lines.high[k]);
            // Less than this is rounding and cuts nothing.
            let met = mask(low < high - NOISE);
            let first = mask(all.low[k] >= all.high[k]);
            apart |= met & !first & (mask(high < all.low[k]) | mask(all.high[k] < low));
            let lower = met & (first | mask(low < all.low[k] - NOISE));
            let upper = met & (first | mask(high > all.high[k] + NOISE));
            // The first adds all of itself at its upper end.
            let below = lower & !first;
            entry.added.below.low[k] = pick(below, low, FAR);
            entry.added.below.high[k] = pick(below, all.low[k], -FAR);
            entry.added.above.low[k] = pick(upper, pick(first, low, all.high[k]), FAR);
            entry.added.above.high[k] = pick(upper, high, -FAR);
            all.low[k] = pick(lower, low, all.low[k]);
            all.high[k] = pick(upper, high, all.high[k]);
            let (lower, upper) = (lower.cast_unsigned(), upper.cast_unsigned());
            self.by.low[k] = (entry.id & lower) | (self.by.low[k] & !lower);
            self.by.high[k] = (entry.id & upper) | (self.by.high[k] & !upper);
        }
        self.joined &= apart == 0;
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
    pub(super) fn add(&mut self, block: u32, mut entry: Entry, fresh: &Fresh) -> bool {
        let at = block as usize;
        if self.blocks.len() <= at {
            self.blocks.resize(at + 1, None);
        }
        let lines = self.blocks[at].get_or_insert_with(|| Box::new(Lines::empty()));
        if lines.entries.is_empty() {
            self.busy.push(block);
        }
        lines.fresh.widen(fresh);
        if lines.joined {
            lines.join(&mut entry);
        }
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
        (lines.fresh, lines.joined, lines.all) = (Fresh::NONE, true, Cut16::NONE);
        if let Some(slot) = self.blocks.get_mut(block as usize) {
            *slot = Some(lines);
        }
    }
}
