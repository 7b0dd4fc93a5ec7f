//! Every spec in `tests/specs`, run.

use proofcut_tests::repository;
use proofcut_tests::spec::{Case, Found, Spec};

/// All specs with the name of their file.
fn specs() -> Result<Vec<(String, Spec)>, String> {
    let mut specs = Vec::new();
    for file in repository::files_below(&repository::root().join("tests/specs"), ".md")? {
        let name = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        if name != "README" {
            let spec = Spec::parse(&repository::read(&file)?).map_err(|e| format!("{name}: {e}"))?;
            specs.push((name, spec));
        }
    }
    Ok(specs)
}

#[test]
fn each_spec_catches_its_kind_and_shows_a_clean_neighbour() -> Result<(), String> {
    for (name, spec) in specs()? {
        assert_eq!(name, spec.kind, "a spec is named like its kind");
        let catches = |case: &Case| case.expect.iter().any(|e| e.line.split(' ').nth(1) == Some(&spec.kind));
        assert!(spec.cases.iter().any(catches), "{name}: no case expects it");
        assert!(!spec.cases.iter().all(catches), "{name}: no case is free of it");
    }
    Ok(())
}

/// What is found in a case's job: input mistakes when it cannot be loaded, otherwise the findings of its proof.
fn found(case: &Case) -> Result<Vec<Found>, String> {
    let files = case.files()?;
    Ok(match proofcut_core::job::load("job.json", &files) {
        Err(mistakes) => mistakes.iter().map(Found::of_input).collect(),
        Ok(loaded) => {
            let proof = proofcut_core::proof::prove(&loaded.job, &proofcut_core::proof::Unwatched);
            loaded.warnings.iter().map(Found::of_input).chain(proof.findings.iter().map(Found::of)).collect()
        }
    })
}

#[test]
fn every_case_finds_exactly_what_it_expects() -> Result<(), String> {
    let mut wrong = Vec::new();
    for (name, spec) in specs()? {
        for case in &spec.cases {
            if let Some(difference) = case.difference(&found(case).map_err(|e| format!("{name}: {e}"))?) {
                wrong.push(format!("{name}, {}\n{difference}", case.name));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    Ok(())
}
