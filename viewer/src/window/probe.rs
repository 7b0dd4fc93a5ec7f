//! What a window needs of the machine, asked for before anything is opened.

use super::NoWindow;
use std::fmt;

/// Libraries of a window on X11, as Debian and Ubuntu call them.
#[cfg(all(unix, not(target_os = "macos")))]
const PACKAGES: &str = "On Debian and Ubuntu: `apt install libx11-6 libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0`. Every other command works without a window";

/// Is there a display, and what the keyboard needs?
///
/// # Errors
/// With what is missing.
#[cfg(all(unix, not(target_os = "macos")))]
pub(super) fn display() -> Result<(), NoWindow> {
    let set = |name| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    let (wayland, x11) = (set("WAYLAND_DISPLAY") || set("WAYLAND_SOCKET"), set("DISPLAY"));
    if !wayland && !x11 {
        return Err(NoWindow::new(
            "there is no display (neither WAYLAND_DISPLAY nor DISPLAY is set). `proofcut check` and `proofcut picture` need none",
        ));
    }
    if xkbcommon_dl::xkbcommon_option().is_none() {
        return Err(NoWindow::new(format!("the library libxkbcommon is missing. {PACKAGES}")));
    }
    if !wayland && xkbcommon_dl::x11::xkbcommon_x11_option().is_none() {
        return Err(NoWindow::new(format!("the library libxkbcommon-x11 is missing. {PACKAGES}")));
    }
    Ok(())
}

/// The system always has one.
///
/// # Errors
/// Never.
#[cfg(not(all(unix, not(target_os = "macos"))))]
pub(super) fn display() -> Result<(), NoWindow> {
    Ok(())
}

/// The system's own words with what may help.
#[cfg(all(unix, not(target_os = "macos")))]
pub(super) fn no_display(error: impl fmt::Display) -> NoWindow {
    NoWindow::new(format!("no window can be opened ({}). {PACKAGES}", without_place(&error.to_string())))
}

/// What a library says, without the place in its own source that it puts before.
#[cfg(all(unix, not(target_os = "macos")))]
fn without_place(said: &str) -> &str {
    let behind = said.rsplit_once(".rs:").map_or(said, |(_, rest)| rest);
    behind.trim_start_matches(|c: char| c.is_ascii_digit()).trim_start_matches(':').trim_start()
}

/// The system's own words.
#[cfg(not(all(unix, not(target_os = "macos"))))]
pub(super) fn no_display(error: impl fmt::Display) -> NoWindow {
    NoWindow::new(format!("no window can be opened ({error})"))
}

#[cfg(all(test, unix, not(target_os = "macos")))]
mod tests {
    use super::*;

    #[test]
    fn a_library_speaks_without_its_place() {
        let said = "os error at /src/winit/mod.rs:788: Failed to load a library";
        assert_eq!(without_place(said), "Failed to load a library");
        assert_eq!(without_place("not connected"), "not connected");
        let words = no_display(said).to_string();
        assert!(words.contains("(Failed to load a library)") && words.contains("libx11-xcb1"), "{words}");
    }
}
