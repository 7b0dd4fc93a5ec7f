//! The scene's room on the screen: places of the world there, and what lies under the cursor.

use super::style::colour;
use crate::camera::{Camera, Ray};
use crate::colour::Theme;
use crate::scene::{Kind, Scene, geometric_normal, pick};
use crate::session::{Pick, Session};
use egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Vec2};
use proofcut_core::geom::Vec3;

/// A picture of the scene on the screen.
#[derive(Clone, Copy)]
pub(super) struct Room {
    pub(super) rect: Rect,
    pub(super) camera: Camera,
}

impl Room {
    /// Width over height.
    pub(super) fn aspect(&self) -> f32 {
        aspect(&self.rect)
    }

    /// A place of the picture: -1 (left, foot) to 1 (right, top).
    pub(super) fn place(&self, at: Pos2) -> glam::Vec2 {
        let half = 0.5 * self.rect.size();
        let off = at - self.rect.center();
        glam::Vec2::new(off.x / half.x, -off.y / half.y)
    }

    /// Where a place of the world is seen; `None` behind the eye.
    pub(super) fn on_screen(&self, at: glam::Vec3) -> Option<Pos2> {
        let at = self.camera.place_in_picture(at, self.aspect())?;
        let half = 0.5 * self.rect.size();
        Some(self.rect.center() + Vec2::new(at.x * half.x, -at.y * half.y))
    }

    /// The ray under a point of the screen.
    pub(super) fn ray(&self, at: Pos2, scene: &Scene) -> Ray {
        self.camera.ray(self.place(at), self.aspect(), &scene.all_bounds())
    }

    /// Millimetres in a point of the screen, at the focus.
    pub(super) fn mm_in_point(&self) -> f32 {
        self.camera.height / self.rect.height().max(1.0)
    }
}

pub(super) fn aspect(rect: &Rect) -> f32 {
    (rect.width() / rect.height()).clamp(0.05, 20.0)
}

/// What lies under the cursor.
#[derive(Clone, Copy, Debug)]
pub(super) enum Under {
    /// The stock's surface, or its inside at the section plane, or what holds it.
    Pick(Pick),
    /// The tool.
    Tool,
    /// Nothing that can be picked.
    Nothing,
}

/// What lies under a point of the screen, and where, world frame.
pub(super) fn under(session: &Session, scene: &Scene, ray: &Ray) -> (Under, Option<glam::Vec3>) {
    let plane = session.looks.section;
    let hit = pick(scene, ray, plane.map(|p| p.equation()));
    let frame = session.proved().and_then(|p| p.checked.job.setups.get(session.at().setup)).map(|s| s.frame);
    let Some(frame) = frame else { return (Under::Nothing, hit.map(|h| h.at)) };
    let exact = |v: glam::Vec3| {
        let [x, y, z] = v.to_array().map(f64::from);
        Vec3::new(x, y, z)
    };
    let nearest = hit.map_or(f32::INFINITY, |h| h.distance);
    // The filled face of the cut is no triangle of the scene.
    if let Some(plane) = plane {
        let (n, at) = (plane.normal(), plane.normal().abs() * plane.at);
        let towards = n.dot(ray.direction);
        let t = n.dot(at - ray.origin) / towards;
        if towards < 0.0 && t > 0.0 && t < nearest {
            let there = ray.origin + ray.direction * t;
            let at_part = frame.part_from_setup(&exact(there));
            if session.is_material(&at_part) {
                return (Under::Pick(Pick::Section(at_part)), Some(there));
            }
        }
    }
    let Some(hit) = hit else { return (Under::Nothing, None) };
    let found = match hit.kind {
        Kind::Stock => Under::Pick(Pick::Stock(frame.part_from_setup(&exact(hit.at)))),
        Kind::Workholding => geometric_normal(scene, &hit)
            .map_or(Under::Nothing, |n| Under::Pick(Pick::Holding(exact(hit.at), exact(n)))),
        Kind::Cutter | Kind::Shank | Kind::Holder => Under::Tool,
        Kind::Path | Kind::Mark => Under::Nothing,
    };
    (found, Some(hit.at))
}

/// Words on a sheet, or on nothing.
pub(super) struct Pen {
    pub(super) painter: Painter,
    pub(super) ink: Color32,
    pub(super) paper: Color32,
    pub(super) accent: Color32,
}

impl Pen {
    pub(super) fn new(painter: Painter, theme: &Theme) -> Self {
        Self { painter, ink: colour(theme.ink), paper: colour(theme.paper), accent: colour(theme.rapid) }
    }

    pub(super) fn write(&self, at: Pos2, anchor: Align2, text: &str, on_paper: bool, size: f32) -> Rect {
        let galley = self.painter.layout_no_wrap(text.to_owned(), FontId::proportional(size), self.ink);
        let place = anchor.anchor_size(at, galley.size());
        if on_paper {
            self.painter.rect_filled(place.expand(4.0), 3.0, self.paper);
        }
        self.painter.galley(place.min, galley, self.ink);
        place
    }

    /// A line that is seen on every ground: dark on light, or light on dark.
    pub(super) fn stroke(&self, from: Pos2, to: Pos2, width: f32) {
        self.painter.line_segment([from, to], (width + 3.0, self.paper));
        self.painter.line_segment([from, to], (width, self.accent));
    }

    pub(super) fn dashes(&self, from: Pos2, to: Pos2) {
        self.painter.line_segment([from, to], (3.0, self.paper));
        let dashes = egui::Shape::dashed_line(&[from, to], (1.3, self.ink), 7.0, 4.0);
        self.painter.extend(dashes);
    }

    pub(super) fn dot(&self, at: Pos2) {
        self.painter.circle_filled(at, 5.5, self.paper);
        self.painter.circle_filled(at, 3.5, self.accent);
    }
}
