//! The lists: findings, tools, drawing.

use super::style::{badge, severity_colour};
use super::{Panels, words};
use crate::session::{Mode, Pick, Selection, Session, State, stays};
use egui::{Align, Button, RichText, ScrollArea, Ui};

/// Most findings that are listed at a time: those about the selected one.
const MOST_SHOWN: usize = 200;

/// A line of a list that can be selected.
fn entry(ui: &mut Ui, selected: bool, text: String) -> egui::Response {
    let width = ui.available_width();
    ui.add(Button::selectable(selected, text).wrap().min_size(egui::vec2(width, 0.0)).right_text(""))
}

impl Panels {
    pub(super) fn findings(&mut self, ui: &mut Ui, session: &mut Session) {
        ScrollArea::vertical().id_salt("findings").auto_shrink(false).show(ui, |ui| {
            for mistake in session.mistakes() {
                ui.label(badge(mistake.severity.word(), severity_colour(mistake.severity)));
                let place = proofcut_core::report::snippet::place_of(mistake).unwrap_or_default();
                ui.label(format!("{place}\n{}", mistake.message));
                ui.separator();
            }
            let Some(proved) = session.proved().cloned() else { return };
            let all = session.findings();
            if all.is_empty() && proved.checked.warnings.is_empty() && session.state().is_current() {
                ui.label("Nothing was found by simulation.");
            }
            if session.state() == State::Stale {
                ui.label(RichText::new("From before the change:").italics());
            }
            let now = match session.selection() {
                Some(Selection::Finding(n)) => Some(*n),
                _ => None,
            };
            let count = all.len();
            let shown =
                all.iter().position(|n| now == Some(*n)).map_or(0, |i| i.saturating_sub(MOST_SHOWN / 2));
            if shown > 0 {
                ui.label(format!("{shown} before"));
            }
            for n in all.into_iter().skip(shown).take(MOST_SHOWN) {
                let Some(finding) = proved.checked.proof.findings.get(n) else { continue };
                let severity = finding.diagnostic.severity;
                ui.horizontal_top(|ui| {
                    ui.label(badge(severity.word(), severity_colour(severity)));
                    let text =
                        format!("{}\n{}", finding.kind.name, words::place(&proved.checked.job, finding));
                    let line = entry(ui, now == Some(n) || session.belongs().findings.contains(&n), text);
                    if line.clicked() {
                        session.select(Some(Selection::Finding(n)));
                    }
                    if now == Some(n) && self.finding != now {
                        line.scroll_to_me(Some(Align::Center));
                    }
                });
            }
            if shown + MOST_SHOWN < count {
                ui.label(format!("and {} more; F8 goes through all", count - shown - MOST_SHOWN));
            }
            self.finding = now;
            for warning in &proved.checked.warnings {
                ui.label(badge(warning.severity.word(), severity_colour(warning.severity)));
                ui.label(&warning.message);
            }
            if !proved.checked.proof.unproven.is_empty() {
                ui.separator();
                ui.label(RichText::new("Not proved").strong());
                for unproven in proved.checked.proof.unproven.iter().take(50) {
                    ui.label(&unproven.what);
                }
            }
        });
    }
}

/// Stays of tools in the spindle, setup by setup.
pub(super) fn tools(ui: &mut Ui, session: &mut Session) {
    let Some(proved) = session.proved().cloned() else { return };
    let (job, unit) = (&proved.checked.job, proved.checked.job.unit);
    ScrollArea::vertical().id_salt("tools").auto_shrink(false).show(ui, |ui| {
        for (setup, of) in job.setups.iter().take(proved.checked.proof.setups.len()).enumerate() {
            ui.label(RichText::new(format!("Setup {}", of.name)).strong());
            for (n, stay) in stays(&proved, setup).iter().enumerate() {
                let here = Selection::Stay { setup, stay: n };
                let name = words::tool(job, stay.tool);
                let (from, to) = stay.lines;
                let near = stay
                    .lowest_over
                    .first()
                    .map_or_else(String::new, |l| format!("; {} from {}", unit.write(l.clearance), l.solid));
                let time = words::time(stay.cut_seconds + stay.air_seconds);
                let text = format!("{name}\nlines {from} to {to}, at feed {time}{near}");
                let is_at = session.at().setup == setup && session.stay() == Some(n);
                if entry(ui, session.selection() == Some(&here) || is_at, text).clicked() {
                    session.select(Some(here));
                }
            }
        }
    });
}

/// Features and sizes.
pub(super) fn drawing(ui: &mut Ui, session: &mut Session) {
    let Some(proved) = session.proved().cloned() else { return };
    let Some(drawing) = &proved.checked.job.drawing else {
        ui.label("The job names no drawing.");
        return;
    };
    let Some(inspection) = &proved.checked.proof.inspection else {
        ui.label("The run was not finished, so nothing was compared with the drawing.");
        return;
    };
    let unit = proved.checked.job.unit;
    ScrollArea::vertical().id_salt("drawing").auto_shrink(false).show(ui, |ui| {
        ui.label(RichText::new("Features").strong());
        for result in &inspection.features {
            let Some(feature) = drawing.features.get(result.feature) else { continue };
            let here = session.belongs().features.contains(&result.feature);
            let entry = entry(ui, here, format!("{}: {}", feature.id, words::status(result.status)));
            // While measuring, a hole of the list is as good as one of the scene.
            let measures = session.measuring().mode() == Mode::Measure;
            if entry.clicked() && !(measures && session.pick(Pick::Feature(result.feature))) {
                session.select(Some(Selection::Feature(result.feature)));
            }
        }
        ui.separator();
        ui.label(RichText::new("Sizes").strong());
        for result in &inspection.dimensions {
            let Some(size) = drawing.dimensions.get(result.dimension) else { continue };
            let here = session.belongs().sizes.contains(&result.dimension);
            let measured = match &result.value {
                proofcut_core::inspect::DimensionValue::Size(m) => {
                    format!(" {} (+-{})", unit.write(m.value), unit.number(m.bound))
                }
                proofcut_core::inspect::DimensionValue::Intervals(_)
                | proofcut_core::inspect::DimensionValue::Nothing => String::new(),
            };
            let text = format!("{}:{measured} {}", size.id, words::verdict(result.verdict));
            if entry(ui, here, text).clicked() {
                session.select(Some(Selection::Size(result.dimension)));
            }
        }
    });
}
