//! Prisms (the same section at every height: an upright cylinder along a level line or arc, or plunged) brought to the
//! rays across their height: one line of the section for each row (heights along u) or for each column (heights along v)
//! serves all its rays.

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "places are tabled for whole blocks; lanes, packets and groups of lines are counted by constants"
)]

use super::block::{Added, BLOCK, Block};
use super::cover::{Extent, Fresh, Heights};
use super::nm::FAR;
use super::op::OpMode;
use super::packet::{Cut16, Ints, LANES, Makers, SIDE, and, choose, mask, whole};
use super::places::{At, Range, with_absent_freed};
use super::swept::{ManyRays, Swept};
use super::tiles::{Tiles, held};
use super::waiting::{Lines, MOST};
use super::work::{Job, Worker};
use smallvec::SmallVec;

impl Worker<'_> {
    /// The first block of lines where something can be left for a prism that can be only in a part of the grid.
    #[inline(always)]
    pub(super) fn first_open(&self, range: &Range) -> Option<u32> {
        let (lines, heights) = if self.by_rows { (range.j, range.i) } else { (range.i, range.j) };
        // Written out: what is handed to an iterator's own loop is compiled for the plainest vectors.
        let (mut block, end) = (lines.0 / BLOCK, lines.1.div_ceil(BLOCK));
        while self.cull && block < end && self.is_covered(block, lines, heights, range.ends()) {
            block += 1;
        }
        (block < end).then_some(block)
    }

    /// Does a prism, or lets it wait, from that block on.
    #[inline(always)]
    pub(super) fn prism<S: Swept>(&mut self, job: &Job<'_, S>, range: &Range, first: u32) {
        let by_rows = self.by_rows;
        let (lines, heights) = if by_rows { (range.j, range.i) } else { (range.i, range.j) };
        // Any height will do.
        let up = if by_rows { &self.us.rays } else { &self.vs.rays };
        let middle = [up[heights.0.midpoint(heights.1 - 1) as usize]; LANES];
        let waits = job.op.mode == OpMode::Cut;
        for block in first..lines.1.div_ceil(BLOCK) {
            if self.cull && block > first && self.is_covered(block, lines, heights, range.ends()) {
                continue;
            }
            if !waits {
                self.finish_waiting();
            }
            let mut layers = SmallVec::<[Cut16; 2]>::new();
            let at = if by_rows { self.vs.block(block) } else { self.us.block(block) };
            let (u, v) = if by_rows { (&middle, at) } else { (at, &middle) };
            let mut layer = if job.rays.single() {
                self.along.cut(&job.rays, u, v)
            } else {
                let (u, v) = (*u, *v);
                layers = self.layers(job, &u, &v);
                layers.pop().unwrap_or(Cut16::NONE)
            };
            // Pieces of one ray are apart, so their order does not matter.
            loop {
                if waits {
                    self.wait(job, block, heights, &layer);
                } else {
                    self.prism_lines(job, block, heights, &layer);
                }
                match layers.pop() {
                    Some(next) => layer = next,
                    None => break,
                }
            }
        }
    }

    /// True when nothing can be left on a block's lines where an op can be.
    #[inline(always)]
    fn is_covered(&self, block: u32, lines: (u32, u32), heights: (u32, u32), ends: (i32, i32)) -> bool {
        let first = block * BLOCK;
        let lane = |n: u32| n.saturating_sub(first).min(BLOCK).cast_signed();
        let heights = (heights.0.cast_signed(), heights.1.cast_signed());
        self.band.cover.holds(heights, block, (lane(lines.0), lane(lines.1)), ends)
    }

    /// Lets one layer of a block's lines wait.
    #[inline(always)]
    fn wait<S: Swept>(&mut self, job: &Job<'_, S>, block: u32, heights: (u32, u32), lines: &Cut16) {
        let all = (heights.0.cast_signed(), heights.1.cast_signed());
        let Some(fresh) = self.band.cover.fresh(all, block, lines, self.cull) else { return };
        self.band.cover.note(all, block, lines);
        if !self.waiting.takes(block, all, lines) {
            self.finish(block);
        }
        self.waiting.add(block, (job.op.id.0, job.tally), all, lines, &fresh);
    }

    /// Does everything that waits.
    #[inline(always)]
    pub(super) fn finish_waiting(&mut self) {
        while let Some(block) = self.waiting.next() {
            self.finish(block);
        }
    }

    /// Does what waits on a block of lines.
    #[inline(always)]
    fn finish(&mut self, block: u32) {
        let Some(waiting) = self.waiting.take(block) else { return };
        let by_rows = self.by_rows;
        let mut touched: Heights = (FAR, -FAR);
        let mut group = self.group.take().unwrap_or_else(|| Box::new(Group::empty()));
        self.look_ahead(block, &waiting, &mut group.tiles);
        for g in 0..SIDE as usize {
            let Extent { ends, heights: (from, to) } = waiting.fresh.group(g);
            if from >= to {
                continue;
            }
            touched = (touched.0.min(from), touched.1.max(to));
            group.fill(&waiting, g, by_rows);
            for up in from.cast_unsigned() / SIDE..to.cast_unsigned().div_ceil(SIDE) {
                let at = self.packet_of(block, g, up);
                let there = (at.bj * self.band.across + at.bi) as usize;
                let known = self.band.blocks[there].marks.of(at.packet as usize);
                if self.cull && known.clears(ends.0, ends.1) {
                    continue;
                }
                if !self.visit_joined(at, up * SIDE, &waiting, &mut group) {
                    self.visit(at, up * SIDE, &waiting, &group);
                }
            }
        }
        if self.tells.volumes {
            group.tiles.tell(waiting.entries(), by_rows, &mut self.tallies);
        }
        for up in blocks_of(touched) {
            let (bi, bj) = if by_rows { (up, block) } else { (block, up) };
            self.renew_whole((bj * self.band.across + bi) as usize);
        }
        self.group = Some(group);
        self.waiting.done(block, waiting);
    }

    /// The packet of a group of four lines, from a block of them, that is number `up` along the height.
    #[inline(always)]
    fn packet_of(&self, block: u32, group: usize, up: u32) -> At {
        let (over, place, group) = (up / SIDE, up % SIDE, group as u32);
        if self.by_rows {
            At { bi: over, bj: block, packet: group * SIDE + place }
        } else {
            At { bi: block, bj: over, packet: place * SIDE + group }
        }
    }

    /// Looks at the first packet of each group of lines for what their rays hold.
    #[inline(always)]
    fn look_ahead(&self, block: u32, waiting: &Lines, tiles: &mut Tiles) {
        tiles.clear();
        for g in 0..SIDE as usize {
            let Extent { ends, heights: (from, to) } = waiting.fresh.group(g);
            let (mut from, to) = (from.max(0).cast_unsigned(), to.max(0).cast_unsigned());
            while from < to {
                let at = self.packet_of(block, g, from / SIDE);
                let there = &self.band.blocks[(at.bj * self.band.across + at.bi) as usize];
                if !there.marks.of(at.packet as usize).clears(ends.0, ends.1) {
                    let all = group_of(&waiting.all, g, self.by_rows);
                    let held = whole(held(&there.pieces_near(at.packet as usize, &all), &all));
                    tiles.see(g, &held, (from % SIDE) as usize, self.by_rows);
                    break;
                }
                from = (from / SIDE + 1) * SIDE;
            }
        }
        tiles.settle(waiting.entries());
    }

    /// Brings waiting cuts that join on to each other to a packet, whose rays along the height begin at number `first`:
    /// as one cut. False, with nothing changed, where rounding could make that differ from doing them one by one.
    #[inline(always)]
    fn visit_joined(&mut self, at: At, first: u32, waiting: &Lines, group: &mut Group) -> bool {
        let heights = group.heights;
        let block = &mut self.band.blocks[(at.bj * self.band.across + at.bi) as usize];
        let packet = at.packet as usize;
        let (low, high) = (first.cast_signed(), (first + SIDE).cast_signed());
        let is_inside = heights.0 <= low && high <= heights.1;
        let within = if is_inside { [-1; LANES] } else { lanes_within(heights, first, self.by_rows) };
        let held = held(&block.pieces_near(packet, &group.all), &group.all);
        let number = group.number;
        let alike = group.tiles.alike(number, self.by_rows, &held, &within);
        if alike.is_none() && !group.meet(block, packet, waiting, self.by_rows) {
            return false;
        }
        let mut cut = group.all;
        if !is_inside {
            cut.low = choose(&within, &cut.low, &[FAR; LANES]);
            cut.high = choose(&within, &cut.high, &[-FAR; LANES]);
        }
        let void = with_absent_freed(at, &self.us, &self.vs, &cut).common();
        let cut = whole(cut);
        let any = block.cut(packet, &cut, &group.by).is_some();
        block.renew(packet, void, any);
        if !any || !self.tells.volumes {
            return true;
        }
        if let Some(alike) = alike {
            group.tiles.add(number, &alike);
        } else {
            for ((_, tally), met) in group.cuts.iter().zip(&group.met) {
                self.tallies.by_lanes(*tally).count(&and(met, &within));
            }
        }
        true
    }

    /// Brings waiting cuts to a packet one by one.
    #[inline(never)]
    fn visit(&mut self, at: At, first: u32, waiting: &Lines, group: &Group) {
        let block = &mut self.band.blocks[(at.bj * self.band.across + at.bi) as usize];
        let packet = at.packet as usize;
        let mut met = false;
        for (n, tally) in &group.cuts {
            let entry = &waiting.entries()[*n];
            let cut = group_of(&entry.lines, group.number, self.by_rows);
            let cut = limited(&cut, group.heights, first, self.by_rows);
            if let Some(length) = block.cut(packet, &cut, &Makers::all(entry.id)) {
                met = true;
                if self.tells.volumes {
                    self.tallies.by_lanes(*tally).count(&length);
                }
            }
        }
        let all = limited(&group.all, group.heights, first, self.by_rows);
        block.renew(packet, with_absent_freed(at, &self.us, &self.vs, &all).common(), met);
    }

    /// One layer of a block's lines, brought to the blocks along the height at once.
    #[inline(always)]
    fn prism_lines<S: Swept>(&mut self, job: &Job<'_, S>, block: u32, heights: (u32, u32), lines: &Cut16) {
        let by_rows = self.by_rows;
        let all = (heights.0.cast_signed(), heights.1.cast_signed());
        let fresh = self.band.cover.fresh(all, block, lines, self.cull);
        if self.cull && fresh.is_none() {
            return;
        }
        let fresh = fresh.unwrap_or(Fresh::NONE);
        let Extent { ends, heights: new } = fresh.whole();
        for up in blocks_of(if self.cull { new } else { all }) {
            let (bi, bj) = if by_rows { (up, block) } else { (block, up) };
            let at = (bj * self.band.across + bi) as usize;
            let mut met = if self.cull {
                if self.whole(bi, bj).clears(ends.0, ends.1) {
                    continue;
                }
                self.band.blocks[at].marks.met(&reach_of(&fresh, up, by_rows))
            } else {
                self.present(bi, bj)
            };
            if met == 0 {
                continue;
            }
            while met != 0 {
                let at = At { bi, bj, packet: met.trailing_zeros() };
                met &= met - 1;
                let (i, j) = at.first();
                let (column, row) = (at.packet % SIDE, at.packet / SIDE);
                let (group, first) = if by_rows { (row, i) } else { (column, j) };
                let cut = limited(&group_of(lines, group as usize, by_rows), all, first, by_rows);
                self.apply(job, at, &cut);
            }
            self.renew_whole(at);
        }
        if job.op.mode != OpMode::Look {
            self.band.cover.note(all, block, lines);
        }
    }
}

