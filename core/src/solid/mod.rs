//! Analytic solids that rays can meet: raw stock, meshes, and the drawing's nominal part.
//!
//! *Invariant*: spans of a solid are exact to rounding for analytic shapes.

mod build;
mod edge;
mod form;
mod local;
mod mesh;
mod mesh_near;
mod mesh_view;
mod nominal;
mod owned;
mod profile;
mod profile_rays;
mod raw;
mod row;
mod steady;

pub use edge::{Edge, EdgePlace};
pub use mesh::{MeshFault, MeshSolid};
pub use nominal::{Near, NominalPart, StepRole, Unclear};
pub use owned::{OwnedSpan, OwnedSpans};
pub use raw::{RawSolid, raw_bounds};
pub use row::NominalRow;

#[cfg(test)]
pub(crate) mod sample;
#[cfg(test)]
mod tests;
