//! The inset in which the lens is seen.

use super::room::Pen;
use crate::session::{LensSaid, Session};
use egui::{Align2, Rect, Sense, StrokeKind, Ui, Vec2};

/// Side of the inset, as a part of the scene's shorter side, and its limits, points.
const PART: f32 = 0.42;
const LIMITS: (f32, f32) = (140.0, 420.0);
/// Distance from the scene's border, and room for the words below, points.
const BORDER: f32 = 12.0;
const WORDS: f32 = 26.0;
/// Radians that a drag over the inset turns.
const TURN: f32 = 2.0;

/// Where the inset is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Inset {
    pub(super) rect: Rect,
    pub(super) moving: bool,
}

/// The inset at the lower right of the scene; a drag turns the eye about the spot, the wheel makes the cube larger or smaller.
/// `None` while the lens is put away.
pub(super) fn mouse(ui: &Ui, scene: &Rect, session: &mut Session) -> Option<Inset> {
    let spot = session.lens()?;
    let side = (PART * scene.width().min(scene.height())).clamp(LIMITS.0, LIMITS.1);
    let right_foot = scene.right_bottom() - Vec2::new(BORDER, BORDER + WORDS);
    let rect = Rect::from_min_max(right_foot - Vec2::splat(side), right_foot);
    let area = ui.interact(rect, ui.scope_id().with("lens"), Sense::click_and_drag());
    area.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Lens"));
    let frame = session.proved().and_then(|p| p.checked.job.setups.get(session.at().setup)).map(|s| s.frame);
    let drag = TURN * area.drag_delta() / side;
    if let Some(frame) = frame.filter(|_| area.dragged()) {
        let about = crate::scene::small(&frame.setup_from_part(&spot.at_part));
        session.looks.camera.orbit(about, drag.x, drag.y);
    }
    let wheel = if area.hovered() { ui.input(|i| i.smooth_scroll_delta().y) } else { 0.0 };
    let turned: f32 = ui.data(|d| d.get_temp(area.id)).unwrap_or(0.0) + wheel;
    // One step for what most wheels turn at a time.
    let (step, rest) = if turned.abs() >= 30.0 { (turned, 0.0) } else { (0.0, turned) };
    ui.data_mut(|d| d.insert_temp(area.id, rest));
    if step != 0.0 {
        session.resize_lens(step < 0.0);
    }
    Some(Inset { rect, moving: area.dragged() && drag != Vec2::ZERO })
}

/// The frame of the inset and what is said of it.
pub(super) fn frame(pen: &Pen, rect: &Rect, session: &Session) {
    pen.painter.rect_stroke(*rect, 3.0, (4.0, pen.paper), StrokeKind::Outside);
    pen.painter.rect_stroke(*rect, 3.0, (2.0, pen.accent), StrokeKind::Outside);
    let (Some(spot), Some(unit)) = (session.lens(), session.proved().map(|p| p.checked.job.unit)) else {
        return;
    };
    let words = format!("Lens: {}", crate::scene::lens_words(spot.size, unit));
    pen.write(rect.right_bottom() + Vec2::new(0.0, 8.0), Align2::RIGHT_TOP, &words, true, 14.0);
    let said = match &session.lens_said {
        LensSaid::Shown => return,
        LensSaid::Waiting => "cutting",
        LensSaid::Failed(why) => why.as_str(),
    };
    pen.write(rect.center(), Align2::CENTER_CENTER, said, true, 15.0);
}
