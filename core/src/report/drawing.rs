//! The part against its drawing: features and sizes as tables.

use super::names;
use super::setup::span;
use super::text::{Column, Part, Role, Table, Text};
use crate::findings::words;
use crate::inspect::{
    BreakResult, BreakStatus, DimensionResult, DimensionValue, FeatureResult, FeatureStatus, Inspection,
    MadeBy, Measured, Quantity, Verdict,
};
use crate::job::{DimensionKind, Drawing, Job, Tolerance};
use crate::units::Unit;

/// Most makers named in one cell.
const MOST_MAKERS: usize = 3;

/// Most rows of one table.
const MOST_ROWS: usize = 200;

/// The tables; nothing without a drawing.
pub(super) fn parts(job: &Job, inspection: &Inspection) -> Vec<Part> {
    let Some(drawing) = &job.drawing else { return Vec::new() };
    let of = DrawingWriter { unit: job.unit, drawing };
    let mut parts =
        vec![Part::Heading(format!("Against the drawing ({})", super::overview::plural(job.unit)))];
    parts.extend(table("Feature", inspection.features.iter().flat_map(|f| of.feature(f)).collect()));
    let sizes = inspection.dimensions.iter().filter_map(|d| of.dimension(d)).collect();
    parts.extend(table("Size", sizes));
    let lines: Vec<Text> = inspection.dimensions.iter().filter_map(|d| of.line(d)).collect();
    if !lines.is_empty() {
        parts.push(Part::List(lines));
    }
    parts
}

/// The leg that is furthest from what the drawing asks for.
pub(super) fn worst_leg(b: &BreakResult) -> Option<Measured> {
    let (least, most) = b.leg?;
    let middle = b.nominal + (b.tolerance.plus - b.tolerance.minus) / 2.0;
    Some(if (least.value - middle).abs() > (most.value - middle).abs() { least } else { most })
}

fn table(first: &'static str, mut rows: Vec<Vec<Text>>) -> Vec<Part> {
    if rows.is_empty() {
        return Vec::new();
    }
    let left_out = rows.len().saturating_sub(MOST_ROWS);
    rows.truncate(MOST_ROWS);
    let columns = vec![
        (first, Column::Words),
        ("What", Column::Words),
        ("Nominal", Column::Number),
        ("Limits", Column::Name),
        ("Measured", Column::Number),
        ("Verdict", Column::Name),
        ("Setup, tool, lines", Column::Words),
    ];
    let mut parts = vec![Part::Table(Table { columns, rows })];
    if left_out > 0 {
        parts.push(Part::Paragraph(format!("... and {left_out} more rows").into()));
    }
    parts
}

struct DrawingWriter<'a> {
    unit: Unit,
    drawing: &'a Drawing,
}

