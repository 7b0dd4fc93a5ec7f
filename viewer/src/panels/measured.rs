//! What was measured, in words.

use crate::session::{Caliper, Lies, Mode, Reading, Session, Size, Snap, Taken, letter};
use egui::{RichText, Ui};
use proofcut_core::geom::Axis;
use proofcut_core::job::Job;

/// What a click will do, for whoever has begun to measure.
pub(super) fn next_click(session: &Session) -> Option<String> {
    Some(match session.measuring().mode() {
        Mode::Select => return None,
        Mode::Measure if session.measuring().first().is_some() => {
            "Measure: click the second place (Escape ends)".to_owned()
        }
        Mode::Measure => "Measure: click the first place, face, hole or zero (Escape ends)".to_owned(),
        Mode::Caliper(axis) => {
            format!("Caliper along {}: click a face (K: next axis, Escape ends)", letter(axis))
        }
        Mode::Lens => "Lens: click the spot to be cut again finely (G puts it away)".to_owned(),
    })
}

/// X, Y and Z of the way from the first to the second, in the axes of the setup.
fn parts(
    job: &Job,
    setup: usize,
    from: &proofcut_core::geom::Vec3,
    to: &proofcut_core::geom::Vec3,
) -> String {
    let way = to - from;
    let way = job.setups.get(setup).map_or(way, |s| s.frame.setup_from_part_vector(&way));
    let part = |a: Axis| format!("{} {}", letter(a), job.unit.number(a.of(&way)));
    Axis::ALL.map(part).join("  ")
}

/// The distance with its parts, angle and moment, a line each.
pub(super) fn distance(session: &Session) -> Vec<String> {
    let Some(job) = session.proved().map(|p| &p.checked.job) else { return Vec::new() };
    let Some((taken, distance)) = session.measuring().distance() else { return Vec::new() };
    let mut lines = vec![format!("{} {}", job.unit.write(distance.length()), distance.how.words())];
    lines.push(parts(job, taken.at.setup, &distance.from, &distance.to));
    lines.extend(distance.angle.map(|a| format!("{:.3}° between them", a.to_degrees())));
    lines.extend(moment(session, taken));
    lines
}

/// When something was measured, where that is not the moment that is shown.
fn moment<T>(session: &Session, taken: &Taken<T>) -> Option<String> {
    (taken.at != session.at()).then(|| format!("measured at {}", taken.when))
}

/// A reading with the size that it belongs to.
pub(super) fn reading(session: &Session, taken: &Taken<Caliper>, reading: &Reading) -> Vec<String> {
    let Some(job) = session.proved().map(|p| &p.checked.job) else { return Vec::new() };
    let axis = letter(taken.what.axis);
    let mut lines = vec![format!("{axis} {} {}", job.unit.write(reading.length()), reading.of.words())];
    lines.extend(reading.size.map(|size| asked(session, job, &size)));
    lines.extend(moment(session, taken));
    lines
}

/// `slot width: 0.3750 +0.0020 -0.0000 in, within its limits`.
fn asked(session: &Session, job: &Job, size: &Size) -> String {
    let name = super::words::size(session, size.size);
    let number = |v| job.unit.number(v);
    let Some(t) = size.tolerance else {
        return format!("{name}: {} without tolerance", job.unit.write(size.nominal));
    };
    let asked = format!(
        "{name}: {} +{} -{} {}",
        number(size.nominal),
        number(t.plus),
        number(t.minus),
        job.unit.sign()
    );
    let proved = session.proved().is_some_and(|p| p.checked.proof.unproven.is_empty());
    match size.lies {
        None => format!("{asked}; not flat here, so look at the size itself"),
        Some(lies @ (Lies::Out | Lies::Undecided)) => format!("{asked}, {}", lies.words()),
        Some(lies) if proved => format!("{asked}, {}", lies.words()),
        Some(lies) => format!("{asked}, {}, but the job is NOT PROVED", lies.words()),
    }
}

fn picked(ui: &mut Ui, which: &str, snap: &Snap) {
    ui.label(format!("{which}: {}", snap.name));
}

/// The list beside the scene, with a button that takes it away.
pub(super) fn show(ui: &mut Ui, session: &mut Session) {
    let measuring = session.measuring();
    if measuring.is_empty() && session.lens().is_none() {
        return;
    }
    ui.label(RichText::new("Measured").strong());
    if let Some(first) = measuring.first() {
        picked(ui, "From", &first.what);
    }
    if let Some((taken, _)) = measuring.distance() {
        picked(ui, "From", &taken.what.0);
        picked(ui, "To", &taken.what.1);
        for line in distance(session) {
            ui.label(RichText::new(line).strong());
        }
    }
    if let Some(taken) = measuring.caliper() {
        picked(ui, "At", &taken.what.snap);
        if taken.what.readings.is_empty() {
            ui.label(format!("Nothing to read along {} there.", letter(taken.what.axis)));
        }
        for one in &taken.what.readings {
            for line in reading(session, taken, one) {
                ui.label(RichText::new(line).strong());
            }
        }
    }
    if let (Some(lens), Some(proved)) = (session.lens(), session.proved()) {
        ui.label(format!("Lens at {} (part)", super::words::at(&proved.checked.job, &lens.at_part)));
    }
    if ui.button("Take away").clicked() {
        session.dismiss();
    }
    ui.separator();
}
