use crate::solid::Unclear;

/// Something that the inspection noticed beside the measured values. Words are made of it in [`crate::findings`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fact {
    /// The drawing asks for something that is not modelled: it is never judged as made.
    Unclear(Unclear),
    /// A threaded hole was tapped by a tap of another thread only.
    WrongTap {
        /// Index of the feature.
        feature: usize,
        /// Index of the setup.
        setup: usize,
        /// Index of the tapping move.
        move_index: usize,
    },
    /// A threaded hole was never tapped.
    NotTapped {
        /// Index of the feature.
        feature: usize,
    },
    /// Full thread does not reach as deep as the drawing asks.
    ThreadTooShort {
        /// Index of the feature.
        feature: usize,
        /// Index of the setup.
        setup: usize,
        /// Index of the tapping move.
        move_index: usize,
        /// How deep full thread reaches at most, from the mouth, millimetres.
        reached: f64,
        /// How deep the drawing asks, millimetres.
        asked: f64,
    },
    /// The drawing's finished mesh cannot be compared, because it is not closed.
    MeshNotClosed,
    /// The drawing takes material away and has nothing that it is taken from: nothing can be compared.
    NothingToCompare,
}