impl DrawingWriter<'_> {
    /// The rows of one feature: what was measured of it, its edges, or one row that says whether it is there.
    fn feature(&self, f: &FeatureResult) -> Vec<Vec<Text>> {
        let Some(feature) = self.drawing.features.get(f.feature) else { return Vec::new() };
        let mut rows = Vec::new();
        let told = f.quantities.iter().any(|q| q.verdict == Some(verdict_of(f.status)))
            || f.breaks.iter().any(|b| names::break_status(b.status) == names::feature_status(f.status));
        if f.quantities.is_empty() && f.breaks.is_empty() || (f.status != FeatureStatus::Made && !told) {
            let status = Text::of(status_role(f.status), names::feature_status(f.status));
            let [none, empty, dash, nothing] = ["", "", "", ""].map(Text::plain);
            rows.push(vec![none, empty, dash, nothing, "".into(), status, "".into()]);
        }
        // The leg of a break feature stands in the row of its edge.
        let edge = f.breaks.iter().any(|b| b.end.is_none());
        rows.extend(f.quantities.iter().filter(|q| !(edge && q.name == "leg")).map(|q| self.quantity(q)));
        rows.extend(f.breaks.iter().map(|b| self.broken(b)));
        if let Some(first) = rows.first_mut() {
            if let Some(cell) = first.first_mut() {
                *cell = feature.id.clone().into();
            }
            if let Some(cell) = first.last_mut().filter(|c| c.words().is_empty()) {
                *cell = makers(&f.made_by).into();
            }
        }
        rows
    }

    fn quantity(&self, q: &Quantity) -> Vec<Text> {
        let verdict = q.verdict.map_or_else(|| Text::plain("-"), verdict_text);
        let what = q.name.replace('_', " ");
        let no_nominal = q.name == "position";
        let nominal = if no_nominal { "-".to_owned() } else { self.unit.number(q.nominal) };
        let limits = match q.tolerance {
            Some(t) if no_nominal => format!("to {}", self.unit.number(q.nominal + t.plus)),
            None if q.name == "thread_depth" => format!("{} or more", self.unit.number(q.nominal)),
            tolerance => self.limits(q.nominal, tolerance),
        };
        vec![
            "".into(),
            what.into(),
            nominal.into(),
            limits.into(),
            self.measured(q.measured),
            verdict,
            "".into(),
        ]
    }

    fn broken(&self, b: &BreakResult) -> Vec<Text> {
        let what =
            b.end.map_or_else(|| "break".to_owned(), |e| format!("break, {}", names::break_end(Some(e))));
        let role = match b.status {
            BreakStatus::Broken => Role::Good,
            BreakStatus::Outside | BreakStatus::Missing => Role::Fault,
            BreakStatus::Undecided => Role::Warning,
        };
        let limits = self.limits(b.nominal, Some(b.tolerance));
        let status = Text::of(role, names::break_status(b.status));
        let measured = self.measured(worst_leg(b));
        vec![
            "".into(),
            what.into(),
            self.unit.number(b.nominal).into(),
            limits.into(),
            measured,
            status,
            makers(&b.made_by).into(),
        ]
    }

    /// One row; `None` for a line, which has its own form.
    fn dimension(&self, d: &DimensionResult) -> Option<Vec<Text>> {
        let drawn = self.drawing.dimensions.get(d.dimension)?;
        if matches!(drawn.kind, DimensionKind::Line { .. }) {
            return None;
        }
        let measured = if let DimensionValue::Size(m) = d.value { Some(m) } else { None };
        let what = format!("{} {}", names::dimension_kind(&drawn.kind), drawn.along.letter());
        let nominal = drawn.nominal.map_or_else(|| "-".to_owned(), |n| self.unit.number(n));
        let limits = drawn.nominal.map_or_else(|| "-".to_owned(), |n| self.limits(n, drawn.tolerance));
        let verdict = d.verdict.map_or_else(|| Text::plain("-"), verdict_text);
        let who = makers(&d.made_by).into();
        Some(vec![
            drawn.id.clone().into(),
            what.into(),
            nominal.into(),
            limits.into(),
            self.measured(measured),
            verdict,
            who,
        ])
    }

    fn line(&self, d: &DimensionResult) -> Option<Text> {
        let drawn = self.drawing.dimensions.get(d.dimension)?;
        let DimensionKind::Line { .. } = drawn.kind else { return None };
        let pieces: Vec<String> = match &d.value {
            DimensionValue::Intervals(list) => list
                .iter()
                .map(|(a, b)| format!("{} to {}", self.unit.number(*a), self.unit.number(*b)))
                .collect(),
            DimensionValue::Size(_) | DimensionValue::Nothing => Vec::new(),
        };
        let met = if pieces.is_empty() {
            "meets nothing".to_owned()
        } else {
            format!("material {}", words::list(&pieces, 8))
        };
        Some(format!("{}, a line along {}: {met}", drawn.id, drawn.along.letter()).into())
    }

    fn limits(&self, nominal: f64, tolerance: Option<Tolerance>) -> String {
        let number = |mm| self.unit.number(mm);
        tolerance.map_or_else(
            || "-".to_owned(),
            |t| format!("{} to {}", number(nominal - t.minus), number(nominal + t.plus)),
        )
    }

    /// The value, with its bound where the bound shows in the decimals written.
    fn measured(&self, m: Option<Measured>) -> Text {
        let Some(m) = m else { return "nothing".into() };
        let bound = self.unit.number(m.bound);
        let shows = bound.chars().any(|c| c.is_ascii_digit() && c != '0');
        let value = self.unit.number(m.value);
        if shows { format!("{value} +-{bound}").into() } else { value.into() }
    }
}

const fn verdict_of(status: FeatureStatus) -> Verdict {
    match status {
        FeatureStatus::Made => Verdict::Within,
        FeatureStatus::Outside => Verdict::Outside,
        FeatureStatus::Undecided => Verdict::Undecided,
        FeatureStatus::Missing => Verdict::Missing,
    }
}

const fn status_role(status: FeatureStatus) -> Role {
    verdict_role(verdict_of(status))
}

const fn verdict_role(verdict: Verdict) -> Role {
    match verdict {
        Verdict::Within => Role::Good,
        Verdict::Outside | Verdict::Missing => Role::Fault,
        Verdict::Undecided => Role::Warning,
    }
}

fn verdict_text(verdict: Verdict) -> Text {
    Text::of(verdict_role(verdict), names::size_verdict(verdict))
}

/// `1 T4 402-433; 2 T1 12`: setup, tool and lines of those who made a surface.
fn makers(made_by: &[MadeBy]) -> String {
    let one = |m: &MadeBy| {
        let Some(setup) = m.setup else { return "raw stock".to_owned() };
        let tool = m.tool.map_or_else(|| "-".to_owned(), |t| format!("T{t}"));
        let lines = match (m.lines.first(), m.lines.last()) {
            (Some(first), Some(last)) => format!(" {}", span(*first, *last)),
            _ => String::new(),
        };
        format!("{} {tool}{lines}", setup + 1)
    };
    let mut all: Vec<String> = made_by.iter().take(MOST_MAKERS).map(one).collect();
    if made_by.len() > MOST_MAKERS {
        all.push(format!("+{}", made_by.len() - MOST_MAKERS));
    }
    all.join("; ")
}
