use super::Panels;
use super::style::severity_colour;
use crate::session::{Selection, Session};
use egui::{Button, RichText, ScrollArea, TextStyle, TextWrapMode, Ui};
use proofcut_core::source::Severity;
use std::collections::BTreeMap;

/// Letters of a block that fit the panel; longer ones are told in full where the cursor rests on them.
const LONG: usize = 28;

impl Panels {
    /// The program of the setup that is shown, with the block that is being done, and marks where something was found.
    pub(super) fn program(&mut self, ui: &mut Ui, session: &mut Session) {
        // A panel without content would become as narrow as it may, and stay so.
        ui.set_min_width(ui.available_width());
        let at = session.at().setup;
        let Some(proved) = session.proved().cloned() else { return };
        let Some(setup) = proved.checked.job.setups.get(at) else { return };
        let Some(doing) = session.doing() else { return };
        let text = &doing.text;
        let job = &proved.checked.job;
        let name = proofcut_core::findings::short_name(job, text);
        let what = if doing.source == 0 { "Program" } else { "Subprogram" };
        ui.label(RichText::new(format!("{what} {name}")).strong());
        if let Some(call) = doing.called_from {
            let own = proofcut_core::findings::short_name(job, &setup.program);
            if ui.button(format!("Called from {own}:{call}")).clicked() {
                session.select(Some(Selection::Line { setup: at, line: call }));
            }
        }
        let own = |n: &usize| proved.checked.proof.findings.get(*n);
        let mut marks: BTreeMap<u32, Severity> = BTreeMap::new();
        for finding in session.findings().iter().filter_map(own).filter(|f| f.setup == Some(at)) {
            let here = finding.diagnostic.labels.iter().any(|l| l.source.name() == text.name());
            if let Some(line) = finding.line.filter(|_| here) {
                marks.entry(line).or_insert(finding.diagnostic.severity);
            }
        }
        let now = doing.line;
        let chosen = session.belongs().line;
        let chosen = chosen.filter(|_| session.belongs().setup == Some(at) && doing.source == 0);
        let height = ui.text_style_height(&TextStyle::Monospace);
        let digits = text.line_count().to_string().len();
        let mut area = ScrollArea::both().id_salt(("program", at, doing.source)).auto_shrink(false);
        let here = (at, doing.source, now);
        if self.scrolled_to != Some(here) {
            self.scrolled_to = Some(here);
            // Again in the next frames: before the first the area does not know how long the text is.
            self.scrolls = 3;
        }
        if self.scrolls > 0 {
            self.scrolls -= 1;
            ui.ctx().request_repaint();
            #[expect(clippy::cast_precision_loss, reason = "a place on the screen")]
            let row = now.unwrap_or(1) as f32 * (height + ui.spacing().item_spacing.y);
            area = area.vertical_scroll_offset((row - 0.4 * ui.available_height()).max(0.0));
        }
        // A bar that is always seen: long comments reach beyond the panel.
        ui.style_mut().spacing.scroll = egui::style::ScrollStyle::solid();
        area.show_rows(ui, height, text.line_count(), |ui, rows| {
            ui.style_mut().wrap_mode = Some(TextWrapMode::Extend);
            ui.spacing_mut().button_padding = egui::vec2(4.0, 0.0);
            ui.spacing_mut().interact_size.y = height;
            for row in rows {
                let line = u32::try_from(row + 1).unwrap_or(u32::MAX);
                let block = text.line(row + 1).replace('\t', "    ");
                let words = format!("{line:>digits$}  {block}");
                let mut words = RichText::new(words).monospace();
                if let Some(severity) = marks.get(&line) {
                    words = words.background_color(severity_colour(*severity)).color(egui::Color32::BLACK);
                }
                if now == Some(line) {
                    words = words.strong();
                }
                let selected = now == Some(line) || chosen == Some(line);
                let button =
                    Button::selectable(selected, words).min_size(egui::vec2(ui.available_width(), height));
                let row = ui.add(button);
                let row = if block.len() > LONG { row.on_hover_text(block) } else { row };
                if row.clicked() {
                    session.choose_line(doing.source, line);
                }
            }
        });
    }
}
