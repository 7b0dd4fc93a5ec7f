//! Whole jobs of the repository, proved.

use crate::folder::Folder;
use crate::repository;
use proofcut_core::job;
use proofcut_core::proof::{Unwatched, prove};
use proofcut_core::report::Checked;

/// Loads and proves the job in a folder of the repository, such as `fixtures/jobs/end-stop`.
///
/// # Errors
/// Everything that is wrong with its files, a line each.
pub fn checked(folder: &str) -> Result<Checked, String> {
    let loaded = job::load("job.json", &Folder(repository::root().join(folder)));
    let loaded = loaded.map_err(|all| {
        all.iter().map(|d| format!("{}: {}", d.kind, d.message)).collect::<Vec<_>>().join("\n")
    })?;
    let proof = prove(&loaded.job, &Unwatched);
    Ok(Checked { job: loaded.job, warnings: loaded.warnings, proof })
}
