use super::Files;
use std::collections::BTreeMap;

/// Files held in memory: for tests, and for whoever has a job that does not lie on a disk.
///
/// ```
/// use proofcut_core::job::{Files, MemoryFiles};
/// let files = MemoryFiles::new().with("top.nc", "G0 Z1.\n");
/// assert_eq!(files.read("top.nc").unwrap(), b"G0 Z1.\n");
/// assert!(files.read("bottom.nc").is_err());
/// ```
#[derive(Clone, Debug, Default)]
pub struct MemoryFiles {
    files: BTreeMap<String, Vec<u8>>,
}

impl MemoryFiles {
    /// No files.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds or replaces a file.
    #[must_use]
    pub fn with(mut self, path: impl Into<String>, content: impl Into<Vec<u8>>) -> Self {
        self.insert(path, content);
        self
    }

    /// Adds or replaces a file.
    pub fn insert(&mut self, path: impl Into<String>, content: impl Into<Vec<u8>>) {
        self.files.insert(path.into(), content.into());
    }

    /// Paths of the files, in alphabetical order.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }
}

impl Files for MemoryFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.files.get(path).cloned().ok_or_else(|| "there is no such file".to_owned())
    }
}
