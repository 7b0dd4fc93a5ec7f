//! Axes, frames, boxes and tool paths. Lengths in millimetres, angles in radians.
//!
//! *Invariant*: nothing here knows of tools, programs or stock.

mod axis;
mod bounds;
mod frame;
mod path;
mod spans;

pub use axis::{Axis, Direction};
pub use bounds::Box3;
pub use frame::Frame;
pub use path::{Arc, Path};
pub use spans::Spans;

/// A point or vector in space, millimetres; its name says in which frame (`tip_in_setup`).
pub type Vec3 = nalgebra::Vector3<f64>;
/// A point or vector in a plane, millimetres.
pub type Vec2 = nalgebra::Vector2<f64>;
