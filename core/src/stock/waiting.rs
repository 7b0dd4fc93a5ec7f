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
use super::packet::{Cut16, Ints, LANES, Makers, and, any, each, le, lt, mask, pick};

/// Ops that wait on a block of lines at most: enough for several rows of short moves, few enough to stay near the processor.
pub(super) const MOST: usize = 32;

/// The lines that one op cuts in a block of sixteen.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) lines: Cut16,
    /// What it adds to those before it.
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
        let added = Added { below: Cut16::NONE, above: Cut16::NONE };
        Self { lines: *lines, added, heights, id, tally, new: fresh.from }
    }
}

/// What waits on a block of lines.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    pub(super) entries: Vec<Entry>,
    /// What may be new of all of them together.
    pub(super) fresh: Fresh,
    /// What they cut together, and who makes its ends. All have the same heights, and each joins on to those before it
    /// on every line that it cuts.
    pub(super) all: Cut16,
    pub(super) by: Makers,
}

impl Lines {
    fn empty() -> Self {
        let entries = Vec::with_capacity(MOST);
        Self { entries, fresh: Fresh::NONE, all: Cut16::NONE, by: Makers::all(0) }
    }

    /// True when an op has the heights of those before it and joins on to them, on every line that it cuts.
    #[inline(always)]
    fn joins(&self, entry: &Entry) -> bool {
        let Some(first) = self.entries.first() else { return true };
        let (lines, all) = (&entry.lines, &self.all);
        let met = and(&lt(&lines.low, &lines.high), &lt(&all.low, &all.high));
        let joins = and(&le(&all.low, &lines.high), &le(&lines.low, &all.high));
        first.heights == entry.heights && !any(&each(&met, &joins, |met, joins| met & !joins))
    }

    /// Adds an op, with what it adds to those before it.
    #[inline(always)]
    fn join(&mut self, entry: &Entry) {
        let (lines, all) = (&entry.lines, &mut self.all);
        let mut added = Added { below: Cut16::NONE, above: Cut16::NONE };
        for k in 0..LANES {
            let (low, high) = (lines.low[k], lines.high[k]);
            // Less than this is rounding and cuts nothing.
            let met = mask(low < high - NOISE);
            let first = mask(all.low[k] >= all.high[k]);
            let lower = met & (first | mask(low < all.low[k] - NOISE));
            let upper = met & (first | mask(high > all.high[k] + NOISE));
            // The first adds all of itself at its upper end.
            let below = lower & !first;
            added.below.low[k] = pick(below, low, FAR);
            added.below.high[k] = pick(below, all.low[k], -FAR);
            added.above.low[k] = pick(upper, pick(first, low, all.high[k]), FAR);
            added.above.high[k] = pick(upper, high, -FAR);
            all.low[k] = pick(lower, low, all.low[k]);
            all.high[k] = pick(upper, high, all.high[k]);
            let (lower, upper) = (lower.cast_unsigned(), upper.cast_unsigned());
            self.by.low[k] = (entry.id & lower) | (self.by.low[k] & !lower);
            self.by.high[k] = (entry.id & upper) | (self.by.high[k] & !upper);
        }
        self.entries.push(Entry { added, ..*entry });
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
    /// Lets an op's lines wait, with what is new of them; false when what waits must be done first.
    #[inline(always)]
    pub(super) fn add(&mut self, block: u32, entry: &Entry, fresh: &Fresh) -> bool {
        let at = block as usize;
        if self.blocks.len() <= at {
            self.blocks.resize(at + 1, None);
        }
        let lines = self.blocks[at].get_or_insert_with(|| Box::new(Lines::empty()));
        if !lines.joins(entry) || lines.entries.len() >= MOST {
            return false;
        }
        if lines.entries.is_empty() {
            self.busy.push(block);
        }
        lines.fresh.widen(fresh);
        lines.join(entry);
        true
    }

    /// A block on which something waits.
    pub(super) fn next(&self) -> Option<u32> {
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
        (lines.fresh, lines.all) = (Fresh::NONE, Cut16::NONE);
        if let Some(slot) = self.blocks.get_mut(block as usize) {
            *slot = Some(lines);
        }
    }
}
