//! Made-up jobs on a 100 x 60 x 20 mm block, one kind one file. Every job is the same text in every run.

mod arcs;
mod ball;
mod flat;
mod holes;
mod rapids;
#[cfg(test)]
mod tests;

pub use flat::flat_volume;

use crate::files::MadeUp;
use crate::name::JobName;

/// What is cut, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Level moves of an end mill.
    Flat,
    /// Moves of a ball mill of which none is level.
    Ball,
    /// Level arcs.
    Arcs,
    /// Holes spotted, drilled and chamfered.
    Holes,
    /// Rapids that meet nothing.
    Rapids,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Self; 5] = [Self::Flat, Self::Ball, Self::Arcs, Self::Holes, Self::Rapids];

    /// The word that begins a job's name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Ball => "ball",
            Self::Arcs => "arcs",
            Self::Holes => "holes",
            Self::Rapids => "rapids",
        }
    }
}

/// Makes up a job.
pub fn make(name: &JobName) -> MadeUp {
    let moves = i64::from(name.moves);
    let program = match name.kind {
        Kind::Flat => flat::program(moves),
        Kind::Ball => ball::program(moves),
        Kind::Arcs => arcs::program(moves),
        Kind::Holes => holes::program(moves),
        Kind::Rapids => rapids::program(moves),
    };
    MadeUp::new(&name.to_string(), name.spacing, program)
}

/// Times that a way must be gone so that `moves` moves are 0.35 mm long in the mean, at least once.
fn rounds(moves: i64, way: i64) -> i64 {
    let mean = 35 * crate::zigzag::UNITS_PER_MM / 100;
    ((moves * mean + way / 2) / way.max(1)).max(1)
}
