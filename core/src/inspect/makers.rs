use super::finished::Finished;
use super::result::MadeBy;
use crate::motion::{Move, Run};
use crate::stock::CutId;
use std::collections::{BTreeMap, BTreeSet};

/// Error of a probed end by itself, millimetres: the sweeps' 2 nm normal to the surface on a line that meets it at 30
/// degrees or steeper, and rounding; 10 nm altogether.
pub(super) const PROBE_BOUND: f64 = 1.0e-5;

/// Who made what: from the ids at surfaces to setups, tools and program lines.
#[derive(Clone, Copy)]
pub(super) struct Makers<'a> {
    pub(super) finished: &'a dyn Finished,
    pub(super) runs: &'a [Run],
}

impl<'a> Makers<'a> {
    /// The move of a cut; `None` for the raw surface.
    pub(super) fn move_of(&self, id: CutId) -> Option<(usize, &'a Move)> {
        let origin = self.finished.origin(id)?;
        Some((origin.setup, self.runs.get(origin.setup)?.moves.get(origin.move_index)?))
    }

    /// Largest error of a surface that this cut left, millimetres.
    pub(super) fn bound(&self, id: CutId) -> f64 {
        PROBE_BOUND + self.move_of(id).map_or(0.0, |(_, m)| m.deviation)
    }

    /// The makers of some surfaces, by setup and tool in order, the raw surface first.
    pub(super) fn made_by(&self, ids: impl IntoIterator<Item = CutId>) -> Vec<MadeBy> {
        let mut found: BTreeMap<(Option<usize>, Option<u32>), BTreeSet<u32>> = BTreeMap::new();
        for id in ids {
            match self.move_of(id) {
                Some((setup, m)) => {
                    found.entry((Some(setup), m.tool)).or_default().insert(m.place.line);
                }
                None => {
                    found.entry((None, None)).or_default();
                }
            }
        }
        found
            .into_iter()
            .map(|((setup, tool), lines)| MadeBy { setup, tool, lines: lines.into_iter().collect() })
            .collect()
    }
}
