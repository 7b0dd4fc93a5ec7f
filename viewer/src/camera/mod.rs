//! Where the eye stands. World: the setup frame, millimetres: X to the right, Y away from the operator, Z up.
//!
//! *Invariant*: a camera is always usable: its turn is a rotation and its height positive, whatever was asked of it.

mod standard;
#[cfg(test)]
mod tests;

pub use standard::StandardView;

use crate::scene::Bounds;
use glam::{Mat4, Quat, Vec2, Vec3};

/// How the picture is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Projection {
    /// All rays parallel: lengths can be compared, as on a drawing.
    Parallel,
    /// As the eye sees it.
    Perspective {
        /// Angle between the upper and the lower border, radians.
        height_angle: f32,
    },
}

/// An eye that looks at the world.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// The point in the middle of the picture.
    pub focus: Vec3,
    /// Turns the world into the eye's axes: X right, Y up, Z towards the eye.
    pub eye_from_world: Quat,
    /// Height of the picture at the focus, millimetres.
    pub height: f32,
    /// How the picture is made.
    pub projection: Projection,
}

/// A ray through a pixel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ray {
    /// Where it begins, in front of all that is seen.
    pub origin: Vec3,
    /// Unit direction, away from the eye.
    pub direction: Vec3,
}

/// What lies between a picture's border and what it is fitted to, as a part of the picture.
const MARGIN: f32 = 0.06;
/// Least and greatest height of a picture, millimetres.
const HEIGHTS: (f32, f32) = (1.0e-3, 1.0e5);
/// Angle of a perspective view that looks natural at a desk, radians: a lens of about 70 mm on a small-picture camera.
const NATURAL: f32 = 0.35;

impl Camera {
    /// A standard view that shows all of a box, parallel, in a picture so many times as wide as high.
    pub fn fitting(view: StandardView, bounds: &Bounds, aspect: f32) -> Self {
        let mut camera = Self {
            focus: Vec3::ZERO,
            eye_from_world: view.eye_from_world(),
            height: 100.0,
            projection: Projection::Parallel,
        };
        camera.fit(bounds, aspect);
        camera
    }

    /// The same with a natural perspective.
    #[must_use]
    pub fn in_perspective(mut self) -> Self {
        self.projection = Projection::Perspective { height_angle: NATURAL };
        self
    }

    /// Moves and zooms so that all of a box is seen; keeps the turn. An empty box changes nothing.
    pub fn fit(&mut self, bounds: &Bounds, aspect: f32) {
        if bounds.is_empty() {
            return;
        }
        self.focus = bounds.center();
        let turned = bounds.corners().map(|c| self.eye_from_world * (c - self.focus));
        let reach = turned.iter().fold(Vec3::ZERO, |r, p| r.max(p.abs()));
        let aspect = if aspect.is_finite() { aspect.max(1.0e-3) } else { 1.0 };
        let flat = 2.0 * reach.y.max(reach.x / aspect) / (1.0 - 2.0 * MARGIN);
        // In perspective what is nearer than the focus looks larger.
        let nearer = match self.projection {
            Projection::Parallel => 0.0,
            Projection::Perspective { height_angle } => 2.0 * reach.z * (0.5 * height_angle).tan(),
        };
        self.set_height(flat + nearer);
    }

    /// Sets the height of the picture, kept within what can be shown.
    pub fn set_height(&mut self, height: f32) {
        if height.is_finite() {
            self.height = height.clamp(HEIGHTS.0, HEIGHTS.1);
        }
    }

    /// Turns the eye to a standard view; focus and height stay.
    pub fn stand(&mut self, view: StandardView) {
        self.eye_from_world = view.eye_from_world();
    }

    /// Turns about a point that stays where it is in the picture: `across` about the world's Z, `up` about the
    /// picture's horizontal, radians. Dragging to the right (`across` > 0) turns the near side to the right.
    pub fn orbit(&mut self, about: Vec3, across: f32, up: f32) {
        if !(across.is_finite() && up.is_finite()) {
            return;
        }
        let seen = self.eye_from_world * (about - self.focus);
        let turned = Quat::from_rotation_x(up) * self.eye_from_world * Quat::from_rotation_z(across);
        self.eye_from_world = turned.normalize();
        self.focus = about - self.eye_from_world.inverse() * seen;
    }

