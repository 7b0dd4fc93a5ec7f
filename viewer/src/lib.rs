//! Views of a proof: the scene of a job, the eye that looks at it, and the renderer that window and pictures share.
//!
//! | module | what it is |
//! |---|---|
//! | [`colour`] | published scales, themes |
//! | [`camera`] | where the eye stands: standard views, orbit, zoom to a place, rays through a pixel |
//! | [`scene`] | what there is to see, as plain data: stock, workholding, tool, path, zeros, clearances |
//! | [`session`] | what a window knows of a job, without a window: check, selection, moment, looks |
//! | [`panels`] | what a window shows round the scene (feature `panels`) |
//! | [`gpu`] | the graphics driver, or one clear sentence why there is none (feature `render`) |
//! | [`render`] | a scene to an image (feature `render`) |
//! | [`picture`] | an image with its labels and legend, as a file (feature `render`) |
//! | [`window`] | the window itself (feature `window`) |
//!
//! *Invariant*: nothing here computes stock or judges a job; mathematics of the cut stays in `proofcut-core`. Scenes are
//! built without a graphics driver.

pub mod camera;
pub mod colour;
#[cfg(feature = "render")]
pub mod gpu;
#[cfg(feature = "panels")]
pub mod panels;
#[cfg(feature = "render")]
pub mod picture;
#[cfg(feature = "render")]
pub mod render;
pub mod scene;
pub mod session;
#[cfg(feature = "window")]
pub mod window;
