//! The loop: events of the system, news of the threads, frames.

use super::NoWindow;
use super::lens::LensView;
use super::probe::no_display;
use super::surface::{Painted, Room, Rooms, Surface};
use crate::panels::{Panels, Seen, dress};
use crate::render::{Section, View};
use crate::scene::{Kind, Look, Scene};
use crate::session::{Looks, Session, Stage, Staged, Wake, Wish};
use std::sync::Arc;
use std::time::{Duration, Instant};
use winit::application::ApplicationHandler;
use winit::dpi::LogicalSize;
use winit::event::WindowEvent;
use winit::event_loop::{ActiveEventLoop, ControlFlow, EventLoopProxy};
use winit::window::{Window, WindowId};

/// What other threads send.
#[derive(Debug)]
pub(super) enum Event {
    /// There is something new to show.
    News,
    /// A screen reader asks.
    Reader(egui_winit::accesskit_winit::Event),
}

impl From<egui_winit::accesskit_winit::Event> for Event {
    fn from(event: egui_winit::accesskit_winit::Event) -> Self {
        Self::Reader(event)
    }
}

/// Time without a movement after which the scene is drawn in full again.
const REST: Duration = Duration::from_millis(180);

/// The window and what it shows.
pub(super) struct Shell {
    session: Session,
    panels: Panels,
    proxy: EventLoopProxy<Event>,
    wake: Wake,
    open: Option<Open>,
    /// Why it could not be opened, or ended.
    pub(super) failed: Option<NoWindow>,
}

/// An open window.
struct Open {
    window: Arc<Window>,
    input: egui_winit::State,
    surface: Surface,
    stage: Stage,
    lens: LensView,
    asked: Option<Wish>,
    staged: Option<Staged>,
    /// The scene as chosen: what is hidden is hidden.
    scene: Scene,
    reduced: Option<Scene>,
    /// How much of workholding and tool is seen in them.
    chosen: Option<(Look, Look)>,
    drawn: Option<Drawn>,
    title: String,
    last: Instant,
    /// When the scene is to be drawn in full again.
    rests_at: Option<Instant>,
    /// When egui wants the next frame.
    next: Option<Instant>,
}

/// What the scene's image was drawn of.
#[derive(Clone, PartialEq)]
struct Drawn {
    view: View,
    looks: Looks,
    moving: bool,
}

impl Shell {
    pub(super) fn new(session: Session, proxy: EventLoopProxy<Event>, wake: Wake) -> Self {
        Self { session, panels: Panels::default(), proxy, wake, open: None, failed: None }
    }

    fn open(&mut self, events: &ActiveEventLoop) -> Result<Open, NoWindow> {
        let wanted = Window::default_attributes()
            .with_title(self.session.title())
            .with_inner_size(LogicalSize::new(1440.0, 900.0))
            .with_min_inner_size(LogicalSize::new(800.0, 500.0))
            // Screen readers want to know of a window before it is seen.
            .with_visible(false);
        let window = Arc::new(events.create_window(wanted).map_err(no_display)?);
        let surface = Surface::new(&window)?;
        let ctx = egui::Context::default();
        dress(&ctx);
        let side = usize::try_from(surface.gpu.largest_picture()).ok();
        let scale = f64_to_f32(window.scale_factor());
        let mut input =
            egui_winit::State::new(ctx, egui::ViewportId::ROOT, &window, Some(scale), window.theme(), side);
        input.init_accesskit(events, &window, self.proxy.clone());
        self.session.looks.dark = window.theme() == Some(winit::window::Theme::Dark);
        window.set_visible(true);
        let stage = Stage::new(Arc::clone(&self.wake), surface.gpu.is_software());
        Ok(Open {
            window,
            input,
            surface,
            stage,
            lens: LensView::new(Arc::clone(&self.wake)),
            asked: None,
            staged: None,
            scene: Scene::default(),
            reduced: None,
            chosen: None,
            drawn: None,
            title: String::new(),
            last: Instant::now(),
            rests_at: None,
            next: None,
        })
    }
}

