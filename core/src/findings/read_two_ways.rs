use super::{Context, Finding, Kind};
use crate::motion::{Doubt, Place};
use crate::source::Severity;

pub(super) const KIND: Kind = Kind {
    name: "read-two-ways",
    severity: Severity::Unproven,
    explanation: "Controls read this block in different ways: a cycle keeps R or Z over a change between \
                  G90 and G91, an axis is not named after a rotation or after G40, a macro is called inside \
                  another, a P can hold two numbers, and so on. Which way the machine takes is not known, so \
                  nothing after it is proved. Where an option of the machine's control tells the way, the \
                  finding names it.",
};

pub(super) fn finding(ctx: &Context<'_>, setup: usize, place: Place, why: Doubt) -> Finding {
    let (what, help) = words(why);
    ctx.at_place(KIND, setup, place)
        .message(format!("controls read this block in different ways: {what}; nothing after it is proved"))
        .acting("could be read two ways")
        .help(help)
        .done()
}

/// On what controls differ, and how to write it so that they do not.
const fn words(why: Doubt) -> (&'static str, &'static str) {
    match why {
        Doubt::OneLetterTwoUses => {
            ("two codes could take the same word", "write the codes in blocks of their own")
        }
        Doubt::ScaledCycle => (
            "whether R and Q of the cycle are scaled or mirrored with Z",
            "drill before Z is scaled or mirrored",
        ),
        Doubt::CycleLevels => (
            "what R and Z of the cycle are counted from after a change between G90 and G91",
            "give R and Z again in this block, under G90",
        ),
        Doubt::Polar => (
            "what polar coordinates (G16) make of it",
            "name radius and angle with their points under G90, or end the polar coordinates with G15 first",
        ),
        Doubt::ShiftedSetting => (
            "what an offset is counted from while another shift, a rotation or G91 is on",
            "end the other shift first, and set the offset under G90",
        ),
        Doubt::ShiftedOffset => (
            "whether the shift, rotation or scaling goes along to the other work offset",
            "end it before the work offset is changed",
        ),
        Doubt::OrderOfPlacing => (
            "the order of rotation, scaling and mirror, and what they do under G91",
            "mirror first, then scale, then rotate, each under G90",
        ),
        Doubt::Factors => ("the factors that are not given", "give P alone, or I, J and K"),
        Doubt::AngleWithoutPoint => ("the angle has no decimal point", "write the angle with a point"),
        Doubt::ModalCall => (
            "when the modal macro (G66) is called",
            "end it with G67 before this block, or call the macro with G65 where it is wanted",
        ),
        Doubt::Expression => (
            "the expression comes out differently",
            "say in the machine's control how `expressions` are worked out, or write the number",
        ),
        Doubt::AxisNotNamed => ("where the axis stands that is not named", "name both X and Y in this block"),
        Doubt::Reversal => (
            "the contour turns straight back, so the side on which the tool turns is not known",
            "lead round the end",
        ),
        Doubt::MachineIncrement => ("what G53 counts from under G91", "write G90 before G53"),
        Doubt::CallsInP => (
            "whether P holds the number of calls too",
            "say in the machine's control what `subprogram_repeats` is, or give L",
        ),
        Doubt::NoCalls => ("L0 calls never or once", "leave the call out, or write L1"),
        Doubt::ArgumentWithoutPoint => {
            ("the number has no decimal point", "write the macro's numbers with a point")
        }
        Doubt::ArgumentOrder => {
            ("which parameters the letters set", "write I, J and K in this order, and each parameter once")
        }
        Doubt::ArgumentM => (
            "whether M beside a macro call is its parameter 13 or a code that is run",
            "give the number by another letter, or write the M code in a block of its own",
        ),
        Doubt::ReturnOfSeveral => {
            ("whether the subprogram is called again before P is taken", "call it once where M99 has a P")
        }
    }
}
