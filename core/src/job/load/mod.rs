//! From files to a validated [`Job`]: finds the files, checks their form, turns lengths into millimetres, and
//! reports everything that cannot be.
//!
//! *Invariant*: reading goes on after a mistake, so that all of them are reported; a job comes out only when there
//! was none.

mod desk;
mod drawing;
mod edge;
mod feature;
mod hole;
mod machine;
mod mesh;
mod outline;
mod outline_crossing;
mod setup;
mod stl;
mod tools;
mod values;

use super::file::{InPlaceOr, JobFile, StockFile, ToolsPlaceFile};
use super::text::At;
use super::{Drawing, Files, Job, Machine, Mesh, RawStock, Registers, Tool, kinds, schema};
use crate::geom::{Box3, Vec3};
use crate::source::{Diagnostic, SourceText, Span};
use crate::units::Unit;
use desk::{Desk, beside};
use std::sync::Arc;
use values::Values;

/// A job that could be loaded.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// The job.
    pub job: Job,
    /// What is possible but probably not meant.
    pub warnings: Vec<Diagnostic>,
}

/// Loads a job and everything that it names.
///
/// `path` is handed to `files` as it is. Other files are looked up relative to the file that names them: from
/// `parts/job.json` the name `mill.json` is read as `parts/mill.json`; names that begin at the root are kept. The
/// names of the sources, in diagnostics and in [`Setup::program`](super::Setup::program), are these paths.
///
/// # Errors
/// All mistakes that were found, and the warnings, in the order of the files.
///
/// ```
/// use proofcut_core::job::{MemoryFiles, load};
/// let files = MemoryFiles::new().with("job.json", r#"{"proofcut": 1, "nmae": "Plate"}"#);
/// let mistakes = load("job.json", &files).unwrap_err();
/// assert_eq!(mistakes[0].kind, "unknown-field");
/// assert_eq!(mistakes[0].labels[0].text, "did you mean \"name\"?");
/// ```
pub fn load(path: &str, files: &dyn Files) -> Result<Loaded, Vec<Diagnostic>> {
    let mut desk = Desk::new(files);
    let job = load_job(path, &mut desk);
    let faults = desk.reports.faults();
    let warnings = desk.reports.into_list();
    match job {
        Some(job) if faults == 0 => Ok(Loaded { job, warnings }),
        _ => Err(warnings),
    }
}

fn load_job(path: &str, desk: &mut Desk) -> Option<Job> {
    let source = desk.open(path, None, desk::MOST_JSON)?;
    let tree = desk.tree(&source)?;
    let at = At::root(&source, &tree);
    let file: JobFile = desk.typed(&at, schema::job())?;
    let unit = Unit::from(file.units);
    if file.proofcut != 1 {
        let message = format!("version {} of the job file is not known", file.proofcut);
        desk.reports.fault(kinds::WRONG_VERSION, &at.field("proofcut"), message, "", "write \"proofcut\": 1");
    }
    let machine = load_machine(&file, &at, unit, desk);
    let tools = load_tools(&file, &at, unit, desk);
    let drawing = load_drawing(&file, &at, unit, desk);
    let stock = load_stock(&file.stock, &at.field("stock"), unit, desk);
    let mut values = Values { unit, reports: &mut desk.reports };
    let spacing = file.spacing.map(|s| values.positive(s, &at.field("spacing")));
    // Near enough to make a careful setter look twice; the exact figures are the contract's.
    let clearance = match (file.clearance, unit) {
        (Some(clearance), _) => values.not_negative(clearance, &at.field("clearance")),
        (None, Unit::Inch) => Unit::Inch.to_mm_exact(0.020),
        (None, Unit::Millimetre) => 0.5,
    };
    let registers = file.registers.as_ref().map(|r| {
        let at = at.field("registers");
        Registers {
            length: values.registers(r.length.as_ref(), &at.field("length")),
            radius: values.registers(r.radius.as_ref(), &at.field("radius")),
        }
    });
    let at_setups = at.field("setups");
    if file.setups.is_empty() {
        let message = "the job has no setups".to_owned();
        desk.reports.fault(
            kinds::EMPTY_LIST,
            &at_setups,
            message,
            "",
            "add the setups in the order of machining",
        );
    }
    let setups = file.setups.iter().enumerate();
    let setups = setups.map(|(i, s)| setup::setup(s, &at_setups.item(i), unit, desk)).collect();
    Some(Job {
        name: file.name,
        unit,
        material: file.material,
        machine: machine?,
        tools: tools?,
        drawing: drawing?,
        stock: stock?,
        spacing,
        clearance,
        registers,
        setups,
        place: super::JobPlace { source: source.clone(), span: first_line(&source) },
    })
}

