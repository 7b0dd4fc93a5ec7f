//! Texts and places in them. Every fact about a file can say where in the text it stands.
//!
//! *Invariant*: a [`Span`] always lies inside its text, on character borders.

mod diagnostic;

pub use diagnostic::{Diagnostic, Label, Severity};

use std::sync::Arc;

/// A piece of a text: byte offsets, `start <= end`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// A span from its ends.
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }
}

/// A file's name as the user wrote it, and its text. Cheap to clone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceText {
    inner: Arc<Inner>,
}

#[derive(Debug, PartialEq, Eq)]
struct Inner {
    name: String,
    text: String,
    /// Byte offset of the start of each line.
    line_starts: Vec<usize>,
}

/// A place in a text: 1-based line and 1-based column in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// 1-based line.
    pub line: usize,
    /// 1-based column, counted in characters.
    pub column: usize,
}

impl SourceText {
    /// Takes a text. Lines end at `\n` or `\r\n`.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Self {
        let text = text.into();
        let mut line_starts = vec![0];
        line_starts.extend(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1));
        Self { inner: Arc::new(Inner { name: name.into(), text, line_starts }) }
    }

    /// The file's name as the user wrote it.
    pub fn name(&self) -> &str {
        &self.inner.name
    }

    /// The whole text.
    pub fn text(&self) -> &str {
        &self.inner.text
    }

    /// Number of lines (a text that ends with a line end has an empty last line).
    pub fn line_count(&self) -> usize {
        self.inner.line_starts.len()
    }

    /// The text of a 1-based line without its line end; empty beyond the last.
    pub fn line(&self, line: usize) -> &str {
        let span = self.line_span(line);
        self.inner.text.get(span.start..span.end).unwrap_or("")
    }

    /// Where a 1-based line lies, without its line end; empty at the text's end beyond the last.
    pub fn line_span(&self, line: usize) -> Span {
        let len = self.inner.text.len();
        let start = line.checked_sub(1).and_then(|i| self.inner.line_starts.get(i)).copied().unwrap_or(len);
        let next = self.inner.line_starts.get(line).copied().unwrap_or(len + 1);
        let body = self.inner.text.get(start..next.saturating_sub(1).max(start)).unwrap_or("");
        Span::new(start, start + body.trim_end_matches('\r').len())
    }

    /// Line and column of a byte offset.
    pub fn place(&self, offset: usize) -> Place {
        let index = self.inner.line_starts.partition_point(|s| *s <= offset).saturating_sub(1);
        let start = self.inner.line_starts.get(index).copied().unwrap_or(0);
        let column = self.inner.text.get(start..offset).map_or(0, |t| t.chars().count()) + 1;
        Place { line: index + 1, column }
    }

    /// The text of a span; empty if it lies outside.
    pub fn slice(&self, span: Span) -> &str {
        self.inner.text.get(span.start..span.end).unwrap_or("")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_places_and_slices() {
        let s = SourceText::new("a.nc", "G0\r\nX1 é Y2\n");
        assert_eq!(s.line_count(), 3);
        assert_eq!((s.line(1), s.line(2), s.line(3), s.line(9)), ("G0", "X1 é Y2", "", ""));
        assert_eq!(s.place(0), Place { line: 1, column: 1 });
        assert_eq!(s.place(10), Place { line: 2, column: 6 });
        assert_eq!(s.slice(s.line_span(2)), "X1 é Y2");
    }
}
