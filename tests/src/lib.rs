//! What the whole-job tests share: specs in markdown, folders of the repository.

pub mod folder;
pub mod patch;
pub mod repository;
pub mod spec;
pub mod whole;
