//! Faces of a proof: plain data for terminal, JSON and later HTML. Words and layout only.
//!
//! *Invariant*: nothing is judged here.
