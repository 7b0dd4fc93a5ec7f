//! Analytic solids that rays can meet: raw stock, meshes, and the drawing's nominal part.
//!
//! *Invariant*: spans of a solid are exact to rounding for analytic shapes.
