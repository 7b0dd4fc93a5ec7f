//! A diagnostic as lines: header, sentence, the lines of the files that matter with their underlines, notes, help.

use super::text::{Role, Text};
use crate::source::{Diagnostic, Label, Severity, SourceText, Span};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Columns from one tab stop to the next.
const TAB: usize = 4;

/// Most lines of files that one diagnostic shows.
const MOST_LINES: usize = 6;

/// The role of a severity.
pub const fn role_of(severity: Severity) -> Role {
    match severity {
        Severity::Note => Role::Note,
        Severity::Warning => Role::Warning,
        Severity::Fault => Role::Fault,
        Severity::Unproven => Role::Unproven,
    }
}

/// The one-line form, which stands alone: `top.nc:42: fault[rapid-into-stock]: sentence`.
pub fn one_line(diagnostic: &Diagnostic, place: Option<&str>) -> Text {
    let place = place.map(str::to_owned).or_else(|| place_of(diagnostic));
    let role = role_of(diagnostic.severity);
    let head = place.map_or_else(String::new, |p| format!("{p}: "));
    Text::plain(head)
        .and(role, format!("{}[{}]", diagnostic.severity.word(), diagnostic.kind))
        .and(Role::Plain, format!(": {}", diagnostic.message))
}

/// `file:line:column` of the first label; `None` when nothing is underlined.
pub fn place_of(diagnostic: &Diagnostic) -> Option<String> {
    let first = diagnostic.labels.first()?;
    let place = first.source.place(first.span.start);
    Some(format!("{}:{}:{}", first.source.name(), place.line, place.column))
}

/// The full form. `place` is what stands in the header behind the kind; without it, file, line and column of the
/// first label. Nothing is wider than `width` columns but a single word that is.
pub fn lines(diagnostic: &Diagnostic, place: Option<&str>, width: usize) -> Vec<Text> {
    let role = role_of(diagnostic.severity);
    let place = place.map(str::to_owned).or_else(|| place_of(diagnostic)).unwrap_or_default();
    let name = format!("{}[{}]", diagnostic.severity.word(), diagnostic.kind);
    let mut out = Vec::new();
    let head = wrapped(&format!("{name} {place}"), width, 4);
    for (i, line) in head.into_iter().enumerate() {
        match line.strip_prefix(name.as_str()) {
            Some(rest) if i == 0 => out.push(Text::of(role, name.clone()).and(Role::Strong, rest)),
            _ => out.push(Text::of(Role::Strong, line)),
        }
    }
    out.extend(wrapped(&diagnostic.message, width, 0).into_iter().map(Text::plain));
    let shown = shown_labels(diagnostic);
    let widest = shown.iter().map(|l| line_of(l).to_string().len()).max().unwrap_or(1);
    let gutter = Gutter { digits: widest, width };
    gutter.labels(&shown, role, &mut out);
    for note in diagnostic.notes.iter().chain(&diagnostic.help) {
        gutter.note(note, &mut out);
    }
    out
}

/// The labels in the order in which they are shown: the acting file first, lines ascending.
fn shown_labels(diagnostic: &Diagnostic) -> Vec<&Label> {
    let mut files: Vec<&SourceText> = Vec::new();
    for label in &diagnostic.labels {
        if !files.iter().any(|f| f.name() == label.source.name()) {
            files.push(&label.source);
        }
    }
    let file = |l: &Label| files.iter().position(|f| f.name() == l.source.name());
    let mut labels: Vec<&Label> = diagnostic.labels.iter().take(MOST_LINES).collect();
    labels.sort_by_key(|l| (file(l), line_of(l), l.span.start));
    labels
}

fn line_of(label: &Label) -> usize {
    label.source.place(label.span.start).line
}

/// The left margin with its line numbers.
struct Gutter {
    digits: usize,
    width: usize,
}

impl Gutter {
    fn margin(&self, number: Option<usize>, sign: char) -> Text {
        let number = number.map_or_else(String::new, |n| n.to_string());
        Text::of(Role::Faint, format!("{number:>w$} {sign} ", w = self.digits))
    }

    fn labels(&self, labels: &[&Label], role: Role, out: &mut Vec<Text>) {
        let Some(first) = labels.first() else { return };
        out.push(Text::of(Role::Faint, format!("{:w$} |", "", w = self.digits)));
        let mut file = first.source.name();
        let mut last_line = None;
        for label in labels {
            let line = line_of(label);
            if file != label.source.name() {
                file = label.source.name();
                last_line = None;
                out.push(
                    Text::of(Role::Faint, format!("{:w$} | ", "", w = self.digits)).and(Role::Strong, file),
                );
            }
            let view = View::of(label, self.width.saturating_sub(self.digits + 3));
            if last_line != Some(line) {
                out.push(self.margin(Some(line), '|').and(Role::Plain, view.text.clone()));
                last_line = Some(line);
            }
            let role = if label.primary { role } else { Role::Note };
            self.underline(label, &view, role, out);
        }
    }

