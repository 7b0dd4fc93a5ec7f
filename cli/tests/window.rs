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
    // Without `-noreset` the server starts over whenever its last client leaves, as each call of `xdotool` does, and a
    // window that asks for a connection in that moment gets none.
    let words = ["-displayfd", "1", "-screen", "0", "1440x900x24", "-nolisten", "tcp", "-noreset"];
    let child = Command::new("Xvfb").args(words).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().ok()?;
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

    /// The window of a process; `None` when it ends without one.
    fn find_of(display: &str, child: &mut Running) -> Option<Self> {
        let begun = Instant::now();
        loop {
            let found = Self::tool(display, &["search", "--onlyvisible", "--name", "Proofcut"]);
            if let Some(id) = found.lines().next() {
                return Some(Self { display: display.to_owned(), id: id.to_owned() });
            }
            if child.0.try_wait().unwrap().is_some() {
                return None;
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

    /// The title once it no longer changes.
    fn settled(&self) -> String {
        let mut last = self.title();
        loop {
            std::thread::sleep(Duration::from_millis(400));
            let now = self.title();
            if now == last {
                return now;
            }
            last = now;
        }
    }

    fn at(&self, (x, y): (i32, i32)) {
        let (x, y) = (x.to_string(), y.to_string());
        Self::tool(&self.display, &["mousemove", "--window", &self.id, &x, &y]);
        std::thread::sleep(Duration::from_millis(60));
    }

    fn click(&self, x: i32, y: i32) {
        self.at((x, y));
        Self::tool(&self.display, &["click", "1"]);
    }

    fn drag(&self, from: (i32, i32), to: (i32, i32), pause: Duration) {
        self.at(from);
        std::thread::sleep(pause);
        Self::tool(&self.display, &["mousedown", "1"]);
        std::thread::sleep(pause);
        self.at((i32::midpoint(from.0, to.0), i32::midpoint(from.1, to.1)));
        self.at(to);
        std::thread::sleep(pause);
        Self::tool(&self.display, &["mouseup", "1"]);
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
    let window = Window::find_of(&display, &mut child).unwrap();
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
        window.click(700, 400);
        std::thread::sleep(Duration::from_millis(300));
    }
    measure_and_cut(&window);
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

/// Measures from the top face to the slot's floor, then cuts the part open and drags the plane.
fn measure_and_cut(window: &Window) {
    window.key("l");
    window.click(700, 400);
    window.says(&["measuring from flat face at Z 0.0000, body"]);
    // Somewhere to the right of the middle lies the slot, 0.2 in deep.
    let floor = (780..1000).step_by(20).any(|x| {
        window.click(x, 470);
        let title = window.settled();
        if title.contains("measured 0.2000 in") {
            return true;
        }
        if !title.contains("measuring from") {
            window.click(700, 400);
            window.says(&["measuring from flat face at Z 0.0000, body"]);
        }
        false
    });
    assert!(floor, "no slot: {}", window.title());
    window.key("Escape");
    window.key("Delete");
    window.key("s");
    window.says(&["section X 0.0000"]);
    assert!(!window.title().contains("measured"), "{}", window.title());
    // The arrow stands in the middle of the part, which fills the scene; a drag beside it turns the eye, so look again.
    // Slow frames need slow hands: a button that is let go in the frame in which it was pressed drags nothing.
    let tries = [0, 12, -12, 24, -24, 0, 36, -36, 48, -48, 0, 12, -12].into_iter().zip(1..);
    let dragged = tries.into_iter().any(|(dy, number)| {
        let pause = Duration::from_millis(100 + 50 * number);
        window.drag((MIDDLE.0, MIDDLE.1 + dy), (MIDDLE.0 + 60, MIDDLE.1 + dy), pause);
        let is_moved = !window.settled().contains("section X 0.0000");
        if !is_moved {
            window.key("1");
            window.key("f");
        }
        is_moved
    });
    assert!(dragged, "the plane was not dragged: {}", window.title());
    let title = window.title();
    let place = title.split("section X ").nth(1).and_then(|t| t.split(' ').next()?.parse::<f64>().ok());
    assert!(place.is_some_and(|x| (0.1..0.8).contains(&x)), "{title}");
    window.key("s");
    window.says(&["section Y "]);
}

/// Middle of the scene in a window of 1440 x 900, pixels.
const MIDDLE: (i32, i32) = (722, 468);

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

/// On a display, but with every graphics driver out of reach, it is one sentence that names what to install.
#[test]
fn without_a_graphics_driver_the_packages_are_named() {
    let Some((_server, display)) = display() else { return };
    let mut command = view(Path::new("job.json"));
    for name in
        ["VK_ICD_FILENAMES", "VK_DRIVER_FILES", "LIBGL_DRIVERS_PATH", "__EGL_VENDOR_LIBRARY_FILENAMES"]
    {
        command.env(name, "/nowhere");
    }
    let out = command.env("DISPLAY", &display).output().unwrap();
    assert_eq!(out.status.code(), Some(2));
    let said = String::from_utf8_lossy(&out.stderr).replace('\n', " ");
    assert!(said.starts_with("no window: no graphics driver that works was found"), "{said}");
    assert!(said.contains("mesa-vulkan-drivers") && said.contains("libgl1-mesa-dri"), "{said}");
    assert!(!said.contains("panic"), "{said}");
}

/// Where there is only OpenGL, the window opens all the same.
#[test]
fn opengl_alone_is_enough() {
    let (Some((_server, display)), Ok(_)) = (display(), Command::new("xdotool").arg("version").output())
    else {
        assert!(std::env::var_os("PROOFCUT_WINDOW").is_none_or(|v| v != "required"), "no Xvfb or no xdotool");
        return;
    };
    let mut command = view(Path::new("no-such-job.json"));
    for name in ["VK_ICD_FILENAMES", "VK_DRIVER_FILES"] {
        command.env(name, "/nowhere");
    }
    let mut child = Running(command.env("DISPLAY", &display).spawn().unwrap());
    let Some(window) = Window::find_of(&display, &mut child) else {
        // A machine that has Vulkan only.
        assert!(
            std::env::var_os("PROOFCUT_WINDOW").is_none_or(|v| v != "required"),
            "OpenGL opens no window"
        );
        return;
    };
    window.says(&["FAILED"]);
    assert!(child.0.try_wait().unwrap().is_none(), "the window is gone");
}
