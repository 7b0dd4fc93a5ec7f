use super::context::{Context, label};
use super::finding::{Amount, Finding, Kind};
use crate::geom::Vec3;
use crate::job::JobPlace;
use crate::motion::Place;
use crate::source::Diagnostic;

/// A finding in the making; [`Context`] begins it.
#[derive(Clone, Debug)]
#[must_use = "a finding counts only when it is done"]
pub struct Builder<'a> {
    context: Context<'a>,
    pub(super) finding: Finding,
}

impl<'a> Builder<'a> {
    pub(super) fn new(context: Context<'a>, kind: Kind) -> Self {
        let diagnostic = Diagnostic {
            severity: kind.severity,
            kind: kind.name,
            message: String::new(),
            labels: Vec::new(),
            notes: Vec::new(),
            help: None,
        };
        let finding = Finding {
            kind,
            diagnostic,
            setup: None,
            program: None,
            line: None,
            column: None,
            block: None,
            tool: None,
            offset: None,
            at: None,
            at_part: None,
            amount: None,
        };
        Self { context, finding }
    }

    /// One sentence that stands alone, the numbers with their unit in it.
    pub fn message(mut self, sentence: impl Into<String>) -> Self {
        self.finding.diagnostic.message = sentence.into();
        self
    }

    /// Words beside the underline of the acting place.
    pub fn acting(mut self, words: impl Into<String>) -> Self {
        if let Some(first) = self.finding.diagnostic.labels.iter_mut().find(|l| l.primary) {
            first.text = words.into();
        }
        self
    }

    /// A second place of the same setup that explains, with words beside its underline.
    pub fn also(mut self, place: Place, words: impl Into<String>) -> Self {
        let source = self.finding.setup.and_then(|s| self.context.source(s, place));
        if let Some(source) = source {
            self.finding.diagnostic.labels.push(label(source, place.span, words.into(), false));
        }
        self
    }

    /// A second place, in a file of the job, that explains.
    pub fn also_in_job(mut self, place: &JobPlace, words: impl Into<String>) -> Self {
        self.finding.diagnostic.labels.push(label(&place.source, place.span, words.into(), false));
        self
    }

    /// What to do, one line; never invents a feed, a speed or a clearance.
    pub fn help(mut self, line: impl Into<String>) -> Self {
        self.finding.diagnostic.help = Some(line.into());
        self
    }

    /// A further fact, one line.
    pub fn note(mut self, line: impl Into<String>) -> Self {
        self.finding.diagnostic.notes.push(line.into());
        self
    }

    /// How much, a length in millimetres.
    pub const fn amount(mut self, mm: f64) -> Self {
        self.finding.amount = Some(Amount::Length(mm));
        self
    }

    /// How much, a plain number such as a count of tools.
    pub const fn number(mut self, number: f64) -> Self {
        self.finding.amount = Some(Amount::Number(number));
        self
    }

    /// Where, setup frame, millimetres.
    pub fn at(mut self, at_in_setup: Vec3) -> Self {
        self.finding.at = Some(at_in_setup);
        let setup = self.finding.setup.and_then(|s| self.context.setup(s));
        self.finding.at_part = setup.map(|s| s.frame.part_from_setup(&at_in_setup));
        self
    }

    /// Where, part frame, millimetres.
    pub fn at_part(mut self, at_in_part: Vec3) -> Self {
        self.finding.at_part = Some(at_in_part);
        let setup = self.finding.setup.and_then(|s| self.context.setup(s));
        self.finding.at = setup.map(|s| s.frame.setup_from_part(&at_in_part));
        self
    }

    /// The tool that it is about.
    pub const fn tool(mut self, number: u32) -> Self {
        self.finding.tool = Some(number);
        self
    }

    /// The setup that it belongs to, for a finding that began at a place in a job file.
    pub const fn in_setup(mut self, setup: usize) -> Self {
        self.finding.setup = Some(setup);
        self
    }

    /// The finding; its position, if it has one, becomes its first note.
    pub fn done(mut self) -> Finding {
        if let Some(note) = self.position_note() {
            self.finding.diagnostic.notes.insert(0, note);
        }
        self.finding
    }

    fn position_note(&self) -> Option<String> {
        let f = &self.finding;
        match (f.setup, f.at, f.at_part) {
            (Some(setup), Some(at), _) => Some(format!("at {}", self.context.position(setup, f.offset, &at))),
            (_, _, Some(at)) => Some(format!("at {} of the drawing", self.context.xyz(&at))),
            _ => None,
        }
    }
}
