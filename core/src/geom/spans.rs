use smallvec::SmallVec;

/// Pieces of a line: ascending, disjoint `(low, high)` pairs with `low < high`, millimetres.
pub type Spans = SmallVec<[(f64, f64); 4]>;
