//! Files of a folder on the disk.

use proofcut_core::job::Files;
use std::path::PathBuf;

/// Reads files by their path below a folder.
#[derive(Clone, Debug)]
pub struct Folder(pub PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        // The system's own words differ between platforms; expected texts must not.
        std::fs::read(self.0.join(path)).map_err(|e| {
            let missing = e.kind() == std::io::ErrorKind::NotFound;
            if missing { "there is no such file".to_owned() } else { e.to_string() }
        })
    }
}
