//! The head of a report, and the tool changer over all setups.

use super::json_of::tools_called;
use super::text::{Part, Role, Text};
use crate::findings::words;
use crate::geom::Box3;
use crate::job::{ChangerKind, Job, RawStock};
use crate::proof::Proof;
use crate::units::Unit;

/// Most pocket or tool numbers named in one line.
const MOST_NUMBERS: usize = 30;

/// What the job is: machine, stock, drawing, model.
pub(super) fn head(job: &Job, proof: &Proof) -> Vec<Part> {
    let unit = job.unit;
    let mut facts = vec![
        ("Machine".to_owned(), Text::plain(machine(job))),
        ("Stock".to_owned(), Text::plain(stock(job))),
    ];
    if let Some(drawing) = &job.drawing {
        let revision = drawing.revision.as_ref().map_or_else(String::new, |r| format!(", revision {r}"));
        facts.push(("Drawing".to_owned(), Text::plain(format!("{}{revision}", drawing.name))));
    } else {
        let none = "none: the part itself is not judged, only the machining";
        facts.push(("Drawing".to_owned(), Text::of(Role::Warning, none)));
    }
    let model = format!("lengths in {}; rays {} apart", plural(unit), unit.write(proof.spacing));
    facts.push(("Model".to_owned(), Text::plain(model)));
    vec![Part::Heading(format!("Job: {}", job.name)), Part::Facts(facts)]
}

/// Tools over all setups and the pockets that stay free.
pub(super) fn changer(job: &Job, proof: &Proof) -> Vec<Part> {
    let called = tools_called(proof);
    let names: Vec<String> = called.iter().map(|n| format!("T{n}")).collect();
    let used = match names.len() {
        0 => "none is called".to_owned(),
        n => format!(
            "{} over all setups: {}",
            words::count(n, "tool", "tools"),
            words::list(&names, MOST_NUMBERS)
        ),
    };
    let changer = &job.machine.changer;
    let mut facts = vec![("Tools".to_owned(), Text::plain(used))];
    if let (Some(pockets), false) = (changer.pockets, changer.kind == ChangerKind::ByHand) {
        let free: Vec<String> = proof.free_pockets.iter().map(u32::to_string).collect();
        let free = if free.is_empty() { "none".to_owned() } else { words::list(&free, MOST_NUMBERS) };
        facts.push(("Pockets".to_owned(), Text::plain(format!("{pockets}; free: {free}"))));
    }
    vec![Part::Heading("Tool changer".to_owned()), Part::Facts(facts)]
}

fn machine(job: &Job) -> String {
    let changer = &job.machine.changer;
    let pockets = changer
        .pockets
        .map_or_else(String::new, |n| format!(", {}", words::count(n as usize, "pocket", "pockets")));
    let kind = match changer.kind {
        ChangerKind::Carousel => "carousel",
        ChangerKind::Arm => "changer with arm",
        ChangerKind::ByHand => "tools changed by hand",
    };
    format!("{}; {kind}{pockets}", job.machine.name)
}

fn stock(job: &Job) -> String {
    let unit = job.unit;
    let material = job.material.as_ref().map_or_else(String::new, |m| format!(", {m}"));
    let shape = match &job.stock {
        RawStock::Box(b) => format!("block {}", size(unit, b)),
        RawStock::Cylinder(round) => {
            format!(
                "round, diameter {}, {} long",
                unit.number(2.0 * round.radius),
                unit.write(round.to - round.from)
            )
        }
        RawStock::Mesh(mesh) => format!("from a mesh, {} over all", size(unit, &mesh.bounds())),
    };
    format!("{shape}{material}")
}

/// `3.0000 x 1.7500 x 0.9000 in`.
pub(super) fn size(unit: Unit, b: &Box3) -> String {
    if b.is_empty() {
        return "nothing".to_owned();
    }
    let s = b.size();
    format!("{} x {} x {}", unit.number(s.x), unit.number(s.y), unit.write(s.z))
}

/// A volume in the job's cubic unit: `3.910 in3`, `64072 mm3`.
pub(super) fn volume(unit: Unit, mm3: f64) -> String {
    let cubic = unit.from_mm(unit.from_mm(unit.from_mm(mm3)));
    match unit {
        Unit::Inch => format!("{cubic:.3} in3"),
        Unit::Millimetre => format!("{cubic:.0} mm3"),
    }
}

/// The unit's name in the plural.
pub(super) const fn plural(unit: Unit) -> &'static str {
    match unit {
        Unit::Inch => "inches",
        Unit::Millimetre => "millimetres",
    }
}
