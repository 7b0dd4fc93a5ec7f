//! `proofcut picture` as a user runs it. What needs a graphics driver is passed over where none is installed, unless
//! `PROOFCUT_DRIVERS=required`.

#![cfg(feature = "render")]
#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const CLEAN: &str = "fixtures/jobs/end-stop/job.json";
const UNPROVEN: &str = "fixtures/jobs/pivot-block-mistakes/unknown-code/job.json";

fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_proofcut"));
    command.args(arguments).current_dir(Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap());
    command
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A file of its own for each test.
fn file(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _gone = std::fs::remove_file(&path);
    path
}

/// The outcome with a driver; `None` where there is none and none is required.
fn drawn(arguments: &[&str], out: &Path) -> Option<Output> {
    let mut all = vec!["picture"];
    all.extend(arguments);
    all.extend(["--software", "--size", "320x200", "--out", out.to_str().unwrap()]);
    let output = command(&all).output().unwrap();
    let required = std::env::var_os("PROOFCUT_DRIVERS").is_some_and(|v| v == "required");
    (required || !err(&output).contains("no graphics driver")).then_some(output)
}

#[test]
fn a_picture_is_a_png_of_the_size_asked_for_and_nothing_is_overwritten() {
    let out = file("clean.png");
    let Some(output) = drawn(&[CLEAN], &out) else { return };
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    assert_eq!(err(&output), "");
    let bytes = std::fs::read(&out).unwrap();
    assert!(bytes.starts_with(b"\x89PNG\r\n\x1a\n"));
    assert_eq!(bytes[16..24], [0, 0, 1, 64, 0, 0, 0, 200]);
    let again = drawn(&[CLEAN], &out).unwrap();
    assert_eq!(again.status.code(), Some(3));
    assert!(err(&again).contains("--force"), "{}", err(&again));
    assert_eq!(std::fs::read(&out).unwrap(), bytes);
    let same = drawn(&[CLEAN, "--force"], &out).unwrap();
    assert_eq!(same.status.code(), Some(0));
    assert!(std::fs::read(&out).unwrap() == bytes, "same job, same picture");
}

#[test]
fn every_option_gives_another_picture() {
    let mut seen: Vec<Vec<u8>> = Vec::new();
    let clamped = [CLEAN, "--setup", "1", "--line", "40"];
    for (number, more) in [
        vec![],
        vec!["--path"],
        vec!["--clearance"],
        vec!["--dark"],
        vec!["--perspective"],
        vec!["--workholding", "ghost"],
        vec!["--workholding", "hide"],
        vec!["--tool", "hide"],
        vec!["--tint", "tool"],
        vec!["--view", "left-corner"],
        vec!["--section", "X0.1"],
        vec!["--lens", "X0 Y0 Z0", "--lens-width", "3"],
    ]
    .into_iter()
    .enumerate()
    {
        let out = file(&format!("option-{number}.png"));
        let arguments: Vec<&str> = clamped.iter().copied().chain(more.iter().copied()).collect();
        let Some(output) = drawn(&arguments, &out) else { return };
        assert_eq!(output.status.code(), Some(0), "{more:?}: {}", err(&output));
        let bytes = std::fs::read(&out).unwrap();
        assert!(!seen.contains(&bytes), "{more:?} changes nothing");
        seen.push(bytes);
    }
}

#[test]
fn what_is_not_proved_is_drawn_with_2() {
    let out = file("unproven.png");
    let Some(output) = drawn(&[UNPROVEN], &out) else { return };
    assert_eq!(output.status.code(), Some(2));
    assert!(err(&output).contains("not proved"), "{}", err(&output));
    assert!(out.is_file());
}

/// Where no driver is found: one sentence that names what to install, no file; other commands work.
#[test]
fn without_a_driver_the_message_says_what_to_install() {
    let out = file("none.png");
    let hide = |command: &mut Command| {
        let nowhere = env!("CARGO_TARGET_TMPDIR").to_owned() + "/no-such-driver.json";
        for name in ["VK_DRIVER_FILES", "VK_ICD_FILENAMES", "__EGL_VENDOR_LIBRARY_FILENAMES"] {
            command.env(name, &nowhere);
        }
        command.output().unwrap()
    };
    let output = hide(&mut command(&["picture", CLEAN, "--out", out.to_str().unwrap()]));
    if cfg!(target_os = "linux") {
        assert_eq!(output.status.code(), Some(2), "{}", err(&output));
        let told: String = err(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains("no graphics driver"), "{told}");
        assert!(told.contains("apt install libvulkan1 mesa-vulkan-drivers"), "{told}");
        assert!(!out.exists());
    }
    assert_eq!(hide(&mut command(&["check", CLEAN, "--quiet"])).status.code(), Some(0));
}

#[test]
fn wrong_words_are_told_before_any_work() {
    let out = file("wrong.png");
    for (arguments, words) in [
        (vec!["--view", "sideways"], "left corner"),
        (vec!["--size", "12"], "1280x800"),
        (vec!["--size", "1x900000"], "1280x800"),
        (vec!["--section", "Q1"], "Y0.5"),
        (vec!["--section", "Xnan"], "Y0.5"),
        (vec!["--setup", "17"], "--setup: there is no setup"),
        (vec!["--after", "17"], "--after: there is no setup"),
        (vec!["--setup", "1", "--line", "soon"], "`end`"),
    ] {
        let mut all = vec!["picture", CLEAN, "--out", out.to_str().unwrap()];
        all.extend(&arguments);
        let output = command(&all).output().unwrap();
        assert_eq!(output.status.code(), Some(3), "{arguments:?}");
        let told: String = err(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(words), "{arguments:?}: {told}");
        assert!(!out.exists());
    }
}
