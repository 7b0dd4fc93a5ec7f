//! Ops brought to the packets of a band, in order.
//!
//! How an op is brought to the packets depends on its shape and on how the rays lie to it:
//!
//! | swept volume | rays | lines evaluated |
//! |---|---|---|
//! | prism (same section at every height) | along its height | one per row: where the row lies in the section |
//! | prism | across its height | one per line of the section, for all heights |
//! | any other | any | one per ray that may meet it |

#![expect(
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    reason = "buffers are sized just before they are walked; lanes count to 16"
)]

use super::band::Band;
use super::layout::GridLayout;
use super::nm::{REACH, mm_from_nm, nm_from_mm};
use super::op::{Op, OpMode};
use super::packet::{Bites16, LANES, Met, SIDE};
use super::raymap::{NmSpans, RayMap};
use super::swept::Swept;
use super::tally::Tally;
use crate::geom::{Axis, Box3, Frame, Spans, Vec3};
use smallvec::SmallVec;

/// One band at work, with its scratch memory.
pub(super) struct Worker<'a> {
    band: &'a mut Band,
    layout: &'a GridLayout,
    frame: &'a Frame,
    /// Rays of this grid.
    along: RayMap,
    /// Lines along `u` of this grid.
    across: RayMap,
    mm: Spans,
    nm: NmSpans,
    boxes: Vec<Box3>,
    /// Spans of a prism's lines.
    table: Vec<NmSpans>,
}

/// Part of the grid: rays `i.0..i.1` of rows `j.0..j.1`.
#[derive(Clone, Copy)]
struct Range {
    i: (u32, u32),
    j: (u32, u32),
}

impl Range {
    fn is_empty(self) -> bool {
        self.i.0 >= self.i.1 || self.j.0 >= self.j.1
    }
}

/// An op, its tally and where along the rays it can be.
struct Job<'a, 'b, S> {
    op: &'a Op<S>,
    tally: &'b mut Tally,
    low: i32,
    high: i32,
}

impl<'a> Worker<'a> {
    /// A band ready for work in a setup's frame.
    pub(super) fn new(band: &'a mut Band, layout: &'a GridLayout, frame: &'a Frame) -> Self {
        Self {
            band,
            layout,
            frame,
            along: RayMap::new(frame, layout.axis),
            across: RayMap::new(frame, layout.axis.others().0),
            mm: Spans::new(),
            nm: NmSpans::new(),
            boxes: Vec::new(),
            table: Vec::new(),
        }
    }

    /// Does one op.
    pub(super) fn op<S: Swept>(&mut self, op: &Op<S>, tally: &mut Tally) {
        let bounds = self.frame.part_box(&op.sweep.bounds());
        let range = self.range(&bounds);
        if range.is_empty() {
            return;
        }
        let axis = self.layout.axis;
        // A nanometre more on each side, so that rounding never makes the quick tests stricter than the cut.
        let low = nm_from_mm(axis.of(&bounds.min)).saturating_sub(1).max(-REACH);
        let high = nm_from_mm(axis.of(&bounds.max)).saturating_add(1).min(REACH);
        let mut job = Job { op, tally, low, high };
        let Some((z0, z1)) = op.sweep.prism() else {
            self.any_shape(&mut job);
            return;
        };
        let up = self.frame.direction(Axis::Z).axis;
        let (u, _) = axis.others();
        if up == axis {
            self.prism_along(&mut job, range, z0, z1);
        } else if up == u {
            self.prism_by_rows(&mut job, range);
        } else {
            self.prism_by_columns(&mut job, range);
        }
    }

    /// The rays of this band that lie in a box of the part.
    fn range(&self, bounds: &Box3) -> Range {
        let (u, v) = self.layout.axis.others();
        let i = self.layout.u.between(u.of(&bounds.min), u.of(&bounds.max));
        let j = self.layout.v.between(v.of(&bounds.min), v.of(&bounds.max));
        let rows = (self.band.first, self.band.first + self.band.rows);
        Range { i, j: (j.0.max(rows.0), j.1.min(rows.1)) }
    }

