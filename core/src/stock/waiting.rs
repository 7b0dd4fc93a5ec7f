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
use super::packet::{Cut16, Ints, LANES, Makers, SIDE, and, any, each, le, lt, mask, pick, whole};

/// Ops that wait on a block of lines at most: enough for several rows of short moves, few enough to stay near the processor.
pub(super) const MOST: usize = 32;

/// The lines that one op cuts in a block of sixteen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Entry {
    pub(super) lines: Cut16,
    /// What it adds to those before it.
    pub(super) added: Added,
    /// The groups of four lines on which it may take something new, a bit for each.
    pub(super) new_in: u32,
    /// Mark for the ends that it makes.
    pub(super) id: u32,
    /// Number of its tally.
    pub(super) tally: usize,
}

impl Entry {
    const NONE: Entry = Entry {
        lines: Cut16::NONE,
        added: Added { below: Cut16::NONE, above: Cut16::NONE },
        new_in: 0,
        id: 0,
        tally: 0,
    };
}

/// What waits on a block of lines. All of it has the same heights, and each op joins on to those before it on every line
/// that it cuts.
#[derive(Clone, Debug)]
pub(super) struct Lines {
    /// Made once; filled in place, since copies would cost more than what is done with them.
    room: Vec<Entry>,
    count: usize,
    /// Rays along the height that they cut.
    pub(super) heights: Heights,
    /// What may be new of all of them together.
    pub(super) fresh: Fresh,
    /// What they cut together, and who makes its ends.
    pub(super) all: Cut16,
    pub(super) by: Makers,
}

impl Lines {
    fn empty() -> Self {
        Self {
            room: vec![Entry::NONE; MOST],
            count: 0,
            heights: (0, 0),
            fresh: Fresh::NONE,
            all: Cut16::NONE,
            by: Makers::all(0),
        }
    }

    /// The ops that wait, in order.
    #[inline(always)]
    pub(super) fn entries(&self) -> &[Entry] {
        &self.room[..self.count]
    }

    /// True when an op can wait here too.
    #[inline(always)]
    fn takes(&self, heights: Heights, lines: &Cut16) -> bool {
        if self.count == 0 {
            return true;
        }
        let all = &self.all;
        let met = and(&lt(&lines.low, &lines.high), &lt(&all.low, &all.high));
        let joins = and(&le(&all.low, &lines.high), &le(&lines.low, &all.high));
        self.count < MOST && self.heights == heights && !any(&each(&met, &joins, |met, joins| met & !joins))
    }

    /// Adds an op, with what it adds to those before it.
    #[inline(always)]
    fn add(&mut self, (id, tally): (u32, usize), heights: Heights, lines: &Cut16, fresh: &Fresh) {
        self.heights = heights;
        self.fresh.widen(fresh);
        let (all, entry) = (&mut self.all, &mut self.room[self.count]);
        self.count += 1;
        (entry.lines, entry.id, entry.tally) = (*lines, id, tally);
        entry.new_in = groups(&lt(&fresh.from, &[FAR; LANES]));
        let Added { below, above } = &mut entry.added;
        let by = &self.by;
        let mut new_by = Makers::all(id);
        for k in 0..LANES {
            let (low, high) = (lines.low[k], lines.high[k]);
            // Less than this is rounding and cuts nothing.
            let met = mask(low < high - NOISE);
            let first = mask(all.low[k] >= all.high[k]);
            let lower = met & (first | mask(low < all.low[k] - NOISE));
            let upper = met & (first | mask(high > all.high[k] + NOISE));
            // The first adds all of itself at its upper end.
            let under = lower & !first;
            below.low[k] = pick(under, low, FAR);
            below.high[k] = pick(under, all.low[k], -FAR);
            above.low[k] = pick(upper, pick(first, low, all.high[k]), FAR);
            above.high[k] = pick(upper, high, -FAR);
            all.low[k] = pick(lower, low, all.low[k]);
            all.high[k] = pick(upper, high, all.high[k]);
            let (lower, upper) = (lower.cast_unsigned(), upper.cast_unsigned());
            new_by.low[k] = (id & lower) | (by.low[k] & !lower);
            new_by.high[k] = (id & upper) | (by.high[k] & !upper);
        }
        self.by = whole(new_by);
    }
}

/// The groups of four lines in which a mask is set anywhere, a bit for each.
#[inline(always)]
fn groups(lines: &Ints) -> u32 {
    let mut bits = 0;
    for (k, line) in lines.iter().enumerate() {
        bits |= line & (1 << (k / SIDE as usize));
    }
    bits.cast_unsigned()
}

/// Everything that waits in a band.
#[derive(Clone, Debug, Default)]
pub(super) struct Waiting {
    blocks: Vec<Option<Box<Lines>>>,
    /// Blocks on which something waits.
    busy: Vec<u32>,
}

impl Waiting {
    /// True when an op can wait on a block of lines without anything being done first.
    #[inline(always)]
    pub(super) fn takes(&self, block: u32, heights: Heights, lines: &Cut16) -> bool {
        self.blocks.get(block as usize).and_then(Option::as_ref).is_none_or(|own| own.takes(heights, lines))
    }

    /// Lets an op (its mark, the number of its tally) wait, with what is new of its lines.
    #[inline(always)]
    pub(super) fn add(
        &mut self,
        block: u32,
        op: (u32, usize),
        heights: Heights,
        lines: &Cut16,
        fresh: &Fresh,
    ) {
        let at = block as usize;
        if self.blocks.len() <= at {
            self.blocks.resize(at + 1, None);
        }
        let own = self.blocks[at].get_or_insert_with(|| Box::new(Lines::empty()));
        if own.count == 0 {
            self.busy.push(block);
        }
        own.add(op, heights, lines, fresh);
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
        lines.count = 0;
        (lines.fresh, lines.all) = (Fresh::NONE, Cut16::NONE);
        if let Some(slot) = self.blocks.get_mut(block as usize) {
            *slot = Some(lines);
        }
    }
}
