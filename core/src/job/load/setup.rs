use super::desk::{Desk, beside};
use super::load_mesh;
use super::values::Values;
use crate::geom::{Axis, Direction, Frame, Vec3};
use crate::job::file::{CylinderFile, Named, SetupFile, ViseAxisFile, ViseFile, WorkholdingFile};
use crate::job::text::At;
use crate::job::{Setup, Solid, Vise, WorkOffset, Workholding, kinds};
use crate::program::{number_in_name, parse};
use crate::source::SourceText;
use crate::units::Unit;
use std::collections::BTreeSet;

/// One setup of a job file.
pub(super) fn setup(file: &SetupFile, at: &At, unit: Unit, desk: &mut Desk) -> Setup {
    let program_at = at.field("program");
    let path = beside(at.source().name(), &file.program);
    let program = desk.program(&path, &program_at).unwrap_or_else(|| SourceText::new(path, ""));
    let subprograms = subprograms(file, at, &program, desk);
    let zeros_at = at.field("zeros");
    let zeros = offsets(&file.zeros, &zeros_at, unit, desk);
    if file.zeros.0.is_empty() {
        let message = format!("{} lists no work offset", zeros_at.path());
        let help = "add each offset that the program uses, such as \"G54\": [0, 0, 0]";
        desk.reports.fault(kinds::EMPTY_LIST, &zeros_at, message, "", help);
    }
    let machine_zeros_at = at.field("machine_zeros");
    let machine_zeros = match &file.machine_zeros {
        Some(named) => offsets(named, &machine_zeros_at, unit, desk),
        None => Vec::new(),
    };
    let origin = zeros.first().map_or(Vec3::zeros(), |(_, zero)| *zero);
    let frame = frame(file, at, origin, desk);
    compare_zeros(&frame, &zeros, &machine_zeros, &machine_zeros_at, unit, desk);
    let workholding_at = at.field("workholding");
    let workholding = file.workholding.iter().enumerate();
    let workholding =
        workholding.filter_map(|(i, w)| workholding_of(w, &workholding_at.item(i), unit, desk)).collect();
    Setup {
        name: file.name.clone(),
        program,
        subprograms,
        frame,
        zeros,
        machine_zeros,
        workholding,
        place: at.field("name").place(),
    }
}

/// Most files with subprograms of one setup.
const MOST_SUBPROGRAMS: usize = 256;

/// Files with subprograms: those that are listed, then those beside the program whose names are numbers that are called.
fn subprograms(file: &SetupFile, at: &At, program: &SourceText, desk: &mut Desk) -> Vec<SourceText> {
    let listed_at = at.field("subprograms");
    let mut texts = Vec::new();
    for (i, name) in file.subprograms.iter().flatten().enumerate().take(MOST_SUBPROGRAMS) {
        texts.extend(desk.program(&beside(at.source().name(), name), &listed_at.item(i)));
    }
    let mut numbers = BTreeSet::new();
    let mut to_read: Vec<SourceText> =
        std::iter::once(program.clone()).chain(texts.iter().cloned()).collect();
    let mut called: Vec<u32> = Vec::new();
    if texts.is_empty() && !may_call(program.text()) {
        return texts;
    }
    while let Some(text) = to_read.pop() {
        let parsed = parse(&text);
        numbers.extend(parsed.blocks.iter().filter_map(|b| parsed.program_number(b)));
        numbers.extend(number_in_name(text.name()));
        called.extend(parsed.numbers_called());
        if !to_read.is_empty() {
            continue;
        }
        // Everything that is there was read: what is still missing may lie beside the program.
        for number in std::mem::take(&mut called) {
            if texts.len() >= MOST_SUBPROGRAMS || !numbers.insert(number) {
                continue;
            }
            if let Some(found) = beside_program(program.name(), number, desk) {
                to_read.push(found.clone());
                texts.push(found);
            }
        }
    }
    texts
}

/// False for a text that surely calls nothing: no M98 and no G65 is in it, comments counted in. Saves reading a long
/// program twice.
fn may_call(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.iter().enumerate().any(|(i, b)| {
        let code: &[u8] = match b {
            b'M' | b'm' => b"98",
            b'G' | b'g' => b"65",
            _ => return false,
        };
        let rest = bytes.get(i + 1..).unwrap_or(&[]).iter().filter(|b| !matches!(b, b' ' | b'\t'));
        // An expression may come to anything.
        let mut digits = rest.skip_while(|b| **b == b'0').take(2).copied();
        let first = digits.next();
        matches!(first, Some(b'#' | b'['))
            || (first == code.first().copied() && digits.next() == code.get(1).copied())
    })
}

/// The file of a subprogram beside a program: `O1234` with the program's own ending, or without the O.
fn beside_program(program: &str, number: u32, desk: &mut Desk) -> Option<SourceText> {
    let file = program.rsplit(['/', '\\']).next().unwrap_or(program);
    let ending = file.rfind('.').and_then(|at| file.get(at..)).unwrap_or("");
    let names =
        [format!("O{number:04}{ending}"), format!("o{number:04}{ending}"), format!("{number}{ending}")];
    names.into_iter().find_map(|name| desk.program_if_there(&beside(program, &name)))
}

fn frame(file: &SetupFile, at: &At, origin: Vec3, desk: &mut Desk) -> Frame {
    let (up, right) = (Direction::from(file.up), Direction::from(file.right));
    Frame::new(up, right, origin).unwrap_or_else(|| {
        let message = format!("{} and up lie on the same axis", at.field("right").path());
        let help = "up is the part direction along the spindle, right the one along the machine's X";
        desk.reports.fault_against(
            kinds::CONTRADICTION,
            (&at.field("right"), "square to this"),
            (&at.field("up"), "up"),
            message,
            help,
        );
        Frame::part()
    })
}

