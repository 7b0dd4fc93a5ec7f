//! The README's picture of the terminal, `cli/report.svg`, is what the program prints.
//! `PROOFCUT_REFRESH=1 cargo test -p proofcut --test picture` draws it anew.

#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use std::path::Path;
use std::process::Command;

/// A job with one mistake: a hole whose far edge is left sharp.
const JOB: &str = "fixtures/jobs/pivot-block-mistakes/break-left-out/job.json";

/// The part of the report that the picture shows: one setup, then what was found.
fn excerpt(report: &str) -> String {
    let lines: Vec<&str> = report.lines().collect();
    let at = |words: &str| lines.iter().position(|l| l.contains(words)).unwrap();
    let setup = lines.get(at("Setup 2 of 4")..at("Setup 3 of 4")).unwrap();
    let found = lines.get(at("Findings: ")..at("Against the drawing")).unwrap();
    let verdict = lines.get(at("Verdict: ")..=at("Verdict: ")).unwrap();
    [setup, found, verdict].concat().join("\n") + "\n"
}

#[test]
fn the_picture_of_the_readme_is_what_is_printed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_proofcut"))
        .args(["check", JOB, "--color", "always"])
        .env("COLORTERM", "truecolor")
        .current_dir(root)
        .output()
        .unwrap();
    let drawn = anstyle_svg::Term::new().render_svg(&excerpt(&String::from_utf8(output.stdout).unwrap()));
    let file = root.join("cli/report.svg");
    if std::env::var_os("PROOFCUT_REFRESH").is_some() {
        std::fs::write(&file, &drawn).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    assert!(kept == drawn, "draw it anew: PROOFCUT_REFRESH=1 cargo test -p proofcut --test picture");
}
