//! Every folder under `fixtures/input-mistakes` is a job with a mistake; its `expected.txt` says what is reported
//! and where.
//!
//! To refresh after a change of words, and then to read the difference line by line:
//! `PROOFCUT_REFRESH=1 cargo test -p proofcut-tests --test input_mistakes`.

#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use proofcut_core::job::{self, MemoryFiles, kinds};
use proofcut_core::source::{Diagnostic, Severity};
use proofcut_tests::folder::Folder;
use proofcut_tests::repository::{read, root};
use std::collections::BTreeSet;
use std::fmt::Write;
use std::path::{Path, PathBuf};

fn folders() -> Vec<PathBuf> {
    let entries = std::fs::read_dir(root().join("fixtures/input-mistakes")).unwrap();
    let mut folders: Vec<_> =
        entries.map(|e| e.unwrap().path()).filter(|p| !p.ends_with("base")).filter(|p| p.is_dir()).collect();
    folders.sort();
    folders
}

fn report(folder: &Path) -> Vec<Diagnostic> {
    match job::load("job.json", &Folder(folder.to_path_buf())) {
        Ok(loaded) => loaded.warnings,
        Err(list) => list,
    }
}

fn written(list: &[Diagnostic]) -> String {
    let mut text = String::new();
    for d in list {
        let places: Vec<_> = d.labels.iter().map(place_of).collect();
        let first = places.first().map_or("-", String::as_str);
        writeln!(text, "{} {} {first}", d.severity.word(), d.kind).unwrap();
        writeln!(text, "    {}", d.message).unwrap();
        for (label, place) in d.labels.iter().zip(&places) {
            writeln!(text, "    {place} `{}` {}", label.source.slice(label.span), label.text).unwrap();
        }
        writeln!(text, "    help: {}", d.help.as_deref().unwrap_or("-")).unwrap();
    }
    text.lines().fold(String::new(), |all, line| all + line.trim_end() + "\n")
}

fn place_of(label: &proofcut_core::source::Label) -> String {
    let place = label.source.place(label.span.start);
    format!("{}:{}:{}", label.source.name(), place.line, place.column)
}

#[test]
fn every_mistake_is_reported_at_its_place() {
    let mut wrong = String::new();
    for folder in folders() {
        let found = written(&report(&folder));
        let path = folder.join("expected.txt");
        if std::env::var_os("PROOFCUT_REFRESH").is_some() {
            std::fs::write(&path, &found).unwrap();
        }
        if read(&path).unwrap_or_default() != found {
            writeln!(wrong, "{}:\n{found}", path.display()).unwrap();
        }
    }
    assert!(wrong.is_empty(), "reported otherwise than expected\n{wrong}");
}

#[test]
fn every_report_underlines_something_and_says_what_to_do() {
    for folder in folders() {
        let list = report(&folder);
        let name = folder.display();
        assert!(!list.is_empty(), "{name}: nothing is reported");
        for d in list {
            assert!(d.help.is_some_and(|h| !h.is_empty()), "{name}: {} says not what to do", d.kind);
            let label = d.labels.first().unwrap_or_else(|| panic!("{name}: {} has no place", d.kind));
            assert!(label.span.start <= label.span.end && label.span.end <= label.source.text().len());
            assert!(
                !label.source.slice(label.span).contains('\n'),
                "{name}: {} underlines several lines",
                d.kind
            );
            assert!(kinds::ALL.contains(&d.kind), "{name}: {} is not listed", d.kind);
        }
    }
}

#[test]
fn every_kind_of_mistake_has_an_example() {
    let shown: BTreeSet<_> = folders().iter().flat_map(|f| report(f)).map(|d| d.kind).collect();
    let missing: Vec<_> = kinds::ALL.iter().filter(|k| !shown.contains(*k)).collect();
    // A file that is too large would be too large to commit: it has a test of its own below.
    assert_eq!(missing, [&kinds::TOO_LARGE]);
}

#[test]
fn the_mistake_is_what_stops_the_job() {
    let base = job::load("job.json", &Folder(root().join("fixtures/input-mistakes/base")));
    assert!(
        base.is_ok_and(|loaded| loaded.warnings.is_empty()),
        "the sound job that the mistakes start from"
    );
}

#[test]
fn a_file_that_is_too_large_is_not_read() {
    let files = MemoryFiles::new().with("job.json", vec![b' '; 9 << 20]);
    let list = job::load("job.json", &files).unwrap_err();
    assert_eq!((list[0].kind, list[0].severity), (kinds::TOO_LARGE, Severity::Fault));
}

#[test]
fn a_job_that_is_not_there_is_said_so() {
    let list = job::load("job.json", &MemoryFiles::new()).unwrap_err();
    assert_eq!(list[0].kind, kinds::MISSING_FILE);
    assert_eq!(list[0].message, "cannot read job.json: there is no such file");
}