fn first_line(source: &SourceText) -> Span {
    source.line_span(1)
}

fn load_machine(file: &JobFile, at: &At, unit: Unit, desk: &mut Desk) -> Option<Machine> {
    let at = at.field("machine");
    match &file.machine {
        InPlaceOr::InPlace(file) => Some(machine::machine(file, &at, unit, &mut desk.reports)),
        InPlaceOr::File(name) => desk.file(name, &at, schema::machine(), |file, at, desk| {
            machine::machine(&file, at, unit, &mut desk.reports)
        }),
    }
}

fn load_tools(file: &JobFile, at: &At, unit: Unit, desk: &mut Desk) -> Option<Vec<Tool>> {
    let at = at.field("tools");
    match &file.tools {
        ToolsPlaceFile::List(list) => Some(tools::tools(list, &at, unit, &mut desk.reports)),
        ToolsPlaceFile::Table(table) => Some(tools::table(table, &at, unit, &mut desk.reports)),
        ToolsPlaceFile::File(name) => desk.file(name, &at, schema::tools(), |file, at, desk| {
            tools::table(&file, at, unit, &mut desk.reports)
        }),
    }
}

/// `None`: not readable. `Some(None)`: the job has no drawing.
#[expect(clippy::option_option, reason = "the outer option is success, as everywhere in this file")]
fn load_drawing(file: &JobFile, at: &At, unit: Unit, desk: &mut Desk) -> Option<Option<Drawing>> {
    let at = at.field("drawing");
    match &file.drawing {
        None => Some(None),
        Some(InPlaceOr::InPlace(file)) => Some(Some(drawing::drawing(file, &at, unit, desk))),
        Some(InPlaceOr::File(name)) => desk
            .file(name, &at, schema::drawing(), |file, at, desk| drawing::drawing(&file, at, unit, desk))
            .map(Some),
    }
}

fn load_stock(file: &StockFile, at: &At, unit: Unit, desk: &mut Desk) -> Option<RawStock> {
    let mut values = Values { unit, reports: &mut desk.reports };
    let (stock, at) = match file {
        StockFile::Box(b) => {
            let at = at.field("box");
            (RawStock::Box(values.block(b.min, b.max, &at)), at)
        }
        StockFile::Cylinder(c) => {
            let at = at.field("cylinder");
            (RawStock::Cylinder(values.round(c, &at)), at)
        }
        StockFile::Mesh(m) => {
            let at = at.field("mesh").field("file");
            (RawStock::Mesh(load_mesh(&m.file, &at, unit, Vec3::zeros(), desk)?), at)
        }
    };
    within_reach(&stock, &at, unit, desk);
    Some(stock)
}

/// The stock is counted in whole nanometres of 32 bits: two metres on each side of the part's zero.
fn within_reach(stock: &RawStock, at: &At, unit: Unit, desk: &mut Desk) {
    const REACH: f64 = 2.0e3;
    let bounds = match stock {
        RawStock::Box(b) => *b,
        RawStock::Mesh(mesh) => mesh.bounds(),
        RawStock::Cylinder(round) => {
            let (mut low, mut high) =
                (round.center.add_scalar(-round.radius), round.center.add_scalar(round.radius));
            round.axis.set(&mut low, round.from);
            round.axis.set(&mut high, round.to);
            Box3 { min: low, max: high }
        }
    };
    if !bounds.is_empty() && (bounds.min.min() < -REACH || bounds.max.max() > REACH) {
        let message = format!("the stock reaches more than {} from the part's zero", unit.write(REACH));
        let help = "move the part's zero nearer; larger stock is not modelled";
        desk.reports.fault(kinds::OUT_OF_RANGE, at, message, "", help);
    }
}

fn load_mesh(name: &str, at: &At, unit: Unit, origin: Vec3, desk: &mut Desk) -> Option<Arc<Mesh>> {
    let bytes = desk.bytes(&beside(at.source().name(), name), Some(at), desk::MOST_MESH)?;
    mesh::mesh(name, &bytes, unit, origin, at, &mut desk.reports).map(Arc::new)
}
