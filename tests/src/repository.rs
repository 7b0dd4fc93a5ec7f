//! The repository's own files, for tests.

use std::path::{Path, PathBuf};

/// The folder of the whole repository.
pub fn root() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.parent().unwrap_or(here).to_path_buf()
}

/// A file's text.
///
/// # Errors
/// A sentence with the file's path.
pub fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

/// All files below a folder whose names end with `ending`, sorted; build output and hidden folders left out.
///
/// # Errors
/// A sentence with the folder's path.
pub fn files_below(folder: &Path, ending: &str) -> Result<Vec<PathBuf>, String> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(folder) = open.pop() {
        let entries = std::fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        for entry in entries {
            let path = entry.map_err(|e| format!("{}: {e}", folder.display()))?.path();
            let name = path.file_name().and_then(|n| n.to_str()).unwrap_or("").to_owned();
            if path.is_dir() {
                if !name.starts_with('.') && name != "target" && name != "__pycache__" {
                    open.push(path);
                }
            } else if name.ends_with(ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    Ok(found)
}
