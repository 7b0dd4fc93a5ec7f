//! The scene's own room: what mouse and wheel do there, and what is written over it.

use super::handle::Handle;
use super::room::{Pen, Room, Under, aspect, under};
use super::style::colour;
use super::{Panels, Seen, drawn, measured};
use crate::scene::{Legend, Pattern, Scene, Swatch};
use crate::session::{DrawnOf, Looks, Mode, Pick, Picked, Selection, Session, State, maker_at};
use egui::{Align2, Color32, CursorIcon, FontId, PointerButton, Pos2, Rect, Response, Sense, Ui, Vec2};
use proofcut_core::geom::Vec3;
use proofcut_core::solid::NominalPart;

/// Radians that a drag over the height of the scene turns.
const TURN: f32 = 3.5;
/// Points of the wheel that make things e times as large.
const WHEEL: f32 = 240.0;
/// How far from the drawing a clicked place is looked for, mm: fine to a micrometre, and as far as 2 mm.
const NEAR: (f64, f64) = (1.0e-3, 2.0);
/// How near to a program zero a click must come to pick it, points.
const ON_ZERO: f32 = 10.0;

impl Panels {
    pub(super) fn scene_area(&mut self, ui: &mut Ui, session: &mut Session, scene: &Scene) -> Seen {
        let rect = ui.available_rect_before_wrap();
        let area = ui.interact(rect, ui.scope_id().with("scene"), Sense::click_and_drag());
        area.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "Scene"));
        let lens = super::lens::mouse(ui, &rect, session);
        let moving = self.mouse(ui, &area, session, scene) || lens.is_some_and(|l| l.moving);
        let seen = Seen { scene: rect, moving, lens: lens.map(|l| l.rect) };
        if session.wants_fit && !scene.items.is_empty() && session.drawn_of == DrawnOf::ThisSetup {
            session.wants_fit = false;
            session.looks.camera.fit(&Looks::fitted(scene), aspect(&rect));
        }
        let room = Room { rect, camera: session.looks.camera };
        let pen = Pen::new(ui.painter().with_clip_rect(rect), session.looks.theme());
        over(&pen, &room, session, scene);
        drawn::measured(&pen, &room, session);
        if let Some(handle) = Handle::of(session, &room) {
            handle.draw(&pen, session, self.grip.is_some() || self.on_handle);
        }
        if let Some(words) = measured::next_click(session) {
            pen.write(rect.left_bottom() + Vec2::new(14.0, -12.0), Align2::LEFT_BOTTOM, &words, true, 16.0);
        }
        if let Some(lens) = lens {
            super::lens::frame(&pen, &lens.rect, session);
        }
        seen
    }

    /// Turns, slides, zooms, drags the section plane, picks; true while the eye or the plane moves.
    fn mouse(&mut self, ui: &Ui, area: &Response, session: &mut Session, scene: &Scene) -> bool {
        let rect = area.rect;
        let room = Room { rect, camera: session.looks.camera };
        let slides = area.dragged_by(PointerButton::Secondary)
            || area.dragged_by(PointerButton::Middle)
            || area.dragged() && ui.input(|i| i.modifiers.shift);
        let drag = area.drag_delta() / rect.height().max(1.0);
        let mut moving = area.dragged() && drag != Vec2::ZERO;
        let handle = Handle::of(session, &room);
        self.on_handle = area.hover_pos().zip(handle).is_some_and(|(at, h)| h.is_under(at));
        if area.drag_started() {
            self.begin_drag(ui, area, session, scene, handle.filter(|_| !slides));
        }
        if let Some(grip) = self.grip.as_ref().filter(|_| area.dragged()) {
            if let Some(at) = area.interact_pointer_pos() {
                grip.drag(session, at);
            }
        } else if slides {
            session.looks.camera.slide(glam::Vec2::new(drag.x, -drag.y));
        } else if area.dragged() {
            let about = self.about.unwrap_or(session.looks.camera.focus);
            session.looks.camera.orbit(about, TURN * drag.x, TURN * drag.y);
        }
        if area.drag_stopped() {
            self.grip = None;
        }
        if let Some(at) = area.hover_pos() {
            let wheel = ui.input(|i| i.smooth_scroll_delta().y);
            let pinch = ui.input(egui::InputState::zoom_delta);
            if wheel != 0.0 || (pinch - 1.0).abs() > f32::EPSILON {
                let factor = (wheel / WHEEL).exp() * pinch;
                session.looks.camera.zoom_at(room.place(at), factor, room.aspect());
                moving = true;
            }
        }
        self.cursor(ui, area, session, handle);
        if area.clicked()
            && session.drawn_of == DrawnOf::ThisSetup
            && let Some(at) = area.interact_pointer_pos()
        {
            click(session, scene, &room, at);
        }
        moving
    }

    fn begin_drag(
        &mut self,
        ui: &Ui,
        area: &Response,
        session: &Session,
        scene: &Scene,
        handle: Option<Handle>,
    ) {
        let room = Room { rect: area.rect, camera: session.looks.camera };
        let Some(at) = ui.input(|i| i.pointer.press_origin()) else { return };
        self.grip = handle.filter(|h| h.is_under(at)).and_then(|h| h.grip(session, at));
        if self.grip.is_none() {
            let (_, met) = under(session, scene, &room.ray(at, scene));
            let middle = if session.part.is_empty() { room.camera.focus } else { session.part.center() };
            self.about = Some(met.unwrap_or(middle));
        }
    }

    fn cursor(&self, ui: &Ui, area: &Response, session: &Session, handle: Option<Handle>) {
        let held = self.grip.is_some() && area.dragged();
        if let Some(handle) = handle.filter(|_| held || self.on_handle) {
            ui.ctx().set_cursor_icon(handle.cursor());
        } else if area.hovered() && session.measuring().mode() != Mode::Select {
            ui.ctx().set_cursor_icon(CursorIcon::Crosshair);
        }
    }
}

