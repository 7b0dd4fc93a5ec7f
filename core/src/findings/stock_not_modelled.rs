use super::{Context, Finding, Kind};
use crate::source::Severity;
use crate::stock::StockError;

pub(super) const KIND: Kind = Kind {
    name: "stock-not-modelled",
    severity: Severity::Unproven,
    explanation: "No model of the stock can be made: the raw stock is empty, out of range, too large for the spacing asked for, \
                  its mesh is not closed, or the programs leave so many thin pieces that the model takes more memory than \
                  allowed. Nothing is proved.",
};

pub(super) fn finding(ctx: &Context<'_>, why: &StockError) -> Finding {
    let l = |mm: f64| ctx.length(mm);
    let what = if matches!(why, StockError::Overfull { .. }) { "the stock" } else { "the raw stock" };
    let (why, help) = match why {
        StockError::Empty => ("it holds no volume".to_owned(), "look at the numbers of `stock`".to_owned()),
        StockError::TooFar { reach } => (
            format!("it is longer than {}, or lies farther than that from the part's zero", l(*reach)),
            "look at the unit and the numbers of `stock`".to_owned(),
        ),
        StockError::TooFine { spacing, bytes, limit, fits } => (
            format!(
                "a spacing of {} would take about {} MB of memory, more than the {} MB allowed",
                l(*spacing),
                bytes >> 20,
                limit >> 20
            ),
            format!("leave `spacing` out, or give {} or more", l(*fits)),
        ),
        StockError::Overfull { spacing, limit } => (
            format!(
                "the programs leave so many thin pieces of it that rays {} apart take more than the {} MB of memory allowed",
                l(*spacing),
                limit >> 20
            ),
            format!(
                "give the job a coarser `spacing`, such as {}: half as many rays each way take far less",
                l(2.0 * *spacing)
            ),
        ),
        StockError::Mesh(fault) => (format!("its mesh: {fault}"), "mend the mesh".to_owned()),
    };
    ctx.at_job(KIND, &ctx.job.place).message(format!("{what} cannot be modelled: {why}")).help(help).done()
}