/// What waits on a group of four lines, spread over the lanes of its packets. Large, so made once and used again.
pub(super) struct Group {
    number: usize,
    /// The cuts that may take something new, in order: number among those that wait, number of the tally. This and what each adds to
    /// those before it is worked out when it is first needed.
    cuts: SmallVec<[(usize, usize); MOST]>,
    added: [Added; MOST],
    is_ready: bool,
    /// Room for what each meets.
    met: [Ints; MOST],
    /// Rays along the height that all of them cut.
    heights: Heights,
    /// All of them together, and who makes the ends.
    all: Cut16,
    by: Makers,
    /// What the rays of all lines hold.
    tiles: Tiles,
}

impl Group {
    fn empty() -> Self {
        let nothing = Added { below: Cut16::NONE, above: Cut16::NONE };
        Self {
            number: 0,
            cuts: SmallVec::new(),
            added: [nothing; MOST],
            is_ready: false,
            met: [[0; LANES]; MOST],
            heights: (0, 0),
            all: Cut16::NONE,
            by: Makers::all(0),
            tiles: Tiles::NONE,
        }
    }

    #[inline(always)]
    fn fill(&mut self, waiting: &Lines, number: usize, by_rows: bool) {
        self.number = number;
        self.is_ready = false;
        let first = number * SIDE as usize;
        self.heights = waiting.heights;
        self.all = group_of(&waiting.all, number, by_rows);
        let line = |k: usize| first + if by_rows { k / SIDE as usize } else { k % SIDE as usize };
        self.by.low = std::array::from_fn(|k| waiting.by.low[line(k)]);
        self.by.high = std::array::from_fn(|k| waiting.by.high[line(k)]);
    }