/// Work offsets with their points, millimetres.
fn offsets(named: &Named<[f64; 3]>, at: &At, unit: Unit, desk: &mut Desk) -> Vec<(WorkOffset, Vec3)> {
    let mut values = Values { unit, reports: &mut desk.reports };
    let mut offsets = Vec::new();
    for (name, point) in &named.0 {
        if values.reports.is_full() {
            break;
        }
        let at = at.field(name);
        let point = values.point(*point, &at);
        if let Some(offset) = WorkOffset::parse(name) {
            offsets.push((offset, point));
        } else {
            let message = format!("{} is not a work offset", at.path());
            let help = "work offsets are G54 to G59, G59.1 to G59.3 and G54.1 P1 to G54.1 P300";
            values.reports.fault_span(kinds::UNKNOWN_CHOICE, at.source(), at.key(), message, "", help);
        }
    }
    offsets
}

/// Two offsets that are given both in the part and in the machine must be as far apart here as there.
fn compare_zeros(
    frame: &Frame,
    zeros: &[(WorkOffset, Vec3)],
    machine_zeros: &[(WorkOffset, Vec3)],
    at: &At,
    unit: Unit,
    desk: &mut Desk,
) {
    // Zeros are touched off; a difference that a setter could see is worth a word.
    const SAME: f64 = 0.02;
    let in_setup = |offset: WorkOffset| {
        zeros.iter().find(|(o, _)| *o == offset).map(|(_, zero)| frame.setup_from_part(zero))
    };
    let mut known = machine_zeros.iter().filter_map(|(o, machine)| Some((*o, *machine, in_setup(*o)?)));
    let Some((first, first_machine, first_setup)) = known.next() else { return };
    for (offset, machine, setup) in known {
        let difference = (machine - first_machine) - (setup - first_setup);
        if difference.norm() > SAME {
            let field = at.field(&offset.to_string());
            let message = format!(
                "{offset} lies {} from where zeros and {first} put it",
                unit.write(difference.norm())
            );
            let help = "correct zeros or machine_zeros: both tell how far the two offsets are apart";
            desk.reports.warn(kinds::CONTRADICTION, &field, message, "", help);
        }
    }
}

fn workholding_of(file: &WorkholdingFile, at: &At, unit: Unit, desk: &mut Desk) -> Option<Workholding> {
    let mut values = Values { unit, reports: &mut desk.reports };
    let (name, solid, at) = match file {
        WorkholdingFile::Vise(file) => {
            return Some(Workholding::Vise(vise(file, &at.field("vise"), &mut values)));
        }
        WorkholdingFile::Box(b) => {
            let at = at.field("box");
            (&b.name, Solid::Box(values.block(b.min, b.max, &at)), at)
        }
        WorkholdingFile::Cylinder(c) => {
            let at = at.field("cylinder");
            let plain =
                CylinderFile { axis: c.axis, center: c.center, diameter: c.diameter, from: c.from, to: c.to };
            (&c.name, Solid::Cylinder(values.round(&plain, &at)), at)
        }
        WorkholdingFile::Mesh(m) => {
            let at = at.field("mesh");
            let origin = m.at.map_or(Vec3::zeros(), |p| values.point(p, &at.field("at")));
            (&m.name, Solid::Mesh(load_mesh(&m.file, &at.field("file"), unit, origin, desk)?), at)
        }
    };
    Some(Workholding::Solid { name: name.clone(), solid, place: at.field("name").place() })
}

fn vise(file: &ViseFile, at: &At, values: &mut Values) -> Vise {
    let closes_along = match file.closes_along {
        ViseAxisFile::X => Axis::X,
        ViseAxisFile::Y => Axis::Y,
    };
    let fixed_jaw = Direction::from(file.fixed_jaw);
    if fixed_jaw.axis != closes_along {
        let axis = closes_along.letter();
        let message = format!("the fixed jaw cannot stand on {fixed_jaw} of a vise that closes along {axis}");
        values.reports.fault_against(
            kinds::CONTRADICTION,
            (&at.field("fixed_jaw"), "on this side"),
            (&at.field("closes_along"), "closing along this"),
            message,
            &format!("write \"+{axis}\" or \"-{axis}\""),
        );
    }
    let (grip_at, height_at) = (at.field("grip"), at.field("jaw_height"));
    let grip = values.positive(file.grip, &grip_at);
    let jaw_height = values.positive(file.jaw_height, &height_at);
    if jaw_height < grip {
        let message = format!("{} is more than the jaw height", grip_at.path());
        values.reports.fault_against(
            kinds::CONTRADICTION,
            (&grip_at, "the stock would sit this far below the jaw tops"),
            (&height_at, "but the bed is only this far below them"),
            message,
            "grip goes from the jaw tops down to the stock's lowest face",
        );
    }
    Vise {
        closes_along,
        fixed_jaw_positive: fixed_jaw.positive,
        grip,
        jaw_width: values.positive(file.jaw_width, &at.field("jaw_width")),
        jaw_height,
        jaw_thickness: values.positive(file.jaw_thickness, &at.field("jaw_thickness")),
        jaw_center: values.length(file.jaw_center, &at.field("jaw_center")),
        max_opening: file.max_opening.map(|o| values.positive(o, &at.field("max_opening"))),
        parallels: file
            .parallels
            .as_ref()
            .map(|p| values.positive(p.thickness, &at.field("parallels").field("thickness"))),
        place: at.place(),
    }
}
