//! Contacts of [`crate::cutting`] to findings: one for each kind and stay of a tool, at the first move that does it.

use super::{
    Builder, Context, Finding, Kind, holder_into_stock, plunge_not_center_cutting, rapid_into_stock,
    shank_into_stock, words,
};
use crate::checks::sections;
use crate::cutting::{Contact, ContactKind};

/// Kinds that this dispatcher makes.
pub(super) const KINDS: &[Kind] = &[
    holder_into_stock::KIND,
    plunge_not_center_cutting::KIND,
    rapid_into_stock::KIND,
    shank_into_stock::KIND,
];

/// Contacts of one kind during one stay of a tool, in order; never empty.
pub(super) struct Group<'a> {
    /// The first.
    pub(super) first: &'a Contact,
    /// The deepest.
    pub(super) deepest: &'a Contact,
    /// All, the first one too.
    pub(super) all: Vec<&'a Contact>,
}

/// Most lines listed.
const MOST_LINES: usize = 12;

/// Findings of one setup's contacts with stock.
pub fn from_cutting(ctx: &Context<'_>, setup: usize, contacts: &[Contact]) -> Vec<Finding> {
    let Some(run) = ctx.runs.get(setup) else { return Vec::new() };
    let mut out = Vec::new();
    for section in sections(run) {
        for kind in [
            ContactKind::RapidIntoStock,
            ContactKind::CenterIntoStock,
            ContactKind::ShankIntoStock,
            ContactKind::HolderIntoStock,
        ] {
            let mine = |c: &&Contact| c.kind == kind && section.moves.contains(&c.move_index);
            let all: Vec<&Contact> = contacts.iter().filter(mine).collect();
            let Some(group) = Group::new(all) else { continue };
            out.push(match kind {
                ContactKind::RapidIntoStock => rapid_into_stock::finding(ctx, setup, &group),
                ContactKind::CenterIntoStock => plunge_not_center_cutting::finding(ctx, setup, &group),
                ContactKind::ShankIntoStock => shank_into_stock::finding(ctx, setup, &group),
                ContactKind::HolderIntoStock => holder_into_stock::finding(ctx, setup, &group),
            });
        }
    }
    out
}

impl<'a> Group<'a> {
    fn new(all: Vec<&'a Contact>) -> Option<Self> {
        let first = *all.first()?;
        let deepest = all.iter().copied().fold(first, |a, b| if b.depth > a.depth { b } else { a });
        Some(Self { first, deepest, all })
    }

    /// Where the tip is at the first contact.
    pub(super) fn tip(&self, ctx: &Context<'_>, setup: usize) -> String {
        let offset = ctx.move_at(setup, self.first.move_index).map(|m| m.offset);
        format!("the tip is then at {}", ctx.position(setup, offset, &self.first.tip))
    }

    /// Adds the other lines of the stay that do the same.
    pub(super) fn more<'b>(&self, builder: Builder<'b>, ctx: &Context<'_>, setup: usize) -> Builder<'b> {
        let line = |c: &Contact| ctx.move_at(setup, c.move_index).map_or(0, |m| m.place.line);
        let first = line(self.first);
        let mut lines: Vec<u32> = self.all.iter().map(|c| line(c)).filter(|l| *l != first).collect();
        lines.dedup();
        if lines.is_empty() {
            return builder;
        }
        let names: Vec<String> = lines.iter().map(u32::to_string).collect();
        let builder = builder.note(format!("also in line {}", words::list(&names, MOST_LINES)));
        if self.deepest.depth > self.first.depth {
            let deepest =
                format!("deepest, {}, in line {}", ctx.length(self.deepest.depth), line(self.deepest));
            return builder.note(deepest);
        }
        builder
    }
}
