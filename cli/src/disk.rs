use proofcut_core::job::Files;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

/// Largest file that is read, bytes: far above any program or mesh, far below the memory of a small machine.
const LARGEST: u64 = 1 << 30;

/// Files on disk; remembers which were read, so that none of them is overwritten by a result.
#[derive(Debug, Default)]
pub(crate) struct Disk {
    read: RefCell<BTreeSet<PathBuf>>,
}

impl Disk {
    /// True when this path is a file that was read.
    pub(crate) fn has_read(&self, path: &Path) -> bool {
        path.canonicalize().is_ok_and(|p| self.read.borrow().contains(&p))
    }
}

impl Files for Disk {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        let file = std::fs::File::open(path).map_err(|e| reason(&e))?;
        let mut bytes = Vec::new();
        file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|e| reason(&e))?;
        if bytes.len() as u64 > LARGEST {
            return Err(format!("the file is larger than {} MiB", LARGEST >> 20));
        }
        if let Ok(path) = Path::new(path).canonicalize() {
            self.read.borrow_mut().insert(path);
        }
        Ok(bytes)
    }
}

/// Why a file cannot be read, in words.
#[expect(clippy::wildcard_enum_match_arm, reason = "the system has words of its own for the rest")]
pub(crate) fn reason(error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "there is no such file".to_owned(),
        ErrorKind::PermissionDenied => "it may not be opened (permission denied)".to_owned(),
        ErrorKind::IsADirectory => "it is a folder".to_owned(),
        _ => error.to_string(),
    }
}