    /// What each cut meets of a packet; false where rounding could make that differ from doing them one by one.
    #[inline(always)]
    fn meet(&mut self, block: &Block, packet: usize, waiting: &Lines, by_rows: bool) -> bool {
        if !self.is_ready {
            self.is_ready = true;
            self.cuts.clear();
            for (n, entry) in waiting.entries().iter().enumerate() {
                if entry.new_in >> self.number & 1 != 0 {
                    self.cuts.push((n, entry.tally));
                }
            }
            for (added, (n, _)) in self.added.iter_mut().zip(&self.cuts) {
                let entry = &waiting.entries()[*n];
                added.below = group_of(&entry.added.below, self.number, by_rows);
                added.above = group_of(&entry.added.above, self.number, by_rows);
            }
        }
        let cuts = self.cuts.len();
        let met = &mut self.met[..cuts];
        met.fill([0; LANES]);
        block.meet(packet, &self.all, &self.added[..cuts], met)
    }
}

/// Four lines of a block, spread over the lanes of a packet.
#[inline(always)]
pub(super) fn group_of(lines: &Cut16, group: usize, by_rows: bool) -> Cut16 {
    let first = group * SIDE as usize;
    if by_rows {
        spread(lines, |k| first + k / SIDE as usize)
    } else {
        spread(lines, |k| first + k % SIDE as usize)
    }
}

