//! Views of a proof.