    /// Rays along the height of a prism: each row lies in the section between known places.
    fn prism_along<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, range: Range, z0: f64, z1: f64) {
        let (low, high) = self.along.part_from_setup((z0, z1));
        let (low, high) = (nm_from_mm(low), nm_from_mm(high));
        let middle = 0.5 * (mm_from_nm(low) + mm_from_nm(high));
        for strip in strips(range.j, self.band.first) {
            // Up to four rows, each with its own ranges of rays; the n-th ranges of all four go together.
            let mut ranges: [SmallVec<[(u32, u32); 4]>; SIDE as usize] = Default::default();
            let mut most = 0;
            for j in strip.rows.clone() {
                self.across.spans(&job.op.sweep, self.layout.v.at(j), middle, &mut self.mm);
                let found = &mut ranges[((j - self.band.first) % SIDE) as usize];
                found.extend(self.mm.iter().map(|s| self.layout.u.between(s.0, s.1)));
                most = most.max(found.len());
            }
            for n in 0..most {
                let four: [(u32, u32); SIDE as usize] =
                    std::array::from_fn(|r| ranges[r].get(n).copied().unwrap_or((0, 0)));
                self.fill(job, &strip, four, low, high);
            }
        }
    }

    /// Takes `low..high` from the rays of four rows, each between its own places.
    fn fill<S: Swept>(
        &mut self,
        job: &mut Job<'_, '_, S>,
        strip: &Strip,
        rows: [(u32, u32); SIDE as usize],
        low: i32,
        high: i32,
    ) {
        let start = rows.iter().filter(|r| r.0 < r.1).map(|r| r.0).min().unwrap_or(0);
        let end = rows.iter().filter(|r| r.0 < r.1).map(|r| r.1).max().unwrap_or(0);
        if start >= end {
            return;
        }
        for column in start / SIDE..end.div_ceil(SIDE) {
            let packet = strip.packet(column, self.band.across);
            if self.band.packets.summary(packet).clears(low, high) {
                continue;
            }
            let mut cut = Bites16::NONE;
            for (r, row) in rows.iter().enumerate() {
                for l in 0..SIDE {
                    let i = column * SIDE + l;
                    let inside = row.0 <= i && i < row.1;
                    let lane = r * SIDE as usize + l as usize;
                    cut.low[lane] = if inside { low } else { i32::MAX };
                    cut.high[lane] = if inside { high } else { i32::MIN };
                }
            }
            self.apply(job, strip, column, cut);
        }
    }

    /// Rays across the height of a prism, heights along u: one line per row serves all rays of the row.
    fn prism_by_rows<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, range: Range) {
        let middle = self.layout.u.at(range.i.0.midpoint(range.i.1 - 1));
        for strip in strips(range.j, self.band.first) {
            let mut rows: [NmSpans; SIDE as usize] = Default::default();
            let mut most = 0;
            for j in strip.rows.clone() {
                let at = (middle, self.layout.v.at(j));
                let found = &mut rows[((j - self.band.first) % SIDE) as usize];
                self.along.nm_spans(&job.op.sweep, at, &mut self.mm, found);
                most = most.max(found.len());
            }
            for n in 0..most {
                let four: [(i32, i32); SIDE as usize] =
                    std::array::from_fn(|r| rows[r].get(n).copied().unwrap_or((i32::MAX, i32::MIN)));
                let low = four.iter().map(|s| s.0).min().unwrap_or(i32::MAX);
                let high = four.iter().map(|s| s.1).max().unwrap_or(i32::MIN);
                for column in range.i.0 / SIDE..range.i.1.div_ceil(SIDE) {
                    let packet = strip.packet(column, self.band.across);
                    if self.band.packets.summary(packet).clears(low, high) {
                        continue;
                    }
                    let mut cut = Bites16::NONE;
                    for lane in 0..LANES {
                        let i = column * SIDE + lane as u32 % SIDE;
                        let inside = range.i.0 <= i && i < range.i.1;
                        let span = four[lane / SIDE as usize];
                        cut.low[lane] = if inside { span.0 } else { i32::MAX };
                        cut.high[lane] = if inside { span.1 } else { i32::MIN };
                    }
                    self.apply(job, &strip, column, cut);
                }
            }
        }
    }

    /// Rays across the height of a prism, heights along v: one line per column serves all rows.
    fn prism_by_columns<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, range: Range) {
        let middle = self.layout.v.at(range.j.0.midpoint(range.j.1 - 1));
        let start = range.i.0 / SIDE * SIDE;
        let end = range.i.1.div_ceil(SIDE) * SIDE;
        self.table.resize((end - start) as usize, NmSpans::new());
        let mut most = 0;
        for i in start..end {
            let found = &mut self.table[(i - start) as usize];
            found.clear();
            if range.i.0 <= i && i < range.i.1 {
                let at = (self.layout.u.at(i), middle);
                self.along.nm_spans(&job.op.sweep, at, &mut self.mm, found);
                most = most.max(found.len());
            }
        }
        for n in 0..most {
            for column in start / SIDE..end / SIDE {
                let base = (column * SIDE - start) as usize;
                let four: [(i32, i32); SIDE as usize] = std::array::from_fn(|l| {
                    self.table[base + l].get(n).copied().unwrap_or((i32::MAX, i32::MIN))
                });
                let low = four.iter().map(|s| s.0).min().unwrap_or(i32::MAX);
                let high = four.iter().map(|s| s.1).max().unwrap_or(i32::MIN);
                if low >= high {
                    continue;
                }
                for strip in strips(range.j, self.band.first) {
                    let packet = strip.packet(column, self.band.across);
                    if self.band.packets.summary(packet).clears(low, high) {
                        continue;
                    }
                    let mut cut = Bites16::NONE;
                    for r in strip.lanes() {
                        for (l, span) in four.iter().enumerate() {
                            cut.low[r * SIDE as usize + l] = span.0;
                            cut.high[r * SIDE as usize + l] = span.1;
                        }
                    }
                    self.apply(job, &strip, column, cut);
                }
            }
        }
    }

    /// Any volume: a line for every ray of every packet that has material where the volume can be.
    fn any_shape<S: Swept>(&mut self, job: &mut Job<'_, '_, S>) {
        let mut boxes = std::mem::take(&mut self.boxes);
        job.op.sweep.boxes(&mut boxes);
        for b in &mut boxes {
            *b = self.frame.part_box(b);
        }
        let ranges: SmallVec<[Range; 8]> =
            boxes.iter().map(|b| self.range(b)).filter(|r| !r.is_empty()).collect();
        self.boxes = boxes;
        let first = ranges.iter().map(|r| r.j.0).min().unwrap_or(0);
        let last = ranges.iter().map(|r| r.j.1).max().unwrap_or(0);
        for strip in strips((first, last), self.band.first) {
            let meets = |r: &&Range| r.j.0 < strip.rows.end && strip.rows.start < r.j.1;
            let mut columns: SmallVec<[(u32, u32); 8]> =
                ranges.iter().filter(meets).map(|r| (r.i.0 / SIDE, r.i.1.div_ceil(SIDE))).collect();
            columns.sort_unstable();
            let mut done = 0;
            for (start, end) in columns {
                for column in start.max(done)..end {
                    self.any_packet(job, &strip, column);
                }
                done = done.max(end);
            }
        }
    }

    fn any_packet<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, strip: &Strip, column: u32) {
        let packet = strip.packet(column, self.band.across);
        if self.band.packets.summary(packet).clears(job.low, job.high) {
            return;
        }
        let mut layers: SmallVec<[Bites16; 2]> = SmallVec::new();
        for j in strip.rows.clone() {
            for l in 0..SIDE {
                let i = column * SIDE + l;
                if i >= self.layout.u.count() {
                    break;
                }
                let at = (self.layout.u.at(i), self.layout.v.at(j));
                self.along.nm_spans(&job.op.sweep, at, &mut self.mm, &mut self.nm);
                let lane = ((j - self.band.first) % SIDE * SIDE + l) as usize;
                for (n, span) in self.nm.iter().enumerate() {
                    if layers.len() == n {
                        layers.push(Bites16::NONE);
                    }
                    layers[n].low[lane] = span.0;
                    layers[n].high[lane] = span.1;
                }
            }
        }
        for cut in layers {
            self.apply(job, strip, column, cut);
        }
    }

    /// Does to one packet what the op says.
    fn apply<S: Swept>(&mut self, job: &mut Job<'_, '_, S>, strip: &Strip, column: u32, mut cut: Bites16) {
        let packet = strip.packet(column, self.band.across);
        let axis = self.layout.axis;
        if job.op.mode != OpMode::Cut {
            let mut met = Met::default();
            let (layout, frame, first) = (self.layout, self.frame, strip.first);
            self.band.packets.look(packet, &cut, |lane, low, high| {
                met.sum += i64::from(high - low);
                met.longest = met.longest.max(high - low);
                let (i, j) = (column * SIDE + lane as u32 % SIDE, first + lane as u32 / SIDE);
                let middle = middle_in_setup(layout, frame, (i, j), (low, high));
                job.tally.keep(axis, (i, j), (low, high), job.op.sweep.when(&middle));
            });
            if job.op.mode == OpMode::Look {
                job.tally.count(axis, &met);
                return;
            }
        }
        self.free_absent(strip, column, &mut cut);
        let mut met = Met::default();
        self.band.packets.cut(packet, &cut, job.op.id, &mut met);
        job.tally.count(axis, &met);
    }

    /// Lanes of a packet at the border of the grid that stand for no ray count as taken whole, so that they never
    /// keep a packet from being known as void.
    fn free_absent(&self, strip: &Strip, column: u32, cut: &mut Bites16) {
        let rows = (self.band.first + self.band.rows).saturating_sub(strip.first);
        let rays = self.layout.u.count().saturating_sub(column * SIDE);
        if rows >= SIDE && rays >= SIDE {
            return;
        }
        for lane in 0..LANES {
            if lane as u32 / SIDE >= rows || lane as u32 % SIDE >= rays {
                cut.low[lane] = i32::MIN;
                cut.high[lane] = i32::MAX;
            }
        }
    }
}

