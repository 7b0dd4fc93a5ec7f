use super::style::{badge, severity_colour};
use super::words;
use crate::session::{Belongs, Proved, Selection, Session, line_of, stays};
use egui::{RichText, ScrollArea, Ui};

/// What is selected, and buttons to what belongs to it.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    super::measured::show(ui, session);
    ui.label(RichText::new("Selected").strong());
    let Some(proved) = session.proved().cloned() else { return };
    let Some(selection) = session.selection().copied() else {
        ui.label("Nothing. Select a finding, a line of the program, a tool, a feature, a size, or click on the part.");
        return;
    };
    ScrollArea::vertical().id_salt("selected").auto_shrink(false).show(ui, |ui| {
        heading(ui, session, &proved, &selection);
        ui.separator();
        let belongs = session.belongs().clone();
        facts(ui, &proved, &belongs);
        others(ui, session, &proved, &belongs, &selection);
    });
}

fn heading(ui: &mut Ui, session: &Session, proved: &Proved, selection: &Selection) {
    let job = &proved.checked.job;
    match *selection {
        Selection::Finding(n) => {
            let Some(finding) = proved.checked.proof.findings.get(n) else { return };
            let said = &finding.diagnostic;
            ui.label(badge(
                &format!("{} {}", said.severity.word(), said.kind),
                severity_colour(said.severity),
            ));
            ui.label(RichText::new(&said.message).strong());
            if let Some(block) = &finding.block {
                ui.monospace(block);
            }
            for note in &said.notes {
                ui.label(note);
            }
            if let Some(help) = &said.help {
                ui.label(RichText::new(help).italics());
            }
            ui.collapsing("What this means", |ui| ui.label(finding.kind.explanation));
        }
        Selection::Feature(n) => {
            ui.label(RichText::new(format!("Feature {}", words::feature(session, n))).strong());
        }
        Selection::Size(n) => {
            ui.label(RichText::new(format!("Size {}", words::size(session, n))).strong());
        }
        Selection::Line { setup, line } => {
            let text = job.setups.get(setup).map_or("", |s| s.program.line(line as usize));
            ui.label(RichText::new(format!("Line {line}")).strong());
            ui.monospace(text);
        }
        Selection::Surface(picked) => {
            ui.label(RichText::new("Place on the surface").strong());
            if picked.by.is_none() {
                ui.label("Raw stock: no tool has touched it.");
            }
            if let Some(off) = picked.off {
                let side = if off < 0.0 { "too deep" } else { "left" };
                ui.label(format!(
                    "About {} {side} against the drawing, read off the picture.",
                    job.unit.write(off.abs())
                ));
            }
        }
        Selection::Stay { setup, stay } => {
            let tool = stays(proved, setup).get(stay).and_then(|s| s.tool);
            ui.label(RichText::new(words::tool(job, tool)).strong());
            let Some(section) = stays(proved, setup).get(stay) else { return };
            for l in section.lowest_over.iter().take(4) {
                let near = if l.clearance > 0.0 { job.unit.write(l.clearance) } else { "touches".to_owned() };
                ui.label(format!("{near}, {}; jog to {} (setup)", l.solid, words::at(job, &l.at)));
            }
        }
    }
}

fn facts(ui: &mut Ui, proved: &Proved, belongs: &Belongs) {
    let job = &proved.checked.job;
    if let Some(setup) = belongs.setup.and_then(|s| job.setups.get(s)) {
        ui.label(format!("Setup: {}", setup.name));
    }
    if let Some(line) = belongs.line {
        ui.label(format!("Line: {line}"));
    }
    if let Some(section) = belongs.setup.zip(belongs.stay).and_then(|(s, n)| stays(proved, s).get(n)) {
        ui.label(format!("Tool: {}", words::tool(job, section.tool)));
    }
    if let Some(at) = &belongs.at_part {
        ui.label(format!("At {} (part)", words::at(job, at)));
    }
}

/// Buttons to everything else.
fn others(ui: &mut Ui, session: &mut Session, proved: &Proved, belongs: &Belongs, selection: &Selection) {
    let mut wanted = None;
    let mut offer = |ui: &mut Ui, words: String, other: Selection| {
        if other != *selection && ui.button(words).clicked() {
            wanted = Some(other);
        }
    };
    if matches!(selection, Selection::Surface(_))
        && let Some((setup, index)) = belongs.setup.zip(belongs.move_index)
    {
        let run = proved.checked.proof.setups.get(setup).map(|s| &s.run);
        if let Some(line) = run.and_then(|r| line_of(r, index)) {
            offer(ui, format!("Go to line {line}, which cut it"), Selection::Line { setup, line });
        }
    }
    if let Some((setup, stay)) = belongs.setup.zip(belongs.stay) {
        let tool = stays(proved, setup).get(stay).and_then(|s| s.tool);
        offer(ui, words::tool(&proved.checked.job, tool), Selection::Stay { setup, stay });
    }
    for n in belongs.findings.iter().take(12) {
        let kind = proved.checked.proof.findings.get(*n).map_or("", |f| f.kind.name);
        offer(ui, format!("finding: {kind}"), Selection::Finding(*n));
    }
    for n in belongs.features.iter().take(12) {
        offer(ui, format!("feature: {}", words::feature(session, *n)), Selection::Feature(*n));
    }
    for n in belongs.sizes.iter().take(12) {
        offer(ui, format!("size: {}", words::size(session, *n)), Selection::Size(*n));
    }
    if let Some(wanted) = wanted {
        session.select(Some(wanted));
    }
}
