//! The `proofcut` command.

fn main() {}
