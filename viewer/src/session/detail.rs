//! The stock as meshes in some detail, led from moment to moment: only what has changed is made anew.

use super::check::Cut;
use crate::colour::Theme;
use crate::scene::{Categories, DeviationScale, StockMeshes, StockTint};
use proofcut_core::geom::Box3;
use proofcut_core::solid::NominalPart;
use proofcut_core::stock::Stock;
use proofcut_core::surface::Surface;
use std::collections::BTreeSet;
use std::time::{Duration, Instant};

/// What the tints and edges of the meshes are made for.
#[derive(Clone, Copy)]
pub(super) struct Dress<'a> {
    pub(super) categories: &'a Categories,
    pub(super) scale: &'a DeviationScale,
    /// The drawing's part, when the distance from it is to be seen.
    pub(super) nominal: Option<&'a NominalPart>,
    pub(super) dark: bool,
}

impl<'a> Dress<'a> {
    fn tint(&self) -> StockTint<'a> {
        self.nominal
            .map_or(StockTint::Makers(self.categories), |nominal| StockTint::Deviation(self.scale, nominal))
    }

    /// What the meshes depend on, in short.
    const fn kind(&self) -> (bool, bool) {
        (self.nominal.is_some(), self.dark)
    }
}

/// A surface and its meshes.
pub(super) struct Detail {
    surface: Surface,
    pub(super) meshes: StockMeshes,
    /// What the meshes were made for; nothing before the first time.
    made_for: Option<(bool, bool)>,
    /// Blocks in which the stock has changed since, and those that need new meshes.
    stale: BTreeSet<usize>,
    bare: BTreeSet<usize>,
    /// How long a block took, in the mean of the last times.
    a_block: Duration,
}

/// Blocks that are made between two looks at whether somebody wants something else: some milliseconds.
const AT_ONCE: usize = 16;

impl Detail {
    /// Of every so many rays.
    pub(super) fn new(stock: &Stock, cut: &Cut, every: u32) -> Self {
        let begun = Instant::now();
        let surface = Surface::coarse(stock, &cut.history, every);
        // Meshes take about as long as the surface.
        let blocks = u32::try_from(surface.blocks().len()).unwrap_or(u32::MAX).max(1);
        let a_block = begun.elapsed() * 2 / blocks;
        let (stale, bare) = (BTreeSet::new(), BTreeSet::new());
        Self { surface, meshes: StockMeshes::default(), made_for: None, stale, bare, a_block }
    }

    /// Number of cells through which the surface passes.
    pub(super) fn cells(&self) -> u64 {
        self.surface.cells()
    }

    /// Notes where the stock has changed.
    pub(super) fn note(&mut self, changed: &[Box3]) {
        let blocks = self.surface.blocks_in(changed);
        self.bare.extend(&blocks);
        self.stale.extend(blocks);
    }

    /// Notes what the meshes are to be made for.
    pub(super) fn dress(&mut self, dress: &Dress<'_>) {
        if self.made_for != Some(dress.kind()) {
            self.made_for = Some(dress.kind());
            self.bare.extend(0..self.surface.blocks().len());
        }
    }

    /// How long it may take to bring it up to date.
    pub(super) fn takes(&self) -> Duration {
        self.a_block * u32::try_from(self.bare.len()).unwrap_or(u32::MAX)
    }

    /// Brings it up to date; false where it was left half done because of `stop`, to be gone on with.
    pub(super) fn bring(
        &mut self,
        stock: &Stock,
        cut: &Cut,
        dress: &Dress<'_>,
        mut stop: impl FnMut() -> bool,
    ) -> bool {
        if self.bare.is_empty() {
            return true;
        }
        let begun = Instant::now();
        let count = u32::try_from(self.bare.len()).unwrap_or(u32::MAX);
        // Blocks over each other are read together.
        let [x, y, _] = self.surface.sides();
        let layer = (x as usize * y as usize).max(1);
        let mut blocks: Vec<usize> = self.bare.iter().copied().collect();
        blocks.sort_unstable_by_key(|n| (n % layer, *n));
        for some in blocks.chunks(AT_ONCE) {
            let stale: Vec<usize> = some.iter().copied().filter(|n| self.stale.remove(n)).collect();
            self.surface.update_blocks(stock, &cut.history, &stale);
            self.meshes.remake(&self.surface, &cut.history, &dress.tint(), some);
            for n in some {
                self.bare.remove(n);
            }
            if !self.bare.is_empty() && stop() {
                return false;
            }
        }
        self.meshes.join_edges(if dress.dark { Theme::DARK.edge } else { Theme::LIGHT.edge });
        self.a_block = (self.a_block * 3 + begun.elapsed() / count.max(1)) / 4;
        true
    }
}