/// Middle of a piece of material, setup frame, mm.
fn middle_in_setup(layout: &GridLayout, frame: &Frame, ray: (u32, u32), ends: (i32, i32)) -> Vec3 {
    let (u, v) = layout.axis.others();
    let mut p = Vec3::zeros();
    u.set(&mut p, layout.u.at(ray.0));
    v.set(&mut p, layout.v.at(ray.1));
    layout.axis.set(&mut p, 0.5 * (mm_from_nm(ends.0) + mm_from_nm(ends.1)));
    frame.setup_from_part(&p)
}

/// The rows of one row of packets that an op can meet.
struct Strip {
    /// First row of the packets, in the grid.
    first: u32,
    /// Number of the row of packets in the band.
    number: u32,
    /// Rows met, in the grid.
    rows: std::ops::Range<u32>,
}

impl Strip {
    fn packet(&self, column: u32, across: u32) -> usize {
        self.number as usize * across as usize + column as usize
    }

    /// Rows met, counted inside the packets.
    fn lanes(&self) -> std::ops::Range<usize> {
        (self.rows.start - self.first) as usize..(self.rows.end - self.first) as usize
    }
}

/// Cuts rows `j.0..j.1` of a band that begins at row `first` into rows of packets.
fn strips(j: (u32, u32), first: u32) -> impl Iterator<Item = Strip> {
    let numbers = if j.0 < j.1 { (j.0 - first) / SIDE..(j.1 - first).div_ceil(SIDE) } else { 0..0 };
    numbers.map(move |number| {
        let row = first + number * SIDE;
        Strip { first: row, number, rows: j.0.max(row)..j.1.min(row + SIDE) }
    })
}
