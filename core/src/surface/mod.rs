//! The surface of the stock as a mesh with crisp edges: one vertex for each sheet of each lattice cell, placed by the
//! exact ends of the rays and the normals of the cuts that made them. See `README.md` beside this file.
//!
//! *Invariant*: every edge of the mesh has exactly two faces, one on each side, whatever the stock looks like.

mod block;
mod build;
mod cells;
mod column;
mod crossing;
mod eigen;
mod faces;
mod lattice;
mod mesh;
mod model;
mod owner;
mod place;
mod simplify;
mod star;
mod stl;
mod table;
#[cfg(test)]
mod tests;

pub use block::{Face, SurfaceBlock};
pub use mesh::SurfaceMesh;
pub use model::Surface;
