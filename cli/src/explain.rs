use crate::outcome::Outcome;
use crate::page::{Pages, Stream};
use proofcut_core::findings::{kind, kinds};
use proofcut_core::report::{Column, Part, Role, Table, Text};

/// Says what a kind of finding means, or lists all kinds.
pub(crate) fn run(name: Option<&str>, pages: &mut Pages) -> Outcome {
    let Some(name) = name else {
        let row = |k: &proofcut_core::findings::Kind| {
            let first = k.explanation.split_inclusive(". ").next().unwrap_or("").trim().to_owned();
            vec![k.name.into(), k.severity.word().into(), Text::plain(first)]
        };
        let columns = vec![("Kind", Column::Name), ("Severity", Column::Name), ("What it is", Column::Words)];
        let rows = kinds().iter().map(row).collect();
        pages.show(Stream::Out, &[Part::Table(Table { columns, rows })]);
        return Outcome::NothingFound;
    };
    if let Some(kind) = kind(name) {
        let head = Text::of(Role::Strong, format!("{}[{}]", kind.severity.word(), kind.name));
        pages.show(Stream::Out, &[Part::Lines(vec![head]), Part::Paragraph(kind.explanation.into())]);
        return Outcome::NothingFound;
    }
    let words = format!("there is no kind of finding `{name}`; `proofcut explain` lists all of them");
    pages.show(
        Stream::Err,
        &[Part::Paragraph(Text::of(Role::Fault, "usage").and(Role::Plain, format!(": {words}")))],
    );
    Outcome::WrongUsage
}
