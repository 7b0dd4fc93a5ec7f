use super::context::label;
use super::twice::Twice;
use super::{
    Context, Finding, Kind, arc_out_of_reach, arc_radius_mismatch, arc_without_center, axis_words_missing,
    block_delete_not_stated, calls_itself, calls_too_deep, change_without_tool, codes_exclude,
    compensation_entry_on_arc, compensation_entry_too_short, compensation_left_on, compensation_look_ahead,
    compensation_not_modelled, compensation_overcut, cycle_across_spindle, cycle_left_on, cycle_upside_down,
    feed_missing, full_circle_with_radius, home_path_unknown, inside_arc_too_small, inside_corner_refused,
    jump_target_missing, jump_target_twice, length_offset_of_before, length_register_unknown, line_too_long,
    loop_not_closed, motion_not_modelled, no_motion_mode, no_safe_start, no_value, not_while_active,
    offset_set_unproven, offset_without_zero, parameter_not_set, point_missing, probe_result_unknown,
    radius_register_unknown, read_two_ways, repeated_word, return_missing, runs_forever, shift_left_on,
    start_unknown, subprogram_missing, subprogram_twice, system_parameter, text_after_end, too_many_m_codes,
    too_many_moves, tool_not_in_table, units_not_stated, units_unlike_job, unknown_word, unreadable_text,
    unused_word, word_missing, word_out_of_range,
};
use crate::motion::{Around, Fact, Place, SetBy};

/// Kinds that reading and interpreting a program may bring up.
pub(super) const KINDS: &[Kind] = &[
    arc_out_of_reach::KIND,
    arc_radius_mismatch::KIND,
    arc_without_center::KIND,
    axis_words_missing::KIND,
    block_delete_not_stated::KIND,
    calls_itself::KIND,
    calls_too_deep::KIND,
    change_without_tool::KIND,
    codes_exclude::KIND,
    compensation_entry_on_arc::KIND,
    compensation_entry_too_short::KIND,
    compensation_left_on::KIND,
    compensation_look_ahead::KIND,
    compensation_not_modelled::KIND,
    compensation_overcut::KIND,
    cycle_across_spindle::KIND,
    cycle_left_on::KIND,
    cycle_upside_down::KIND,
    feed_missing::KIND,
    full_circle_with_radius::KIND,
    home_path_unknown::KIND,
    inside_arc_too_small::KIND,
    inside_corner_refused::KIND,
    jump_target_missing::KIND,
    jump_target_twice::KIND,
    length_offset_of_before::KIND,
    length_register_unknown::KIND,
    line_too_long::KIND,
    loop_not_closed::KIND,
    motion_not_modelled::KIND,
    no_motion_mode::KIND,
    no_safe_start::KIND,
    no_value::KIND,
    not_while_active::KIND,
    offset_set_unproven::KIND,
    offset_without_zero::KIND,
    parameter_not_set::KIND,
    point_missing::KIND,
    probe_result_unknown::KIND,
    radius_register_unknown::KIND,
    read_two_ways::KIND,
    repeated_word::KIND,
    return_missing::KIND,
    runs_forever::KIND,
    shift_left_on::KIND,
    start_unknown::KIND,
    subprogram_missing::KIND,
    subprogram_twice::KIND,
    system_parameter::KIND,
    text_after_end::KIND,
    too_many_m_codes::KIND,
    too_many_moves::KIND,
    tool_not_in_table::KIND,
    units_not_stated::KIND,
    units_unlike_job::KIND,
    unknown_word::KIND,
    unreadable_text::KIND,
    unused_word::KIND,
    word_missing::KIND,
    word_out_of_range::KIND,
];

