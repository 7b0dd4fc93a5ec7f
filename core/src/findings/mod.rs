//! Facts to words: one kind, one file, one spec.
//!
//! A layer below gives facts; its dispatcher here (`from_motion`, `from_cutting`, `from_checks`, `from_inspect`)
//! hands each fact to the file of its kind, which writes the sentence. To add a kind: a file named like the kind
//! with underscores, holding `pub(super) const KIND` and `pub(super) fn finding`; a line in its dispatcher's
//! `KINDS`; a spec `tests/specs/<kind>.md`. A test fails when one of the three is missing.
//!
//! *Invariant*: a finding's sentence stands alone, and its kind has a file here and a spec in `tests/specs`.

mod arc_out_of_reach;
mod arc_radius_mismatch;
mod arc_without_center;
mod axis_words_missing;
mod block_delete_not_stated;
mod builder;
mod calls_itself;
mod calls_too_deep;
mod change_without_tool;
mod codes_exclude;
mod collision;
mod compensation_entry_on_arc;
mod compensation_entry_too_short;
mod compensation_left_on;
mod compensation_look_ahead;
mod compensation_not_modelled;
mod compensation_overcut;
mod context;
mod cutter_into_workholding;
mod cycle_across_spindle;
mod cycle_left_on;
mod cycle_upside_down;
mod drawing_not_modelled;
mod edge_break_outside;
mod edge_break_undecided;
mod edge_not_broken;
mod end_missing;
mod feature_missing;
mod feature_outside;
mod feature_undecided;
mod feed_missing;
mod feed_too_high;
mod finding;
mod from_checks;
mod from_cutting;
mod from_inspect;
mod from_motion;
mod full_circle_with_radius;
mod gouge;
mod holder_into_stock;
mod holder_into_workholding;
mod holder_not_given;
mod home_path_unknown;
mod inside_arc_too_small;
mod inside_corner_refused;
mod jump_target_missing;
mod jump_target_twice;
mod leftover;
mod length_offset_of_before;
mod length_register_unknown;
mod line_too_long;
mod loop_not_closed;
mod maker;
mod motion_not_modelled;
mod near_workholding;
mod no_length_offset;
mod no_motion_mode;
mod no_safe_start;
mod no_tool_called;
mod no_value;
mod not_while_active;
mod offset_set_unproven;
mod offset_without_zero;
mod outside_travel;
mod parameter_not_set;
mod pieces_left;
mod plunge_not_center_cutting;
mod point_missing;
mod probe_result_unknown;
mod radius_register_unknown;
mod rapid_into_stock;
mod read_two_ways;
mod register_of_other_tool;
mod repeated_word;
mod return_missing;
mod runs_forever;
mod shank_into_stock;
mod shank_into_workholding;
mod shift_left_on;
mod size_missing;
mod size_outside;
mod size_undecided;
mod spindle_not_turning;
mod spindle_too_fast;
mod spindle_too_slow;
mod spindle_wrong_way;
mod start_unknown;
mod stock_not_modelled;
mod subprogram_missing;
mod subprogram_twice;
mod system_parameter;
mod tap_drill_wrong;
mod text_after_end;
mod thread_missing;
mod thread_too_short;
mod too_many_m_codes;
mod too_many_moves;
mod too_many_tools;
mod tool_called_ahead;
mod tool_not_in_table;
mod tool_without_pocket;
mod twice;
mod units_not_stated;
mod units_unlike_job;
mod unknown_word;
mod unreadable_text;
mod unused_word;
mod vise_cannot_close;
mod word_missing;
mod word_out_of_range;
pub mod words;
mod workholding_in_stock;
mod wrong_tap;

pub use builder::Builder;
pub use context::{Context, short_name};
pub use finding::{Amount, Finding, Kind};
pub use from_checks::{from_changer, from_checks, from_holding, from_stock};
pub use from_cutting::from_cutting;
pub use from_inspect::{from_final_part, from_inspect};
pub use from_motion::from_motion;

/// Kinds of every dispatcher.
const DISPATCHERS: &[&[Kind]] =
    &[from_checks::KINDS, from_cutting::KINDS, from_inspect::KINDS, from_motion::KINDS];

/// Every kind of finding that there is, sorted by name.
pub fn kinds() -> Vec<Kind> {
    let mut kinds: Vec<Kind> = DISPATCHERS.iter().flat_map(|d| d.iter().copied()).collect();
    kinds.sort_by_key(|k| k.name);
    kinds
}

/// The kind of a name.
pub fn kind(name: &str) -> Option<Kind> {
    kinds().into_iter().find(|k| k.name == name)
}

/// The word for a part of a tool.
const fn role_word(role: crate::cutter::PartRole) -> &'static str {
    match role {
        crate::cutter::PartRole::Cutter => "cutter",
        crate::cutter::PartRole::Shank => "shank",
        crate::cutter::PartRole::Holder => "holder",
    }
}

/// The words at a place as the program writes them, cut to a handy length.
fn word_at(ctx: &Context<'_>, setup: usize, place: crate::motion::Place) -> String {
    /// Enough for any word, and for the words of a block as they are commonly written.
    const LONGEST_WORD: usize = 40;
    words::cut(ctx.source(setup, place).map_or("", |s| s.slice(place.span)), LONGEST_WORD)
}
