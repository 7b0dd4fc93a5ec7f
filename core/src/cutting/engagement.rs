use crate::geom::Axis;
use crate::stock::OpRecord;
use crate::units::NM_PER_MM;

/// How far a cutting move was in the material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Engagement {
    /// Most material taken along the spindle on one ray, mm: the axial depth of cut, exact where a ray meets the deepest
    /// place, short of it by what lies between rays.
    pub axial: f64,
    /// How far apart, to the sides of the path, the outermost rays along the spindle lie that lost material, mm: the radial
    /// width of cut, short of it by less than two spacings. `None` for paths without sides (straight up or down, helices)
    /// and where no ray along the spindle was cut.
    pub radial: Option<f64>,
}

impl Engagement {
    /// What the record of a cutting op shows; `None` when it met nothing along the spindle.
    pub(super) fn of(record: &OpRecord, spindle: Axis) -> Option<Self> {
        let [x, y, z] = record.longest;
        let nm = match spindle {
            Axis::X => x,
            Axis::Y => y,
            Axis::Z => z,
        };
        let axial = crate::stock::float(nm) / NM_PER_MM;
        (nm > 0).then(|| Self { axial, radial: record.beside.map(|(from, to)| to - from) })
    }

    /// The larger of each, for the pieces and bodies of one move.
    pub(super) fn with(self, other: Option<Self>) -> Self {
        let Some(other) = other else { return self };
        let radial = match (self.radial, other.radial) {
            (Some(a), Some(b)) => Some(a.max(b)),
            (a, b) => a.or(b),
        };
        Self { axial: self.axial.max(other.axial), radial }
    }
}
