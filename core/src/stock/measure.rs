//! What the stock measures: volume, extent, pieces.

use super::band::{Band, Stretch};
use super::block::BLOCK;
use super::grid::Grid;
use super::layout::{GridLayout, RayLine};
use super::model::Stock;
use super::nm::{float, mm_from_nm};
use super::packet::SIDE;
use super::rows::reach;
use crate::geom::{Axis, Box3, Vec3};
use crate::units::NM_PER_MM;
use rayon::prelude::*;
use smallvec::SmallVec;

/// The volume as one grid sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridVolume {
    /// Sum over the rays of length times cell, mm3.
    pub volume: f64,
    /// Largest error, mm3, as long as the length of material changes in one sense only between neighbouring rays:
    /// half of the change between neighbours, times the cell.
    pub bound: f64,
}

impl Stock {
    /// Volume, mm3, and its bound, mm3: the mean of the three grids and its greatest distance from any value that
    /// all three allow within their own bounds.
    pub fn volume(&self) -> (f64, f64) {
        let grids = self.volumes();
        let mean = grids.iter().map(|g| g.volume).sum::<f64>() / 3.0;
        let low = grids.iter().map(|g| g.volume - g.bound).fold(f64::NEG_INFINITY, f64::max);
        let high = grids.iter().map(|g| g.volume + g.bound).fold(f64::INFINITY, f64::min);
        if low <= high {
            return (mean, (high - mean).max(mean - low));
        }
        // The grids disagree by more than they may: something is thinner than the spacing. Say the worst.
        let widest = grids.iter().map(|g| g.bound + (g.volume - mean).abs()).fold(0.0, f64::max);
        (mean, widest)
    }

    /// Volume as the grids along X, Y and Z see it; their spread is a check on each.
    pub fn volumes(&self) -> [GridVolume; 3] {
        Axis::ALL.map(|axis| grid_volume(self.along(axis)))
    }

    /// Smallest box that holds every end of every ray, mm: exact for faces square to an axis, otherwise short of the
    /// material by what lies between rays. Empty when nothing is left.
    pub fn bounds(&self) -> Box3 {
        self.extent_in(self.raw_bounds()).unwrap_or_else(Box3::empty)
    }

    /// Smallest box around the material inside a box of the part, as far as the rays see it (see
    /// [`Stock::bounds`]); `None` when there is none.
    pub fn extent_in(&self, inside: &Box3) -> Option<Box3> {
        let boxes: Vec<Box3> = self
            .grids
            .par_iter()
            .map(|grid| {
                let parts: Vec<Box3> =
                    grid.bands.par_iter().map(|band| band_extent(&grid.layout, band, inside)).collect();
                parts.iter().fold(Box3::empty(), |b, more| b.union(more))
            })
            .collect();
        let all = boxes.iter().fold(Box3::empty(), |b, more| b.union(more));
        if all.is_empty() { None } else { Some(all) }
    }
}

fn grid_volume(grid: &Grid) -> GridVolume {
    let parts: Vec<BandLengths> =
        grid.bands.par_iter().map(|band| band_lengths(band, grid.by_columns)).collect();
    let sum: i64 = parts.iter().map(|p| p.sum).sum();
    let mut change: i64 = parts.iter().map(|p| p.change).sum();
    for (below, above) in parts.iter().zip(parts.iter().skip(1)) {
        change += below.last.iter().zip(&above.first).map(|(a, b)| (a - b).abs()).sum::<i64>();
    }
    let scale = grid.layout.cell_area() / NM_PER_MM;
    GridVolume { volume: float(sum) * scale, bound: 0.5 * float(change) * scale }
}

/// Lengths of material in a band, nm.
struct BandLengths {
    sum: i64,
    /// Sum of the differences between neighbouring rays.
    change: i64,
    first: Vec<i64>,
    last: Vec<i64>,
}

fn band_lengths(band: &Band, by_columns: bool) -> BandLengths {
    // Lines run along the borders to the neighbouring bands.
    let (lines, line) = if by_columns { (band.columns, band.rows) } else { (band.rows, band.columns) };
    let across = line.count as usize;
    let mut rows = vec![0_i64; across * lines.count as usize];
    band.each_length(|i, j, length| {
        let (n, at) = if by_columns { (i, j) } else { (j, i) };
        if let Some(cell) = rows.get_mut((n - lines.first) as usize * across + (at - line.first) as usize) {
            *cell = length;
        }
    });
    let along = rows.chunks(across).map(|row| row.windows(2).map(difference).sum::<i64>()).sum::<i64>();
    let up = rows.iter().zip(rows.iter().skip(across)).map(|(a, b)| (a - b).abs()).sum::<i64>();
    BandLengths {
        sum: rows.iter().sum(),
        change: along + up,
        first: rows.iter().take(across).copied().collect(),
        last: rows.iter().skip(rows.len().saturating_sub(across)).copied().collect(),
    }
}

fn difference(pair: &[i64]) -> i64 {
    match pair {
        [a, b] => (a - b).abs(),
        _ => 0,
    }
}