    /// Slides the world with the cursor by a part of the picture's height (X right, Y up).
    pub fn slide(&mut self, by: Vec2) {
        if by.is_finite() {
            self.focus -= self.eye_from_world.inverse() * (by * self.height).extend(0.0);
        }
    }

    /// Makes things `factor` times as large; what lies at a place of the picture (see [`Camera::place_in_picture`]) stays there.
    pub fn zoom_at(&mut self, place: Vec2, factor: f32, aspect: f32) {
        if !(factor.is_finite() && factor > 0.0 && place.is_finite()) {
            return;
        }
        let before = self.height;
        self.set_height(self.height / factor);
        let half = Vec2::new(0.5 * aspect, 0.5) * place * (before - self.height);
        self.focus += self.eye_from_world.inverse() * half.extend(0.0);
    }

    /// Unit vector from the part towards the eye.
    pub fn towards_eye(&self) -> Vec3 {
        self.eye_from_world.inverse() * Vec3::Z
    }

    /// Distance of the eye from the focus, millimetres; 0 for parallel rays, which come from everywhere.
    pub fn distance(&self) -> f32 {
        match self.projection {
            Projection::Parallel => 0.0,
            Projection::Perspective { height_angle } => 0.5 * self.height / (0.5 * height_angle).tan(),
        }
    }

    /// From the world into the eye's frame, whose origin is the focus (parallel) or the eye (perspective).
    pub fn view(&self) -> Mat4 {
        Mat4::from_translation(Vec3::new(0.0, 0.0, -self.distance()))
            * Mat4::from_quat(self.eye_from_world)
            * Mat4::from_translation(-self.focus)
    }

    /// From the eye's frame to the picture (X and Y from -1 to 1, depth from 0 to 1), deep enough for all of a box.
    pub fn projection(&self, aspect: f32, bounds: &Bounds) -> Mat4 {
        use glam::camera::rh::proj::directx;
        let view = self.view();
        let depths = bounds.corners().map(|c| view.transform_point3(c).z);
        let (mut back, mut front) =
            depths.iter().fold((f32::INFINITY, f32::NEG_INFINITY), |(b, f), z| (b.min(*z), f.max(*z)));
        if bounds.is_empty() {
            (back, front) = (-self.distance() - self.height, -self.distance() + self.height);
        }
        // Room for lines and marks that stand a little outside.
        let room = 0.02 * (front - back) + 0.02 * self.height + 1.0e-3;
        (back, front) = (back - room, front + room);
        match self.projection {
            Projection::Parallel => {
                let (y, x) = (0.5 * self.height, 0.5 * self.height * aspect);
                directx::orthographic(-x, x, -y, y, -front, -back)
            }
            Projection::Perspective { height_angle } => {
                let far = (-back).max(1.0e-2);
                let near = (-front).max(far * 1.0e-4);
                directx::perspective(height_angle, aspect, near, far)
            }
        }
    }

    /// Where a point of the world is seen: X and Y from -1 (left, foot) to 1 (right, top). `None` behind the eye.
    pub fn place_in_picture(&self, point: Vec3, aspect: f32) -> Option<Vec2> {
        let eye = self.view().transform_point3(point);
        let half = match self.projection {
            Projection::Parallel => 0.5 * self.height,
            Projection::Perspective { height_angle } => -eye.z * (0.5 * height_angle).tan(),
        };
        (half > 0.0).then(|| Vec2::new(eye.x / (half * aspect), eye.y / half))
    }

    /// The ray through a place of the picture (X and Y from -1 to 1), from in front of all that a box holds.
    pub fn ray(&self, place: Vec2, aspect: f32, bounds: &Bounds) -> Ray {
        let back = self.eye_from_world.inverse();
        let across = Vec2::new(0.5 * self.height * aspect, 0.5 * self.height) * place;
        let at_focus = self.focus + back * across.extend(0.0);
        match self.projection {
            Projection::Parallel => {
                let far = if bounds.is_empty() {
                    self.height
                } else {
                    bounds.size().length() + (bounds.center() - self.focus).length()
                };
                Ray { origin: at_focus + self.towards_eye() * far, direction: -self.towards_eye() }
            }
            Projection::Perspective { .. } => {
                let eye = self.focus + self.towards_eye() * self.distance();
                Ray { origin: eye, direction: (at_focus - eye).normalize() }
            }
        }
    }
}
