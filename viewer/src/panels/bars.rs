//! The bars: state above, views below it, time at the foot.

use super::style::badge;
use super::words;
use crate::camera::StandardView;
use crate::colour::OKABE_ITO;
use crate::session::{Command, Mode, Session, State, letter, look_word, tint_word};
use egui::{Button, Color32, ProgressBar, RichText, Slider, Ui};
use proofcut_core::proof::Verdict;

/// A button for a command; its key is told when the cursor rests on it.
fn button(ui: &mut Ui, session: &mut Session, command: Command, words: &str, selected: bool) {
    let key = command.key().words();
    let button =
        ui.add(Button::new(words).selected(selected)).on_hover_text(format!("{} ({key})", command.words()));
    if button.clicked() {
        session.apply(command);
    }
}

/// What the state's word stands on.
fn ground(session: &Session) -> Color32 {
    let of = |n: usize| OKABE_ITO.get(n).copied().map_or(Color32::GRAY, super::style::colour);
    let verdict = session.proved().map(|p| p.checked.verdict());
    match (session.state(), verdict) {
        (State::Computing, _) => of(0),
        (State::Stale | State::Stopped, _) | (_, Some(Verdict::Warnings)) => of(1),
        (State::Failed, _) | (_, Some(Verdict::Unproven) | None) => of(6),
        (_, Some(Verdict::Faults)) => of(5),
        (_, Some(Verdict::NoFaults)) => of(2),
    }
}

/// State, and what to do.
pub(super) fn state(ui: &mut Ui, session: &mut Session) {
    ui.horizontal_wrapped(|ui| {
        ui.label(badge(session.state().word(), ground(session)).size(17.0));
        if let Some((_, done)) = session.progress() {
            #[expect(clippy::cast_possible_truncation, reason = "a part of a bar")]
            ui.add(ProgressBar::new(done as f32).desired_width(140.0));
        }
        ui.label(RichText::new(session.state_line()).strong().size(17.0));
        button(ui, session, Command::CheckAgain, "Check again (F5)", false);
        if session.progress().is_some() {
            button(ui, session, Command::StopOrClear, "Stop (Esc)", false);
        }
    });
}

/// How the scene is looked at.
pub(super) fn views(ui: &mut Ui, session: &mut Session, keys: &mut bool) {
    ui.horizontal_wrapped(|ui| {
        for view in StandardView::ALL.into_iter().take(6) {
            button(ui, session, Command::Stand(view), view.word(), false);
        }
        button(ui, session, Command::Fit, "Fit", false);
        ui.separator();
        let held = format!("Workholding: {}", look_word(session.looks.workholding));
        button(ui, session, Command::Workholding, &held, false);
        let tool = format!("Tool: {}", look_word(session.looks.tool));
        button(ui, session, Command::Tool, &tool, false);
        let tint = format!("Colours: {}", tint_word(session.looks.tint));
        button(ui, session, Command::Tint, &tint, false);
        let (path, clearance) = (session.looks.path, session.looks.clearance);
        button(ui, session, Command::Path, "Path", path);
        button(ui, session, Command::Clearance, "Clearance", clearance);
        ui.separator();
        section(ui, session);
        ui.separator();
        measure(ui, session);
        ui.separator();
        button(ui, session, Command::Dark, if session.looks.dark { "Light" } else { "Dark" }, false);
        if ui.selectable_label(*keys, "Keys").clicked() {
            *keys = !*keys;
        }
    });
}

/// What clicks do.
fn measure(ui: &mut Ui, session: &mut Session) {
    let mode = session.measuring().mode();
    button(ui, session, Command::Measure, "Measure", mode == Mode::Measure);
    let (caliper, along) = match mode {
        Mode::Caliper(axis) => (format!("Caliper: {}", letter(axis)), true),
        Mode::Select | Mode::Measure | Mode::Lens => ("Caliper: none".to_owned(), false),
    };
    button(ui, session, Command::Caliper, &caliper, along);
    button(ui, session, Command::Lens, "Lens", mode == Mode::Lens || session.lens().is_some());
}

