//! What the whole-job tests share.
