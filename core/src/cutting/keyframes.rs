//! The stock at any moment: copies of what had changed, every few thousand moves, and the cuts since the last of them done
//! again.

use super::history::History;
use crate::geom::Box3;
use crate::stock::{BlockName, CutId, Kept, Stock};
use std::collections::BTreeMap;

/// Copies of a stock's blocks at moments on the way, from which [`Keyframes::show`] makes the stock of any other moment.
#[derive(Clone, Debug)]
pub struct Keyframes {
    /// Moments on the way, ascending: each is the stock as all cuts before this one leave it.
    frames: Vec<CutId>,
    /// For each block its copies, with the number of the frame that each belongs to, ascending: 0 is the raw stock, 1 the
    /// first frame. There is one of each frame for what was changed since the frame before it.
    copies: BTreeMap<BlockName, Vec<(u32, Kept)>>,
    budget: usize,
    bytes: usize,
    moves_between: usize,
    /// Of how many moments offered one is kept, and how many have been offered since the last.
    stride: u32,
    offered: u32,
}

/// A stock that is led from moment to moment.
#[derive(Clone, Debug)]
pub struct Shown {
    stock: Stock,
    before: CutId,
    /// Number of the frame that it was made from.
    frame: u32,
    /// What has been cut since that frame.
    since: Vec<BlockName>,
}

impl Shown {
    /// The stock as it is shown.
    pub const fn stock(&self) -> &Stock {
        &self.stock
    }

    /// It is the stock as all cuts before this one leave it.
    pub const fn before(&self) -> CutId {
        self.before
    }
}

impl Keyframes {
    /// Memory for the copies that lets one go back and forth smoothly in a job of 200,000 moves at 0.1 mm, bytes.
    pub const USUAL_BUDGET: usize = 140 << 20;

    /// Moves between two moments that are offered.
    const USUAL_MOVES: usize = 2048;

    /// For a stock that nothing has cut yet. The copies take about `budget` bytes at most: where more would be needed,
    /// fewer moments are kept.
    pub fn new(stock: &Stock, budget: usize) -> Self {
        Self::every(stock, budget, Self::USUAL_MOVES)
    }

    /// The same with so many moves between two moments.
    pub(super) fn every(stock: &Stock, budget: usize, moves_between: usize) -> Self {
        let names = stock.every_block();
        let raw = stock.keep(&names);
        let bytes = raw.iter().map(Kept::bytes).sum();
        let copies = names.into_iter().zip(raw.into_iter().map(|raw| vec![(0, raw)])).collect();
        Self { frames: Vec::new(), copies, budget, bytes, moves_between, stride: 1, offered: 0 }
    }

    /// Moves between two moments that are offered.
    pub(super) const fn moves_between(&self) -> usize {
        self.moves_between
    }

    /// Number of moments kept.
    pub const fn frames(&self) -> usize {
        self.frames.len()
    }

    /// Bytes held by the copies.
    pub const fn bytes(&self) -> usize {
        self.bytes
    }

    /// Offers a moment: the stock as all cuts before `before` leave it. The last of a setup is always kept.
    pub(super) fn offer(&mut self, stock: &mut Stock, before: CutId, is_last: bool) {
        self.offered += 1;
        if !is_last && self.offered < self.stride {
            return;
        }
        self.offered = 0;
        let changed = stock.take_changed();
        let kept = stock.keep(&changed);
        self.frames.push(before);
        let number = self.count();
        for (name, copy) in changed.into_iter().zip(kept) {
            self.bytes += copy.bytes();
            self.copies.entry(name).or_default().push((number, copy));
        }
        while self.bytes > self.budget && self.frames.len() > 2 {
            self.thin_out();
        }
    }

