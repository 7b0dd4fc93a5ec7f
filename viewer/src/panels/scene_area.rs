//! The scene's own room: what mouse and wheel do there, and what is written over it.

use super::style::colour;
use super::{Panels, Seen};
use crate::camera::Ray;
use crate::scene::{Kind, Legend, Pattern, Scene, Swatch, pick};
use crate::session::{DrawnOf, Looks, Picked, Selection, Session, State, maker_at};
use egui::{Align2, Color32, FontId, PointerButton, Pos2, Rect, Response, Sense, Ui, Vec2};
use proofcut_core::geom::Vec3;
use proofcut_core::solid::NominalPart;

/// Radians that a drag over the height of the scene turns.
const TURN: f32 = 3.5;
/// Points of the wheel that make things e times as large.
const WHEEL: f32 = 240.0;
/// How far from the drawing a clicked place is looked for, mm: fine to a micrometre, and as far as 2 mm.
const NEAR: (f64, f64) = (1.0e-3, 2.0);

/// A place of the scene: -1 (left, foot) to 1 (right, top).
fn place(rect: &Rect, at: Pos2) -> glam::Vec2 {
    let half = 0.5 * rect.size();
    let off = at - rect.center();
    glam::Vec2::new(off.x / half.x, -off.y / half.y)
}

fn aspect(rect: &Rect) -> f32 {
    (rect.width() / rect.height()).clamp(0.05, 20.0)
}

impl Panels {
    pub(super) fn scene_area(&mut self, ui: &mut Ui, session: &mut Session, scene: &Scene) -> Seen {
        let rect = ui.available_rect_before_wrap();
        let area = ui.interact(rect, ui.scope_id().with("scene"), Sense::click_and_drag());
        area.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Scene"));
        let seen = Seen { scene: rect, moving: self.mouse(ui, &area, session, scene) };
        if session.wants_fit && !scene.items.is_empty() && session.drawn_of == DrawnOf::ThisSetup {
            session.wants_fit = false;
            session.looks.camera.fit(&Looks::fitted(scene), aspect(&rect));
        }
        over(ui, &rect, session, scene);
        seen
    }

    /// Turns, slides, zooms, picks; true while the eye moves.
    fn mouse(&mut self, ui: &Ui, area: &Response, session: &mut Session, scene: &Scene) -> bool {
        let rect = area.rect;
        let ray = |at: Pos2, session: &Session| {
            session.looks.camera.ray(place(&rect, at), aspect(&rect), &scene.all_bounds())
        };
        let plane = session.looks.section.map(|p| p.equation());
        let slides = area.dragged_by(PointerButton::Secondary)
            || area.dragged_by(PointerButton::Middle)
            || area.dragged() && ui.input(|i| i.modifiers.shift);
        let drag = area.drag_delta() / rect.height().max(1.0);
        let mut moving = area.dragged() && drag != Vec2::ZERO;
        if area.drag_started() {
            let at = ui.input(|i| i.pointer.press_origin());
            let hit = at.and_then(|at| pick(scene, &ray(at, session), plane));
            let middle =
                if session.part.is_empty() { session.looks.camera.focus } else { session.part.center() };
            self.about = Some(hit.map_or(middle, |h| h.at));
        }
        if slides {
            session.looks.camera.slide(glam::Vec2::new(drag.x, -drag.y));
        } else if area.dragged() {
            let about = self.about.unwrap_or(session.looks.camera.focus);
            session.looks.camera.orbit(about, TURN * drag.x, TURN * drag.y);
        }
        if let Some(at) = area.hover_pos() {
            let wheel = ui.input(|i| i.smooth_scroll_delta().y);
            let pinch = ui.input(egui::InputState::zoom_delta);
            if wheel != 0.0 || (pinch - 1.0).abs() > f32::EPSILON {
                let factor = (wheel / WHEEL).exp() * pinch;
                session.looks.camera.zoom_at(place(&rect, at), factor, aspect(&rect));
                moving = true;
            }
        }
        if area.clicked()
            && session.drawn_of == DrawnOf::ThisSetup
            && let Some(at) = area.interact_pointer_pos()
        {
            click(session, scene, &ray(at, session), plane);
        }
        moving
    }
}

/// Selects what was clicked on.
fn click(session: &mut Session, scene: &Scene, ray: &Ray, plane: Option<glam::Vec4>) {
    let Some(hit) = pick(scene, ray, plane) else {
        session.select(None);
        return;
    };
    let setup = session.at().setup;
    match hit.kind {
        Kind::Stock => {
            let Some(proved) = session.proved().cloned() else { return };
            let Some(of) = proved.checked.job.setups.get(setup) else { return };
            let [x, y, z] = hit.at.to_array().map(f64::from);
            let at_part = of.frame.part_from_setup(&Vec3::new(x, y, z));
            let before = proved.cut.as_ref().map(|c| c.history.first_cut(setup, session.at().made));
            let nominal =
                proved.checked.job.drawing.as_ref().map(NominalPart::from_drawing).filter(|p| !p.is_empty());
            let picked = Picked {
                at_part,
                by: before.and_then(|b| maker_at(&proved, &at_part, b)),
                off: nominal.map(|n| n.signed_distance(&at_part, NEAR.0, NEAR.1)),
            };
            session.select(Some(Selection::Surface(picked)));
        }
        Kind::Cutter | Kind::Shank | Kind::Holder => {
            let stay = session.stay();
            session.select(stay.map(|stay| Selection::Stay { setup, stay }));
        }
        Kind::Workholding | Kind::Path | Kind::Mark => session.select(None),
    }
}

