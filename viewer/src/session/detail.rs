//! The stock as meshes in some detail, led from moment to moment: only what has changed is made anew.

use super::check::Cut;
use crate::colour::Theme;
use crate::scene::{Categories, DeviationScale, StockMeshes, StockTint};
use proofcut_core::geom::Box3;
use proofcut_core::solid::NominalPart;
use proofcut_core::stock::Stock;
use proofcut_core::surface::Surface;
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
    /// Where the stock has changed since.
    pending: Vec<Box3>,
    /// How long a block took, in the mean of the last times.
    a_block: Duration,
}

/// So many places of change are kept apart at most.
const MOST_PENDING: usize = 4096;

impl Detail {
    /// Of every so many rays.
    pub(super) fn new(stock: &Stock, cut: &Cut, every: u32) -> Self {
        let begun = Instant::now();
        let surface = Surface::coarse(stock, &cut.history, every);
        // Meshes take about as long as the surface.
        let blocks = u32::try_from(surface.blocks().len()).unwrap_or(u32::MAX).max(1);
        let a_block = begun.elapsed() * 2 / blocks;
        Self { surface, meshes: StockMeshes::default(), made_for: None, pending: Vec::new(), a_block }
    }

    /// Number of cells through which the surface passes.
    pub(super) fn cells(&self) -> u64 {
        self.surface.cells()
    }

    /// Notes where the stock has changed.
    pub(super) fn note(&mut self, changed: &[Box3]) {
        self.pending.extend_from_slice(changed);
        if self.pending.len() > MOST_PENDING {
            let all = self.pending.iter().fold(Box3::empty(), |all, b| all.union(b));
            self.pending = vec![all];
        }
    }

    /// How long it may take to bring it up to date.
    pub(super) fn takes(&self, dress: &Dress<'_>) -> Duration {
        let blocks = if self.made_for == Some(dress.kind()) {
            self.surface.blocks_in(&self.pending)
        } else {
            self.surface.blocks().len()
        };
        self.a_block * u32::try_from(blocks).unwrap_or(u32::MAX)
    }

    /// Brings it up to date.
    pub(super) fn bring(&mut self, stock: &Stock, cut: &Cut, dress: &Dress<'_>) {
        let begun = Instant::now();
        let changed = self.surface.update(stock, &cut.history, &self.pending);
        self.pending.clear();
        let edge = if dress.dark { Theme::DARK.edge } else { Theme::LIGHT.edge };
        let blocks = if self.made_for == Some(dress.kind()) {
            if !changed.is_empty() {
                self.meshes.update(&self.surface, &cut.history, &dress.tint(), &changed, edge);
            }
            changed.len()
        } else {
            self.meshes = StockMeshes::of(&self.surface, &cut.history, &dress.tint(), edge);
            self.made_for = Some(dress.kind());
            self.surface.blocks().len()
        };
        if let Ok(blocks @ 1..) = u32::try_from(blocks) {
            self.a_block = (self.a_block * 3 + begun.elapsed() / blocks) / 4;
        }
    }
}
