//! What a window shows round the scene, and what is written over it. Needs egui only: no graphics driver, no window.
//!
//! *Invariant*: panels keep nothing of a job; all that is chosen or shown is the session's.

mod bars;
mod drawn;
mod found;
mod handle;
mod lens;
mod measured;
mod program;
mod room;
mod scene_area;
mod selected;
mod style;
#[cfg(test)]
mod tests;
mod words;

pub use style::dress;

use crate::scene::Scene;
use crate::session::{Command, Session};
use egui::{CentralPanel, Frame, Panel, Rect, Ui};
use glam::Vec3;

/// What the panels remember from frame to frame: where lists stand, not what is in them.
#[derive(Debug, Default)]
pub struct Panels {
    tab: Tab,
    /// Setup, text and line that the program was scrolled to.
    scrolled_to: Option<(usize, u16, Option<u32>)>,
    /// Frames in which it is still to be scrolled.
    scrolls: u8,
    /// The finding that the list was scrolled to.
    finding: Option<usize>,
    /// What an orbit turns about.
    about: Option<Vec3>,
    /// The section plane's handle while it is dragged.
    grip: Option<handle::Grip>,
    /// The cursor is on that handle.
    on_handle: bool,
    keys: bool,
}

/// Lists of the left side.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Tab {
    #[default]
    Findings,
    Tools,
    Drawing,
}

/// What a frame came to.
#[derive(Clone, Copy, Debug)]
pub struct Seen {
    /// Where the scene is to be drawn, points.
    pub scene: Rect,
    /// True while the eye moves.
    pub moving: bool,
    /// Where the lens is to be drawn, points; `None`: it is put away.
    pub lens: Option<Rect>,
}

impl Panels {
    /// Shows everything and does what is asked for by mouse and keys. `scene` is the one that is drawn now.
    pub fn show(&mut self, ui: &mut Ui, session: &mut Session, scene: &Scene) -> Seen {
        keys(ui, session);
        Panel::top("state").show(ui, |ui| bars::state(ui, session));
        Panel::top("views").show(ui, |ui| bars::views(ui, session, &mut self.keys));
        Panel::bottom("time").show(ui, |ui| bars::time(ui, session));
        Panel::left("lists").default_size(330.0).min_size(220.0).show(ui, |ui| {
            Panel::bottom("selected").resizable(true).default_size(380.0).min_size(240.0).show(ui, |ui| {
                selected::show(ui, session);
            });
            CentralPanel::default().show(ui, |ui| self.lists(ui, session));
        });
        Panel::right("program").default_size(330.0).min_size(160.0).show(ui, |ui| self.program(ui, session));
        let seen =
            CentralPanel::default().frame(Frame::NONE).show(ui, |ui| self.scene_area(ui, session, scene));
        if self.keys {
            bars::list_of_keys(ui, &mut self.keys);
        }
        seen.inner
    }

    fn lists(&mut self, ui: &mut Ui, session: &mut Session) {
        ui.horizontal(|ui| {
            let found = format!("Findings ({})", session.findings().len());
            for (tab, name) in
                [(Tab::Findings, found.as_str()), (Tab::Tools, "Tools"), (Tab::Drawing, "Drawing")]
            {
                if ui.selectable_label(self.tab == tab, name).clicked() {
                    self.tab = tab;
                }
            }
        });
        ui.separator();
        match self.tab {
            Tab::Findings => self.findings(ui, session),
            Tab::Tools => found::tools(ui, session),
            Tab::Drawing => found::drawing(ui, session),
        }
    }
}

/// Does what the keys ask for.
fn keys(ui: &Ui, session: &mut Session) {
    let chosen_by_key = ui.ctx().memory(|m| m.focused().is_some());
    for command in Command::ALL {
        if chosen_by_key && command.gives_way() {
            continue;
        }
        let key = command.key();
        let Some(name) = egui::Key::from_name(key.name) else { continue };
        // In a slow frame a key may come several times, and what was held down with it may be let go again.
        let times = ui.input(|i| i.events.iter().filter(|event| is_press(event, name, key)).count());
        for _ in 0..times {
            session.apply(command);
        }
    }
}

/// True when an event is a press of a command's key with what is to be held down with it.
fn is_press(event: &egui::Event, name: egui::Key, key: crate::session::Key) -> bool {
    let egui::Event::Key { key: pressed, pressed: true, modifiers, .. } = event else { return false };
    // The key for plus may need Shift, and stands on the number pad, too.
    let plus = name == egui::Key::Plus;
    let same = *pressed == name || plus && *pressed == egui::Key::Equals;
    same && (modifiers.shift == key.shift || plus) && modifiers.command == key.ctrl && !modifiers.alt
}
