use super::{Context, Finding, Kind};
use crate::motion::Place;
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "radius-register-unknown",
    severity: Severity::Unproven,
    explanation: "A radius register is called that neither the job nor the tool table tells anything of. How \
                  far the tool is set aside is not known.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, register: u32) -> Finding {
    ctx.at_place(KIND, setup, place)
        .message(format!("what radius register {register} holds is not known; nothing after it is proved"))
        .acting("not known")
        .help("list it under registers of the job, or call the register of a tool in the table")
        .done()
}
