//! Every planted mistake of `fixtures/jobs/pivot-block-mistakes` is caught: the right kind, setup, line and tool.

use proofcut_core::findings::Finding;
use proofcut_core::job::Job;
use proofcut_core::report::{Checked, result_of};
use proofcut_tests::repository;
use proofcut_tests::spec::Found;
use proofcut_tests::whole::checked;
use serde::Deserialize;

const FOLDER: &str = "fixtures/jobs/pivot-block-mistakes";

/// `expected.json`; `fixtures/jobs/README.md` says what it means.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Planted {
    mistake: String,
    verdict: String,
    expect: Vec<Wanted>,
    follows: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wanted {
    kind: String,
    severity: String,
    setup: Option<String>,
    program: Option<String>,
    line: Option<u32>,
    tool: Option<u32>,
    words: Option<String>,
}

impl Wanted {
    fn is_met_by(&self, f: &Finding, job: &Job) -> bool {
        self.kind == f.kind.name
            && self.severity == f.diagnostic.severity.word()
            && self.setup.as_deref().is_none_or(|s| setup_name(f, job) == Some(s))
            && self.program.as_deref().is_none_or(|p| file_name(f) == Some(p))
            && self.line.is_none_or(|l| f.line == Some(l))
            && self.tool.is_none_or(|t| f.tool == Some(t))
            && self.words.as_deref().is_none_or(|w| Found::of(f).words.contains(w))
    }
}

fn setup_name<'a>(f: &Finding, job: &'a Job) -> Option<&'a str> {
    job.setups.get(f.setup?).map(|s| s.name.as_str())
}

/// Name of the program file without its folder.
fn file_name(f: &Finding) -> Option<&str> {
    f.program.as_deref()?.rsplit('/').next()
}

/// What is wrong with the proof of a planted mistake, a line each.
fn complaints(planted: &Planted, checked: &Checked) -> Vec<String> {
    let Checked { job, proof, .. } = checked;
    let mut out = Vec::new();
    let verdict = result_of(checked).verdict;
    if planted.verdict != verdict {
        out.push(format!("verdict is {verdict}, not {}", planted.verdict));
    }
    for wanted in &planted.expect {
        let met = proof.findings.iter().position(|f| wanted.is_met_by(f, job));
        let Some(met) = met.and_then(|i| proof.findings.get(i)) else {
            out.push(format!("not found: {wanted:?}"));
            continue;
        };
        // What stands before it must be expected too: a mistake is caught where it is made, not further on.
        let earlier = proof.findings.iter().find(|f| {
            f.kind == met.kind
                && f.setup == met.setup
                && f.line < met.line
                && !planted.expect.iter().any(|w| w.is_met_by(f, job))
        });
        if let Some(earlier) = earlier {
            out.push(format!("found too early: {}", Found::of(earlier).line));
        }
    }
    for f in &proof.findings {
        let expected = planted.expect.iter().any(|w| w.kind == f.kind.name);
        if !expected && !planted.follows.iter().any(|k| k == f.kind.name) {
            out.push(format!("nobody expected: {} {}", Found::of(f).line, f.diagnostic.message));
        }
    }
    for kind in &planted.follows {
        if !proof.findings.iter().any(|f| f.kind.name == kind) {
            out.push(format!("`{kind}` should follow but was not found"));
        }
    }
    out
}

#[test]
fn every_planted_mistake_is_caught_where_it_is_made() {
    let folder = repository::root().join(FOLDER);
    let files = repository::files_below(&folder, "expected.json").unwrap();
    assert!(files.len() >= 24, "only {} planted mistakes", files.len());
    let mut failures = Vec::new();
    for file in files {
        let name = file.parent().unwrap().file_name().unwrap().to_string_lossy().into_owned();
        let planted: Planted =
            serde_json::from_str(&repository::read(&file).unwrap()).unwrap_or_else(|e| panic!("{name}: {e}"));
        let checked = checked(&format!("{FOLDER}/{name}")).unwrap_or_else(|e| panic!("{name}: {e}"));
        let complaints = complaints(&planted, &checked);
        if !complaints.is_empty() {
            let all: Vec<String> = checked.proof.findings.iter().map(|f| Found::of(f).line).collect();
            failures.push(format!(
                "{name}: {}\n  ! {}\n  all findings:\n    {}\n",
                planted.mistake,
                complaints.join("\n  ! "),
                all.join("\n    ")
            ));
        }
    }
    assert!(failures.is_empty(), "\n{}", failures.concat());
}

#[test]
fn a_mistake_that_nobody_made_is_not_caught() {
    let checked = checked("fixtures/jobs/pivot-block").unwrap();
    let text =
        repository::read(&repository::root().join(FOLDER).join("spindle-wrong-way/expected.json")).unwrap();
    let planted: Planted = serde_json::from_str(&text).unwrap();
    let complaints = complaints(&planted, &checked);
    assert_eq!(complaints.len(), 2, "verdict and finding: {complaints:?}");
}
