//! Every spec in `tests/specs`, run.

use proofcut_tests::repository;
use proofcut_tests::spec::Spec;

/// All specs with the name of their file.
fn specs() -> Vec<(String, Spec)> {
    let folder = repository::root().join("tests/specs");
    let files = repository::files_below(&folder, ".md").unwrap();
    let specs = files.iter().filter(|f| f.file_name().unwrap() != "README.md");
    let read = |file: &std::path::PathBuf| {
        let name = file.file_stem().unwrap().to_string_lossy().into_owned();
        let spec = repository::read(file).and_then(|text| Spec::parse(&text));
        (name.clone(), spec.unwrap_or_else(|e| panic!("{name}: {e}")))
    };
    specs.map(read).collect()
}

#[test]
fn each_spec_catches_its_kind_and_shows_a_clean_neighbour() {
    for (name, spec) in specs() {
        assert_eq!(name, spec.kind, "a spec is named like its kind");
        let catches = |case: &proofcut_tests::spec::Case| {
            case.expect.iter().any(|e| e.line.split(' ').nth(1) == Some(&spec.kind))
        };
        assert!(spec.cases.iter().any(catches), "{name}: no case expects it");
        assert!(!spec.cases.iter().all(catches), "{name}: no case is free of it");
    }
}
