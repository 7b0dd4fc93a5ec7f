//! Proofcut's core: from posted programs and job files to a proof.
//!
//! The layers, lowest first; a module may only use modules below it (a test enforces it):
//!
//! | layer | modules |
//! |---|---|
//! | plain ground | [`geom`], [`units`], [`source`] |
//! | text and tools | [`program`], [`cutter`] |
//! | tools along paths | [`sweep`] |
//! | what the shop hands us | [`job`] |
//! | what the machine would do | [`motion`] |
//! | matter | [`stock`], [`solid`] |
//! | tools through matter | [`cutting`] |
//! | judgement | [`checks`], [`inspect`]; to look at: [`surface`] |
//! | words | [`findings`] |
//! | everything in order | [`proof`] |
//! | faces | [`report`] |
//!
//! Core speaks millimetres, radians, seconds and revolutions per minute; the stock speaks whole
//! nanometres. It reads no files by itself (see [`job::Files`]), has no clock and prints nothing.

pub mod checks;
pub mod cutter;
pub mod cutting;
pub mod findings;
pub mod geom;
pub mod inspect;
pub mod job;
pub mod motion;
pub mod program;
pub mod proof;
pub mod report;
pub mod solid;
pub mod source;
pub mod stock;
pub mod surface;
pub mod sweep;
pub mod units;
