//! The names of all input mistakes. Each has at least one example under `fixtures/input-mistakes`; a test compares.

/// A file that cannot be read.
pub const MISSING_FILE: &str = "missing-file";
/// A file that is larger than any honest one.
pub const TOO_LARGE: &str = "too-large";
/// A job file that is not UTF-8 text.
pub const NOT_TEXT: &str = "not-text";
/// Not JSON.
pub const SYNTAX: &str = "syntax";
/// A field that this kind of object does not have.
pub const UNKNOWN_FIELD: &str = "unknown-field";
/// A field that must be there and is not.
pub const MISSING_FIELD: &str = "missing-field";
/// The same field twice.
pub const DUPLICATE_FIELD: &str = "duplicate-field";
/// A number where a text belongs, and the like.
pub const WRONG_TYPE: &str = "wrong-type";
/// A word that is not one of the permitted ones.
pub const UNKNOWN_CHOICE: &str = "unknown-choice";
/// A version of the file form that is not known.
pub const WRONG_VERSION: &str = "wrong-version";
/// A size that must be greater than 0.
pub const NOT_POSITIVE: &str = "not-positive";
/// A number outside what is possible.
pub const OUT_OF_RANGE: &str = "out-of-range";
/// A lower limit that is not below its upper one.
pub const LIMITS_CROSSED: &str = "limits-crossed";
/// A number, name or place that is given twice.
pub const DUPLICATE: &str = "duplicate";
/// Two values that cannot both be true.
pub const CONTRADICTION: &str = "contradiction";
/// A field that belongs to another kind.
pub const FIELD_OF_OTHER_KIND: &str = "field-of-other-kind";
/// A list that must hold something and does not.
pub const EMPTY_LIST: &str = "empty-list";
/// A name that refers to nothing.
pub const UNKNOWN_REFERENCE: &str = "unknown-reference";
/// A face that the feature does not have.
pub const NO_SUCH_FACE: &str = "no-such-face";
/// A thread designation that is not understood.
pub const UNKNOWN_THREAD: &str = "unknown-thread";
/// A hole whose diameter does not fit its thread.
pub const THREAD_HOLE: &str = "thread-hole";
/// An outline that does not end where it started, or crosses itself.
pub const OUTLINE_NOT_CLOSED: &str = "outline-not-closed";
/// An arc whose ends do not lie on one circle about its centre.
pub const ARC_OFF_CIRCLE: &str = "arc-off-circle";
/// A mesh file that cannot be understood.
pub const MESH_NOT_READ: &str = "mesh-not-read";
/// A mesh that does not enclose a solid.
pub const MESH_NOT_CLOSED: &str = "mesh-not-closed";

/// All of them.
pub const ALL: &[&str] = &[
    MISSING_FILE,
    TOO_LARGE,
    NOT_TEXT,
    SYNTAX,
    UNKNOWN_FIELD,
    MISSING_FIELD,
    DUPLICATE_FIELD,
    WRONG_TYPE,
    UNKNOWN_CHOICE,
    WRONG_VERSION,
    NOT_POSITIVE,
    OUT_OF_RANGE,
    LIMITS_CROSSED,
    DUPLICATE,
    CONTRADICTION,
    FIELD_OF_OTHER_KIND,
    EMPTY_LIST,
    UNKNOWN_REFERENCE,
    NO_SUCH_FACE,
    UNKNOWN_THREAD,
    THREAD_HOLE,
    OUTLINE_NOT_CLOSED,
    ARC_OFF_CIRCLE,
    MESH_NOT_READ,
    MESH_NOT_CLOSED,
];
