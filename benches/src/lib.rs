//! What the measurements share.