/// What is written over the scene.
fn over(ui: &Ui, rect: &Rect, session: &Session, scene: &Scene) {
    let painter = ui.painter().with_clip_rect(*rect);
    let theme = session.looks.theme();
    let (ink, paper) = (colour(theme.ink), colour(theme.paper));
    let font = FontId::proportional(15.0);
    let on_screen = |at: glam::Vec3| {
        let at = session.looks.camera.place_in_picture(at, aspect(rect))?;
        Some(rect.center() + 0.5 * Vec2::new(at.x * rect.width(), -at.y * rect.height()))
    };
    let write = |at: Pos2, anchor: Align2, text: &str, on_paper: bool, size: f32, ink: Color32| {
        let galley = painter.layout_no_wrap(text.to_owned(), FontId { size, ..font.clone() }, ink);
        let place = anchor.anchor_size(at, galley.size());
        if on_paper {
            painter.rect_filled(place.expand(4.0), 3.0, paper);
        }
        painter.galley(place.min, galley, ink);
    };
    for label in &scene.labels {
        if let Some(at) = on_screen(label.at) {
            write(at, Align2::CENTER_CENTER, &label.text, label.on_paper, 15.0, ink);
        }
    }
    let mut top = rect.min + Vec2::new(12.0, 12.0);
    for legend in &scene.legends {
        top.y = legend_at(&painter, top, legend, ink, paper) + 10.0;
    }
    let frame = session.proved().and_then(|p| p.checked.job.setups.get(session.at().setup)).map(|s| &s.frame);
    if let (Some(frame), Some(at)) = (frame, &session.belongs().at_part)
        && session.drawn_of == DrawnOf::ThisSetup
        && let Some(at) = on_screen(crate::scene::small(&frame.setup_from_part(at)))
    {
        // Dark on light on dark: seen on every ground.
        painter.circle_stroke(at, 11.0, (5.0, paper));
        painter.circle_stroke(at, 11.0, (2.5, colour(theme.rapid)));
    }
    let middle = rect.center_top() + Vec2::new(0.0, 14.0);
    if scene.items.is_empty() {
        let current = session.state().is_current();
        let words = match session.proved() {
            Some(proved) if current && proved.cut.is_none() => {
                "NOT PROVED: the stock cannot be modelled".to_owned()
            }
            Some(_) if current => "making the picture".to_owned(),
            _ => session.state_line(),
        };
        write(rect.center(), Align2::CENTER_CENTER, &words, true, 19.0, ink);
    } else if !session.state().is_current() {
        let words = format!("{}: what is shown is from before", session.state().word());
        write(middle, Align2::CENTER_TOP, &words, true, 19.0, ink);
    } else if session.drawn_of == DrawnOf::Before {
        write(
            middle,
            Align2::CENTER_TOP,
            "making the picture; what is shown is from before",
            true,
            19.0,
            ink,
        );
    } else if session.proved().is_some_and(|p| !p.checked.proof.unproven.is_empty()) {
        write(middle, Align2::CENTER_TOP, "NOT PROVED: see the findings", true, 19.0, ink);
    } else if session.state() == State::NoDrawing {
        write(middle, Align2::CENTER_TOP, "no drawing", true, 15.0, ink);
    }
}

/// Draws a legend and gives where it ends.
fn legend_at(painter: &egui::Painter, top: Pos2, legend: &Legend, ink: Color32, paper: Color32) -> f32 {
    let font = FontId::proportional(14.0);
    let row = 20.0;
    let texts = std::iter::once(&legend.title).chain(legend.entries.iter().map(|e| &e.text));
    let lines: Vec<_> = texts.map(|t| painter.layout_no_wrap(t.clone(), font.clone(), ink)).collect();
    let width = lines.iter().map(|l| l.size().x).fold(0.0, f32::max) + 38.0;
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    let height = lines.len() as f32 * row;
    painter.rect_filled(Rect::from_min_size(top, Vec2::new(width, height)).expand(5.0), 4.0, paper);
    let mut y = top.y;
    let swatches = std::iter::once(None).chain(legend.entries.iter().map(|e| Some(e.swatch)));
    for (line, swatch) in lines.into_iter().zip(swatches) {
        let mut x = top.x;
        let middle = y + 0.5 * row;
        match swatch {
            Some(Swatch::Patch(c)) => {
                painter.rect_filled(
                    Rect::from_min_size(Pos2::new(x, y + 3.0), Vec2::new(22.0, 14.0)),
                    2.0,
                    colour(c),
                );
            }
            Some(Swatch::Line(c, pattern)) => {
                let offsets: &[f32] = if pattern == Pattern::Double { &[-1.6, 1.6] } else { &[0.0] };
                let pieces: &[(f32, f32)] =
                    if pattern == Pattern::Dashed { &[(0.0, 9.0), (13.0, 22.0)] } else { &[(0.0, 22.0)] };
                for offset in offsets {
                    for (from, to) in pieces {
                        let ends = [Pos2::new(x + from, middle + offset), Pos2::new(x + to, middle + offset)];
                        painter.line_segment(ends, (1.6, colour(c)));
                    }
                }
            }
            None | Some(Swatch::None) => {}
        }
        if swatch.is_some() {
            x += 30.0;
        }
        painter.galley(Pos2::new(x, y + 1.0), line, ink);
        y += row;
    }
    y
}
