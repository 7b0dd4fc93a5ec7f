//! Text with roles, tables and the order of both: what every face arranges in its own way.

/// What a piece of text is, so that a face can colour it. Colour is never the only sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// Ordinary.
    Plain,
    /// Important.
    Strong,
    /// Less important: rulers, line numbers.
    Faint,
    /// A fault, or a size outside its limits.
    Fault,
    /// A warning, or a size that cannot be decided.
    Warning,
    /// A note, or a place that only explains.
    Note,
    /// Something not proved.
    Unproven,
    /// As it should be.
    Good,
}

/// One line of text in pieces with roles.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Text {
    /// The pieces in order.
    pub pieces: Vec<(Role, String)>,
}

impl Text {
    /// Ordinary text.
    pub fn plain(text: impl Into<String>) -> Self {
        Self::of(Role::Plain, text)
    }

    /// Text of one role.
    pub fn of(role: Role, text: impl Into<String>) -> Self {
        Self { pieces: vec![(role, text.into())] }
    }

    /// The same with a further piece.
    #[must_use]
    pub fn and(mut self, role: Role, text: impl Into<String>) -> Self {
        self.pieces.push((role, text.into()));
        self
    }

    /// The words without roles.
    pub fn words(&self) -> String {
        self.pieces.iter().map(|(_, t)| t.as_str()).collect()
    }
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        Self::plain(text)
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Self {
        Self::plain(text)
    }
}

/// How a column of a table is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Words, from the left; wrapped where the page is narrow.
    Words,
    /// Short words that are never wrapped.
    Name,
    /// Numbers, to the right; never wrapped.
    Number,
}

/// A table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Heading and setting of each column.
    pub columns: Vec<(&'static str, Column)>,
    /// Rows, each with one cell per column.
    pub rows: Vec<Vec<Text>>,
}

/// A part of a report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// Begins a section.
    Heading(String),
    /// Names with what they are, one a line.
    Facts(Vec<(String, Text)>),
    /// A table.
    Table(Table),
    /// Lines that stand as they are, such as a piece of program with its underlines.
    Lines(Vec<Text>),
    /// A paragraph, wrapped to the page.
    Paragraph(Text),
    /// Points of a list, wrapped to the page.
    List(Vec<Text>),
}
