//! Rules of the house that no compiler checks.

use proofcut_tests::repository;
use proofcut_tests::spec::Spec;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

type Checked = Result<(), String>;

/// Modules of core, lowest layer first; modules of one row may not import each other.
const LAYERS: &[&[&str]] = &[
    &["geom", "units", "source"],
    &["program", "cutter"],
    &["sweep"],
    &["job"],
    &["motion"],
    &["stock", "solid"],
    &["cutting"],
    &["checks", "inspect", "surface"],
    &["findings"],
    &["proof"],
    &["report"],
];

/// Neighbours of one row of which the first may import the second, each with its reason.
const NEIGHBOURS: &[(&str, &str)] = &[
    // The raw stock is built from analytic solids and meshes.
    ("stock", "solid"),
];

/// Longest source file, lines.
const LONGEST: usize = 600;

fn name_below(path: &Path, folder: &Path) -> String {
    path.strip_prefix(folder).unwrap_or(path).to_string_lossy().replace('\\', "/")
}

fn sources() -> Result<Vec<(String, String)>, String> {
    let root = repository::root();
    let mut all = Vec::new();
    for folder in ["core", "cli", "viewer", "tests", "benches"] {
        for file in repository::files_below(&root.join(folder), ".rs")? {
            all.push((name_below(&file, &root), repository::read(&file)?));
        }
    }
    Ok(all)
}

fn nothing_wrong(wrong: &[String]) -> Checked {
    if wrong.is_empty() { Ok(()) } else { Err(wrong.join("\n")) }
}

fn layer(module: &str) -> Option<usize> {
    LAYERS.iter().position(|row| row.contains(&module))
}

/// Modules that a text of core names after `crate::`, in imports, paths and groups.
fn modules_named(text: &str) -> BTreeSet<String> {
    let code: String =
        text.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_';
    let mut named = BTreeSet::new();
    for rest in code.split("crate::").skip(1) {
        let parts = match rest.strip_prefix('{') {
            Some(group) => group.split('}').next().unwrap_or("").split(',').collect(),
            None => vec![rest],
        };
        for part in parts {
            let name: String = part.trim_start().chars().take_while(|c| is_name(*c)).collect();
            named.insert(name);
        }
    }
    named
}

#[test]
fn imports_point_only_downwards() -> Checked {
    let mut wrong = Vec::new();
    for (name, text) in sources()? {
        let Some(path) = name.strip_prefix("core/src/").filter(|p| *p != "lib.rs") else { continue };
        let own = path.split(['/', '.']).next().unwrap_or("");
        let own_layer =
            layer(own).ok_or_else(|| format!("core/src/{own} is in no layer: add it to LAYERS"))?;
        for module in modules_named(&text) {
            let Some(other) = layer(&module) else { continue };
            let allowed = other < own_layer || module == own || NEIGHBOURS.contains(&(own, module.as_str()));
            if !allowed {
                wrong.push(format!("{name}: `{own}` may not import `{module}`"));
            }
        }
    }
    nothing_wrong(&wrong)
}

#[test]
fn the_layer_test_sees_imports_in_every_form() {
    let text = "use crate::geom::Vec3;\n// crate::report is a comment\nuse crate::{units::Unit, proof};\nfn f(j: &crate::job::Job) {}";
    let named: Vec<String> = modules_named(text).into_iter().collect();
    assert_eq!(named, ["geom", "job", "proof", "units"]);
}

#[test]
fn every_kind_of_finding_has_its_file_and_its_spec_and_every_file_its_kind() -> Checked {
    let root = repository::root();
    let kinds: Vec<&str> = proofcut_core::findings::kinds().iter().map(|k| k.name).collect();
    let unique: BTreeSet<&str> = kinds.iter().copied().collect();
    let mut wrong = Vec::new();
    if unique.len() != kinds.len() {
        wrong.push(format!("two kinds share a name: {kinds:?}"));
    }
    let mut files = BTreeSet::new();
    for file in repository::files_below(&root.join("core/src/findings"), ".rs")? {
        if repository::read(&file)?.contains("const KIND: Kind") {
            files.insert(stem(&file).replace('_', "-"));
        }
    }
    let mut specs = BTreeSet::new();
    for file in repository::files_below(&root.join("tests/specs"), ".md")? {
        if stem(&file) != "README" {
            specs.insert(
                Spec::parse(&repository::read(&file)?).map_err(|e| format!("{}: {e}", file.display()))?.kind,
            );
        }
    }
    for (what, set) in [("no file in core/src/findings", &files), ("no spec in tests/specs", &specs)] {
        wrong.extend(unique.iter().filter(|k| !set.contains(**k)).map(|k| format!("{k}: {what}")));
        wrong.extend(
            set.iter().filter(|k| !unique.contains(k.as_str())).map(|k| format!("{k}: not among kinds()")),
        );
    }
    nothing_wrong(&wrong)
}

