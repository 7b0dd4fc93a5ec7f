//! Job files: the contract's own examples, the demo jobs, and the committed schemas.

#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use proofcut_core::job::{self, Drawing, FeatureKind, Loaded, Shape, Workholding};
use proofcut_core::report;
use proofcut_core::source::Diagnostic;
use proofcut_tests::folder::Folder;
use proofcut_tests::repository::{files_below, read, root};

fn load(folder: &str) -> Loaded {
    job::load("job.json", &Folder(root().join(folder))).map_err(|list| written(&list)).unwrap()
}

fn written(list: &[Diagnostic]) -> String {
    let line = |d: &Diagnostic| {
        let place = d.labels.first().map(|l| (l.source.name().to_owned(), l.source.place(l.span.start)));
        format!("{} {place:?} {}\n", d.kind, d.message)
    };
    list.iter().map(line).collect()
}

#[test]
fn examples_of_the_contract_load_without_a_word() {
    let Loaded { job, warnings } = load("fixtures/contract");
    assert_eq!(written(&warnings), "");
    assert_eq!(job.setups.len(), 1);
    let kinds: Vec<_> = job.setups[0].workholding.iter().map(|w| matches!(w, Workholding::Vise(_))).collect();
    assert_eq!(kinds, [true, false, false, false]);
    assert_eq!(job.tools[0].diameter.to_bits(), 12.7_f64.to_bits());
    assert_eq!(job.setups[0].zeros[0].1.z.to_bits(), 22.86_f64.to_bits());
    let registers = job.registers.unwrap();
    assert!((registers.length[&4] - 5.2031 * 25.4).abs() < 1e-12);
    let Drawing { features, dimensions, mesh, .. } = job.drawing.unwrap();
    assert_eq!((features.len(), dimensions.len()), (5, 4));
    assert_eq!(mesh.unwrap().triangles.len(), 12);
    let thread = features[2].thread.clone().unwrap();
    assert!((thread.pitch - 1.27).abs() < 1e-12);
    assert_eq!(thread.minor_limits.map(|l| (l.0 / 25.4 * 1000.0).round()), Some(196.0));
    assert!(
        matches!(&features[3].kind, FeatureKind::Cut(Shape::Prism { outline, .. }) if outline.segments.len() == 4)
    );
}

#[test]
fn every_demo_job_loads_without_a_word() {
    let mut jobs = files_below(&root().join("fixtures/jobs"), "job.json").unwrap();
    jobs.push(root().join("tests/specs/base/job.json"));
    assert!(jobs.len() >= 2, "the demo jobs are gone");
    let mut words = String::new();
    for job in jobs {
        let folder = job.parent().unwrap();
        let loaded = job::load("job.json", &Folder(folder.to_path_buf()));
        let list = loaded.map_or_else(|list| list, |loaded| loaded.warnings);
        if !list.is_empty() {
            words.push_str(&job.display().to_string());
            words.push_str(&written(&list));
        }
    }
    assert!(words.is_empty(), "{words}");
}

/// To refresh after a change of the file types: `PROOFCUT_REFRESH=1 cargo test -p proofcut-tests --test job_files`.
#[test]
fn committed_schemas_are_those_of_the_types() {
    let folder = root().join("fixtures/schema");
    for (name, derived) in job::schemas().into_iter().chain(report::schemas()) {
        let path = folder.join(name);
        if std::env::var_os("PROOFCUT_REFRESH").is_some() {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, &derived).unwrap();
        }
        let committed = read(&path).unwrap();
        assert!(committed == derived, "{name} is out of date; how to refresh it stands above this test");
    }
}
