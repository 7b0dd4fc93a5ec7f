use crate::job::text::{At, Reports, check_shape, parse};
use crate::job::{Files, kinds};
use crate::source::SourceText;
use jsonc_parser::ast::Value as Node;
use serde::de::DeserializeOwned;
use serde_json::Value as Schema;

/// Largest job, machine, tool or drawing file, bytes. They are written by hand; at this size a tree of it still
/// takes far less than a gigabyte.
pub(super) const MOST_JSON: usize = 8 << 20;
/// Largest program, bytes: some ten million blocks.
pub(super) const MOST_PROGRAM: usize = 256 << 20;
/// Largest mesh file, bytes: five million triangles in binary form.
pub(super) const MOST_MESH: usize = 256 << 20;

/// Where files are opened and mistakes collected.
pub(super) struct Desk<'f> {
    files: &'f dyn Files,
    pub(super) reports: Reports,
}

impl<'f> Desk<'f> {
    pub(super) fn new(files: &'f dyn Files) -> Self {
        Self { files, reports: Reports::default() }
    }

    /// The bytes of a file. `asked`: where it is named.
    pub(super) fn bytes(&mut self, path: &str, asked: Option<&At>, most: usize) -> Option<Vec<u8>> {
        let (kind, message, help) = match self.files.read(path) {
            Ok(bytes) if bytes.len() <= most => return Some(bytes),
            Ok(bytes) => (
                kinds::TOO_LARGE,
                format!("{path} has {} bytes; at most {most} are read", bytes.len()),
                "give a smaller file",
            ),
            Err(why) => (
                kinds::MISSING_FILE,
                format!("cannot read {path}: {why}"),
                "correct the name; it is looked up beside the file that names it",
            ),
        };
        match asked {
            Some(at) => self.reports.fault(kind, at, message, "", help),
            None => self.reports.fault_nowhere(kind, message, "give the path of a job file"),
        }
        None
    }

    /// A job file as text: UTF-8, with or without a byte order mark.
    pub(super) fn open(&mut self, path: &str, asked: Option<&At>, most: usize) -> Option<SourceText> {
        let bytes = self.bytes(path, asked, most)?;
        let without_mark = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        match std::str::from_utf8(without_mark) {
            Ok(text) => Some(SourceText::new(path, text)),
            Err(error) => {
                let sound = without_mark.get(..error.valid_up_to()).unwrap_or(&[]);
                let source = SourceText::new(path, String::from_utf8_lossy(sound));
                let message = format!("{path} is not UTF-8 text from here on");
                let end = source.text().len();
                let place = crate::source::Span::new(end, end);
                self.reports.fault_span(
                    kinds::NOT_TEXT,
                    &source,
                    place,
                    message,
                    "",
                    "save the file as UTF-8",
                );
                None
            }
        }
    }

    /// A program as text. Posts write comments in many encodings, so that bytes which are not UTF-8 become
    /// replacement characters; outside a comment they are then reported as not understood.
    pub(super) fn program(&mut self, path: &str, asked: &At) -> Option<SourceText> {
        let bytes = self.bytes(path, Some(asked), MOST_PROGRAM)?;
        let without_mark = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        Some(SourceText::new(path, String::from_utf8_lossy(without_mark)))
    }

    /// A program that may or may not be there.
    pub(super) fn program_if_there(&mut self, path: &str) -> Option<SourceText> {
        let bytes = self.files.read(path).ok().filter(|b| b.len() <= MOST_PROGRAM)?;
        let without_mark = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        Some(SourceText::new(path, String::from_utf8_lossy(without_mark)))
    }

    /// The tree of a JSON text.
    pub(super) fn tree<'s>(&mut self, source: &'s SourceText) -> Option<Node<'s>> {
        parse(source, &mut self.reports)
    }

    /// The file type of a tree, once its form is right.
    pub(super) fn typed<T: DeserializeOwned>(&mut self, at: &At, schema: &Schema) -> Option<T> {
        let before = self.reports.faults();
        check_shape(schema, at, &mut self.reports);
        if self.reports.faults() > before {
            return None;
        }
        let mut reader = serde_json::Deserializer::from_str(at.source().text());
        match serde_path_to_error::deserialize(&mut reader) {
            Ok(file) => Some(file),
            Err(error) => {
                // The check of the form should have found it; what it did not is still a mistake with a place.
                let inner = error.inner();
                let line = at.source().line_span(inner.line());
                let message = format!("{}: {inner}", error.path());
                let help = "compare the field with the schema of this file";
                self.reports.fault_span(kinds::WRONG_TYPE, at.source(), line, message, "", help);
                None
            }
        }
    }

    /// Opens the file that is named at `at` and reads it with `read`.
    pub(super) fn file<T: DeserializeOwned, R>(
        &mut self,
        name: &str,
        at: &At,
        schema: &Schema,
        read: impl FnOnce(T, &At, &mut Self) -> R,
    ) -> Option<R> {
        let source = self.open(&beside(at.source().name(), name), Some(at), MOST_JSON)?;
        let tree = self.tree(&source)?;
        let root = At::root(&source, &tree);
        let file = self.typed(&root, schema)?;
        Some(read(file, &root, self))
    }
}

/// The path of `name` as it stands in the file `naming`.
pub(super) fn beside(naming: &str, name: &str) -> String {
    let is_absolute = name.starts_with(['/', '\\']) || name.get(1..2) == Some(":");
    let folder = naming.rfind(['/', '\\']).and_then(|end| naming.get(..=end)).unwrap_or("");
    if is_absolute { name.to_owned() } else { format!("{folder}{}", name.strip_prefix("./").unwrap_or(name)) }
}

#[cfg(test)]
mod tests {
    use super::beside;

    #[test]
    fn names_are_beside_the_file_that_names_them() {
        assert_eq!(beside("job.json", "top.nc"), "top.nc");
        assert_eq!(beside("jobs/a/job.json", "./top.nc"), "jobs/a/top.nc");
        assert_eq!(beside("jobs/a/job.json", "../mill.json"), "jobs/a/../mill.json");
        assert_eq!(beside("jobs/a/job.json", "/shop/mill.json"), "/shop/mill.json");
        assert_eq!(beside("jobs\\job.json", "C:/shop/mill.json"), "C:/shop/mill.json");
    }
}
