//! The sentence that the three kinds of running into workholding share.

use super::{Builder, Context, Finding, Kind};
use crate::checks::contact::Collision;

/// Under this depth, millimetres, it is told as a touch.
const TOUCH: f64 = 5.0e-4;

pub(super) fn finding(
    kind: Kind,
    what: &str,
    ctx: &Context<'_>,
    setup: usize,
    hit: &Collision,
    solid: &str,
) -> Finding {
    let deep = hit.depth > TOUCH;
    let message = if deep {
        format!("{what} goes {} into {solid}", ctx.length(hit.depth))
    } else {
        format!("{what} touches {solid}")
    };
    let builder = ctx
        .at_move(kind, setup, hit.move_index)
        .message(message)
        .acting(format!("{what} into {solid}"))
        .at(hit.at)
        .amount(hit.depth)
        .note(tip_note(ctx, setup, hit));
    let builder = if deep {
        builder.help(format!(
            "at its deepest the tool would have to be {} higher, or {} away in the nearest direction",
            ctx.length(hit.lift),
            ctx.length(hit.depth)
        ))
    } else {
        builder.help("keep the tool clear of it, or hold the part in another way")
    };
    more(builder, ctx, setup, hit).done()
}

fn tip_note(ctx: &Context<'_>, setup: usize, hit: &Collision) -> String {
    let offset = ctx.move_at(setup, hit.move_index).map(|m| m.offset);
    format!("the tip is then at {}", ctx.position(setup, offset, &hit.tip))
}

/// Says where it goes on.
fn more<'a>(builder: Builder<'a>, ctx: &Context<'a>, setup: usize, hit: &Collision) -> Builder<'a> {
    if hit.moves <= 1 {
        return builder;
    }
    let builder =
        builder.note(format!("{} of this tool do so", super::words::count(hit.moves, "move", "moves")));
    match ctx.move_at(setup, hit.deepest_move) {
        Some(m) if hit.deepest_move != hit.move_index => {
            builder.note(format!("deepest in line {}", m.place.line))
        }
        _ => builder,
    }
}
