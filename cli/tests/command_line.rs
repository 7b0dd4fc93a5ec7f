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

#[test]
fn the_list_of_moves_has_the_fields_of_its_schema() {
    let schema: serde_json::Value = serde_json::from_str(&out(&run(&["schema", "moves"]))).unwrap();
    let job = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/jobs/pivot-block/job.json");
    let listed: serde_json::Value =
        serde_json::from_str(&out(&run(&["moves", job, "--setup", "1", "--json", "-"]))).unwrap();
    let fields = |value: &serde_json::Value| {
        value.as_object().unwrap().keys().cloned().collect::<std::collections::BTreeSet<_>>()
    };
    assert_eq!(fields(&listed), fields(&schema["properties"]));
    let setup = &listed["setups"][0];
    assert_eq!(fields(setup), fields(&schema["$defs"]["SetupMoves"]["properties"]));
    let steps = setup["steps"].as_array().unwrap();
    assert!(steps.len() > 100);
    for step in steps {
        assert_eq!(fields(step), fields(&schema["$defs"]["Step"]["properties"]));
    }
}

/// A folder of its own for a test's files; empty, and gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
        let _gone = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn file(&self, name: &str) -> String {
        self.0.join(name).to_str().unwrap().to_owned()
    }

    fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(&self.0).unwrap();
        entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _gone = std::fs::remove_dir_all(&self.0);
    }
}

/// Number of triangles that a binary STL file says it has; its length must fit.
fn triangles(path: &str) -> usize {
    let bytes = std::fs::read(path).unwrap();
    let count = u32::from_le_bytes(bytes.get(80..84).unwrap().try_into().unwrap()) as usize;
    assert_eq!(bytes.len(), 84 + 50 * count);
    count
}

#[test]
fn export_writes_a_mesh_once_and_writes_over_it_only_when_told() {
    let folder = Folder::new("export");
    let out_file = folder.file("part.stl");
    let output = run(&["export", CLEAN, "--out", &out_file]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert!(
        out(&output).contains("triangles") && out(&output).contains("proofcut check"),
        "{}",
        out(&output)
    );
    let few = triangles(&out_file);
    assert!(few > 12);
    let again = run(&["export", CLEAN, "--out", &out_file]);
    assert_eq!(again.status.code(), Some(3));
    assert!(err(&again).contains("--force"), "{}", err(&again));
    let first = std::fs::read(&out_file).unwrap();
    let forced = run(&["export", CLEAN, "--out", &out_file, "--force", "--threads", "1", "--quiet"]);
    assert_eq!((forced.status.code(), out(&forced)), (Some(0), String::new()), "{}", err(&forced));
    assert!(first == std::fs::read(&out_file).unwrap(), "the same bytes for any number of threads");
    let full =
        run(&["export", CLEAN, "--out", &out_file, "--force", "--full", "--after", "1", "--unit", "inch"]);
    assert_eq!(full.status.code(), Some(0), "{}", err(&full));
    assert!(triangles(&out_file) > 20 * few);
    assert!(std::fs::read(&out_file).unwrap().starts_with(b"Proofcut, inch, "));
    assert_eq!(folder.names(), ["part.stl"], "nothing else is left");
}

#[test]
fn export_of_what_cannot_be_followed_leaves_no_file() {
    let folder = Folder::new("export-unproven");
    let out_file = folder.file("part.stl");
    for more in [&[][..], &["--unproven"][..]] {
        let mut arguments = vec!["export", UNPROVEN, "--out", &out_file];
        arguments.extend(more);
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2));
        assert!(err(&output).contains("was not written"), "{}", err(&output));
        assert!(folder.names().is_empty());
    }
}

#[test]
fn export_says_what_is_wrong_with_the_command() {
    let folder = Folder::new("export-usage");
    let out_file = folder.file("part.stl");
    for (arguments, words) in [
        (vec!["export", CLEAN, "--out", &out_file, "--after", "tenth"], "no setup `tenth`"),
        (vec!["export", CLEAN, "--out", "no-such-folder/part.stl"], "there is no folder"),
        (vec!["export", CLEAN, "--out", "fixtures"], "is a folder"),
        (vec!["export", CLEAN, "--out", CLEAN, "--force"], "a file of the job"),
        (vec!["export", CLEAN], "--out"),
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(3), "{arguments:?}");
        assert!(err(&output).contains(words), "{}", err(&output));
    }
    assert_eq!(run(&["export", "no-such-job.json", "--out", &out_file]).status.code(), Some(2));
    assert!(folder.names().is_empty());
}

#[test]
fn moves_are_listed_as_text_and_as_data() {
    let output = run(&["moves", CLEAN, "--setup", "1"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let text = out(&output);
    assert!(text.starts_with("setup 1: "), "{text}");
    for words in [" rapid ", " feed ", " tool ", "G54", "  | N"] {
        assert!(text.contains(words), "{words} in {text}");
    }
    let output = run(&["moves", CLEAN, "--json", "-"]);
    let json: serde_json::Value = serde_json::from_str(&out(&output)).unwrap();
    let steps = json["setups"][0]["steps"].as_array().unwrap();
    let feed = steps.iter().find(|s| s["what"] == "feed").unwrap();
    assert!(feed["to"][2].is_number() && feed["feed"].as_f64().unwrap() > 0.0, "{feed}");
    assert_eq!(json["setups"][0]["lost_from"], serde_json::Value::Null);
    // A program that cannot be followed is listed as far as it goes, and says where it stops.
    let output = run(&["moves", UNPROVEN]);
    assert_eq!(output.status.code(), Some(2));
    assert!(out(&output).contains("not followed for certain from "), "{}", out(&output));
    let output = run(&["moves", CLEAN, "--setup", "9"]);
    assert_eq!(output.status.code(), Some(3));
    assert!(err(&output).contains("there is no setup `9`"), "{}", err(&output));
}
