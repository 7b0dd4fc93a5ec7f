//! A real window under a virtual display, driven with keys and mouse through a whole story; what it says is read off its
//! title. Needs `Xvfb` and `xdotool`; with `PROOFCUT_WINDOW=required` their absence is a failure.

#![cfg(all(feature = "window", target_os = "linux"))]
#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Longest wait for anything: a debug build on a busy machine with a driver in software.
const PATIENCE: Duration = Duration::from_secs(60);

/// A process that does not outlive the test.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        // Either may fail only because it is over already.
        let _killed = self.0.kill();
        let _gone = self.0.wait();
    }
}

/// A folder that does not outlive the test.
struct Folder(PathBuf);

impl Drop for Folder {
    fn drop(&mut self) {
        let _gone = std::fs::remove_dir_all(&self.0);
    }
}

/// The demo with one of its mistakes, in a folder of its own, with rays far enough apart to be quick.
fn demo(mistake: &str) -> Folder {
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().join("fixtures/jobs");
    let folder = std::env::temp_dir().join(format!("proofcut-window-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for from in [jobs.join("pivot-block"), jobs.join("pivot-block-mistakes").join(mistake)] {
        for file in std::fs::read_dir(from).unwrap().flatten() {
            let text = std::fs::read_to_string(file.path()).unwrap().replace("../../pivot-block/", "");
            let is_job = file.file_name() == "job.json";
            let text = if is_job {
                text.replacen("\"proofcut\": 1,", "\"proofcut\": 1, \"spacing\": 0.03,", 1)
            } else {
                text
            };
            std::fs::write(folder.join(file.file_name()), text).unwrap();
        }
    }
    Folder(folder)
}

fn display() -> Option<(Running, String)> {
    let screen = ["-displayfd", "1", "-screen", "0", "1440x900x24", "-nolisten", "tcp"];
    let child =
        Command::new("Xvfb").args(screen).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?;
    let mut running = Running(child);
    let mut number = String::new();
    BufReader::new(running.0.stdout.take()?).read_line(&mut number).ok()?;
    let number = number.trim();
    (!number.is_empty()).then(|| (running, format!(":{number}")))
}

/// A window on a display.
struct Window {
    display: String,
    id: String,
}

impl Window {
    fn tool(display: &str, words: &[&str]) -> String {
        let out = Command::new("xdotool").args(words).env("DISPLAY", display).output().unwrap();
        String::from_utf8_lossy(&out.stdout).trim().to_owned()
    }

    fn find(display: &str) -> Self {
        let begun = Instant::now();
        loop {
            let found = Self::tool(display, &["search", "--onlyvisible", "--name", "Proofcut"]);
            if let Some(id) = found.lines().next() {
                return Self { display: display.to_owned(), id: id.to_owned() };
            }
            assert!(begun.elapsed() < PATIENCE, "no window");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn title(&self) -> String {
        Self::tool(&self.display, &["getwindowname", &self.id])
    }

    /// Waits until the title holds all words.
    fn says(&self, words: &[&str]) {
        let begun = Instant::now();
        loop {
            let title = self.title();
            if words.iter().all(|w| title.contains(w)) {
                return;
            }
            assert!(begun.elapsed() < PATIENCE, "{words:?} never came; the title is {title:?}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn key(&self, key: &str) {
        Self::tool(&self.display, &["key", key]);
    }

    fn focus(&self) {
        Self::tool(&self.display, &["windowfocus", "--sync", &self.id]);
    }
}

fn view(job: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_proofcut"));
    command.arg("view").arg(job);
    for name in ["DISPLAY", "WAYLAND_DISPLAY", "WAYLAND_SOCKET"] {
        command.env_remove(name);
    }
    command
}

#[test]
fn the_mistake_is_found_mended_and_gone() {
    let (Some((_server, display)), Ok(_)) = (display(), Command::new("xdotool").arg("version").output())
    else {
        assert!(std::env::var_os("PROOFCUT_WINDOW").is_none_or(|v| v != "required"), "no Xvfb or no xdotool");
        return;
    };
    let folder = demo("slipped-point");
    let program = folder.0.join("top.nc");
    let child = view(&folder.0.join("job.json")).env("DISPLAY", &display).spawn().unwrap();
    let mut child = Running(child);
    let window = Window::find(&display);
    window.says(&["checked: FAULTS: do not run this job as it is", "4 long edge, after the last move"]);
    window.focus();
    window.key("F8");
    window.says(&["finding 1 of ", "gouge", "1 top side, line 123"]);
    window.key("End");
    window.says(&["1 top side, after the last move"]);
    // From above the part fills the middle of the scene; a click there tells who cut it.
    for key in ["m", "1", "f"] {
        window.key(key);
    }
    let begun = Instant::now();
    while !window.title().contains("surface cut by T") {
        assert!(begun.elapsed() < PATIENCE, "no click on the part was understood: {}", window.title());
        Window::tool(&display, &["mousemove", "--window", &window.id, "700", "400"]);
        Window::tool(&display, &["click", "1"]);
        std::thread::sleep(Duration::from_millis(300));
    }
    window.key("s");
    let text = std::fs::read_to_string(&program).unwrap();
    std::fs::write(&program, text.replace("Z-1.355", "Z-.1355")).unwrap();
    window.says(&["STALE"]);
    assert!(!window.title().contains("FAULTS"), "{}", window.title());
    window.key("F5");
    window.says(&["checked: no faults found by simulation"]);
    // Files that cannot be read are no result.
    std::fs::write(folder.0.join("tools.json"), "{").unwrap();
    window.says(&["STALE"]);
    window.key("F5");
    window.says(&["FAILED"]);
    assert!(child.0.try_wait().unwrap().is_none(), "the window is gone");
}

#[test]
fn without_a_display_there_is_one_sentence() {
    let out = view(Path::new("job.json")).output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(said.starts_with("no window: there is no display"), "{said}");
    assert!(!said.contains("panic"), "{said}");
}

/// A display that does not answer is a sentence, too.
#[test]
fn a_display_that_is_not_there_is_one_sentence() {
    let out = view(Path::new("job.json")).env("DISPLAY", ":987").output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    let said = String::from_utf8_lossy(&out.stderr);
    assert!(said.starts_with("no window: "), "{said}");
    assert!(!said.contains("panic"), "{said}");
}
