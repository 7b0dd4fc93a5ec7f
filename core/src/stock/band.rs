//! A band of rows of one grid: the unit of parallel work.

use super::layout::GridLayout;
use super::op::{Interval, Op};
use super::packet::{Packets, SIDE};
use super::swept::Swept;
use super::tally::Tally;
use super::work::Worker;
use crate::geom::Frame;
use smallvec::SmallVec;

/// Rows of a band: few enough that small blocks keep several threads busy, enough that a line of a prism's
/// section, which each band evaluates for itself, serves many rows.
pub(super) const ROWS: u32 = 64;

/// Rows `first..first + rows` (along v) of a grid.
#[derive(Clone, Debug)]
pub(super) struct Band {
    pub(super) first: u32,
    pub(super) rows: u32,
    /// Packets along u.
    pub(super) across: u32,
    pub(super) packets: Packets,
}

impl Band {
    /// An empty band.
    pub(super) fn new(layout: &GridLayout, first: u32) -> Self {
        let rows = ROWS.min(layout.v.count().saturating_sub(first));
        let across = layout.u.count().div_ceil(SIDE);
        let count = across as usize * rows.div_ceil(SIDE) as usize;
        Self { first, rows, across, packets: Packets::new(count) }
    }

    /// Packet and lane of a ray; `j` counts in the whole grid.
    fn place(&self, i: u32, j: u32) -> (usize, usize) {
        let row = j - self.first;
        let packet = (row / SIDE) as usize * self.across as usize + (i / SIDE) as usize;
        (packet, (row % SIDE * SIDE + i % SIDE) as usize)
    }

    /// Puts an interval on a ray.
    pub(super) fn put(&mut self, i: u32, j: u32, piece: Interval) {
        let (packet, lane) = self.place(i, j);
        self.packets.put(packet, lane, piece);
    }

    /// Intervals of a ray.
    pub(super) fn ray(&self, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        let (packet, lane) = self.place(i, j);
        self.packets.ray(packet, lane)
    }

    /// Ends between which all material of the packet around a ray lies; `None` when it has none.
    pub(super) fn reach(&self, i: u32, j: u32) -> Option<(i32, i32)> {
        self.packets.summary(self.place(i, j).0).reach()
    }

    /// Calls `see(i, j, nm)` with the length of material on every ray, packet by packet.
    pub(super) fn each_length(&self, layout: &GridLayout, mut see: impl FnMut(u32, u32, i64)) {
        for row in 0..self.rows.div_ceil(SIDE) {
            for column in 0..self.across {
                let (packet, _) = self.place(column * SIDE, self.first + row * SIDE);
                let lengths = self.packets.lengths(packet);
                for (lane, length) in (0..).zip(lengths) {
                    let (i, j) = (column * SIDE + lane % SIDE, row * SIDE + lane / SIDE);
                    if i < layout.u.count() && j < self.rows {
                        see(i, self.first + j, length);
                    }
                }
            }
        }
    }

    /// Runs ops, given by their numbers in order; returns what each met, where it met something.
    pub(super) fn run<S: Swept>(
        &mut self,
        layout: &GridLayout,
        frame: &Frame,
        ops: &[Op<S>],
        numbers: &[u32],
    ) -> Vec<(u32, Tally)> {
        let mut worker = Worker::new(self, layout, frame);
        let mut tallies = Vec::new();
        for number in numbers {
            let Some(op) = ops.get(*number as usize) else { continue };
            let mut tally = Tally::default();
            worker.op(op, &mut tally);
            if !tally.is_nothing() {
                tallies.push((*number, tally));
            }
        }
        tallies
    }
}
