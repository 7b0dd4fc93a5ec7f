//! Whole parts against an exact solid kernel: see `fixtures/exact-kernel/README.md` for how `expected.json` was made.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a file of tests: what is not there must stop the test"
)]

use proofcut_core::cutting::{ContactKind, History, cut_setup};
use proofcut_core::geom::{Axis, Vec3};
use proofcut_core::job::{self, Job};
use proofcut_core::stock::Stock;
use proofcut_core::{motion, program};
use proofcut_tests::folder::Folder;
use proofcut_tests::repository;
use serde_json::Value;
use std::ops::ControlFlow;

/// The kernel's results are written to 1e-6 mm, and the stock counts in nanometres.
const NEAR: f64 = 1e-4;

/// A height in every setup that is above every part and start height of these jobs, mm.
const HOME: f64 = 200.0;

fn part(name: &str) -> (Job, Value) {
    let folder = repository::root().join("fixtures/exact-kernel");
    let loaded = job::load(&format!("{name}/job.json"), &Folder(folder.clone())).unwrap();
    let expected = repository::read(&folder.join(name).join("expected.json")).unwrap();
    (loaded.job, serde_json::from_str(&expected).unwrap())
}

fn vec3(v: &Value) -> Vec3 {
    Vec3::new(v[0].as_f64().unwrap(), v[1].as_f64().unwrap(), v[2].as_f64().unwrap())
}

fn check(name: &str) {
    let (job, expected) = part(name);
    let mut stock = Stock::new(&job.stock, job.spacing.unwrap()).unwrap();
    let mut history = History::new(&job.stock).unwrap();
    for (index, setup) in job.setups.iter().enumerate() {
        let run = motion::interpret(&program::parse(&setup.program), &job, index, HOME);
        assert!(run.facts.is_empty() && run.lost_from.is_none(), "{name}: {:?}", run.facts);
        let cut =
            cut_setup(&mut stock, &mut history, &job, index, &run, None, &|_| ControlFlow::Continue(()))
                .unwrap();
        let bad: Vec<_> = cut.contacts.iter().map(|c| (c.kind, run.moves[c.move_index].place.line)).collect();
        assert_eq!(bad, Vec::<(ContactKind, u32)>::new(), "{name}");
    }
    let bounds = stock.bounds();
    assert!((bounds.min - vec3(&expected["min"])).amax() < NEAR, "{name}: {bounds:?}");
    assert!((bounds.max - vec3(&expected["max"])).amax() < NEAR, "{name}: {bounds:?}");
    for probe in expected["probes"].as_array().unwrap() {
        let axis = match probe["axis"].as_str().unwrap() {
            "x" => Axis::X,
            "y" => Axis::Y,
            _ => Axis::Z,
        };
        let (u, v) = (probe["u"].as_f64().unwrap(), probe["v"].as_f64().unwrap());
        let found: Vec<[f64; 2]> = history.probe(axis, u, v).iter().map(|p| [p.low, p.high]).collect();
        let exact: Vec<[f64; 2]> = serde_json::from_value(probe["pieces"].clone()).unwrap();
        let same = found.len() == exact.len()
            && found.iter().flatten().zip(exact.iter().flatten()).all(|(a, b)| (a - b).abs() < NEAR);
        assert!(same, "{name}: along {axis:?} at {u}, {v}: found {found:?}, exact {exact:?}");
    }
    let (volume, bound) = stock.volume();
    let exact = expected["volume"].as_f64().unwrap();
    assert!((volume - exact).abs() <= bound, "{name}: volume {volume} +- {bound}, exact {exact}");
    // The bound is a worst case; where a face lies on the middle of a ray's cell two grids of three count half a cell.
    assert!((volume - exact).abs() <= 2e-3 * exact, "{name}: volume {volume}, exact {exact}");
}

macro_rules! parts {
    ($($test:ident = $name:literal),+ $(,)?) => {
        $(#[test] fn $test() { check($name); })+

        /// No part of the folder is left out.
        #[test]
        fn every_part_has_its_test() {
            let folder = repository::root().join("fixtures/exact-kernel");
            let jobs = repository::files_below(&folder, "job.json").unwrap();
            let named = [$($name),+];
            assert_eq!(jobs.len(), named.len());
            assert!(jobs.iter().all(|j| named.iter().any(|n| j.parent().unwrap().ends_with(n))));
        }
    };
}

parts! {
    pocket_and_step = "pocket-and-step",
    ring_grooves = "ring-grooves",
    holes = "holes",
    chamfered_frame = "chamfered-frame",
    ball_ramps = "ball-ramps",
    three_sides = "three-sides",
    cove = "cove",
    profiles = "profiles",
    helical_bore = "helical-bore",
}
