//! Files in memory.

use proofcut_core::job::Files;
use std::collections::BTreeMap;

/// A folder of files that exists only in memory.
#[derive(Clone, Debug, Default)]
pub struct MemoryFiles {
    files: BTreeMap<String, Vec<u8>>,
}

impl MemoryFiles {
    /// Puts a file, in place of one of the same name.
    pub fn put(&mut self, name: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.files.insert(name.into(), bytes.into());
    }
}

impl Files for MemoryFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.files.get(path).cloned().ok_or_else(|| "there is no such file".to_owned())
    }
}
