//! What the findings about a number that two things have share.

use super::{Context, Finding, Kind};
use crate::motion::Place;

/// A number that is named at `place`, and the two places that have it.
#[derive(Clone, Copy)]
pub(super) struct Twice {
    pub(super) place: Place,
    pub(super) first: Place,
    pub(super) second: Place,
}

impl Twice {
    /// The finding at the place that names the number, with both places shown.
    pub(super) fn finding(
        self,
        ctx: &Context<'_>,
        kind: Kind,
        setup: usize,
        message: String,
        (acting, help): (&str, &str),
    ) -> Finding {
        ctx.at_place(kind, setup, self.place)
            .message(message)
            .acting(acting)
            .help(help)
            .also(self.first, "the first")
            .also(self.second, "the second")
            .done()
    }
}
