use super::band::{Band, ROWS};
use super::layout::GridLayout;
use super::nm::nm_from_mm;
use super::op::{CutId, Interval};
use crate::geom::Spans;
use crate::solid::RawSolid;
use rayon::prelude::*;
use smallvec::SmallVec;

/// The rays along one axis, in bands of rows.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    pub(super) layout: GridLayout,
    pub(super) bands: Vec<Band>,
}

impl Grid {
    /// A grid filled with the raw stock.
    pub(super) fn of(layout: GridLayout, raw: &RawSolid) -> Self {
        let firsts: Vec<u32> = (0..layout.v.count()).step_by(ROWS as usize).collect();
        let bands = firsts.into_par_iter().map(|first| raw_band(&layout, first, raw)).collect();
        Self { layout, bands }
    }

    /// The band that holds a row.
    pub(super) fn band_of(&self, j: u32) -> Option<&Band> {
        self.bands.get((j / ROWS) as usize)
    }

    /// Intervals of a ray, ascending; empty outside the grid.
    pub(super) fn ray(&self, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        let inside = i < self.layout.u.count() && j < self.layout.v.count();
        self.band_of(j).filter(|_| inside).map(|b| b.ray(i, j)).unwrap_or_default()
    }
}

fn raw_band(layout: &GridLayout, first: u32, raw: &RawSolid) -> Band {
    let mut band = Band::new(layout, first);
    let mut spans = Spans::new();
    for j in first..first + band.rows {
        for i in 0..layout.u.count() {
            raw.spans(layout.axis, layout.u.at(i), layout.v.at(j), &mut spans);
            for span in &spans {
                let (low, high) = (nm_from_mm(span.0), nm_from_mm(span.1));
                if low < high {
                    band.put(i, j, Interval { low, high, low_by: CutId::RAW, high_by: CutId::RAW });
                }
            }
        }
    }
    band
}
