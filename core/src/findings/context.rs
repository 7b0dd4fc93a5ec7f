use super::builder::Builder;
use super::finding::{Finding, Kind};
use crate::geom::Vec3;
use crate::job::{Job, JobPlace, Setup, WorkOffset};
use crate::motion::{Move, Place, Run};
use crate::source::{Label, SourceText, Span};

/// What a sentence may need to know: the job and what its programs make the machine do.
///
/// Every finding begins with one of the `at_...` methods, which fill in the place, and ends with [`Builder::done`].
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The job.
    pub job: &'a Job,
    /// One per setup that was run, in the job's order.
    pub runs: &'a [Run],
}

/// Most characters of a block that a finding repeats.
const LONGEST_BLOCK: usize = 200;

impl<'a> Context<'a> {
    /// A context of a job and its runs (one per setup, in the job's order).
    pub const fn new(job: &'a Job, runs: &'a [Run]) -> Self {
        Self { job, runs }
    }

    /// A finding about a move: its program, line, column, block, tool and work offset; the acting words are
    /// underlined, and so is the earlier block that set the motion mode.
    pub fn at_move(&self, kind: Kind, setup: usize, move_index: usize) -> Builder<'a> {
        let Some(m) = self.move_at(setup, move_index) else { return self.at_setup(kind, setup) };
        let mut builder = self.at_place(kind, setup, m.place);
        builder.finding.tool = m.tool;
        builder.finding.offset = Some(m.offset);
        if let Some(mode) = m.mode_place.filter(|p| (p.source, p.line) != (m.place.source, m.place.line)) {
            let word = self.source(setup, mode).map_or("", |s| s.slice(mode.span).trim());
            let one_word = !word.is_empty() && !word.contains(char::is_whitespace);
            builder =
                builder.also(mode, format!("{} took effect here", if one_word { word } else { "this" }));
        }
        let run = self.runs.get(setup);
        if let Some(call) = run.and_then(|r| r.called_from(move_index)) {
            builder = builder.also(call, "called from here");
        }
        builder
    }

    /// A finding at a place of a setup's program: its program, line, column and block.
    pub fn at_place(&self, kind: Kind, setup: usize, place: Place) -> Builder<'a> {
        let mut builder = self.at_setup(kind, setup);
        if let Some(source) = self.source(setup, place) {
            let f = &mut builder.finding;
            f.program = Some(short_name(self.job, source).to_owned());
            f.line = Some(place.line);
            f.column = Some(column_of(source, place));
            f.block = Some(super::words::cut(source.line(place.line as usize).trim(), LONGEST_BLOCK));
            f.diagnostic.labels.push(label(source, place.span, String::new(), true));
        }
        builder
    }

    /// A finding at a whole line of a setup's own program (what is known of a surface is only its lines).
    pub fn at_line(&self, kind: Kind, setup: usize, line: u32) -> Builder<'a> {
        match self.line_place(setup, line) {
            Some(place) => self.at_place(kind, setup, place),
            None => self.at_setup(kind, setup),
        }
    }

    /// A finding about a whole setup.
    pub fn at_setup(&self, kind: Kind, setup: usize) -> Builder<'a> {
        let mut builder = Builder::new(*self, kind);
        builder.finding.setup = (setup < self.job.setups.len()).then_some(setup);
        builder
    }

    /// A finding about something that stands in a file of the job.
    pub fn at_job(&self, kind: Kind, place: &JobPlace) -> Builder<'a> {
        let mut builder = Builder::new(*self, kind);
        builder.finding.diagnostic.labels.push(label(&place.source, place.span, String::new(), true));
        builder
    }

    /// The move of a setup; `None` when there is none.
    pub fn move_at(&self, setup: usize, move_index: usize) -> Option<&'a Move> {
        self.runs.get(setup)?.moves.get(move_index)
    }

    /// The setup; `None` when there is none.
    pub fn setup(&self, setup: usize) -> Option<&'a Setup> {
        self.job.setups.get(setup)
    }

    /// The text that a place of a setup's run stands in.
    pub fn source(&self, setup: usize, place: Place) -> Option<&'a SourceText> {
        let own = || self.setup(setup).filter(|_| place.source == 0).map(|s| &s.program);
        self.runs.get(setup).and_then(|r| r.sources.get(usize::from(place.source))).or_else(own)
    }

    /// A whole line of a setup's own program as a place, without the blanks about it; `None` beyond its end.
    pub fn line_place(&self, setup: usize, line: u32) -> Option<Place> {
        let source = &self.setup(setup)?.program;
        let index = line as usize;
        if index == 0 || source.line_count() < index {
            return None;
        }
        Some(Place { source: 0, line, span: trimmed(source, source.line_span(index)) })
    }

    /// A length given in millimetres, in the job's unit with its sign.
    pub fn length(&self, mm: f64) -> String {
        self.job.unit.write(mm)
    }

    /// A length given in millimetres, in the job's unit without sign.
    pub fn number(&self, mm: f64) -> String {
        self.job.unit.number(mm)
    }

    /// `T3 1/2 end mill`; `T3` alone when the table lacks it.
    pub fn tool_name(&self, number: u32) -> String {
        match self.job.tool(number) {
            Some(tool) if !tool.name.is_empty() => format!("T{number} {}", tool.name),
            _ => format!("T{number}"),
        }
    }

    /// `X1.0000 Y2.0000 Z-0.5000`: a point of the setup frame in the coordinates of a work offset.
    pub fn position(&self, setup: usize, offset: Option<WorkOffset>, at: &Vec3) -> String {
        let zero = offset.and_then(|o| self.setup(setup)?.zero_in_setup(o)).unwrap_or_else(Vec3::zeros);
        self.xyz(&(at - zero))
    }

    /// `X1.0000 Y2.0000 Z-0.5000` in the job's unit.
    pub fn xyz(&self, p: &Vec3) -> String {
        format!("X{} Y{} Z{}", self.number(p.x), self.number(p.y), self.number(p.z))
    }
}

/// A file's name as the job file names it: relative to the job file's folder where it lies below it.
pub fn short_name<'s>(job: &Job, source: &'s SourceText) -> &'s str {
    let (name, job) = (source.name(), job.place.source.name());
    let folder = job.rfind(['/', '\\']).map_or("", |at| job.get(..=at).unwrap_or(""));
    name.strip_prefix(folder).filter(|n| !n.is_empty()).unwrap_or(name)
}

/// An underlined place.
pub(super) fn label(source: &SourceText, span: Span, text: String, primary: bool) -> Label {
    Label { source: source.clone(), span, text, primary }
}

/// 1-based column of the acting words in their line.
fn column_of(source: &SourceText, place: Place) -> u32 {
    u32::try_from(source.place(place.span.start).column).unwrap_or(u32::MAX)
}

/// A span without the blanks at its ends.
fn trimmed(source: &SourceText, span: Span) -> Span {
    let text = source.slice(span);
    let start = span.start + (text.len() - text.trim_start().len());
    Span::new(start, start + text.trim().len())
}

impl Finding {
    /// The place in one word: `top.nc:12`; `None` when it has no line in a program.
    pub fn file_and_line(&self) -> Option<String> {
        Some(format!("{}:{}", self.program.as_deref()?, self.line?))
    }
}
