//! A band of rows or columns of one grid: the unit of parallel work.

use super::block::{BLOCK, Block};
use super::cover::Cover;
use super::layout::GridLayout;
use super::manner::{Manner, Records};
use super::marks::Summary;
use super::model::of_axis;
use super::op::{Interval, Op};
use super::packet::{LANES, SIDE};
use super::places::Reach;
use super::room::{BYTES_PER_PIECE, Room};
use super::swept::Swept;
use super::told::Told;
use super::work::Worker;
use crate::geom::Frame;
use smallvec::SmallVec;
use std::sync::OnceLock;

/// Neighbouring rays along one direction of a grid: `first..first + count`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stretch {
    pub(super) first: u32,
    pub(super) count: u32,
}

impl Stretch {
    /// All of so many.
    pub(super) const fn whole(count: u32) -> Self {
        Self { first: 0, count }
    }

    /// The stretches of at most `size` that so many rays fall into.
    pub(super) fn parts(count: u32, size: u32) -> Vec<Self> {
        let starts = (0..count).step_by(size.max(1) as usize);
        starts.map(|first| Self { first, count: size.min(count - first) }).collect()
    }

    /// Numbers of its rays in the whole grid.
    pub(super) const fn numbers(self) -> std::ops::Range<u32> {
        self.first..self.first + self.count
    }

    /// What of `from..to` (numbers in the grid) lies in it, counted from its first.
    pub(super) fn inside(self, (from, to): (u32, u32)) -> (u32, u32) {
        let own = |n: u32| n.saturating_sub(self.first).min(self.count);
        (own(from), own(to))
    }
}

/// Some rows (along v) of a grid in their whole length, or some columns (along u).
#[derive(Clone, Debug)]
pub(super) struct Band {
    pub(super) columns: Stretch,
    pub(super) rows: Stretch,
    /// Blocks along u.
    pub(super) across: u32,
    /// Row by row.
    pub(super) blocks: Vec<Block>,
    pub(super) cover: Cover,
    /// Length of all its material, nm, where that has been asked since it was last changed.
    pub(super) length: OnceLock<i64>,
}

/// Where a ray lies in a band: block, packet, lane.
pub(super) type Place = (usize, usize, usize);

impl Band {
    /// An empty band.
    pub(super) fn new(columns: Stretch, rows: Stretch) -> Self {
        let across = columns.count.div_ceil(BLOCK);
        let mut blocks = Vec::with_capacity((across * rows.count.div_ceil(BLOCK)) as usize);
        for j in (0..rows.count).step_by(BLOCK as usize) {
            for i in (0..columns.count).step_by(BLOCK as usize) {
                let packets = |left: u32| left.min(BLOCK).div_ceil(SIDE);
                blocks.push(Block::new(packets(columns.count - i), packets(rows.count - j)));
            }
        }
        Self { columns, rows, across, blocks, cover: Cover::default(), length: OnceLock::new() }
    }

    /// Where a ray lies; `i` and `j` count in the whole grid.
    #[inline(always)]
    pub(super) fn place(&self, i: u32, j: u32) -> Place {
        let (i, row) = (i - self.columns.first, j - self.rows.first);
        let block = (row / BLOCK) as usize * self.across as usize + (i / BLOCK) as usize;
        let packet = row % BLOCK / SIDE * SIDE + i % BLOCK / SIDE;
        (block, packet as usize, (row % SIDE * SIDE + i % SIDE) as usize)
    }

    /// The first ray of every packet, row by row, as numbers in the grid.
    pub(super) fn packets(&self) -> impl Iterator<Item = (u32, u32)> + use<> {
        let columns = self.columns.numbers();
        let row = move |j| columns.clone().step_by(SIDE as usize).map(move |i| (i, j));
        self.rows.numbers().step_by(SIDE as usize).flat_map(row)
    }

    /// Puts an interval on a ray.
    pub(super) fn put(&mut self, i: u32, j: u32, piece: Interval) {
        let (block, packet, lane) = self.place(i, j);
        self.length.take();
        if let Some(block) = self.blocks.get_mut(block) {
            block.put(packet, lane, piece);
        }
    }

