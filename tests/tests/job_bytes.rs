//! Whatever stands in a job's files: loading ends, says something sensible, and never breaks off.

#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use proofcut_core::job::{self, Files, Loaded, MemoryFiles, RawStock, kinds};
use proofcut_core::source::Diagnostic;
use proofcut_tests::folder::Folder;
use proofcut_tests::repository::root;
use proptest::prelude::*;
use serde_json::{Value, json};
use std::path::Path;

const FILES: [&str; 7] =
    ["job.json", "mill.json", "tools.json", "drawing.json", "top.nc", "part.stl", "soft-jaw.stl"];

/// The contract's example: all kinds of files, a mesh in text and one in binary.
fn example() -> MemoryFiles {
    let folder = Folder(root().join("fixtures/contract"));
    FILES.into_iter().fold(MemoryFiles::new(), |all, name| all.with(name, folder.read(name).unwrap()))
}

/// Loads, and checks what must hold of every answer.
fn load(files: &MemoryFiles) -> Result<Loaded, Vec<Diagnostic>> {
    let result = job::load("job.json", files);
    let list = match &result {
        Ok(loaded) => &loaded.warnings,
        Err(list) => {
            assert!(!list.is_empty(), "a job that does not load without a word why");
            list
        }
    };
    for d in list {
        assert!(kinds::ALL.contains(&d.kind), "{}", d.kind);
        assert!(d.help.is_some() && !d.message.is_empty());
        for label in &d.labels {
            let text = label.source.text();
            assert!(
                text.get(label.span.start..label.span.end).is_some(),
                "{}: a span outside its file",
                d.message
            );
        }
    }
    if let Ok(Loaded { job, .. }) = &result {
        assert!(!job.setups.is_empty() && job.setups.iter().all(|s| !s.zeros.is_empty()));
        for t in &job.tools {
            let sizes = [t.diameter, t.flute_length, t.shank_diameter, t.stickout];
            assert!(t.number > 0 && sizes.iter().all(|s| s.is_finite() && *s > 0.0), "{t:?}");
        }
        if let RawStock::Box(b) = &job.stock {
            assert!(b.size().min() > 0.0);
        }
    }
    result
}

/// Replaces one value somewhere in a tree, chosen by `pick`.
fn replace(value: &mut Value, pick: &mut usize, with: &Value) {
    if *pick == 0 {
        *value = with.clone();
    }
    *pick = pick.wrapping_sub(1);
    match value {
        Value::Array(items) => items.iter_mut().for_each(|v| replace(v, pick, with)),
        Value::Object(fields) => fields.values_mut().for_each(|v| replace(v, pick, with)),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

fn count(value: &Value) -> usize {
    1 + match value {
        Value::Array(items) => items.iter().map(count).sum(),
        Value::Object(fields) => fields.values().map(count).sum(),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => 0,
    }
}

fn odd_value() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(json!(null)),
        any::<bool>().prop_map(|b| json!(b)),
        any::<f64>().prop_map(|n| json!(n)),
        any::<i64>().prop_map(|n| json!(n)),
        (-20..20_i32).prop_map(|n| json!(n)),
        prop::sample::select(vec!["", "+z", "x", "M6", "mm", "job.json", "part.stl", "G54", "\u{e9}\u{0}"])
            .prop_map(|t| json!(t)),
        ".{0,12}".prop_map(|t| json!(t)),
        prop::collection::vec(any::<f64>(), 0..5).prop_map(|v| json!(v)),
        Just(json!({})),
        Just(json!([])),
        Just(json!({"box": {"min": [0, 0, 0], "max": [1, 1, 1]}})),
    ]
}

#[test]
fn every_value_of_every_file_may_be_anything() {
    // Each value in turn is replaced by each of a few, so that none is left to chance.
    let odd =
        [json!(null), json!(-1.5), json!(0), json!("x"), json!([]), json!({}), json!(true), json!(1e300)];
    for name in FILES.into_iter().filter(|n| Path::new(n).extension().is_some_and(|e| e == "json")) {
        let files = example();
        let tree: Value = serde_json::from_slice(&files.read(name).unwrap()).unwrap();
        for place in 0..count(&tree) {
            for value in &odd {
                let mut changed = tree.clone();
                replace(&mut changed, &mut place.clone(), value);
                let _ = load(&files.clone().with(name, changed.to_string()));
            }
        }
    }
}

#[test]
fn every_file_may_end_anywhere() {
    for name in FILES {
        let files = example();
        let bytes = files.read(name).unwrap();
        for end in 0..bytes.len() {
            let _ = load(&files.clone().with(name, &bytes[..end]));
        }
    }
}

#[test]
fn a_file_that_names_itself_is_a_mistake_and_no_endless_tale() {
    let files = example();
    let text = String::from_utf8(files.read("job.json").unwrap()).unwrap();
    for name in ["mill.json", "tools.json", "drawing.json", "top.nc", "soft-jaw.stl"] {
        let changed = text.replace(name, "job.json");
        assert_ne!(changed, text);
        assert_eq!(load(&files.clone().with("job.json", changed)).is_err(), name != "top.nc", "{name}");
    }
}

#[test]
fn lists_of_nonsense_are_cut_short() {
    let files = example();
    let tree: Value = serde_json::from_slice(&files.read("drawing.json").unwrap()).unwrap();
    let long = json!(vec![0; 1_000_000]);
    let many_breaks: Vec<Value> = (0..40_000)
        .map(|i| json!({"id": format!("b{i}"), "break": {"of": format!("f{i}"), "face": "+z", "leg": 1}}))
        .collect();
    for value in [long, json!(many_breaks)] {
        let mut changed = tree.clone();
        changed["features"] = value;
        let list = load(&files.clone().with("drawing.json", changed.to_string())).unwrap_err();
        assert!(list.len() <= 200, "{}", list.len());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_bytes_in_any_file(name in prop::sample::select(&FILES[..]), bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let _ = load(&example().with(name, bytes));
    }

    #[test]
    fn any_text_of_brackets(text in "[\\[\\]{}\",:0-9a-z. \\n\\\\-]{0,200}") {
        let _ = load(&example().with("job.json", text));
    }

    #[test]
    fn flipped_bytes(
        name in prop::sample::select(&FILES[..]),
        flips in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..4),
    ) {
        let files = example();
        let mut bytes = files.read(name).unwrap();
        for (place, value) in flips {
            let place = place.index(bytes.len());
            bytes[place] = value;
        }
        let _ = load(&files.with(name, bytes));
    }

    #[test]
    fn values_replaced(
        name in prop::sample::select(&FILES[..4]),
        place in any::<prop::sample::Index>(),
        value in odd_value(),
    ) {
        let files = example();
        let mut tree: Value = serde_json::from_slice(&files.read(name).unwrap()).unwrap();
        let mut place = place.index(count(&tree));
        replace(&mut tree, &mut place, &value);
        let _ = load(&files.with(name, tree.to_string()));
    }
}
