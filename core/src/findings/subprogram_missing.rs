use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "subprogram-missing",
    severity: Severity::Unproven,
    explanation: "A subprogram is called that stands neither in the program nor in a file of the job. What \
                  the control holds under that number is not known.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, number: u32) -> Finding {
    ctx
        .at_place(KIND, setup, place)
        .message(format!("no subprogram O{number} is in the program or in a file of the job; nothing after it is proved"))
        .acting("called here")
        .help("list its file under subprograms of the setup, or put it beside the program under the name of its number")
        .done()
}