/// Selects, or picks for measuring, what was clicked on.
fn click(session: &mut Session, scene: &Scene, room: &Room, at: Pos2) {
    let (found, _) = under(session, scene, &room.ray(at, scene));
    if session.measuring().mode() != Mode::Select {
        let zero = zero_under(session, room, at).filter(|_| session.measuring().mode() == Mode::Measure);
        match (zero, found) {
            (Some(zero), _) => session.pick(zero),
            (None, Under::Pick(pick)) => session.pick(pick),
            (None, Under::Tool | Under::Nothing) => false,
        };
        return;
    }
    match found {
        Under::Pick(Pick::Stock(at_part)) => select_surface(session, at_part),
        Under::Tool => {
            let (setup, stay) = (session.at().setup, session.stay());
            session.select(stay.map(|stay| Selection::Stay { setup, stay }));
        }
        Under::Pick(_) | Under::Nothing => session.select(None),
    }
}

/// The program zero that is seen under the cursor.
fn zero_under(session: &Session, room: &Room, at: Pos2) -> Option<Pick> {
    let setup = session.proved()?.checked.job.setups.get(session.at().setup)?;
    let near = |(_, zero): &Vec3Zero| {
        let seen = room.on_screen(crate::scene::small(&setup.frame.setup_from_part(zero)));
        seen.is_some_and(|seen| seen.distance(at) <= ON_ZERO)
    };
    setup.zeros.iter().position(near).map(Pick::Zero)
}

type Vec3Zero = (proofcut_core::job::WorkOffset, Vec3);

fn select_surface(session: &mut Session, at_part: Vec3) {
    let Some(proved) = session.proved().cloned() else { return };
    let at = session.at();
    let before = proved.cut.as_ref().map(|c| c.history.first_cut(at.setup, at.made));
    let nominal =
        proved.checked.job.drawing.as_ref().map(NominalPart::from_drawing).filter(|p| !p.is_empty());
    let picked = Picked {
        at_part,
        by: before.and_then(|b| maker_at(&proved, &at_part, b)),
        off: nominal.map(|n| n.signed_distance(&at_part, NEAR.0, NEAR.1)),
    };
    session.select(Some(Selection::Surface(picked)));
}

/// What is written over the scene.
fn over(pen: &Pen, room: &Room, session: &Session, scene: &Scene) {
    let rect = room.rect;
    for label in &scene.labels {
        if let Some(at) = room.on_screen(label.at) {
            pen.write(at, Align2::CENTER_CENTER, &label.text, label.on_paper, 15.0);
        }
    }
    let mut top = rect.min + Vec2::new(12.0, 12.0);
    for legend in &scene.legends {
        top.y = legend_at(&pen.painter, top, legend, pen.ink, pen.paper) + 10.0;
    }
    let frame = session.proved().and_then(|p| p.checked.job.setups.get(session.at().setup)).map(|s| &s.frame);
    if let (Some(frame), Some(at)) = (frame, &session.belongs().at_part)
        && session.drawn_of == DrawnOf::ThisSetup
        && let Some(at) = room.on_screen(crate::scene::small(&frame.setup_from_part(at)))
    {
        // Dark on light on dark: seen on every ground.
        pen.painter.circle_stroke(at, 11.0, (5.0, pen.paper));
        pen.painter.circle_stroke(at, 11.0, (2.5, pen.accent));
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
        pen.write(rect.center(), Align2::CENTER_CENTER, &words, true, 19.0);
    } else if !session.state().is_current() {
        let words = format!("{}: what is shown is from before", session.state().word());
        pen.write(middle, Align2::CENTER_TOP, &words, true, 19.0);
    } else if session.drawn_of == DrawnOf::Before {
        let words = "making the picture; what is shown is from before";
        pen.write(middle, Align2::CENTER_TOP, words, true, 19.0);
    } else if session.proved().is_some_and(|p| !p.checked.proof.unproven.is_empty()) {
        pen.write(middle, Align2::CENTER_TOP, "NOT PROVED: see the findings", true, 19.0);
    } else if session.state() == State::NoDrawing {
        pen.write(middle, Align2::CENTER_TOP, "no drawing", true, 15.0);
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
