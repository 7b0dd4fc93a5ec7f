//! A band of rows of one grid: the unit of parallel work.

use super::block::{BLOCK, Block, Summary};
use super::cover::Cover;
use super::layout::GridLayout;
use super::manner::Manner;
use super::op::{Interval, Op};
use super::packet::{LANES, SIDE};
use super::swept::Swept;
use super::tally::{Sum, Tally};
use super::work::{Range, Worker};
use crate::geom::Frame;
use smallvec::SmallVec;

/// Rows `first..first + rows` (along v) of a grid.
#[derive(Clone, Debug)]
pub(super) struct Band {
    pub(super) first: u32,
    pub(super) rows: u32,
    /// Blocks along u.
    pub(super) across: u32,
    /// Row by row.
    pub(super) blocks: Vec<Block>,
    pub(super) cover: Cover,
}

/// Where a ray lies in a band: block, packet, lane.
pub(super) type Place = (usize, usize, usize);

impl Band {
    /// An empty band of at most so many rows.
    pub(super) fn new(layout: &GridLayout, first: u32, rows: u32) -> Self {
        let rows = rows.min(layout.v.count().saturating_sub(first));
        let columns = layout.u.count();
        let across = columns.div_ceil(BLOCK);
        let mut blocks = Vec::with_capacity((across * rows.div_ceil(BLOCK)) as usize);
        for j in (0..rows).step_by(BLOCK as usize) {
            for i in (0..columns).step_by(BLOCK as usize) {
                let packets = |left: u32| left.min(BLOCK).div_ceil(SIDE);
                blocks.push(Block::new(packets(columns - i), packets(rows - j)));
            }
        }
        Self { first, rows, across, blocks, cover: Cover::default() }
    }

    /// Where a ray lies; `j` counts in the whole grid.
    pub(super) fn place(&self, i: u32, j: u32) -> Place {
        let row = j - self.first;
        let block = (row / BLOCK) as usize * self.across as usize + (i / BLOCK) as usize;
        let packet = row % BLOCK / SIDE * SIDE + i % BLOCK / SIDE;
        (block, packet as usize, (row % SIDE * SIDE + i % SIDE) as usize)
    }

    /// Puts an interval on a ray.
    pub(super) fn put(&mut self, i: u32, j: u32, piece: Interval) {
        let (block, packet, lane) = self.place(i, j);
        if let Some(block) = self.blocks.get_mut(block) {
            block.put(packet, lane, piece);
        }
    }

    /// Works out what is known of the blocks, when all intervals are there.
    pub(super) fn summarize(&mut self) {
        self.blocks.iter_mut().for_each(Block::summarize);
    }

    /// Intervals of a ray.
    pub(super) fn ray(&self, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        let (block, packet, lane) = self.place(i, j);
        self.blocks.get(block).map(|b| b.ray(packet, lane)).unwrap_or_default()
    }

    /// Ends between which all material of the packet around a ray lies; `None` when it has none.
    pub(super) fn reach(&self, i: u32, j: u32) -> Option<(i32, i32)> {
        let (block, packet, _) = self.place(i, j);
        let summary: Summary = self.blocks.get(block)?.marks.of(packet);
        summary.reach()
    }

    /// Calls `see(i, j, nm)` with the length of material on every ray, packet by packet.
    pub(super) fn each_length(&self, layout: &GridLayout, mut see: impl FnMut(u32, u32, i64)) {
        let rows = self.rows.div_ceil(SIDE);
        let columns = layout.u.count().div_ceil(SIDE);
        for (row, column) in (0..rows).flat_map(|r| (0..columns).map(move |c| (r, c))) {
            let (block, packet, _) = self.place(column * SIDE, self.first + row * SIDE);
            let lengths = self.blocks.get(block).map_or([0; LANES], |b| b.lengths(packet));
            for (lane, length) in (0..).zip(lengths) {
                let (i, j) = (column * SIDE + lane % SIDE, row * SIDE + lane / SIDE);
                if i < layout.u.count() && j < self.rows {
                    see(i, self.first + j, length);
                }
            }
        }
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        self.blocks.iter().map(Block::bytes).sum::<usize>() + self.cover.bytes()
    }

    /// Runs ops, given by their numbers in order; returns what each met, where it met something.
    pub(super) fn run<S: Swept>(
        &mut self,
        layout: &GridLayout,
        frame: &Frame,
        manner: Manner,
        (ops, ranges, numbers): (&[Op<S>], &[Range], &[u32]),
    ) -> Vec<(u32, Sum)> {
        manner.vectors.run(BandRun { band: self, layout, frame, cull: manner.cull, ops, ranges, numbers })
    }
}

/// The work of a band, to be compiled for each width of vectors.
struct BandRun<'a, S> {
    band: &'a mut Band,
    layout: &'a GridLayout,
    frame: &'a Frame,
    cull: bool,
    ops: &'a [Op<S>],
    /// Where in the grid they can be.
    ranges: &'a [Range],
    numbers: &'a [u32],
}

impl<S: Swept> pulp::NullaryFnOnce for BandRun<'_, S> {
    type Output = Vec<(u32, Sum)>;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let mut worker = Worker::new(self.band, self.layout, self.frame, self.cull);
        let mut tallies = Vec::new();
        for number in self.numbers {
            let at = *number as usize;
            let (Some(op), Some(range)) = (self.ops.get(at), self.ranges.get(at)) else { continue };
            let mut tally = Tally::default();
            worker.op(op, range, &mut tally);
            if let Some(sum) = tally.sum() {
                tallies.push((*number, sum));
            }
        }
        tallies
    }
}