/// What the facts of a setup's run mean, in their order.
pub fn from_motion(ctx: &Context<'_>, setup: usize, facts: &[Fact]) -> Vec<Finding> {
    let around = ctx.runs.get(setup).map_or(&[][..], |run| run.around.as_slice());
    let told = facts.iter().enumerate().map(|(i, fact)| {
        let mut finding = words(ctx, setup, fact);
        if let Some(around) = around.get(i) {
            finding.tool = finding.tool.or(around.tool);
            explain(ctx, setup, fact, around, &mut finding);
        }
        finding
    });
    let start = ctx.runs.get(setup).and_then(|run| run.unsafe_start.as_ref());
    told.chain(start.map(|start| no_safe_start::finding(ctx, setup, start))).collect()
}

/// Shows the earlier blocks that set the modes that matter, and the call that led to the place.
fn explain(ctx: &Context<'_>, setup: usize, fact: &Fact, around: &Around, finding: &mut Finding) {
    let here = fact.place();
    let elsewhere = |p: &Place| (p.source, p.line) != (here.source, here.line);
    let labels = &mut finding.diagnostic.labels;
    let motion = around.mode_place.filter(|_| mode_matters(fact));
    for mode in motion.into_iter().chain(others_that_matter(fact, &around.set_by)).filter(elsewhere) {
        let Some(source) = ctx.source(setup, mode) else { continue };
        if labels.iter().all(|l| l.span != mode.span || l.source != *source) {
            let word = super::word_at(ctx, setup, mode);
            labels.push(label(source, mode.span, format!("{word} took effect here"), false));
        }
    }
    if let Some(call) = around.called_from.filter(elsewhere)
        && let Some(source) = ctx.source(setup, call)
    {
        labels.push(label(source, call.span, "called from here".to_owned(), false));
    }
}

/// Where the modes beside the motion mode were set without which a fact would be none, or another.
fn others_that_matter(fact: &Fact, set_by: &SetBy) -> impl Iterator<Item = Place> {
    let SetBy { incremental, plane, feed_mode, placing, polar, modal_call } = *set_by;
    let arc = matches!(
        fact,
        Fact::ArcRadiusMismatch { .. } | Fact::ArcOutOfReach { .. } | Fact::StartUnknown { .. }
    );
    let in_plane = matches!(
        fact,
        Fact::UnusedWord { .. }
            | Fact::ArcWithoutCenter { .. }
            | Fact::CycleAcrossSpindle { .. }
            | Fact::CompensationNotModelled { .. }
            | Fact::MotionNotModelled { .. }
    );
    let in_macro = matches!(fact, Fact::ParameterNotSet { .. } | Fact::SubprogramMissing { .. });
    let listed = if matches!(fact, Fact::ReadTwoWays { .. }) {
        [incremental, placing, polar, modal_call]
    } else if arc {
        [incremental, placing, polar, plane]
    } else if in_plane {
        [plane, placing, polar, None]
    } else if matches!(fact, Fact::CycleUpsideDown { .. }) {
        [incremental, placing, None, None]
    } else {
        [
            feed_mode.filter(|_| matches!(fact, Fact::FeedMissing { .. })),
            modal_call.filter(|_| in_macro),
            None,
            None,
        ]
    };
    listed.into_iter().flatten()
}

