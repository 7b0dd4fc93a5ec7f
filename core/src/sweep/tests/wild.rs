//! Wild input.
