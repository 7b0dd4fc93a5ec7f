//! Measuring on the stock as it is shown: between two places, and at one place as a caliper would.
//!
//! *Invariant*: every number is read off exact ends of material and the cuts that left them, never off the picture; what is
//! only read off the picture says so.

mod between;
mod caliper;
mod faces;
mod form;
mod sizes;
mod snap;
#[cfg(test)]
mod tests;

pub use between::{Distance, How};
pub use caliper::{Between, Caliper, Reading};
pub use sizes::{Lies, Size};
pub use snap::{On, Pick, Snap, letter};

use super::{At, Session};
use proofcut_core::geom::{Axis, Vec3};
use snap::Now;

/// What a click on the part does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Mode {
    /// Selects.
    #[default]
    Select,
    /// Picks the two things between which is measured.
    Measure,
    /// Reads a caliper along this axis of the setup.
    Caliper(Axis),
    /// Puts the lens there.
    Lens,
}

/// What was measured, and what clicks do.
#[derive(Clone, Debug, Default)]
pub struct Measuring {
    pub(super) mode: Mode,
    first: Option<Taken<Snap>>,
    between: Option<Taken<(Snap, Snap)>>,
    caliper: Option<Taken<Caliper>>,
}

/// Something with the moment at which it was measured.
#[derive(Clone, Debug, PartialEq)]
pub struct Taken<T> {
    /// What.
    pub what: T,
    /// When.
    pub at: At,
    /// The same in words.
    pub when: String,
}

impl Measuring {
    /// What clicks do.
    pub const fn mode(&self) -> Mode {
        self.mode
    }

    /// The first of two picks, while the second is awaited.
    pub const fn first(&self) -> Option<&Taken<Snap>> {
        self.first.as_ref()
    }

    /// Two picks and the distance between them.
    pub fn distance(&self) -> Option<(&Taken<(Snap, Snap)>, Distance)> {
        self.between.as_ref().map(|b| (b, Distance::between(&b.what.0, &b.what.1)))
    }

    /// What the caliper reads.
    pub const fn caliper(&self) -> Option<&Taken<Caliper>> {
        self.caliper.as_ref()
    }

    /// True when something is measured or picked.
    pub const fn is_empty(&self) -> bool {
        self.first.is_none() && self.between.is_none() && self.caliper.is_none()
    }

    /// Forgets what was measured; what clicks do stays.
    pub(super) fn clear(&mut self) {
        *self = Self { mode: self.mode, ..Self::default() };
    }
}

impl Session {
    /// What was measured, and what clicks do.
    pub const fn measuring(&self) -> &Measuring {
        &self.measuring
    }

    /// Takes a pick, as clicks mean it now; true when there was something to do with it.
    pub fn pick(&mut self, pick: Pick) -> bool {
        let Some(proved) = self.proved.clone() else { return false };
        let Some(cut) = &proved.cut else { return false };
        let At { setup, made, .. } = self.at;
        let now = Now { proved: &proved, setup, before: cut.history.first_cut(setup, made) };
        let Some(snap) = Snap::of(&now, pick) else { return false };
        match self.measuring.mode {
            Mode::Select => return false,
            Mode::Measure => {
                let first = self.measuring.first.take().filter(|f| f.at == self.at);
                if let Some(first) = first {
                    self.measuring.between = Some(self.taken((first.what, snap)));
                } else {
                    self.measuring.between = None;
                    self.measuring.first = Some(self.taken(snap));
                }
            }
            Mode::Caliper(axis) => {
                self.measuring.caliper = Some(self.taken(Caliper::at(&now, snap, axis)));
            }
            Mode::Lens => self.put_lens(snap.picked),
        }
        true
    }

    fn taken<T>(&self, what: T) -> Taken<T> {
        Taken { what, at: self.at, when: self.moment_words().unwrap_or_default() }
    }

    /// Clicks select again, or what is measured goes, whichever is so; false when neither is.
    pub(super) fn leave_measuring(&mut self) -> bool {
        let has = !self.measuring.is_empty() || self.lens.is_some();
        if self.measuring.mode != Mode::Select {
            self.measuring.mode = Mode::Select;
            self.measuring.first = None;
        } else if has {
            self.dismiss();
        } else {
            return false;
        }
        true
    }

    /// Takes measurements and lens away.
    pub fn dismiss(&mut self) {
        self.measuring.clear();
        self.lens = None;
    }

    pub(super) fn turn_measure(&mut self) {
        let on = self.measuring.mode != Mode::Measure;
        self.measuring.mode = if on { Mode::Measure } else { Mode::Select };
        self.measuring.first = None;
    }

    /// Along X, Y, Z, not at all; what is measured already is read along the new axis.
    pub(super) fn turn_caliper(&mut self) {
        self.measuring.mode = match self.measuring.mode {
            Mode::Caliper(Axis::X) => Mode::Caliper(Axis::Y),
            Mode::Caliper(Axis::Y) => Mode::Caliper(Axis::Z),
            Mode::Caliper(Axis::Z) => Mode::Select,
            Mode::Select | Mode::Measure | Mode::Lens => Mode::Caliper(Axis::X),
        };
        let Mode::Caliper(axis) = self.measuring.mode else { return };
        let again = self.measuring.caliper.take().filter(|c| c.at == self.at);
        let (Some(Taken { what, .. }), Some(proved)) = (again, self.proved.clone()) else { return };
        let Some(cut) = &proved.cut else { return };
        let At { setup, made, .. } = self.at;
        let now = Now { proved: &proved, setup, before: cut.history.first_cut(setup, made) };
        self.measuring.caliper = Some(self.taken(Caliper::at(&now, what.snap, axis)));
    }

    /// Places of flat faces of the stock along an axis of the setup that is shown, setup frame, millimetres: as many as are
    /// found in some milliseconds.
    pub fn faces_along(&self, axis: Axis) -> Vec<f64> {
        let Some(proved) = &self.proved else { return Vec::new() };
        let Some(cut) = &proved.cut else { return Vec::new() };
        let At { setup, made, .. } = self.at;
        faces::along(&Now { proved, setup, before: cut.history.first_cut(setup, made) }, axis)
    }

    /// True when a place of the part is material now.
    pub fn is_material(&self, at_part: &Vec3) -> bool {
        let Some(proved) = &self.proved else { return false };
        let Some(cut) = &proved.cut else { return false };
        let At { setup, made, .. } = self.at;
        let now = Now { proved, setup, before: cut.history.first_cut(setup, made) };
        caliper::stretch_at(&now, Axis::Z, at_part, Between::Material).is_some()
    }

    /// What was measured last, in a few words.
    pub fn measured_words(&self) -> Option<String> {
        let unit = self.proved.as_ref()?.checked.job.unit;
        if let Some((_, distance)) = self.measuring.distance() {
            return Some(format!("measured {}", unit.write(distance.length())));
        }
        if let Some(first) = self.measuring.first() {
            return Some(format!("measuring from {}", first.what.name));
        }
        let caliper = &self.measuring.caliper()?.what;
        let read = |r: &Reading| format!("{} {}", unit.write(r.length()), r.of.words());
        let readings: Vec<String> = caliper.readings.iter().map(read).collect();
        Some(format!("caliper {}: {}", letter(caliper.axis), readings.join(", ")))
    }
}
