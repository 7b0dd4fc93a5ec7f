use crate::camera::{Camera, StandardView};
use crate::colour::Theme;
use crate::scene::{Bounds, Kind, Look, Scene, Tint};
use glam::{Vec3, Vec4};

/// How the scene is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Looks {
    /// The eye.
    pub camera: Camera,
    /// Vise, parallels, clamps.
    pub workholding: Look,
    /// The tool with its holder.
    pub tool: Look,
    /// What the colours of the part tell.
    pub tint: Tint,
    /// The path of the tip is drawn.
    pub path: bool,
    /// Shades of what comes near the workholding.
    pub clearance: bool,
    /// Light on dark.
    pub dark: bool,
    /// A section plane.
    pub section: Option<Plane>,
}

/// A section plane square to an axis of the setup.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Which axis: 0 for X, 1 for Y, 2 for Z.
    pub axis: usize,
    /// Where on it, setup frame, millimetres.
    pub at: f32,
    /// The side that is taken away: the one nearer to the eye when it was laid, until turned round.
    pub positive: bool,
}

impl Plane {
    /// Unit normal towards what is taken away.
    pub const fn normal(&self) -> Vec3 {
        let sign = if self.positive { 1.0 } else { -1.0 };
        match self.axis {
            0 => Vec3::new(sign, 0.0, 0.0),
            1 => Vec3::new(0.0, sign, 0.0),
            _ => Vec3::new(0.0, 0.0, sign),
        }
    }

    /// Gives more than 0 for `(x, y, z, 1)` on the side that is taken away.
    pub fn equation(&self) -> Vec4 {
        let sign = if self.positive { 1.0 } else { -1.0 };
        self.normal().extend(-sign * self.at)
    }

    /// `X`, `Y` or `Z`.
    pub const fn letter(&self) -> &'static str {
        match self.axis {
            0 => "X",
            1 => "Y",
            _ => "Z",
        }
    }
}

impl Default for Looks {
    fn default() -> Self {
        Self {
            camera: Camera::fitting(StandardView::Corner, &Bounds::EMPTY, 1.0),
            workholding: Look::Solid,
            tool: Look::Solid,
            tint: Tint::Metal,
            path: false,
            clearance: false,
            dark: false,
            section: None,
        }
    }
}

impl Looks {
    /// Surroundings.
    pub const fn theme(&self) -> &'static Theme {
        if self.dark { &Theme::DARK } else { &Theme::LIGHT }
    }

    /// Shows the things of a scene as chosen.
    pub fn apply(&self, scene: &mut Scene) {
        scene.set_look(Kind::Workholding, self.workholding);
        for kind in [Kind::Cutter, Kind::Shank, Kind::Holder] {
            scene.set_look(kind, self.tool);
        }
    }

    /// What the eye is fitted to: the part, and what of the workholding is near it.
    pub fn fitted(scene: &Scene) -> Bounds {
        let part = scene.bounds_of(Kind::Stock);
        let near = part.grown(0.45 * part.size().max_element());
        let held = scene.bounds_of(Kind::Workholding);
        let held = Bounds { min: held.min.max(near.min), max: held.max.min(near.max) };
        if held.is_empty() { part } else { part.union(&held) }
    }

    /// The next plane: none, across X, Y, Z, none; laid through the middle of the part.
    pub fn next_section(&mut self, part: &Bounds) {
        let axis = match self.section {
            None => 0,
            Some(plane) if plane.axis < 2 => plane.axis + 1,
            Some(_) => {
                self.section = None;
                return;
            }
        };
        let middle = if part.is_empty() { Vec3::ZERO } else { part.center() };
        let at = middle.to_array().get(axis).copied().unwrap_or(0.0);
        let mut plane = Plane { axis, at, positive: true };
        plane.positive = self.camera.towards_eye().dot(plane.normal()) >= -1.0e-3;
        self.section = Some(plane);
    }
}

/// Shown, see-through, hidden, shown.
pub(super) const fn next_look(look: Look) -> Look {
    match look {
        Look::Solid => Look::Ghost,
        Look::Ghost => Look::Hidden,
        Look::Hidden => Look::Solid,
    }
}

/// The word of a look.
pub const fn look_word(look: Look) -> &'static str {
    match look {
        Look::Solid => "shown",
        Look::Ghost => "see-through",
        Look::Hidden => "hidden",
    }
}

/// The word of a tint.
pub const fn tint_word(tint: Tint) -> &'static str {
    match tint {
        Tint::Metal => "metal",
        Tint::Tool => "by tool",
        Tint::Setup => "by setup",
        Tint::Deviation => "off the drawing",
    }
}

/// The next tint; distance from the drawing only where there is a drawing.
pub(super) const fn next_tint(tint: Tint, has_drawing: bool) -> Tint {
    match tint {
        Tint::Metal => Tint::Tool,
        Tint::Tool => Tint::Setup,
        Tint::Setup if has_drawing => Tint::Deviation,
        Tint::Setup | Tint::Deviation => Tint::Metal,
    }
}
