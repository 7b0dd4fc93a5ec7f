use crate::solid::MeshFault;

/// Why there can be no stock model.
#[derive(Clone, Debug, PartialEq)]
pub enum StockError {
    /// The raw stock holds no volume.
    Empty,
    /// Some of it lies farther than this from the part's zero along an axis, or it is longer than this, mm.
    TooFar {
        /// The reach, mm.
        reach: f64,
    },
    /// The spacing asked for would take more memory than the limit.
    TooFine {
        /// Spacing asked for, mm.
        spacing: f64,
        /// Bytes that it would take.
        bytes: u64,
        /// The limit, bytes.
        limit: u64,
        /// Finest spacing that fits, mm.
        fits: f64,
    },
    /// Cutting left so many pieces of material on the rays that they take more memory than the limit.
    Overfull {
        /// Spacing of the rays, mm.
        spacing: f64,
        /// The limit, bytes.
        limit: u64,
    },
    /// The mesh is not the surface of a solid.
    Mesh(MeshFault),
}

impl std::fmt::Display for StockError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            StockError::Empty => write!(f, "the raw stock holds no volume"),
            StockError::TooFar { reach } => write!(
                f,
                "the raw stock is longer than {reach} mm, or lies farther than that from the part's zero"
            ),
            StockError::TooFine { spacing, bytes, limit, fits } => write!(
                f,
                "a spacing of {spacing} mm would take about {} MB of memory, more than the {} MB allowed; \
                 {fits} mm fits",
                bytes >> 20,
                limit >> 20
            ),
            StockError::Overfull { spacing, limit } => write!(
                f,
                "what is cut leaves so many thin pieces that rays {spacing} mm apart take more than the {} MB of memory \
                 allowed; a coarser spacing takes less",
                limit >> 20
            ),
            StockError::Mesh(fault) => write!(f, "the raw stock's mesh: {fault}"),
        }
    }
}

impl std::error::Error for StockError {}
