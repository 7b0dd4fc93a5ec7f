//! Files that the command writes: nothing is written over unasked, and all or nothing.

use crate::disk::{Disk, reason};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Why the file may not be written; asked before the work is done.
pub(crate) fn in_the_way(out: &Path, force: bool, disk: &Disk) -> Option<String> {
    let path = out.display();
    if disk.has_read(out) {
        return Some(format!("--out would overwrite {path}, a file of the job"));
    }
    if out.is_dir() {
        return Some(format!("{path} is a folder"));
    }
    if out.exists() && !force {
        return Some(format!("{path} is there already; --force writes over it"));
    }
    let folder = folder_of(out);
    (!folder.is_dir()).then(|| format!("{path} cannot be written: there is no folder {}", folder.display()))
}

fn folder_of(path: &Path) -> PathBuf {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new(".")).to_owned()
}

/// Writes all or nothing: into a file beside, which then takes the name.
pub(crate) fn write(path: &Path, bytes: &[u8], force: bool) -> Result<(), String> {
    let cannot = |e: &std::io::Error| format!("{} cannot be written: {}", path.display(), reason(e));
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let beside = folder_of(path).join(format!(".{name}.{}.part", std::process::id()));
    let written = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
        .map_err(|e| cannot(&e))
        .and_then(|()| {
            // Whoever made a file of that name meanwhile keeps it.
            if !force && path.exists() {
                return Err(format!("{} is there already; --force writes over it", path.display()));
            }
            std::fs::rename(&beside, path).map_err(|e| cannot(&e))
        });
    if written.is_err() {
        // Whether it is there or not, nothing is to stay.
        let _gone = std::fs::remove_file(&beside);
    }
    written
}
