use super::{
    Context, Finding, Kind, arc_out_of_reach, arc_radius_mismatch, arc_without_center, axis_words_missing,
    block_delete_not_stated, change_without_tool, codes_exclude, compensation_not_modelled,
    cycle_across_spindle, cycle_upside_down, feed_missing, full_circle_with_radius, home_path_unknown,
    no_motion_mode, no_value, offset_without_zero, parameter_not_set, read_two_ways, repeated_word,
    start_unknown, system_parameter, too_many_moves, tool_not_in_table, units_not_stated, unknown_word,
    unreadable_text, unused_word, word_missing, word_out_of_range,
};
use crate::motion::{Fact, Place, Run, ToolCall};

/// Kinds that reading and interpreting a program may bring up.
pub(super) const KINDS: &[Kind] = &[
    arc_out_of_reach::KIND,
    arc_radius_mismatch::KIND,
    arc_without_center::KIND,
    axis_words_missing::KIND,
    block_delete_not_stated::KIND,
    change_without_tool::KIND,
    codes_exclude::KIND,
    compensation_not_modelled::KIND,
    cycle_across_spindle::KIND,
    cycle_upside_down::KIND,
    feed_missing::KIND,
    full_circle_with_radius::KIND,
    home_path_unknown::KIND,
    no_motion_mode::KIND,
    no_value::KIND,
    offset_without_zero::KIND,
    parameter_not_set::KIND,
    read_two_ways::KIND,
    repeated_word::KIND,
    start_unknown::KIND,
    system_parameter::KIND,
    too_many_moves::KIND,
    tool_not_in_table::KIND,
    units_not_stated::KIND,
    unknown_word::KIND,
    unreadable_text::KIND,
    unused_word::KIND,
    word_missing::KIND,
    word_out_of_range::KIND,
];

/// What the facts of a setup's run mean, in their order.
pub fn from_motion(ctx: &Context<'_>, setup: usize, facts: &[Fact]) -> Vec<Finding> {
    let tool_at = |place: Place| ctx.runs.get(setup).and_then(|run| tool_at(run, place));
    let told = facts.iter().map(|fact| {
        let mut finding = words(ctx, setup, fact);
        finding.tool = finding.tool.or_else(|| tool_at(fact.place()));
        finding
    });
    told.collect()
}

/// The tool in the spindle at a place: the last one changed to before it.
fn tool_at(run: &Run, place: Place) -> Option<u32> {
    let before = run.events.partition_point(|e| e.place.line <= place.line);
    let changes = run.events.get(..before)?.iter().rev();
    let mut tools =
        changes.filter_map(|e| if let ToolCall::Change { tool } = e.call { Some(tool) } else { None });
    tools.next().filter(|tool| *tool != 0)
}

fn words(ctx: &Context<'_>, setup: usize, fact: &Fact) -> Finding {
    match *fact {
        Fact::UnknownWord { place } => unknown_word::finding(ctx, setup, place),
        Fact::UnreadableText { place, fault } => unreadable_text::finding(ctx, setup, place, fault),
        Fact::UnusedWord { place } => unused_word::finding(ctx, setup, place),
        Fact::RepeatedWord { place, first } => repeated_word::finding(ctx, setup, place, first),
        Fact::CodesExclude { place, first } => codes_exclude::finding(ctx, setup, place, first),
        Fact::NoMotionMode { place } => no_motion_mode::finding(ctx, setup, place),
        Fact::AxisWordsMissing { place } => axis_words_missing::finding(ctx, setup, place),
        Fact::WordOutOfRange { place } => word_out_of_range::finding(ctx, setup, place),
        Fact::ParameterNotSet { place, number } => parameter_not_set::finding(ctx, setup, place, number),
        Fact::NoValue { place } => no_value::finding(ctx, setup, place),
        Fact::SystemParameter { place, number } => system_parameter::finding(ctx, setup, place, number),
        Fact::BlockDeleteNotStated { place } => block_delete_not_stated::finding(ctx, setup, place),
        Fact::UnitsNotStated { place } => units_not_stated::finding(ctx, setup, place),
        Fact::ArcRadiusMismatch { place, at_start, at_end, tolerance } => {
            arc_radius_mismatch::finding(ctx, setup, place, at_start, at_end, tolerance)
        }
        Fact::ArcOutOfReach { place, radius, least } => {
            arc_out_of_reach::finding(ctx, setup, place, radius, least)
        }
        Fact::FullCircleWithRadius { place } => full_circle_with_radius::finding(ctx, setup, place),
        Fact::ArcWithoutCenter { place } => arc_without_center::finding(ctx, setup, place),
        Fact::WordMissing { place, letter } => word_missing::finding(ctx, setup, place, letter),
        Fact::CycleUpsideDown { place, retract, bottom } => {
            cycle_upside_down::finding(ctx, setup, place, retract, bottom)
        }
        Fact::ReadTwoWays { place } => read_two_ways::finding(ctx, setup, place),
        Fact::FeedMissing { place } => feed_missing::finding(ctx, setup, place),
        Fact::OffsetWithoutZero { place, offset } => offset_without_zero::finding(ctx, setup, place, offset),
        Fact::HomePathUnknown { place } => home_path_unknown::finding(ctx, setup, place),
        Fact::StartUnknown { place } => start_unknown::finding(ctx, setup, place),
        Fact::CompensationNotModelled { place } => compensation_not_modelled::finding(ctx, setup, place),
        Fact::CycleAcrossSpindle { place } => cycle_across_spindle::finding(ctx, setup, place),
        Fact::ToolNotInTable { place, tool } => tool_not_in_table::finding(ctx, setup, place, tool),
        Fact::ChangeWithoutTool { place } => change_without_tool::finding(ctx, setup, place),
        Fact::TooManyMoves { place } => too_many_moves::finding(ctx, setup, place),
    }
}
