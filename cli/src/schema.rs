use crate::arguments::SchemaOf;
use crate::outcome::Outcome;
use crate::page::{Pages, Stream};
use proofcut_core::{job, report};

/// Prints the JSON Schema of a file.
pub(crate) fn run(file: SchemaOf, pages: &mut Pages) -> Outcome {
    let name = match file {
        SchemaOf::Job => "job.schema.json",
        SchemaOf::Machine => "machine.schema.json",
        SchemaOf::Tools => "tools.schema.json",
        SchemaOf::Drawing => "drawing.schema.json",
        SchemaOf::Result => "result.schema.json",
        SchemaOf::Moves => "moves.schema.json",
    };
    let all = job::schemas().into_iter().chain(report::schemas());
    match all.into_iter().find(|(known, _)| *known == name) {
        Some((_, text)) => {
            pages.write(Stream::Out, &text);
            Outcome::NothingFound
        }
        None => Outcome::WrongUsage,
    }
}