/// True for facts that would be none under another motion mode.
const fn mode_matters(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::UnusedWord { .. }
            | Fact::FeedMissing { .. }
            | Fact::ArcRadiusMismatch { .. }
            | Fact::ArcOutOfReach { .. }
            | Fact::ArcWithoutCenter { .. }
            | Fact::FullCircleWithRadius { .. }
            | Fact::WordMissing { .. }
            | Fact::CycleUpsideDown { .. }
            | Fact::CycleAcrossSpindle { .. }
            | Fact::StartUnknown { .. }
            | Fact::MotionNotModelled { .. }
    )
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
        Fact::ReadTwoWays { place, why } => read_two_ways::finding(ctx, setup, place, why),
        Fact::FeedMissing { place } => feed_missing::finding(ctx, setup, place),
        Fact::OffsetWithoutZero { place, offset } => offset_without_zero::finding(ctx, setup, place, offset),
        Fact::HomePathUnknown { place } => home_path_unknown::finding(ctx, setup, place),
        Fact::StartUnknown { place } => start_unknown::finding(ctx, setup, place),
        Fact::CompensationNotModelled { place } => compensation_not_modelled::finding(ctx, setup, place),
        Fact::CycleAcrossSpindle { place } => cycle_across_spindle::finding(ctx, setup, place),
        Fact::ToolNotInTable { place, tool } => tool_not_in_table::finding(ctx, setup, place, tool),
        Fact::ChangeWithoutTool { place } => change_without_tool::finding(ctx, setup, place),
        Fact::TooManyM { place, most } => too_many_m_codes::finding(ctx, setup, place, most),
        Fact::NotWhileActive { place, mode, what } => {
            not_while_active::finding(ctx, setup, place, mode, what)
        }
        Fact::MotionNotModelled { place, what } => motion_not_modelled::finding(ctx, setup, place, what),
        Fact::ProbeResultUnknown { place } => probe_result_unknown::finding(ctx, setup, place),
        Fact::OffsetSetUnproven { place } => offset_set_unproven::finding(ctx, setup, place),
        Fact::ShiftLeftOn { place, set } => shift_left_on::finding(ctx, setup, place, set),
        Fact::SubprogramMissing { place, number } => subprogram_missing::finding(ctx, setup, place, number),
        Fact::SubprogramTwice { place, number, first, second } => {
            subprogram_twice::finding(ctx, setup, number, Twice { place, first, second })
        }
        Fact::CallsTooDeep { place, most } => calls_too_deep::finding(ctx, setup, place, most),
        Fact::CallsItself { place, first } => calls_itself::finding(ctx, setup, place, first),
        Fact::RunsForever { place } => runs_forever::finding(ctx, setup, place),
        Fact::JumpTargetMissing { place, number } => jump_target_missing::finding(ctx, setup, place, number),
        Fact::JumpTargetTwice { place, number, first, second } => {
            jump_target_twice::finding(ctx, setup, number, Twice { place, first, second })
        }
        Fact::ReturnMissing { place } => return_missing::finding(ctx, setup, place),
        Fact::TextAfterEnd { place } => text_after_end::finding(ctx, setup, place),
        Fact::LoopNotClosed { place } => loop_not_closed::finding(ctx, setup, place),
        Fact::CompensationLeftOn { place, set } => compensation_left_on::finding(ctx, setup, place, set),
        Fact::CompensationEntryOnArc { place, gap } => {
            compensation_entry_on_arc::finding(ctx, setup, place, gap)
        }
        Fact::CompensationEntryTooShort { place, length, radius } => {
            compensation_entry_too_short::finding(ctx, setup, place, length, radius)
        }
        Fact::InsideArcTooSmall { place, radius, tool } => {
            inside_arc_too_small::finding(ctx, setup, place, radius, tool)
        }
        Fact::CompensationOvercut { place, other, radius, depth } => {
            compensation_overcut::finding(ctx, setup, place, other, radius, depth)
        }
        Fact::InsideCornerRefused { place, first } => {
            inside_corner_refused::finding(ctx, setup, place, first)
        }
        Fact::CompensationLookAhead { place, blocks, most } => {
            compensation_look_ahead::finding(ctx, setup, place, blocks, most)
        }
        Fact::RadiusRegisterUnknown { place, register } => {
            radius_register_unknown::finding(ctx, setup, place, register)
        }
        Fact::CycleLeftOn { place, set } => cycle_left_on::finding(ctx, setup, place, set),
        Fact::LengthOffsetOfBefore { place, register, set } => {
            length_offset_of_before::finding(ctx, setup, place, register, set)
        }
        Fact::LengthRegisterUnknown { place, register } => {
            length_register_unknown::finding(ctx, setup, place, register)
        }
        Fact::LineTooLong { place, most } => line_too_long::finding(ctx, setup, place, most),
        Fact::UnitsUnlikeJob { place, unit } => units_unlike_job::finding(ctx, setup, place, unit),
        Fact::PointMissing { place } => point_missing::finding(ctx, setup, place),
        Fact::TooManyMoves { place } => too_many_moves::finding(ctx, setup, place),
    }
}
