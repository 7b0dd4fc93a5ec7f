//! What a caliper would read along an axis at a place.

use super::form::{End, Face};
use super::sizes::{self, Size};
use super::snap::{Now, Snap};
use proofcut_core::geom::{Axis, Vec3};

/// Readings along one axis at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Caliper {
    /// What was picked.
    pub snap: Snap,
    /// Axis of the setup along which is measured.
    pub axis: Axis,
    /// Over the material, between the walls of the gap: none, one or both.
    pub readings: Vec<Reading>,
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What is between the jaws.
    pub of: Between,
    /// Its lower end along the part's axis, part frame, millimetres.
    pub low: Vec3,
    /// Its upper end.
    pub high: Vec3,
    /// The size of the drawing that it belongs to.
    pub size: Option<Size>,
}

/// What is between the jaws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Between {
    /// Material: jaws outside.
    Material,
    /// A gap: jaws inside.
    Gap,
}

impl Between {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Material => "over the material",
            Self::Gap => "across the gap",
        }
    }
}

impl Reading {
    /// The reading, millimetres.
    pub fn length(&self) -> f64 {
        (self.high - self.low).norm()
    }
}

/// How deep the jaws' line lies below the face that was picked, or above it for a gap, millimetres: nothing that a caliper
/// would feel, and far more than rounding.
const BESIDE: f64 = 0.01;

/// A piece of a line: material or gap.
pub(super) struct Stretch {
    pub(super) ends: [End; 2],
}

impl Stretch {
    fn holds(&self, at: f64, axis: Axis) -> bool {
        let [low, high] = &self.ends;
        axis.of(&low.at) <= at && at <= axis.of(&high.at)
    }
}

/// All material, or all gaps between material, on the line through a point along an axis of the part.
pub(super) fn stretches(now: &Now<'_>, axis: Axis, through: &Vec3, of: Between) -> Vec<Stretch> {
    let Some(cut) = &now.proved.cut else { return Vec::new() };
    let (u, v) = axis.others();
    let pieces = cut.history.probe_before(axis, u.of(through), v.of(through), now.before);
    let end = |place: f64, by, sense| {
        let mut at = *through;
        axis.set(&mut at, place);
        End { axis, sense, at, by }
    };
    match of {
        Between::Material => {
            let both =
                |p: &proofcut_core::cutting::Piece| [end(p.low, p.low_by, -1.0), end(p.high, p.high_by, 1.0)];
            pieces.iter().map(|p| Stretch { ends: both(p) }).collect()
        }
        Between::Gap => {
            let next = pieces.iter().skip(1);
            let gap = |a: &proofcut_core::cutting::Piece, b: &proofcut_core::cutting::Piece| {
                [end(a.high, a.high_by, 1.0), end(b.low, b.low_by, -1.0)]
            };
            pieces.iter().zip(next).map(|(a, b)| Stretch { ends: gap(a, b) }).collect()
        }
    }
}

/// The stretch at a point.
pub(super) fn stretch_at(now: &Now<'_>, axis: Axis, at: &Vec3, of: Between) -> Option<Stretch> {
    stretches(now, axis, at, of).into_iter().find(|s| s.holds(axis.of(at), axis))
}

impl Caliper {
    /// Reads along an axis of the setup at a place.
    pub(super) fn at(now: &Now<'_>, snap: Snap, axis: Axis) -> Self {
        let frame = now.proved.checked.job.setups.get(now.setup).map(|s| s.frame);
        let along = frame.map_or(axis, |f| f.direction(axis).axis);
        let beside = snap.normal.unwrap_or_else(Vec3::zeros) * BESIDE;
        let mut wanted = vec![(Between::Material, snap.picked - beside)];
        if snap.normal.is_some() {
            wanted.push((Between::Gap, snap.picked + beside));
        }
        let read = |(of, at): (Between, Vec3)| {
            let Stretch { ends } = stretch_at(now, along, &at, of)?;
            let [low, high] = ends.map(|e| e.at);
            Some(Reading { of, low, high, size: sizes::of(now, along, of, &ends) })
        };
        let readings = wanted.into_iter().filter_map(read).collect();
        Self { snap, axis, readings }
    }
}

/// True when a stretch lies between flat faces square to its line, so that it reads the same all over them.
pub(super) fn is_square(now: &Now<'_>, axis: Axis, ends: &[End; 2]) -> bool {
    let Some(cut) = &now.proved.cut else { return false };
    ends.iter().all(|end| Face::at(cut, &now.proved.checked.job.stock, end).is_square_to(axis))
}
