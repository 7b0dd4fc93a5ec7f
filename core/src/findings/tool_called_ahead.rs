use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "tool-called-ahead",
    severity: Severity::Fault,
    explanation: "The next tool is named while another one still works, as is usual with a changer arm. This carousel must \
                  take the present tool back into its own pocket first; turned ahead to the next tool it offers the wrong \
                  pocket, and the change jams or puts tools into each other's places.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, tool: u32, in_spindle: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .tool(tool)
        .message(format!(
            "T{tool} is called ahead while T{in_spindle} is in the spindle, on a carousel that must first take T{in_spindle} back"
        ))
        .acting(format!("T{in_spindle} still works after this"))
        .help(format!("name T{tool} in the block of its own M6, and let the post leave out the early call"))
        .done()
}
