//! The handle by which a section plane is dragged along its normal.

use super::room::{Pen, Room};
use crate::session::{DrawnOf, Session};
use egui::{Align2, CursorIcon, Pos2, Vec2};

/// Half the length of the handle's arrow, points.
const REACH: f32 = 44.0;
/// How near the cursor must come, points.
const NEAR: f32 = 11.0;
/// Points within which a face draws the plane to it.
const GENTLE: f32 = 6.0;
/// A normal that is foreshortened to less than this part of its length is dragged up and down instead.
const SHORT: f32 = 0.12;

/// Where the handle is on the screen.
#[derive(Clone, Copy, Debug)]
pub(super) struct Handle {
    base: Pos2,
    /// Unit direction of the screen in which the plane's axis grows.
    way: Vec2,
    /// Points of the screen for a millimetre along the axis.
    points_per_mm: f32,
}

/// A handle that is held.
#[derive(Clone, Debug)]
pub(super) struct Grip {
    handle: Handle,
    from: Pos2,
    /// Where the plane was, setup frame, millimetres.
    at: f64,
    /// Faces at which it stops.
    faces: Vec<f64>,
}

impl Handle {
    /// The handle of the section plane that is shown; `None` without one.
    pub(super) fn of(session: &Session, room: &Room) -> Option<Self> {
        let plane = session.looks.section.filter(|_| session.drawn_of == DrawnOf::ThisSetup)?;
        let axis = plane.normal().abs();
        let middle = if session.part.is_empty() { room.camera.focus } else { session.part.center() };
        let at = middle * (glam::Vec3::ONE - axis) + axis * plane.at;
        let mm = room.mm_in_point();
        let base = room.on_screen(at)?;
        let along = room.on_screen(at + axis * (REACH * mm))? - base;
        let seen = along.length() / REACH;
        let (way, points_per_mm) =
            if seen < SHORT { (Vec2::new(0.0, -1.0), 1.0 / mm) } else { (along.normalized(), seen / mm) };
        Some(Self { base, way, points_per_mm })
    }

    /// True when the cursor is on it.
    pub(super) fn is_under(&self, at: Pos2) -> bool {
        let off = at - self.base;
        let along = off.dot(self.way).clamp(-REACH, REACH);
        (off - along * self.way).length() <= NEAR
    }

    /// The cursor that says in which direction it can be dragged.
    pub(super) fn cursor(&self) -> CursorIcon {
        match (self.way.x.abs() > 0.9, self.way.y.abs() > 0.9, self.way.x * self.way.y > 0.0) {
            (true, ..) => CursorIcon::ResizeHorizontal,
            (_, true, _) => CursorIcon::ResizeVertical,
            (.., true) => CursorIcon::ResizeNwSe,
            (.., false) => CursorIcon::ResizeNeSw,
        }
    }

    /// Takes hold of it.
    pub(super) fn grip(self, session: &Session, from: Pos2) -> Option<Grip> {
        let plane = session.looks.section?;
        let faces = session.faces_along(plane.across());
        Some(Grip { handle: self, from, at: f64::from(plane.at), faces })
    }

    /// Draws it with the plane's place beside it.
    pub(super) fn draw(&self, pen: &Pen, session: &Session, is_hot: bool) {
        let Some(plane) = session.looks.section else { return };
        let Some(unit) = session.proved().map(|p| p.checked.job.unit) else { return };
        let width = if is_hot { 5.0 } else { 3.0 };
        for sense in [-1.0, 1.0] {
            let tip = self.base + sense * REACH * self.way;
            pen.stroke(self.base, tip, width);
            for side in [-1.0, 1.0] {
                let back = tip - sense * 12.0 * self.way + side * 7.0 * self.way.rot90();
                pen.stroke(tip, back, width);
            }
        }
        pen.dot(self.base);
        let words = format!("{} {}", plane.letter(), unit.write(f64::from(plane.at)));
        let beside = self.base + 16.0 * side(self.way);
        pen.write(beside, Align2::LEFT_CENTER, &words, true, 16.0);
    }
}

/// The side of a direction that lies to the right.
fn side(way: Vec2) -> Vec2 {
    let side = way.rot90();
    if side.x < 0.0 { -side } else { side }
}

impl Grip {
    /// Moves the plane with the cursor.
    pub(super) fn drag(&self, session: &mut Session, to: Pos2) {
        let scale = f64::from(self.handle.points_per_mm.max(1.0e-6));
        let by = f64::from((to - self.from).dot(self.handle.way)) / scale;
        session.move_section(self.at + by, &self.faces, f64::from(GENTLE) / scale);
    }
}
