use crate::colour::Colour;

/// What colours and patterns mean, for whoever draws text.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Legend {
    /// What is told, such as `Distance from the drawing, in`.
    pub title: String,
    /// From above downwards.
    pub entries: Vec<Entry>,
}

/// One line of a legend.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// What is shown before the words.
    pub swatch: Swatch,
    /// The words.
    pub text: String,
}

/// What stands before the words of a legend.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Swatch {
    /// A patch of a colour.
    Patch(Colour),
    /// A line in a pattern.
    Line(Colour, super::Pattern),
    /// Nothing.
    None,
}