impl ApplicationHandler<Event> for Shell {
    fn resumed(&mut self, events: &ActiveEventLoop) {
        if self.open.is_some() {
            return;
        }
        match self.open(events) {
            Ok(open) => self.open = Some(open),
            Err(why) => {
                self.failed = Some(why);
                events.exit();
            }
        }
    }

    fn user_event(&mut self, _: &ActiveEventLoop, event: Event) {
        let Some(open) = &mut self.open else { return };
        match event {
            Event::News => {}
            Event::Reader(event) => match event.window_event {
                egui_winit::accesskit_winit::WindowEvent::InitialTreeRequested => {
                    open.input.egui_ctx().enable_accesskit();
                }
                egui_winit::accesskit_winit::WindowEvent::ActionRequested(request) => {
                    open.input.on_accesskit_action_request(request);
                }
                egui_winit::accesskit_winit::WindowEvent::AccessibilityDeactivated => {
                    open.input.egui_ctx().disable_accesskit();
                }
            },
        }
        open.window.request_redraw();
    }

    fn window_event(&mut self, events: &ActiveEventLoop, _: WindowId, event: WindowEvent) {
        let Some(open) = &mut self.open else { return };
        let told = open.input.on_window_event(&open.window, &event);
        if told.repaint {
            open.window.request_redraw();
        }
        if let WindowEvent::Resized(size) = event {
            open.surface.resize(size.width, size.height);
            open.window.request_redraw();
        } else if event == WindowEvent::CloseRequested {
            events.exit();
        } else if event == WindowEvent::RedrawRequested
            && let Err(why) = open.frame(&mut self.session, &mut self.panels)
        {
            self.failed = Some(why);
            events.exit();
        }
    }

    fn about_to_wait(&mut self, events: &ActiveEventLoop) {
        let Some(open) = &mut self.open else { return };
        let now = Instant::now();
        let due = [open.next, open.rests_at].into_iter().flatten().min();
        if self.session.is_running() || due.is_some_and(|due| due <= now) {
            open.next = open.next.filter(|due| *due > now);
            open.window.request_redraw();
            events.set_control_flow(ControlFlow::Wait);
        } else {
            events.set_control_flow(due.map_or(ControlFlow::Wait, ControlFlow::WaitUntil));
        }
    }
}

impl Open {
    fn frame(&mut self, session: &mut Session, panels: &mut Panels) -> Result<(), NoWindow> {
        let now = Instant::now();
        session.poll();
        session.tick(now.duration_since(self.last).as_secs_f64());
        self.last = now;
        let ctx = self.input.egui_ctx().clone();
        ctx.set_theme(if session.looks.dark { egui::Theme::Dark } else { egui::Theme::Light });
        self.take_staged(session);
        self.lens.take(session);
        let raw = self.input.take_egui_input(&self.window);
        let mut seen = None;
        let out = ctx.run_ui(raw, |ui| seen = Some(panels.show(ui, session, &self.scene)));
        let free = self.surface.take_textures(out.textures_delta);
        self.input.handle_platform_output(&self.window, out.platform_output);
        let wait = out.viewport_output.values().map(|v| v.repaint_delay).min();
        self.next = wait.and_then(|w| now.checked_add(w));
        self.choose(session);
        self.ask(session);
        self.lens.ask(session);
        let title = session.title();
        if title != self.title {
            self.window.set_title(&title);
            self.title = title;
        }
        let points = out.pixels_per_point;
        let shapes = ctx.tessellate(out.shapes, points);
        let painted = Painted { free, shapes, points };
        let Some(seen) = seen else { return Ok(()) };
        let scene = self.room(&seen.scene, points);
        self.draw(session, &seen, scene, points)?;
        let lens = seen.lens.map(|rect| self.room(&rect, points));
        let lens = self.lens.draw(&mut self.surface, session, lens, points)?;
        if !self.surface.present(&painted, &Rooms { scene, lens }) {
            self.next = Some(now + REST);
        }
        Ok(())
    }