#[inline(always)]
fn spread(lines: &Cut16, line: impl Fn(usize) -> usize) -> Cut16 {
    let mut cut = Cut16::NONE;
    for k in 0..LANES {
        cut.low[k] = lines.low[line(k)];
        cut.high[k] = lines.high[line(k)];
    }
    cut
}

/// A cut only on rays whose number along the height is in a range; `first` is that of the packet's first.
#[inline(always)]
fn limited(cut: &Cut16, heights: Heights, first: u32, by_rows: bool) -> Cut16 {
    let within = lanes_within(heights, first, by_rows);
    Cut16 { low: choose(&within, &cut.low, &[FAR; LANES]), high: choose(&within, &cut.high, &[-FAR; LANES]) }
}

/// Mask of the rays of a packet whose number along the height is in a range.
#[inline(always)]
fn lanes_within((from, to): Heights, first: u32, by_rows: bool) -> Ints {
    let place = |k: u32| (first + if by_rows { k % SIDE } else { k / SIDE }).cast_signed();
    std::array::from_fn(|k| mask(from <= place(k as u32)) & mask(place(k as u32) < to))
}

/// Where a prism's lines hold anything new for each packet of the block that is number `up` along the height.
#[inline(always)]
fn reach_of(fresh: &Fresh, up: u32, by_rows: bool) -> Cut16 {
    let side = SIDE as usize;
    let groups: [Extent; SIDE as usize] = std::array::from_fn(|g| fresh.group(g));
    let mut reach = Cut16::NONE;
    for p in 0..LANES {
        let (group, place) = if by_rows { (p / side, p % side) } else { (p % side, p / side) };
        let first = (up * BLOCK + place as u32 * SIDE).cast_signed();
        let Extent { ends, heights } = groups[group];
        let new = (first < heights.1) & (heights.0 < first + SIDE.cast_signed());
        reach.low[p] = if new { ends.0 } else { FAR };
        reach.high[p] = if new { ends.1 } else { -FAR };
    }
    reach
}

/// The blocks that hold rays of these numbers.
#[inline(always)]
fn blocks_of((from, to): (i32, i32)) -> std::ops::Range<u32> {
    if from < to { from.cast_unsigned() / BLOCK..to.cast_unsigned().div_ceil(BLOCK) } else { 0..0 }
}
