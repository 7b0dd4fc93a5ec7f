use super::At;
use crate::source::{Diagnostic, Label, Severity, SourceText, Span};

/// More mistakes than this in one job help nobody; the rest is counted.
const MOST: usize = 200;

/// Mistakes and warnings as they are found.
#[derive(Debug, Default)]
pub(crate) struct Reports {
    list: Vec<Diagnostic>,
    faults: usize,
}

impl Reports {
    /// A mistake at a value. `beside` stands beside the underline and may be empty; `help` says what to do.
    pub(crate) fn fault(&mut self, kind: &'static str, at: &At, message: String, beside: &str, help: &str) {
        self.fault_span(kind, at.source(), at.span(), message, beside, help);
    }

    /// A mistake at a place of a file.
    pub(crate) fn fault_span(
        &mut self,
        kind: &'static str,
        source: &SourceText,
        span: Span,
        message: String,
        beside: &str,
        help: &str,
    ) {
        self.push(Severity::Fault, kind, message, vec![label(source, span, beside, true)], help);
    }

    /// A mistake at a value that contradicts another value.
    pub(crate) fn fault_against(
        &mut self,
        kind: &'static str,
        (at, beside): (&At, &str),
        (other, other_beside): (&At, &str),
        message: String,
        help: &str,
    ) {
        let labels = vec![
            label(at.source(), at.span(), beside, true),
            label(other.source(), other.span(), other_beside, false),
        ];
        self.push(Severity::Fault, kind, message, labels, help);
    }

    /// A mistake that has no place in a file that could be read.
    pub(crate) fn fault_nowhere(&mut self, kind: &'static str, message: String, help: &str) {
        self.push(Severity::Fault, kind, message, Vec::new(), help);
    }

    /// Something that is possible but probably not meant.
    pub(crate) fn warn(&mut self, kind: &'static str, at: &At, message: String, beside: &str, help: &str) {
        self.push(Severity::Warning, kind, message, vec![label(at.source(), at.span(), beside, true)], help);
    }

    fn push(
        &mut self,
        severity: Severity,
        kind: &'static str,
        message: String,
        labels: Vec<Label>,
        help: &str,
    ) {
        self.faults += usize::from(severity == Severity::Fault);
        if self.list.len() < MOST {
            let help = (!help.is_empty()).then(|| help.to_owned());
            self.list.push(Diagnostic { severity, kind, message, labels, notes: Vec::new(), help });
        }
    }

    /// How many mistakes so far.
    pub(crate) fn faults(&self) -> usize {
        self.faults
    }

    /// True when more reports would only be counted: readers of long lists may then stop.
    pub(crate) fn is_full(&self) -> bool {
        self.list.len() >= MOST
    }

    /// The list, in the order of finding.
    pub(crate) fn into_list(self) -> Vec<Diagnostic> {
        self.list
    }
}

fn label(source: &SourceText, span: Span, text: &str, primary: bool) -> Label {
    Label { source: source.clone(), span, text: text.to_owned(), primary }
}

/// The known name that someone who wrote `written` most likely meant; `None` when nothing is near.
pub(crate) fn nearest<'n>(written: &str, known: impl IntoIterator<Item = &'n str>) -> Option<&'n str> {
    let plain = |s: &str| s.to_lowercase().replace(['-', ' '], "_");
    let wanted = plain(written.get(..80.min(written.len())).unwrap_or(""));
    let scored = known.into_iter().map(|name| {
        let name_plain = plain(name);
        let slips = strsim::damerau_levenshtein(&wanted, &name_plain);
        // A third of the letters may be wrong, and a beginning that is right (`dia`) counts too.
        let letters = name_plain.chars().count().max(wanted.chars().count());
        let near = (slips * 3 <= letters.max(3) && slips < letters)
            || (wanted.len() >= 3 && name_plain.starts_with(&wanted))
            || (name_plain.len() >= 3 && wanted.starts_with(&name_plain));
        (slips, near, name)
    });
    scored.filter(|(_, near, _)| *near).min_by_key(|(slips, _, _)| *slips).map(|(_, _, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_name_is_near() {
        let known = ["stickout", "diameter", "flute_length", "shank_diameter"];
        assert_eq!(nearest("stickuot", known), Some("stickout"));
        assert_eq!(nearest("Flute-Length", known), Some("flute_length"));
        assert_eq!(nearest("dia", known), Some("diameter"));
        assert_eq!(nearest("colour", known), None);
        assert_eq!(nearest("", known), None);
        assert_eq!(nearest("z", ["x", "y"]), None);
        assert_eq!(nearest("x", ["-x", "+y"]), Some("-x"));
    }
}
