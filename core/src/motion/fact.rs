use super::Place;

/// What reading and interpreting a program brought up. Words are made of it in [`crate::findings`].
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// A word or a character that is not understood: nothing after it is proved.
    UnknownWord {
        /// Where.
        place: Place,
    },
}
