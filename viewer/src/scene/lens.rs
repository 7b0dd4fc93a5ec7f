use super::{Categories, DeviationScale, Palette, Scene, StockMeshes, StockTint, Tint};
use crate::colour::Theme;
use proofcut_core::cutting::History;
use proofcut_core::geom::{Box3, Frame, Vec3};
use proofcut_core::solid::NominalPart;
use proofcut_core::stock::{CutId, StockError};
use proofcut_core::surface::Surface;
use proofcut_core::units::Unit;
use std::sync::Arc;

/// A small cube of the stock that is cut again at fine spacing.
#[derive(Clone, Copy, Debug)]
pub struct Lens<'a> {
    /// How the part is clamped in the setup that is shown.
    pub frame: &'a Frame,
    /// Who cut what.
    pub history: &'a History,
    /// The stock is as all cuts before this one leave it.
    pub before: CutId,
    /// Middle of the cube, part frame, millimetres.
    pub at: Vec3,
    /// Its edge, millimetres.
    pub size: f64,
    /// Unit of the scale of distances.
    pub unit: Unit,
    /// Tools and setups by colour.
    pub categories: &'a Categories,
    /// What the colours tell.
    pub tint: Tint,
    /// The drawing's part, for [`Tint::Deviation`].
    pub nominal: Option<&'a NominalPart>,
    /// Surroundings.
    pub theme: &'a Theme,
}

/// Rays along an edge of the cube: 0.01 mm apart in 2 mm.
const RAYS: f64 = 200.0;

/// Distance between the rays of a lens with an edge of so many millimetres, mm.
fn lens_spacing(size: f64) -> f64 {
    size / RAYS
}

/// What is written beside a lens with an edge of so many millimetres: how wide it is and how finely it is cut.
pub fn lens_words(size: f64, unit: Unit) -> String {
    format!("{} wide, rays {} apart", unit.write(size), unit.write(lens_spacing(size)))
}

impl Lens<'_> {
    /// The cube, part frame.
    pub fn cube(&self) -> Box3 {
        let half = Vec3::repeat(0.5 * self.size);
        Box3 { min: self.at - half, max: self.at + half }
    }
}

/// The scene of a lens: the stock in the cube and its crisp edges. The cube's own sides show as raw stock.
///
/// # Errors
/// When the cube lies outside the raw stock, or is too large.
pub fn lens_scene(lens: &Lens<'_>) -> Result<Scene, StockError> {
    let stock = lens.history.lens(&lens.cube(), lens_spacing(lens.size), lens.before)?;
    let surface = Surface::of(&stock, lens.history);
    let scale = DeviationScale::of(lens.unit);
    let nominal = lens.nominal.filter(|_| lens.tint == Tint::Deviation);
    let makers = StockTint::Makers(lens.categories);
    let (tint, palette) = match (nominal, lens.tint) {
        (Some(part), _) => (StockTint::Deviation(&scale, part), scale.palette()),
        (None, Tint::Tool) => (makers, Palette::tools(lens.categories)),
        (None, Tint::Setup) => (makers, Palette::setups(lens.categories)),
        (None, Tint::Metal | Tint::Deviation) => (makers, Palette::metal()),
    };
    let meshes = StockMeshes::of(&surface, lens.history, &tint, lens.theme.edge);
    Ok(Scene {
        items: vec![meshes.item(lens.frame, Arc::new(palette))],
        lines: vec![meshes.lines(lens.frame)],
        ..Scene::default()
    })
}