    /// Drops every other frame, but not the newest; of two copies of a block that come to lie in one frame the later stays.
    fn thin_out(&mut self) {
        // Pairs are counted from the newest. The raw stock, 0, stays what it is.
        let odd = self.count() % 2;
        let paired = |number: u32| if number == 0 { 0 } else { (number + odd).div_ceil(2) };
        let mut frames: Vec<CutId> = Vec::new();
        for (number, frame) in (1..).zip(std::mem::take(&mut self.frames)) {
            match frames.last_mut() {
                Some(last) if number % 2 == odd => *last = frame,
                _ => frames.push(frame),
            }
        }
        self.frames = frames;
        self.bytes = 0;
        for copies in self.copies.values_mut() {
            for (number, _) in copies.iter_mut() {
                *number = paired(*number);
            }
            // From the back, so that the later of two stays.
            copies.reverse();
            copies.dedup_by_key(|(number, _)| *number);
            copies.reverse();
            self.bytes += copies.iter().map(|(_, copy)| copy.bytes()).sum::<usize>();
        }
        self.stride *= 2;
    }

    fn count(&self) -> u32 {
        u32::try_from(self.frames.len()).unwrap_or(u32::MAX)
    }

    /// Takes the stock as all setups left it, to be led to other moments.
    pub fn shown(&self, mut end: Stock) -> Shown {
        end.take_changed();
        let before = self.frames.last().copied().unwrap_or(CutId(1));
        Shown { stock: end, before, frame: self.count(), since: Vec::new() }
    }

    /// Leads a stock to the moment before a cut (see [`History::first_cut`]), and gives boxes of the part (mm) outside which
    /// nothing has changed.
    ///
    /// It is the very stock that cutting up to there leaves, but that its rays need not hold their pieces in the same
    /// places of memory.
    pub fn show(&self, history: &History, shown: &mut Shown, before: CutId) -> Vec<Box3> {
        let before = before.min(history.next_id());
        let number = self.frames.partition_point(|frame| *frame <= before);
        let number = u32::try_from(number).unwrap_or(u32::MAX);
        let mut boxes = Vec::new();
        if number != shown.frame || before < shown.before {
            self.put_back(history, shown, number, &mut boxes);
        }
        if shown.before < before {
            history.replay(&mut shown.stock, shown.before, before);
            let changed = shown.stock.take_changed();
            let bounds = history.bounds_between(shown.before, before);
            boxes.extend(changed.iter().map(|name| shown.stock.block_box(*name).common(&bounds)));
            shown.since.extend(changed);
            shown.before = before;
        }
        boxes.retain(|b| !b.is_empty());
        boxes
    }

    /// Puts a stock back to a frame.
    fn put_back(&self, history: &History, shown: &mut Shown, number: u32, boxes: &mut Vec<Box3>) {
        let (first, last) = (number.min(shown.frame), number.max(shown.frame));
        let mut since = std::mem::take(&mut shown.since);
        since.sort_unstable();
        // What was changed between the two frames has a copy of one of them, and what was cut since must be put back too.
        let differs = |name: &BlockName, copies: &[(u32, Kept)]| {
            let behind = copies.partition_point(|(n, _)| *n <= first);
            copies.get(behind).is_some_and(|(n, _)| *n <= last) || since.binary_search(name).is_ok()
        };
        let mut kept: Vec<(BlockName, &Kept)> = Vec::new();
        for (name, copies) in self.copies.iter().filter(|(name, copies)| differs(name, copies)) {
            let upto = copies.partition_point(|(n, _)| *n <= number);
            kept.extend(copies.get(..upto).and_then(<[_]>::last).map(|(_, newest)| (*name, newest)));
        }
        shown.stock.put_back(&kept);
        let start = |n: u32| {
            let frame = (n as usize).checked_sub(1).and_then(|n| self.frames.get(n));
            frame.copied().unwrap_or(CutId(1))
        };
        let (from, to) = (start(first), shown.before.max(start(last)));
        let bounds = history.bounds_between(from, to);
        boxes.extend(kept.iter().map(|(name, _)| shown.stock.block_box(*name).common(&bounds)));
        (shown.frame, shown.before) = (number, start(number));
    }
}
