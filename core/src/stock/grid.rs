use super::band::{Band, Stretch};
use super::layout::GridLayout;
use super::nm::nm_from_mm;
use super::op::{CutId, Interval};
use crate::geom::{Box3, Spans};
use crate::solid::RawSolid;
use rayon::prelude::*;
use smallvec::SmallVec;

/// The rays along one axis, in bands across its longer side: what is worked out for a line along the shorter side then
/// serves all of it.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    pub(super) layout: GridLayout,
    /// True when bands are some of the columns, false when some of the rows.
    pub(super) by_columns: bool,
    /// Rows or columns of every band but the last.
    pub(super) size: u32,
    pub(super) bands: Vec<Band>,
}

impl Grid {
    /// A grid filled with the raw stock inside a box, in bands of so many rows or columns (a multiple of a block's).
    pub(super) fn of(layout: GridLayout, size: u32, raw: (&RawSolid, &Box3)) -> Self {
        let (columns, rows) = (layout.u.count(), layout.v.count());
        let by_columns = columns > rows;
        let parts = Stretch::parts(columns.max(rows), size).into_par_iter();
        let bands = parts.map(|part| {
            let (columns, rows) =
                if by_columns { (part, Stretch::whole(rows)) } else { (Stretch::whole(columns), part) };
            raw_band(&layout, columns, rows, raw)
        });
        Self { layout, by_columns, size, bands: bands.collect() }
    }

    /// The bands that hold a row, in the order of its rays; none outside the grid.
    pub(super) fn bands_of_row(&self, j: u32) -> &[Band] {
        let n = (j / self.size) as usize;
        let own = if self.by_columns { 0..self.bands.len() } else { n..n + 1 };
        if j < self.layout.v.count() { self.bands.get(own).unwrap_or_default() } else { &[] }
    }

    /// The band that holds a ray; `None` outside the grid.
    #[inline(always)]
    pub(super) fn band_of(&self, i: u32, j: u32) -> Option<&Band> {
        let inside = i < self.layout.u.count() && j < self.layout.v.count();
        let n = if self.by_columns { i } else { j } / self.size;
        self.bands.get(n as usize).filter(|_| inside)
    }

    /// Intervals of a ray, ascending; empty outside the grid.
    pub(super) fn ray(&self, i: u32, j: u32) -> SmallVec<[Interval; 4]> {
        self.band_of(i, j).map(|b| b.ray(i, j)).unwrap_or_default()
    }
}

fn raw_band(layout: &GridLayout, columns: Stretch, rows: Stretch, (raw, inside): (&RawSolid, &Box3)) -> Band {
    let (from, to) = (nm_from_mm(layout.axis.of(&inside.min)), nm_from_mm(layout.axis.of(&inside.max)));
    let mut band = Band::new(columns, rows);
    let piece = |span: &(f64, f64)| {
        let (low, high) = (nm_from_mm(span.0).max(from), nm_from_mm(span.1).min(to));
        (low < high).then_some(Interval { low, high, low_by: CutId::RAW, high_by: CutId::RAW })
    };
    if let Some(span) = raw.same_on_all(layout.axis) {
        if let Some(piece) = piece(&span) {
            band.fill(piece);
        }
        band.summarize();
        return band;
    }
    let mut spans = Spans::new();
    for j in rows.numbers() {
        for i in columns.numbers() {
            raw.spans(layout.axis, layout.u.at(i), layout.v.at(j), &mut spans);
            for piece in spans.iter().filter_map(piece) {
                band.put(i, j, piece);
            }
        }
    }
    band.summarize();
    band
}