fn stem(file: &Path) -> String {
    file.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

#[test]
fn a_kind_explains_itself() -> Checked {
    let mut wrong = Vec::new();
    for kind in proofcut_core::findings::kinds() {
        let plain = kind.name.chars().all(|c| c.is_ascii_lowercase() || c == '-' || c.is_ascii_digit());
        if !plain || kind.explanation.len() < 60 || !kind.explanation.ends_with('.') {
            wrong.push(format!("{}: kebab-case name and a paragraph that ends with a full stop", kind.name));
        }
    }
    nothing_wrong(&wrong)
}

#[test]
fn no_source_file_is_too_long() -> Checked {
    let long = sources()?.into_iter().filter(|(_, text)| text.lines().count() > LONGEST);
    nothing_wrong(
        &long.map(|(name, text)| format!("{name}: {} lines", text.lines().count())).collect::<Vec<_>>(),
    )
}

#[test]
fn an_inch_is_defined_in_one_place() -> Checked {
    let inch = ["25", ".4"].concat();
    let mut wrong = Vec::new();
    for (name, text) in sources()? {
        if name.starts_with("core/src/") && name != "core/src/units/mod.rs" {
            let code = text.split("#[cfg(test)]").next().unwrap_or("");
            let mut lines = code.lines().enumerate().filter(|(_, l)| !l.trim_start().starts_with("//"));
            if let Some((i, _)) = lines.find(|(_, l)| has_number(l, &inch)) {
                wrong.push(format!("{name}:{}", i + 1));
            }
        }
    }
    nothing_wrong(&wrong)
}

/// True when a line holds the number itself, not as a part of a longer one.
fn has_number(line: &str, number: &str) -> bool {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    line.match_indices(number).any(|(at, _)| {
        let (before, after) = line.split_at(at);
        !digit(before.chars().next_back()) && !digit(after.chars().nth(number.len()))
    })
}

#[test]
fn core_and_viewer_print_nothing() -> Checked {
    let mut wrong = Vec::new();
    for (name, text) in sources()? {
        let tests = name.contains("/tests/");
        if tests || !name.starts_with("core/src/") && !name.starts_with("viewer/src/") {
            continue;
        }
        let words = ["println", "eprintln", "print", "eprint", "dbg"];
        let prints = |l: &str| words.iter().any(|w| l.trim_start().starts_with(&format!("{w}!(")));
        if let Some((i, _)) = text.lines().enumerate().find(|(_, l)| prints(l)) {
            wrong.push(format!("{name}:{}", i + 1));
        }
    }
    nothing_wrong(&wrong)
}

#[test]
fn no_file_names_a_place_on_somebodys_machine() -> Checked {
    // Put together here, so that this file is free of them too.
    let places =
        [["/ho", "me/"], ["/Us", "ers/"], ["/ro", "ot/"], ["/tm", "p/"], ["/wo", "rk/"], ["C:", "\\Users"]];
    let places = places.map(|p| p.concat());
    let mut wrong = Vec::new();
    for file in text_files()? {
        let Ok(text) = repository::read(&file) else { continue };
        for (i, line) in text.lines().enumerate() {
            if places.iter().any(|p| line.contains(p.as_str())) {
                wrong.push(format!("{}:{}: {}", name_below(&file, &repository::root()), i + 1, line.trim()));
            }
        }
    }
    nothing_wrong(&wrong)
}

/// Files of the repository that hold text.
fn text_files() -> Result<Vec<PathBuf>, String> {
    let endings =
        [".rs", ".toml", ".md", ".json", ".nc", ".py", ".sh", ".yml", ".yaml", ".txt", ".lock", ".csv"];
    let mut all = Vec::new();
    for ending in endings {
        all.extend(repository::files_below(&repository::root(), ending)?);
    }
    Ok(all)
}