fn band_extent(layout: &GridLayout, band: &Band, inside: &Box3) -> Box3 {
    let (u, v) = layout.axis.others();
    let within = |line: &RayLine, on: Axis, own: Stretch| {
        let (from, to) = line.between(on.of(&inside.min), on.of(&inside.max));
        (from.max(own.first), to.min(own.numbers().end))
    };
    let (columns, rows) = (within(&layout.u, u, band.columns), within(&layout.v, v, band.rows));
    let (low, high) = (layout.axis.of(&inside.min), layout.axis.of(&inside.max));
    let mut found =
        Found { inside: (low, high), i: (u32::MAX, 0), j: (u32::MAX, 0), z: (i32::MAX, i32::MIN) };
    let across: Vec<Rays> = groups(columns, band.columns.first, BLOCK).collect();
    let up: Vec<Rays> = groups(rows, band.rows.first, BLOCK).collect();
    // Corners first: what lies between them is mostly inside what is found there.
    let ends = |all: &[Rays]| -> SmallVec<[Rays; 2]> {
        all.first().into_iter().chain(all.last()).cloned().collect()
    };
    for (across, up) in [(&*ends(&across), &*ends(&up)), (&*across, &*up)] {
        for (i, j) in up.iter().flat_map(|j| across.iter().map(move |i| (i, j))) {
            found.look_at_block(band, i, j);
        }
    }
    let Found { i, j, z, .. } = found;
    if i.0 > i.1 {
        return Box3::empty();
    }
    let place = |i: u32, j: u32, along: f64| {
        let mut p = Vec3::zeros();
        u.set(&mut p, layout.u.at(i));
        v.set(&mut p, layout.v.at(j));
        layout.axis.set(&mut p, along);
        p
    };
    let (bottom, top) = (mm_from_nm(z.0).max(low), mm_from_nm(z.1).min(high));
    Box3 { min: place(i.0, j.0, bottom), max: place(i.1, j.1, top) }
}

/// How far material reaches that was found between two places along the rays: numbers of rays, and ends of pieces, nm.
struct Found {
    /// mm.
    inside: (f64, f64),
    i: (u32, u32),
    j: (u32, u32),
    z: (i32, i32),
}

impl Found {
    /// True when material of those rays between two ends changes nothing, or none of it lies inside.
    fn holds(&self, i: &Rays, j: &Rays, (bottom, top): (i32, i32)) -> bool {
        let (low, high) = self.inside;
        let (from, to) = (mm_from_nm(bottom).max(low), mm_from_nm(top).min(high));
        let known =
            self.i.0 <= i.start && i.end <= self.i.1 + 1 && self.j.0 <= j.start && j.end <= self.j.1 + 1;
        from >= to || (known && mm_from_nm(self.z.0).max(low) <= from && to <= mm_from_nm(self.z.1).min(high))
    }

    fn look_at_block(&mut self, band: &Band, i: &Rays, j: &Rays) {
        // Most blocks and packets tell nothing new, and need not be looked at ray by ray.
        if band.block_reach(i.start, j.start).is_none_or(|claimed| self.holds(i, j, claimed)) {
            return;
        }
        for strip in groups((j.start, j.end), band.rows.first, SIDE) {
            for square in groups((i.start, i.end), band.columns.first, SIDE) {
                // The summary tells, or, where cuts left it behind, the packet's own ends.
                let Some(claimed) = band.reach(square.start, strip.start) else { continue };
                let told = |ends| self.holds(&square, &strip, ends);
                if !told(claimed) && !reach(band, square.start, strip.start).is_none_or(told) {
                    self.look_at_packet(band, &square, &strip);
                }
            }
        }
    }

    fn look_at_packet(&mut self, band: &Band, square: &Rays, strip: &Rays) {
        let (low, high) = self.inside;
        for (j, i) in strip.clone().flat_map(|j| square.clone().map(move |i| (j, i))) {
            let (block, packet, lane) = band.place(i, j);
            let Some(block) = band.blocks.get(block) else { continue };
            for piece in block.slots_of(packet).filter_map(|slot| slot.piece(lane)) {
                if mm_from_nm(piece.low).max(low) < mm_from_nm(piece.high).min(high) {
                    self.i = (self.i.0.min(i), self.i.1.max(i));
                    self.j = (self.j.0.min(j), self.j.1.max(j));
                    self.z = (self.z.0.min(piece.low), self.z.1.max(piece.high));
                }
            }
        }
    }
}

/// Numbers of neighbouring rays.
type Rays = std::ops::Range<u32>;

/// The rays `start..end` in groups that each lie in one packet or block of `size` rays; these begin at `first`.
fn groups((start, end): (u32, u32), first: u32, size: u32) -> impl Iterator<Item = Rays> {
    let mut at = start;
    std::iter::from_fn(move || {
        let next = (first + ((at - first) / size + 1) * size).min(end);
        let group = at..next;
        at = next;
        (!group.is_empty()).then_some(group)
    })
}
