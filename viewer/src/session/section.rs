//! The section plane: where it stands, how it is moved.

use super::{Plane, Session};
use proofcut_core::geom::Axis;
use proofcut_core::units::Unit;

/// How far a key moves the plane, in the job's unit: a hundredth of an inch, a fifth of a millimetre.
fn step(unit: Unit) -> f64 {
    match unit {
        Unit::Inch => unit.to_mm(0.01),
        Unit::Millimetre => 0.2,
    }
}

/// A plane that stops at a face stands this far before it, millimetres, so that the face itself is still seen.
const BEFORE_FACE: f64 = 2.0e-4;

impl Plane {
    /// The axis of the setup to which it is square.
    pub const fn across(&self) -> Axis {
        match self.axis {
            0 => Axis::X,
            1 => Axis::Y,
            _ => Axis::Z,
        }
    }
}

impl Session {
    /// Moves the section plane to a place on its axis, setup frame, mm, but not out of the part; when one of `faces` is no
    /// farther than `reach`, to that face.
    pub fn move_section(&mut self, to: f64, faces: &[f64], reach: f64) {
        let part = self.part.grown(1.0);
        let Some(plane) = &mut self.looks.section else { return };
        let near = faces.iter().copied().min_by(|a, b| (a - to).abs().total_cmp(&(b - to).abs()));
        let sign = if plane.positive { 1.0 } else { -1.0 };
        let at = match near.filter(|face| (face - to).abs() <= reach) {
            Some(face) => face + sign * BEFORE_FACE,
            None => to,
        };
        #[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
        let at = at as f32;
        let end = |v: glam::Vec3| v.to_array().get(plane.axis).copied().unwrap_or(0.0);
        if at.is_finite() {
            plane.at = if part.is_empty() { at } else { at.clamp(end(part.min), end(part.max)) };
        }
    }

    /// Moves it by steps, towards what it takes away.
    pub(super) fn nudge_section(&mut self, steps: f64) {
        let unit = self.proved.as_ref().map_or(Unit::Millimetre, |p| p.checked.job.unit);
        if let Some(plane) = self.looks.section {
            let sign = if plane.positive { 1.0 } else { -1.0 };
            self.move_section(f64::from(plane.at) + sign * steps * step(unit), &[], 0.0);
        }
    }

    /// Where the scene is cut open, such as `section Z -0.2500`.
    pub fn section_words(&self) -> Option<String> {
        let plane = self.looks.section?;
        let unit = self.proved.as_ref()?.checked.job.unit;
        Some(format!("section {} {}", plane.letter(), unit.number(f64::from(plane.at))))
    }
}
