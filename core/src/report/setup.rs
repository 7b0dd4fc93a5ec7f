//! One setup: how the part is held, what each tool does in order, where it comes nearest to the workholding.

use super::deeds::deeds;
use super::overview::volume;
use super::text::{Column, Part, Role, Table, Text};
use crate::checks::contact::LOOK_WITHIN;
use crate::findings::{short_name, words};
use crate::geom::Vec3;
use crate::job::{Job, Setup, WorkOffset, Workholding};
use crate::motion::{Place, Run};
use crate::proof::{LowestOver, Proof, SetupProof, ToolSection};
use std::collections::BTreeSet;

/// Most stays of tools listed for one setup.
const MOST_SECTIONS: usize = 60;

/// All that is told of one setup.
pub(super) fn parts(job: &Job, proof: &Proof, index: usize) -> Vec<Part> {
    let (Some(setup), Some(run)) = (job.setups.get(index), proof.setups.get(index)) else {
        return Vec::new();
    };
    let of = SetupWriter { job, index, setup, proof: run, inspected: proof.inspection.is_some() };
    let mut parts = vec![
        Part::Heading(format!("Setup {} of {}: {}", index + 1, job.setups.len(), setup.name)),
        Part::Facts(of.facts()),
    ];
    parts.extend(of.tools());
    parts.extend(of.nearest());
    parts
}

/// How many setups of the job were not run, in words; `None` when all were.
pub(super) fn not_run(job: &Job, proof: &Proof) -> Option<Part> {
    let names: Vec<String> = job.setups.iter().skip(proof.setups.len()).map(|s| s.name.clone()).collect();
    let text = format!("Not run: {}.", words::list(&names, 8));
    (!names.is_empty()).then(|| Part::Paragraph(Text::of(Role::Unproven, text)))
}

struct SetupWriter<'a> {
    job: &'a Job,
    index: usize,
    setup: &'a Setup,
    proof: &'a SetupProof,
    /// The finished part was looked at.
    inspected: bool,
}