    /// The underline with its words beside it, or below it where they do not fit.
    fn underline(&self, label: &Label, view: &View, role: Role, out: &mut Vec<Text>) {
        let sign = if label.primary { "^" } else { "-" };
        let line = format!("{}{}", " ".repeat(view.start), sign.repeat(view.length));
        let room = self.width.saturating_sub(self.digits + 3);
        if label.text.is_empty() {
            out.push(self.margin(None, '|').and(role, line));
        } else if line.width() + 1 + label.text.width() <= room {
            out.push(self.margin(None, '|').and(role, format!("{line} {}", label.text)));
        } else {
            out.push(self.margin(None, '|').and(role, line));
            let indent = view.start.min(room / 3);
            for words in wrapped(&label.text, room.saturating_sub(indent), 0) {
                out.push(self.margin(None, '|').and(role, format!("{}{words}", " ".repeat(indent))));
            }
        }
    }

    fn note(&self, note: &str, out: &mut Vec<Text>) {
        let room = self.width.saturating_sub(self.digits + 3);
        for (i, words) in wrapped(note, room, 0).into_iter().enumerate() {
            out.push(self.margin(None, if i == 0 { '=' } else { ' ' }).and(Role::Plain, words));
        }
    }
}

/// A line of a file as it is shown, and where its underline lies, in columns.
struct View {
    text: String,
    start: usize,
    length: usize,
}

impl View {
    /// Expands tabs, replaces what would disturb a terminal and cuts a long line about the underlined words.
    fn of(label: &Label, room: usize) -> Self {
        let line = label.source.line_span(line_of(label));
        let span = Span::new(
            label.span.start.clamp(line.start, line.end),
            label.span.end.clamp(line.start, line.end),
        );
        let mut cells: Vec<(char, usize)> = Vec::new();
        let (mut column, mut start, mut end) = (0, None, None);
        // A line may be as long as the file: only what can come into view is laid out.
        let far = (span.start - line.start) + 4 * room + 64;
        for (at, c) in label.source.slice(line).char_indices().take_while(|(at, _)| *at <= far) {
            if line.start + at >= span.start {
                start.get_or_insert(column);
            }
            if line.start + at >= span.end {
                end.get_or_insert(column);
            }
            let wide = if c == '\t' { TAB - column % TAB } else { shown(c).width().unwrap_or(1) };
            cells.push((if c == '\t' { ' ' } else { shown(c) }, wide));
            column += wide;
        }
        let start = start.unwrap_or(column);
        let length = end.unwrap_or(column).saturating_sub(start).max(1);
        Self::cut(&cells, column, start, length, room.max(16))
    }

    fn cut(cells: &[(char, usize)], total: usize, start: usize, length: usize, room: usize) -> Self {
        let from = if total <= room { 0 } else { start.saturating_sub(room / 3) };
        let (lead, tail) = (if from > 0 { "..." } else { "" }, if total > from + room { "..." } else { "" });
        let fits = room.saturating_sub(lead.len() + tail.len());
        let (mut text, mut column, mut used) = (lead.to_owned(), 0, 0);
        for (c, wide) in cells {
            if from <= column && used + wide <= fits {
                // A tab became several blanks.
                let times = if *c == ' ' { *wide } else { 1 };
                text.extend(std::iter::repeat_n(*c, times));
                used += wide;
            }
            column += wide;
        }
        let start = (start - from + lead.len()).min(room.saturating_sub(1));
        text.push_str(tail);
        Self { text: text.trim_end().to_owned(), start, length: length.min(room - start) }
    }
}

/// A character as it may go to a terminal: control and direction characters become `?`.
pub fn shown(c: char) -> char {
    let directs = matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    if c.is_control() || directs { '?' } else { c }
}

