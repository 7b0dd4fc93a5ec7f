use super::Reports;
use crate::job::kinds;
use crate::source::{SourceText, Span};
use jsonc_parser::ast::Value;
use jsonc_parser::errors::{ParseError, ParseErrorKind};
use jsonc_parser::{CollectOptions, ParseOptions, parse_to_ast};

/// Reads a text as strict JSON: no comments, no trailing commas. Nesting is limited by the parser to 512.
pub(crate) fn parse<'s>(source: &'s SourceText, reports: &mut Reports) -> Option<Value<'s>> {
    let strict = ParseOptions {
        allow_comments: false,
        allow_loose_object_property_names: false,
        allow_trailing_commas: false,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    };
    if let Some(open) = text_over_line_end(source.text()) {
        let message = format!("{} is not JSON: a text is not closed on its line", source.name());
        let span = on_characters(source, open, source.text().len());
        reports.fault_span(
            kinds::SYNTAX,
            source,
            span,
            message,
            "begins here",
            "write the \" that is missing",
        );
        return None;
    }
    match parse_to_ast(source.text(), &CollectOptions::default(), &strict) {
        Ok(parsed) if parsed.value.is_some() => parsed.value,
        Ok(_) => {
            let message = format!("{} is empty", source.name());
            let help = "write the file's fields between { and }";
            reports.fault_span(kinds::SYNTAX, source, Span::new(0, 0), message, "nothing here", help);
            None
        }
        Err(error) => {
            report(source, &error, reports);
            None
        }
    }
}

/// Where a text begins that is still open at the end of its line. The parser would read on to the next quote and
/// complain there.
fn text_over_line_end(text: &str) -> Option<usize> {
    let mut open = None;
    let mut escaped = false;
    for (index, byte) in text.bytes().enumerate() {
        match (open, byte) {
            (Some(_), b'\n' | b'\r') => return open,
            (Some(_), _) if escaped => escaped = false,
            (Some(_), b'\\') => escaped = true,
            (Some(_), b'"') => open = None,
            (None, b'"') => open = Some(index),
            _ => {}
        }
    }
    open
}

fn report(source: &SourceText, error: &ParseError, reports: &mut Reports) {
    let (what, help) = words(error.kind());
    let range = error.range();
    let span = on_characters(source, range.start, range.end);
    reports.fault_span(
        kinds::SYNTAX,
        source,
        span,
        format!("{} is not JSON: {what}", source.name()),
        "",
        help,
    );
}

/// A span on character borders inside the text; a piece over several lines is cut at the first.
fn on_characters(source: &SourceText, start: usize, end: usize) -> Span {
    let text = source.text();
    let mut start = start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = end.clamp(start, text.len());
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    let piece = source.slice(Span::new(start, end));
    Span::new(start, start + piece.find(['\n', '\r']).unwrap_or(piece.len()))
}

fn words(kind: &ParseErrorKind) -> (&'static str, &'static str) {
    use ParseErrorKind as Kind;
    match kind {
        Kind::BareDecimalPointNumbersNotAllowed => {
            ("a number must have a digit on both sides of its point", "write 0.5 for .5, and 5.0 or 5 for 5.")
        }
        Kind::CommentsNotAllowed | Kind::UnterminatedCommentBlock => {
            ("comments are not part of JSON", "take the comment out; a \"name\" can say what it said")
        }
        Kind::ExpectedColonAfterObjectKey => {
            ("a colon is missing after the field's name", "write \"name\": value")
        }
        Kind::ExpectedObjectValue => ("the field has no value", "write a value after the colon"),
        Kind::ExpectedDigit
        | Kind::ExpectedDigitFollowingNegativeSign
        | Kind::ExpectedPlusMinusOrDigitInNumberLiteral => {
            ("this is not a number", "write numbers as 12, -0.5 or 1.5e-3")
        }
        Kind::ExpectedStringObjectProperty | Kind::SingleQuotedStringsNotAllowed => {
            ("names and texts stand in double quotes", "write \"name\"")
        }
        Kind::HexadecimalNumbersNotAllowed
        | Kind::NonFiniteNumbersNotAllowed
        | Kind::UnaryPlusNumbersNotAllowed => {
            ("this is not a number of JSON", "write plain decimal numbers, without a leading +")
        }
        Kind::ExpectedComma => {
            ("a comma is missing here", "put a comma between this and what stands before it")
        }
        Kind::TrailingCommasNotAllowed => ("a comma stands behind the last item", "take the comma out"),
        Kind::MultipleRootJsonValues => {
            ("something stands behind the end", "take it out, or look for a } too many above")
        }
        Kind::String(_) => {
            ("a text is broken", "close it with \" on the same line, and write \\\\ for a backslash")
        }
        Kind::UnexpectedCloseBrace => ("a } too many", "take it out, or look for a { that is missing above"),
        Kind::UnexpectedCloseBracket => {
            ("a ] too many", "take it out, or look for a [ that is missing above")
        }
        Kind::UnexpectedColon => ("a colon too many", "a field is \"name\": value; a list has no names"),
        Kind::UnexpectedComma => ("a comma too many", "take it out, or write the value that is missing"),
        Kind::UnexpectedWord => {
            ("a word without quotes", "put texts in double quotes; true, false and null stand alone")
        }
        Kind::UnexpectedToken | Kind::UnexpectedTokenInObject => {
            ("this does not belong here", "look for a quote or comma missing before it")
        }
        Kind::UnterminatedArray => ("a list is not closed", "write the ] that is missing"),
        Kind::UnterminatedObject => ("an object is not closed", "write the } that is missing"),
        Kind::NestingDepthExceeded => {
            ("brackets are nested too deep", "no job file needs more than a few levels")
        }
    }
}