    /// Puts an interval on every ray; none holds one yet.
    pub(super) fn fill(&mut self, piece: Interval) {
        let (columns, rows) = (self.columns.numbers(), self.rows.numbers());
        for (i, j) in self.packets() {
            if i + SIDE <= columns.end && j + SIDE <= rows.end {
                let (block, packet, _) = self.place(i, j);
                if let Some(block) = self.blocks.get_mut(block) {
                    block.fill(packet, piece);
                }
                continue;
            }
            for (i, j) in (0..SIDE * SIDE).map(|lane| (i + lane % SIDE, j + lane / SIDE)) {
                if columns.contains(&i) && rows.contains(&j) {
                    self.put(i, j, piece);
                }
            }
        }
        let rays = i64::from(columns.end - columns.start) * i64::from(rows.end - rows.start);
        self.length = OnceLock::from(rays * i64::from(piece.high - piece.low));
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

    /// The same of the block around a ray.
    pub(super) fn block_reach(&self, i: u32, j: u32) -> Option<(i32, i32)> {
        let (block, ..) = self.place(i, j);
        self.blocks.get(block)?.whole().reach()
    }

    /// Calls `see(i, j, nm)` with the length of material on every ray, packet by packet.
    pub(super) fn each_length(&self, mut see: impl FnMut(u32, u32, i64)) {
        let (columns, rows) = (self.columns.numbers(), self.rows.numbers());
        for (column, row) in self.packets() {
            let (block, packet, _) = self.place(column, row);
            let lengths = self.blocks.get(block).map_or([0; LANES], |b| b.lengths(packet));
            for (lane, length) in (0..).zip(lengths) {
                let (i, j) = (column + lane % SIDE, row + lane / SIDE);
                if columns.contains(&i) && rows.contains(&j) {
                    see(i, j, length);
                }
            }
        }
    }

    /// Bytes held.
    pub(super) fn bytes(&self) -> usize {
        self.ray_bytes() + self.cover.bytes()
    }

    /// Bytes held by the rays.
    fn ray_bytes(&self) -> usize {
        self.blocks.iter().map(Block::bytes).sum()
    }

    /// Runs ops, given by their numbers in order; returns what each met, where it met something. Breaks off when `room` is
    /// over.
    pub(super) fn run<S: Swept>(
        &mut self,
        layout: &GridLayout,
        frame: &Frame,
        manner: Manner,
        (ops, reaches, numbers): (&[Op<S>], &[Reach], &[u32]),
        room: &Room,
    ) -> Told {
        self.length.take();
        let run = BandRun { band: self, layout, frame, manner, ops, reaches, numbers, room };
        let met = manner.vectors.run(run);
        self.blocks.iter_mut().for_each(Block::tighten);
        met
    }
}

/// The work of a band, to be compiled for each width of vectors.
struct BandRun<'a, S> {
    band: &'a mut Band,
    layout: &'a GridLayout,
    frame: &'a Frame,
    manner: Manner,
    ops: &'a [Op<S>],
    reaches: &'a [Reach],
    numbers: &'a [u32],
    room: &'a Room,
}

impl<S: Swept> pulp::NullaryFnOnce for BandRun<'_, S> {
    type Output = Told;

    #[inline(always)]
    fn call(self) -> Self::Output {
        let ops = if self.manner.records == Records::Empty { 0 } else { self.numbers.len() };
        let mut told = Told::with_room(ops);
        let mut numbers = self.numbers.iter();
        let mut held = self.band.ray_bytes();
        while !self.room.is_over() && numbers.len() > 0 {
            let mut worker = Worker::new(self.band, self.layout, self.frame, self.manner, &mut told);
            let mut jobs = Vec::new();
            let (mut most, until_look) = (0, self.room.until_look());
            for number in numbers.by_ref() {
                let at = *number as usize;
                if let (Some(op), Some(reach)) = (self.ops.get(at), self.reaches.get(at)) {
                    let range = of_axis(&reach.ranges, self.layout.axis).in_band(worker.band);
                    worker.op(&mut jobs, (*number, op), &range, reach.after);
                    most += range.rays() * BYTES_PER_PIECE;
                }
                if most > until_look {
                    break;
                }
            }
            worker.end(jobs);
            let now = self.band.ray_bytes();
            self.room.take(now.saturating_sub(held) as u64);
            held = now;
        }
        told
    }
}