fn section(ui: &mut Ui, session: &mut Session) {
    let name = session
        .looks
        .section
        .map_or_else(|| "Section: none".to_owned(), |p| format!("Section: {}", p.letter()));
    button(ui, session, Command::Section, &name, session.looks.section.is_some());
    let unit = session.proved().map(|p| p.checked.job.unit);
    let (Some(mut plane), Some(unit)) = (session.looks.section, unit) else { return };
    let part = session.part.grown(1.0);
    let end = |v: glam::Vec3| unit.from_mm(f64::from(v.to_array().get(plane.axis).copied().unwrap_or(0.0)));
    let range = if part.is_empty() { -1.0..=1.0 } else { end(part.min)..=end(part.max) };
    let mut at = unit.from_mm(f64::from(plane.at));
    // A slider that is told the number of decimals rounds the place itself.
    let slider = Slider::new(&mut at, range)
        .custom_formatter(move |at, _| format!("{at:.0$}", unit.decimals()))
        .suffix(format!(" {}", unit.sign()));
    let slider = ui.add(slider).on_hover_text("Place of the section, from the setup's zero");
    if slider.changed() {
        #[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
        let at = unit.to_mm(at) as f32;
        plane.at = at;
        session.looks.section = Some(plane);
    }
    button(ui, session, Command::Flip, "Other side", false);
}

/// Setups, time, steps.
pub(super) fn time(ui: &mut Ui, session: &mut Session) {
    let Some(proved) = session.proved().cloned() else {
        ui.label("Nothing to show yet.");
        return;
    };
    let at = session.at();
    ui.horizontal_wrapped(|ui| {
        for (n, setup) in proved.checked.job.setups.iter().enumerate() {
            let was_run = n < proved.checked.proof.setups.len();
            let button =
                ui.add_enabled(was_run, Button::new(format!("Setup {}", setup.name)).selected(n == at.setup));
            let button = button.on_disabled_hover_text("Not run: a program before it could not be followed");
            if button.clicked() {
                session.go(n, usize::MAX);
            }
        }
        ui.separator();
        let tool =
            session.stay().and_then(|s| crate::session::stays(&proved, at.setup).get(s)).and_then(|s| s.tool);
        let moment = session.moment_words().unwrap_or_default();
        ui.label(RichText::new(format!("{moment}; {}", words::tool(&proved.checked.job, tool))).strong());
    });
    ui.horizontal(|ui| {
        button(ui, session, Command::ToStart, "Start", false);
        button(ui, session, Command::PreviousTool, "Tool before", false);
        button(ui, session, Command::PreviousBlock, "Block before", false);
        let running = session.is_running();
        button(ui, session, Command::Play, if running { "Hold" } else { "Run" }, running);
        button(ui, session, Command::NextBlock, "Next block", false);
        button(ui, session, Command::NextTool, "Next tool", false);
        button(ui, session, Command::ToEnd, "End", false);
        ui.separator();
        button(ui, session, Command::Slower, "Slower", false);
        ui.label(format!("{} x", session.speed()));
        button(ui, session, Command::Faster, "Faster", false);
        ui.separator();
        let (now, total) = session.time();
        ui.label(RichText::new(format!("{} of {}", words::time(now), words::time(total))).monospace());
        let mut wanted = now;
        ui.spacing_mut().slider_width = (ui.available_width() - 12.0).max(80.0);
        let slider =
            ui.add(Slider::new(&mut wanted, 0.0..=total.max(0.001)).show_value(false).trailing_fill(true));
        slider.widget_info(|| egui::WidgetInfo::slider(true, now, "Time"));
        if slider.changed() {
            session.go_to_time(wanted);
        }
    });
}

/// All keys.
pub(super) fn list_of_keys(ui: &Ui, open: &mut bool) {
    egui::Window::new("Keys").open(open).resizable(false).show(ui, |ui| {
        egui::Grid::new("keys").num_columns(4).spacing([18.0, 3.0]).show(ui, |ui| {
            for (n, command) in Command::ALL.into_iter().enumerate() {
                ui.monospace(command.key().words());
                ui.label(command.words());
                if n % 2 == 1 {
                    ui.end_row();
                }
            }
        });
        ui.separator();
        ui.label("Scene: drag turns about what is under the cursor; right or middle button slides; wheel zooms to the cursor; a click tells who cut a place, or picks what is measured. A section plane has an arrow to drag it by.");
    });
}
