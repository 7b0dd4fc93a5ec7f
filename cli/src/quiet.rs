//! Keeps a graphics driver's chatter off the terminal.

/// On a machine without a desktop a layer of the Vulkan drivers complains that it finds none (`XDG_RUNTIME_DIR is invalid`),
/// though it is of no consequence. It keeps still when told so before the process begins, so the command begins once more.
#[cfg(unix)]
pub(crate) fn driver() {
    use std::os::unix::process::CommandExt;
    /// What tells that layer to do nothing.
    const STILL: &str = "NODEVICE_SELECT";
    let unset = |name| std::env::var_os(name).is_none();
    if !(unset(STILL) && unset("XDG_RUNTIME_DIR")) {
        return;
    }
    if let Ok(this) = std::env::current_exe() {
        // Returns only when it fails; then the chatter stays, and that is all.
        let _failed =
            std::process::Command::new(this).args(std::env::args_os().skip(1)).env(STILL, "1").exec();
    }
}

/// Nothing is known to chatter.
#[cfg(not(unix))]
pub(crate) const fn driver() {}
