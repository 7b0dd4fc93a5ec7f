//! The clean demo jobs have no findings, all their features are made, all their sizes are within.

use proofcut_core::inspect::{BreakStatus, DimensionValue, FeatureStatus, Measured, Verdict as Judged};
use proofcut_core::proof::Verdict;
use proofcut_core::report::{Checked, result_of, result_text};
use proofcut_tests::spec::Found;
use proofcut_tests::whole::checked;

const JOBS: [&str; 2] = ["fixtures/jobs/pivot-block", "fixtures/jobs/end-stop"];

#[test]
fn clean_jobs_have_no_findings() {
    for path in JOBS {
        let Checked { proof, .. } = checked(path).unwrap();
        let found: Vec<String> = proof
            .findings
            .iter()
            .map(|f| format!("{} {}", Found::of(f).line, f.diagnostic.message))
            .collect();
        assert!(found.is_empty(), "{path}:\n{}", found.join("\n"));
        assert!(proof.unproven.is_empty(), "{path}: {:?}", proof.unproven);
        assert_eq!(proof.verdict, Verdict::NoFaults, "{path}");
    }
}

#[test]
fn every_feature_is_made_and_every_size_is_within() {
    for path in JOBS {
        let Checked { job, proof, .. } = checked(path).unwrap();
        let drawing = job.drawing.as_ref().unwrap();
        let inspection = proof.inspection.as_ref().unwrap();
        assert_eq!(inspection.features.len(), drawing.features.len(), "{path}");
        assert_eq!(inspection.dimensions.len(), drawing.dimensions.len(), "{path}");
        for f in &inspection.features {
            let id = &drawing.features[f.feature].id;
            assert_eq!(f.status, FeatureStatus::Made, "{path}: {id}: {f:?}");
            assert!(!f.made_by.is_empty(), "{path}: nobody made {id}");
            for b in &f.breaks {
                assert_eq!(b.status, BreakStatus::Broken, "{path}: {id}: {b:?}");
            }
            for q in f.quantities.iter().filter(|q| q.tolerance.is_some()) {
                assert_eq!(q.verdict, Some(Judged::Within), "{path}: {id}: {q:?}");
            }
        }
        for d in inspection.dimensions.iter().filter(|d| drawing.dimensions[d.dimension].nominal.is_some()) {
            let id = &drawing.dimensions[d.dimension].id;
            assert_eq!(d.verdict, Some(Judged::Within), "{path}: {id}: {d:?}");
        }
        assert!(inspection.regions.is_empty(), "{path}: {:?}", inspection.regions);
        assert_eq!(proof.final_part.as_ref().unwrap().pieces, 1, "{path}");
    }
}

/// Sizes that follow from the programs by hand, in inches.
#[test]
fn sizes_are_those_that_the_programs_give() {
    let block = checked(JOBS[0]).unwrap();
    // Overall sizes come from the contour (3.0 and 1.75 round tool centres at 1.75 and 1.125) and from two faces;
    // slots from a 1/4 mill offset by .063 to either side; the web from the bore's .7504 and the slot floor at -.25.
    let by_hand = [
        ("length", 3.0),
        ("width", 1.75),
        ("thickness", 0.9),
        ("slot width", 0.376),
        ("under the slot", 0.7),
        ("cross slot width", 0.376),
        ("bore to cross slot", 0.25 - 0.0002),
    ];
    for (id, inches) in by_hand {
        let size = size(&block, id).unwrap();
        let off = (size.value / 25.4 - inches).abs();
        assert!(off <= size.bound / 25.4 + 1e-9, "{id}: {} in, by hand {inches}", size.value / 25.4);
    }
    let stop = checked(JOBS[1]).unwrap();
    // 80 between centres less a 6.6 drill; 16 less the counterbore at 6.8.
    for (id, mm) in
        [("length", 100.0), ("between holes", 73.4), ("under left head", 9.2), ("under right head", 9.2)]
    {
        let size = size(&stop, id).unwrap();
        assert!((size.value - mm).abs() <= size.bound + 1e-9, "{id}: {}, by hand {mm}", size.value);
    }
}

/// A measured size with its bound, millimetres; `None`: there is no such size, or nothing to measure.
fn size(checked: &Checked, id: &str) -> Option<Measured> {
    let dimensions = &checked.job.drawing.as_ref()?.dimensions;
    let index = dimensions.iter().position(|d| d.id == id)?;
    let found = checked.proof.inspection.as_ref()?.dimensions.iter().find(|d| d.dimension == index)?;
    match &found.value {
        DimensionValue::Size(measured) => Some(*measured),
        DimensionValue::Intervals(_) | DimensionValue::Nothing => None,
    }
}

#[test]
fn same_job_same_bytes_for_any_number_of_threads() {
    for path in JOBS {
        let mut first: Option<String> = None;
        for threads in [1, 2, 8] {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            let bytes = pool.install(|| result_text(&result_of(&checked(path).unwrap())));
            assert!(bytes.len() > 1000, "{path}: {bytes}");
            let first = first.get_or_insert_with(|| bytes.clone());
            assert!(*first == bytes, "{path}: {threads} threads give other bytes than one");
        }
    }
}