impl SetupWriter<'_> {
    fn facts(&self) -> Vec<(String, Text)> {
        let (setup, unit) = (self.setup, self.job.unit);
        let lines = setup.program.text().lines().count();
        let time = words::time(self.proof.cycle_seconds);
        let program = format!(
            "{}, {}, about {time}",
            short_name(self.job, &setup.program),
            words::count(lines, "line", "lines")
        );
        let up = setup.frame.direction(crate::geom::Axis::Z);
        let right = setup.frame.direction(crate::geom::Axis::X);
        let before = volume(unit, self.proof.volume_before);
        let after = volume(unit, self.proof.volume_after);
        let mut facts = vec![
            ("Program".to_owned(), Text::plain(program)),
            ("Part".to_owned(), Text::plain(format!("{up} of the drawing up, {right} to the right"))),
        ];
        for (offset, zero) in &setup.zeros {
            let at = format!("X{} Y{} Z{}", unit.number(zero.x), unit.number(zero.y), unit.number(zero.z));
            facts.push(("Zero".to_owned(), Text::plain(format!("{offset} at {at} of the drawing"))));
        }
        let held: Vec<String> = setup.workholding.iter().map(|w| self.held_in(w)).collect();
        let held = if held.is_empty() { "nothing is described".to_owned() } else { held.join("; ") };
        facts.push(("Held in".to_owned(), Text::plain(held)));
        facts.push(("Stock".to_owned(), Text::plain(format!("{before} before, {after} after"))));
        facts
    }

    fn held_in(&self, workholding: &Workholding) -> String {
        match workholding {
            Workholding::Solid { name, .. } => name.clone(),
            Workholding::Vise(vise) => {
                let sign = if vise.fixed_jaw_positive { '+' } else { '-' };
                let axis = vise.closes_along.letter().to_ascii_uppercase();
                let parallels = if vise.parallels.is_some() { "on parallels" } else { "no parallels" };
                format!(
                    "vise, fixed jaw at {sign}{axis}, grip {}, {parallels}",
                    self.job.unit.write(vise.grip)
                )
            }
        }
    }

    fn tools(&self) -> Vec<Part> {
        let stays: Vec<&ToolSection> =
            self.proof.sections.iter().filter(|s| s.tool.is_some() || !s.moves.is_empty()).collect();
        if stays.is_empty() {
            return vec![Part::Paragraph("The program moves no tool.".into())];
        }
        let rows = stays.iter().take(MOST_SECTIONS).map(|s| self.tool_row(s)).collect();
        let columns = vec![
            ("Tool", Column::Words),
            ("What it does", Column::Words),
            ("Lines", Column::Name),
            ("Deepest Z", Column::Number),
            ("in line", Column::Number),
            ("At feed", Column::Number),
        ];
        let mut parts = vec![Part::Table(Table { columns, rows })];
        if stays.len() > MOST_SECTIONS {
            let rest = stays.len() - MOST_SECTIONS;
            parts.push(Part::Paragraph(format!("... and {rest} more stays of tools in the spindle").into()));
        }
        parts
    }

    fn tool_row(&self, s: &ToolSection) -> Vec<Text> {
        let name = s.tool.map_or_else(|| "-".to_owned(), |n| tool_name(self.job, n));
        let z = s.deepest.map(|(z, place)| self.number(z - self.zero(place).z));
        vec![
            name.into(),
            deeds(self.job, self.index, &self.proof.run, s, self.inspected).into(),
            span(s.lines.0, s.lines.1).into(),
            z.unwrap_or_else(|| "-".to_owned()).into(),
            s.deepest.map_or_else(|| "-".to_owned(), |(_, place)| place.line.to_string()).into(),
            words::time(s.cut_seconds + s.air_seconds).into(),
        ]
    }

    /// For each tool the piece of workholding that it comes nearest to.
    fn nearest(&self) -> Vec<Part> {
        if self.setup.workholding.is_empty() {
            return Vec::new();
        }
        let numbers: BTreeSet<Option<u32>> = self.proof.sections.iter().map(|s| s.tool).collect();
        let rows: Vec<Vec<Text>> = numbers
            .into_iter()
            .filter_map(|number| {
                let stays = self.proof.sections.iter().filter(|s| s.tool == number);
                let near =
                    stays.flat_map(|s| &s.lowest_over).min_by(|a, b| a.clearance.total_cmp(&b.clearance))?;
                Some(self.near_row(number, near))
            })
            .collect();
        if rows.is_empty() {
            let within = self.job.unit.write(LOOK_WITHIN);
            return vec![Part::Paragraph(
                format!("No tool comes within {within} of the workholding.").into(),
            )];
        }
        let columns = vec![
            ("Tool", Column::Name),
            ("Comes nearest to", Column::Words),
            ("Clearance", Column::Number),
            ("Jog there and look", Column::Name),
            ("Line", Column::Number),
        ];
        vec![Part::Table(Table { columns, rows })]
    }

    fn near_row(&self, number: Option<u32>, near: &LowestOver) -> Vec<Text> {
        let at = near.at - self.zero(near.place);
        let jog = format!("X{} Y{} Z{}", self.number(at.x), self.number(at.y), self.number(at.z));
        let touches = near.clearance <= 0.0;
        vec![
            number.map_or_else(|| "-".to_owned(), |n| format!("T{n}")).into(),
            near.solid.clone().into(),
            if touches { Text::of(Role::Fault, "touches") } else { self.number(near.clearance).into() },
            jog.into(),
            near.place.line.to_string().into(),
        ]
    }

    fn number(&self, mm: f64) -> String {
        self.job.unit.number(mm)
    }

    /// Zero of the work offset that is active at a place, setup frame: the program's own coordinates count from it.
    fn zero(&self, place: Place) -> Vec3 {
        offset_at(&self.proof.run, place)
            .and_then(|o| self.setup.zero_in_setup(o))
            .unwrap_or_else(Vec3::zeros)
    }
}

/// Work offset of the first move that a place makes.
fn offset_at(run: &Run, place: Place) -> Option<WorkOffset> {
    run.moves.iter().find(|m| (m.place.source, m.place.line) == (place.source, place.line)).map(|m| m.offset)
}

/// `T3 1/2 end mill`; `T3` alone when the table lacks it.
pub(super) fn tool_name(job: &Job, number: u32) -> String {
    match job.tool(number) {
        Some(tool) if !tool.name.is_empty() => format!("T{number} {}", tool.name),
        _ => format!("T{number}"),
    }
}

/// `12` or `12-40`.
pub(super) fn span(first: u32, last: u32) -> String {
    if first == last { first.to_string() } else { format!("{first}-{last}") }
}
