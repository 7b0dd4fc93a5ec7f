//! What the whole-job tests share: specs in markdown, jobs in memory, folders of the repository.

pub mod folder;
pub mod memory;
pub mod patch;
pub mod repository;
pub mod spec;
