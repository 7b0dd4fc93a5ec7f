use super::band::Band;
use super::layout::GridLayout;
use super::nm::nm_from_mm;
use super::op::{CutId, Interval};
use crate::geom::{Box3, Spans};
use crate::solid::RawSolid;
use rayon::prelude::*;
use smallvec::SmallVec;

/// The rays along one axis, in bands of rows.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    pub(super) layout: GridLayout,
    /// Rows of every band but the last.
    pub(super) rows: u32,
    pub(super) bands: Vec<Band>,
}

impl Grid {
    /// A grid filled with the raw stock inside a box, in bands of so many rows (a multiple of a block's).
    pub(super) fn of(layout: GridLayout, rows: u32, raw: (&RawSolid, &Box3)) -> Self {
        let firsts: Vec<u32> = (0..layout.v.count()).step_by(rows as usize).collect();
        let bands = firsts.into_par_iter().map(|first| raw_band(&layout, first, rows, raw)).collect();
        Self { layout, rows, bands }
    }

    /// The band that holds a row.
    pub(super) fn band_of(&self, j: u32) -> Option<&Band> {
        self.bands.get((j / self.rows) as usize)
    }

    /// Intervals of a ray, ascending; empty outside the grid.
    pub(super) fn ray(&self, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        let inside = i < self.layout.u.count() && j < self.layout.v.count();
        self.band_of(j).filter(|_| inside).map(|b| b.ray(i, j)).unwrap_or_default()
    }
}

fn raw_band(layout: &GridLayout, first: u32, rows: u32, (raw, inside): (&RawSolid, &Box3)) -> Band {
    let (from, to) = (nm_from_mm(layout.axis.of(&inside.min)), nm_from_mm(layout.axis.of(&inside.max)));
    let mut band = Band::new(layout, first, rows);
    let mut spans = Spans::new();
    for j in first..first + band.rows {
        for i in 0..layout.u.count() {
            raw.spans(layout.axis, layout.u.at(i), layout.v.at(j), &mut spans);
            for span in &spans {
                let (low, high) = (nm_from_mm(span.0).max(from), nm_from_mm(span.1).min(to));
                if low < high {
                    band.put(i, j, Interval { low, high, low_by: CutId::RAW, high_by: CutId::RAW });
                }
            }
        }
    }
    band.summarize();
    band
}
