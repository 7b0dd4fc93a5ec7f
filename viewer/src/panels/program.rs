use super::Panels;
use super::style::severity_colour;
use crate::session::{Selection, Session};
use egui::{Button, RichText, ScrollArea, TextStyle, TextWrapMode, Ui};
use proofcut_core::source::Severity;
use std::collections::BTreeMap;

impl Panels {
    /// The program of the setup that is shown, with the block that is being done, and marks where something was found.
    pub(super) fn program(&mut self, ui: &mut Ui, session: &mut Session) {
        let at = session.at().setup;
        let Some(proved) = session.proved().cloned() else { return };
        let Some(setup) = proved.checked.job.setups.get(at) else { return };
        let text = &setup.program;
        ui.label(
            RichText::new(format!(
                "Program {}",
                proofcut_core::findings::short_name(&proved.checked.job, text)
            ))
            .strong(),
        );
        let own = |n: &usize| proved.checked.proof.findings.get(*n);
        let mut marks: BTreeMap<u32, Severity> = BTreeMap::new();
        for finding in session.findings().iter().filter_map(own).filter(|f| f.setup == Some(at)) {
            let here = finding.diagnostic.labels.iter().any(|l| l.source.name() == text.name());
            if let Some(line) = finding.line.filter(|_| here) {
                marks.entry(line).or_insert(finding.diagnostic.severity);
            }
        }
        let now = session.line();
        let chosen = session.belongs().line.filter(|_| session.belongs().setup == Some(at));
        let height = ui.text_style_height(&TextStyle::Monospace);
        let digits = text.line_count().to_string().len();
        let mut area = ScrollArea::both().id_salt(("program", at)).auto_shrink(false);
        if self.scrolled_to != Some((at, now)) {
            self.scrolled_to = Some((at, now));
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
        area.show_rows(ui, height, text.line_count(), |ui, rows| {
            ui.style_mut().wrap_mode = Some(TextWrapMode::Extend);
            ui.spacing_mut().button_padding = egui::vec2(4.0, 0.0);
            ui.spacing_mut().interact_size.y = height;
            for row in rows {
                let line = u32::try_from(row + 1).unwrap_or(u32::MAX);
                let words = format!("{line:>digits$}  {}", text.line(row + 1).replace('\t', "    "));
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
                if row.clicked() {
                    session.select(Some(Selection::Line { setup: at, line }));
                }
            }
        });
    }
}
