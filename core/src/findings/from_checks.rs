//! Facts of [`crate::checks`] to findings.

use super::{
    Context, Finding, Kind, cutter_into_workholding, end_missing, feed_too_high, holder_into_workholding,
    holder_not_given, near_workholding, no_length_offset, no_tool_called, outside_travel,
    register_of_other_tool, shank_into_workholding, spindle_not_turning, spindle_too_fast, spindle_too_slow,
    spindle_wrong_way, stock_not_modelled, too_many_tools, tool_called_ahead, tool_without_pocket,
    vise_cannot_close, workholding_in_stock,
};
use crate::checks::contact::Collision;
use crate::checks::workholding::{Holding, HoldingFault};
use crate::checks::{Fact, JobFact};
use crate::cutter::PartRole;
use crate::stock::StockError;

/// Kinds that this dispatcher makes.
pub(super) const KINDS: &[Kind] = &[
    cutter_into_workholding::KIND,
    feed_too_high::KIND,
    holder_into_workholding::KIND,
    holder_not_given::KIND,
    near_workholding::KIND,
    no_length_offset::KIND,
    end_missing::KIND,
    no_tool_called::KIND,
    outside_travel::KIND,
    register_of_other_tool::KIND,
    shank_into_workholding::KIND,
    spindle_not_turning::KIND,
    spindle_too_fast::KIND,
    spindle_too_slow::KIND,
    spindle_wrong_way::KIND,
    stock_not_modelled::KIND,
    too_many_tools::KIND,
    tool_called_ahead::KIND,
    tool_without_pocket::KIND,
    vise_cannot_close::KIND,
    workholding_in_stock::KIND,
];

/// Findings of one setup's checks, in the order of the facts.
pub fn from_checks(ctx: &Context<'_>, setup: usize, facts: &[Fact]) -> Vec<Finding> {
    facts.iter().map(|f| of_fact(ctx, setup, f)).collect()
}

/// Findings about the workholding itself.
pub fn from_holding(ctx: &Context<'_>, setup: usize, holding: &Holding) -> Vec<Finding> {
    holding
        .faults
        .iter()
        .filter_map(|f| match f {
            HoldingFault::CannotClose { place, why } => {
                Some(vise_cannot_close::finding(ctx, setup, place, why))
            }
            HoldingFault::InStock { piece, overlap } => {
                let piece = holding.pieces.get(*piece)?;
                Some(workholding_in_stock::finding(ctx, setup, &piece.place, &piece.name, overlap))
            }
        })
        .collect()
}

/// The finding of a job whose stock cannot be modelled.
pub fn from_stock(ctx: &Context<'_>, why: &StockError) -> Finding {
    stock_not_modelled::finding(ctx, why)
}

/// Findings about the changer over the whole job.
pub fn from_changer(ctx: &Context<'_>, facts: &[JobFact]) -> Vec<Finding> {
    facts
        .iter()
        .map(|f| match f {
            JobFact::TooManyTools { setup, place, tool, called, pockets, free } => {
                let full = too_many_tools::Full { tool: *tool, called, pockets: *pockets, free };
                too_many_tools::finding(ctx, *setup, *place, &full)
            }
            JobFact::ToolWithoutPocket { setup, place, tool, pockets, free } => {
                tool_without_pocket::finding(ctx, *setup, *place, *tool, (*pockets, free))
            }
        })
        .collect()
}

fn of_fact(ctx: &Context<'_>, setup: usize, fact: &Fact) -> Finding {
    match fact {
        Fact::Collision { hit, solid } => collision(ctx, setup, hit, solid),
        Fact::Near { approach, solid } => near_workholding::finding(ctx, setup, approach, solid),
        Fact::SpindleNotTurning { move_index, moves, cutting, no_speed } => {
            spindle_not_turning::finding(ctx, setup, (*move_index, *moves), *cutting, *no_speed)
        }
        Fact::SpindleWrongWay { move_index, moves, hand, tapping } => {
            spindle_wrong_way::finding(ctx, setup, (*move_index, *moves), *hand, *tapping)
        }
        Fact::NoLengthOffset { move_index, cancelled } => {
            no_length_offset::finding(ctx, setup, *move_index, *cancelled)
        }
        Fact::RegisterOfOther { place, letter, register, tool, own, owner } => {
            let called = register_of_other_tool::Called {
                letter: *letter,
                register: *register,
                tool: *tool,
                own: *own,
                owner: *owner,
            };
            register_of_other_tool::finding(ctx, setup, *place, &called)
        }
        Fact::CalledAhead { place, tool, in_spindle } => {
            tool_called_ahead::finding(ctx, setup, *place, *tool, *in_spindle)
        }
        Fact::OutsideTravel { move_index, axis, reached, end } => {
            outside_travel::finding(ctx, setup, *move_index, *axis, (*reached, *end))
        }
        Fact::TravelTooShort { axis, needed, room } => {
            outside_travel::too_short(ctx, setup, *axis, (*needed, *room))
        }
        Fact::HolderNotGiven { place, tool } => holder_not_given::finding(ctx, setup, *place, *tool),
        Fact::EndMissing { place } => end_missing::finding(ctx, setup, *place),
        Fact::NoToolCalled { move_index } => no_tool_called::finding(ctx, setup, *move_index),
        Fact::SpeedTooHigh { move_index, rpm, limit } => {
            spindle_too_fast::finding(ctx, setup, *move_index, *rpm, *limit)
        }
        Fact::SpeedTooLow { move_index, rpm, limit } => {
            spindle_too_slow::finding(ctx, setup, *move_index, *rpm, *limit)
        }
        Fact::FeedTooHigh { move_index, feed, limit } => {
            feed_too_high::finding(ctx, setup, *move_index, *feed, *limit)
        }
    }
}

fn collision(ctx: &Context<'_>, setup: usize, hit: &Collision, solid: &str) -> Finding {
    match hit.role {
        PartRole::Cutter => cutter_into_workholding::finding(ctx, setup, hit, solid),
        PartRole::Shank => shank_into_workholding::finding(ctx, setup, hit, solid),
        PartRole::Holder => holder_into_workholding::finding(ctx, setup, hit, solid),
    }
}
