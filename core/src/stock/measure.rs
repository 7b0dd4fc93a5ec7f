//! What the stock measures: volume, extent, pieces.

use super::band::{Band, Stretch};
use super::grid::Grid;
use super::layout::GridLayout;
use super::model::Stock;
use super::nm::{float, mm_from_nm};
use super::packet::SIDE;
use super::rows::reach;
use crate::geom::{Axis, Box3, Vec3};
use crate::units::NM_PER_MM;
use rayon::prelude::*;

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
    let columns = layout.u.between(u.of(&inside.min), u.of(&inside.max));
    let rows = layout.v.between(v.of(&inside.min), v.of(&inside.max));
    let clamp = |(from, to): (u32, u32), own: Stretch| (from.max(own.first), to.min(own.numbers().end));
    let (rows, columns) = (clamp(rows, band.rows), clamp(columns, band.columns));
    let mut extent = Box3::empty();
    let place = |i: u32, j: u32, along: f64| {
        let mut p = Vec3::zeros();
        u.set(&mut p, layout.u.at(i));
        v.set(&mut p, layout.v.at(j));
        layout.axis.set(&mut p, along);
        p
    };
    let (low, high) = (layout.axis.of(&inside.min), layout.axis.of(&inside.max));
    for strip in squares(rows, band.rows.first) {
        for square in squares(columns, band.columns.first) {
            // Most packets lie inside what was found before, or beside the box, and need not be looked at ray by ray:
            // the summary tells, or, where cuts left it behind, the packet's own ends.
            let told = |(bottom, top): (i32, i32)| {
                let (bottom, top) = (mm_from_nm(bottom).max(low), mm_from_nm(top).min(high));
                let first = place(square.start, strip.start, bottom);
                let last = place(square.end - 1, strip.end - 1, top);
                bottom >= top || (extent.contains(&first) && extent.contains(&last))
            };
            let Some(claimed) = band.reach(square.start, strip.start) else { continue };
            if told(claimed) || reach(band, square.start, strip.start).is_none_or(told) {
                continue;
            }
            for (j, i) in strip.clone().flat_map(|j| square.clone().map(move |i| (j, i))) {
                for piece in band.ray(i, j) {
                    let (from, to) = (mm_from_nm(piece.low).max(low), mm_from_nm(piece.high).min(high));
                    if from < to {
                        extent = extent.with(place(i, j, from)).with(place(i, j, to));
                    }
                }
            }
        }
    }
    extent
}

/// The rays `start..end` in groups that each lie in one packet; packets begin at `first`.
fn squares((start, end): (u32, u32), first: u32) -> impl Iterator<Item = std::ops::Range<u32>> {
    let mut at = start;
    std::iter::from_fn(move || {
        let next = (first + ((at - first) / SIDE + 1) * SIDE).min(end);
        let group = at..next;
        at = next;
        (!group.is_empty()).then_some(group)
    })
}