    /// Takes in the newest scene, and what is chosen to be seen of it.
    fn take_staged(&mut self, session: &mut Session) {
        let mut is_news = false;
        if let Some(staged) = self.stage.newest() {
            is_news = true;
            self.staged = Some(staged);
        }
        if session.proved().is_none() {
            (self.staged, self.scene, self.reduced) = (None, Scene::default(), None);
        }
        session.note_drawn(self.staged.as_ref());
        if is_news {
            self.chosen = None;
        }
        self.choose(session);
    }

    /// Hides what is to be hidden; also after keys and buttons, so that the frame that they ask for shows it.
    fn choose(&mut self, session: &mut Session) {
        let Some(staged) = &self.staged else { return };
        let wanted = (session.looks.workholding, session.looks.tool);
        if self.chosen != Some(wanted) {
            self.chosen = Some(wanted);
            self.scene = chosen(session, &staged.scene);
            self.reduced = staged.reduced.as_ref().map(|scene| chosen(session, scene));
            self.drawn = None;
            session.part = self.scene.bounds_of(Kind::Stock);
        }
    }

    /// Asks for another scene when another moment is to be shown.
    fn ask(&mut self, session: &Session) {
        let wish = session.wish();
        if wish != self.asked {
            if let Some(wish) = &wish {
                self.stage.wish(wish.clone());
            }
            self.asked = wish;
        }
    }

    /// A rectangle in pixels, inside the window.
    fn room(&self, rect: &egui::Rect, points: f32) -> Room {
        let (all_x, all_y) = self.surface.size();
        let (left, top) = (pixels(rect.left() * points).min(all_x), pixels(rect.top() * points).min(all_y));
        let (right, foot) =
            (pixels(rect.right() * points).min(all_x), pixels(rect.bottom() * points).min(all_y));
        (left, top, right.saturating_sub(left), foot.saturating_sub(top))
    }

    /// Draws the scene anew where something about it is another.
    fn draw(&mut self, session: &Session, seen: &Seen, room: Room, points: f32) -> Result<(), NoWindow> {
        let (_, _, width, height) = room;
        if width == 0 || height == 0 {
            return Ok(());
        }
        let now = Instant::now();
        // Also a section plane that is dragged.
        let cut = self.drawn.as_ref().is_some_and(|d| d.looks.section != session.looks.section);
        if seen.moving || session.is_running() || cut {
            self.rests_at = Some(now + REST);
        }
        let moving = self.rests_at.is_some_and(|at| now < at) && self.surface.gpu.is_software();
        if !moving {
            self.rests_at = None;
        }
        let section = section(session);
        let theme = *session.looks.theme();
        let view =
            View { camera: session.looks.camera, size: (width, height), scale: points, theme, section };
        let drawn = Drawn { view, looks: session.looks, moving };
        if self.drawn.as_ref() == Some(&drawn) {
            return Ok(());
        }
        let scene = self.reduced.as_ref().filter(|_| moving).unwrap_or(&self.scene);
        self.surface.draw(scene, &view, moving).map_err(NoWindow::new)?;
        self.drawn = Some(drawn);
        Ok(())
    }
}

/// The plane that cuts.
pub(super) fn section(session: &Session) -> Option<Section> {
    session.looks.section.map(|p| Section { normal: p.normal(), at: p.normal().abs() * p.at })
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a number of pixels; the cast clamps"
)]
fn pixels(x: f32) -> u32 {
    x.round() as u32
}

#[expect(clippy::cast_possible_truncation, reason = "pixels in a point")]
const fn f64_to_f32(x: f64) -> f32 {
    x as f32
}

/// A scene with what is hidden hidden.
fn chosen(session: &Session, scene: &Scene) -> Scene {
    let mut scene = scene.clone();
    session.looks.apply(&mut scene);
    scene
}
