//! The command as a user runs it: streams, exit codes, colours, the result file.

#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use std::path::PathBuf;
use std::process::{Command, Output};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_proofcut"))
        .args(arguments)
        .current_dir(root())
        .env_remove("NO_COLOR")
        .env_remove("CLICOLOR_FORCE")
        .output()
        .unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

const CLEAN: &str = "fixtures/jobs/end-stop/job.json";
const FAULTY: &str = "fixtures/jobs/pivot-block-mistakes/spindle-not-started/job.json";
const UNPROVEN: &str = "fixtures/jobs/pivot-block-mistakes/unknown-code/job.json";

#[test]
fn a_clean_job_ends_with_0_and_says_so_plainly() {
    let output = run(&["check", CLEAN]);
    assert_eq!(output.status.code(), Some(0));
    let text = out(&output);
    assert!(text.contains("Verdict: no faults found by simulation."), "{text}");
    assert!(text.contains("The operator decides."), "{text}");
    assert!(!text.contains('\u{1b}') && text.is_ascii(), "a pipe gets plain text");
    assert_eq!(err(&output), "");
    assert!(text.lines().all(|l| l.len() <= 100 && !l.ends_with(' ')), "{text}");
}

#[test]
fn faults_end_with_1_and_are_shown_at_their_line() {
    let output = run(&["check", FAULTY]);
    assert_eq!(output.status.code(), Some(1));
    assert!(out(&output).contains("fault[spindle-not-turning] "), "{}", out(&output));
    assert!(out(&output).contains("end.nc:31"), "{}", out(&output));
}

#[test]
fn what_is_not_understood_ends_with_2_and_no_size_reads_as_a_pass() {
    let output = run(&["check", UNPROVEN]);
    assert_eq!(output.status.code(), Some(2));
    assert!(out(&output).contains("Nothing here may be taken as a pass"), "{}", out(&output));
    assert!(!out(&output).contains("within"), "{}", out(&output));
}

#[test]
fn input_that_cannot_be_read_ends_with_2_and_shows_the_place() {
    for job in ["fixtures/jobs/nowhere/job.json", "README.md"] {
        let output = run(&["check", job]);
        assert_eq!(output.status.code(), Some(2), "{job}");
        let words = out(&output) + &err(&output);
        assert!(words.contains("fault[") && words.contains(job), "{words}");
    }
}

#[test]
fn wrong_usage_ends_with_3_and_help_with_0() {
    for arguments in
        [vec!["chekc"], vec!["check"], vec!["check", CLEAN, "--threads", "0"], vec!["explain", "nonsense"]]
    {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(3), "{arguments:?}");
        assert_ne!(err(&output), "", "{arguments:?}");
    }
    assert_eq!(run(&["--help"]).status.code(), Some(0));
}

#[test]
fn colour_when_asked_for() {
    assert!(out(&run(&["check", FAULTY, "--color", "always"])).contains('\u{1b}'));
    assert!(!out(&run(&["check", FAULTY, "--color", "never"])).contains('\u{1b}'));
}

#[test]
fn the_result_file_is_the_same_to_the_byte_for_any_number_of_threads() {
    let results = ["1", "2", "8"].map(|n| out(&run(&["check", FAULTY, "--json", "-", "--threads", n])));
    assert!(results[0] == results[1] && results[1] == results[2]);
    let value: serde_json::Value = serde_json::from_str(&results[0]).unwrap();
    assert_eq!(value["proofcut"], 1);
    assert_eq!(value["verdict"], "faults");
    assert_eq!(value["findings"][0]["kind"], "spindle-not-turning");
    assert_eq!(value["findings"][0]["line"], 31);
}

#[test]
fn quiet_shows_a_line_for_each_finding_and_the_verdict() {
    let text = out(&run(&["check", FAULTY, "--quiet"]));
    assert!(text.lines().count() <= 3 && text.contains("spindle-not-turning"), "{text}");
}

#[test]
fn kinds_are_listed_and_explained() {
    let list = out(&run(&["explain"]));
    assert!(list.contains("rapid-into-stock") && list.contains("offset-without-zero"), "{list}");
    let one = run(&["explain", "gouge"]);
    assert_eq!(one.status.code(), Some(0));
    assert!(out(&one).len() > 80);
    let schema: serde_json::Value = serde_json::from_str(&out(&run(&["schema", "job"]))).unwrap();
    assert!(schema.is_object());
}