/// Words broken into lines of at most `width` columns, the later ones indented.
pub fn wrapped(text: &str, width: usize, indent: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        if !line.trim().is_empty() && line.width() + 1 + word.width() > width {
            lines.push(std::mem::replace(&mut line, " ".repeat(indent)));
        } else if !line.trim().is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.trim().is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> SourceText {
        SourceText::new("pocket.nc", text)
    }

    fn label(source: &SourceText, words: &str, text: &str, primary: bool) -> Label {
        let start = source.text().find(words).unwrap();
        Label {
            source: source.clone(),
            span: Span::new(start, start + words.len()),
            text: text.to_owned(),
            primary,
        }
    }

    fn fault(labels: Vec<Label>) -> Diagnostic {
        Diagnostic {
            severity: Severity::Fault,
            kind: "rapid-into-stock",
            message: "rapid move enters stock 3.2 mm below its top".to_owned(),
            labels,
            notes: vec!["at X60.000 Y20.000 Z0.000, 1 min 7 s into the run".to_owned()],
            help: Some("program the plunge with G1 and a feed".to_owned()),
        }
    }

    fn shown_at(d: &Diagnostic, place: &str, width: usize) -> String {
        lines(d, Some(place), width).iter().map(|l| l.words().trim_end().to_owned() + "\n").collect()
    }

    #[test]
    fn two_blocks_that_matter_with_their_underlines() {
        let s = source("N400 G0 Z25.\nN410 X60. Y20.\nN420 Z-3.2\n");
        let acting = label(&s, "Z-3.2", "still G0, so this plunge is at rapid", true);
        let mode = label(&s, "G0", "G0 took effect here", false);
        let shown = shown_at(&fault(vec![acting, mode]), "pocket.nc:3 (N420), T3 10 mm end mill, G54", 80);
        insta::assert_snapshot!(shown, @r"
        fault[rapid-into-stock] pocket.nc:3 (N420), T3 10 mm end mill, G54
        rapid move enters stock 3.2 mm below its top
          |
        1 | N400 G0 Z25.
          |      -- G0 took effect here
        3 | N420 Z-3.2
          |      ^^^^^ still G0, so this plunge is at rapid
          = at X60.000 Y20.000 Z0.000, 1 min 7 s into the run
          = program the plunge with G1 and a feed
        ");
    }

    #[test]
    fn tabs_wide_characters_and_control_characters_keep_the_underline_in_place() {
        let s = source("\tG0\t(鋼 \u{1b}[31m) Z-3.\n");
        let shown = shown_at(&fault(vec![label(&s, "Z-3.", "here", true)]), "pocket.nc:1", 80);
        insta::assert_snapshot!(shown, @r"
        fault[rapid-into-stock] pocket.nc:1
        rapid move enters stock 3.2 mm below its top
          |
        1 |     G0  (鋼 ?[31m) Z-3.
          |                    ^^^^ here
          = at X60.000 Y20.000 Z0.000, 1 min 7 s into the run
          = program the plunge with G1 and a feed
        ");
    }

    #[test]
    fn a_long_line_is_cut_about_the_underline_and_long_words_go_below() {
        let s = source(&format!("G1 {}Z-9.9 {}\n", "X1. ".repeat(100), "Y1. ".repeat(100)));
        let words = "this is said at such length that it does not fit beside the underline any more";
        let shown = shown_at(&fault(vec![label(&s, "Z-9.9", words, true)]), "pocket.nc:1", 60);
        assert!(shown.lines().all(|l| l.width() <= 60), "{shown}");
        insta::assert_snapshot!(shown, @r"
        fault[rapid-into-stock] pocket.nc:1
        rapid move enters stock 3.2 mm below its top
          |
        1 | .... X1. X1. X1. X1. Z-9.9 Y1. Y1. Y1. Y1. Y1. Y1. Y1...
          |                      ^^^^^
          |                   this is said at such length that it
          |                   does not fit beside the underline any
          |                   more
          = at X60.000 Y20.000 Z0.000, 1 min 7 s into the run
          = program the plunge with G1 and a feed
        ");
    }

    #[test]
    fn a_place_in_another_file_is_named_and_no_place_is_no_trouble() {
        let s = source("N420 Z-3.2");
        let job = SourceText::new("job.json", "{\n  \"stock\": 1\n}");
        let d = fault(vec![label(&s, "Z-3.2", "", true), label(&job, "\"stock\"", "the stock", false)]);
        let shown = shown_at(&d, "pocket.nc:1", 80);
        assert!(shown.contains("  | job.json\n2 |   \"stock\": 1\n  |   ------- the stock\n"), "{shown}");
        let bare = shown_at(&fault(Vec::new()), "", 80);
        assert!(bare.starts_with("fault[rapid-into-stock]\nrapid move"), "{bare}");
        assert_eq!(
            one_line(&d, None).words(),
            format!("pocket.nc:1:6: fault[rapid-into-stock]: {}", d.message)
        );
    }

    #[test]
    fn any_span_can_be_shown() {
        let s = source("é\tab\r\n\r\nX");
        let text = s.text();
        let ends: Vec<usize> = (0..=text.len() + 2).collect();
        for start in &ends {
            for end in ends.iter().filter(|e| *e >= start) {
                let label = Label {
                    source: s.clone(),
                    span: Span::new(*start, *end),
                    text: "x".repeat(90),
                    primary: true,
                };
                for width in [0, 10, 40] {
                    assert!(lines(&fault(vec![label.clone()]), None, width).len() > 3);
                }
            }
        }
    }
}
