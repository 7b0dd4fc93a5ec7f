//! A scene to an image, on any driver, with or without a window.
//!
//! *Invariant*: the renderer changes no scene and keeps nothing of it but copies of its meshes; the same scene gives the
//! same pixels on one driver.

mod cache;
mod draw;
mod pipelines;
mod shaders;
mod show;
mod target;
mod uniforms;

pub use show::Show;
pub use target::TARGET_FORMAT;

use crate::camera::Camera;
use crate::colour::Theme;
use crate::gpu::Gpu;
use crate::scene::Scene;
use cache::Cache;
use glam::{Vec3, Vec4};
use image::RgbaImage;
use pipelines::Pipelines;
use std::fmt;
use target::Target;
use uniforms::Uniforms;

/// How a scene is looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// The eye.
    pub camera: Camera,
    /// Width and height, pixels.
    pub size: (u32, u32),
    /// Pixels in a point: how much thicker lines are drawn on a fine display.
    pub scale: f32,
    /// Surroundings.
    pub theme: Theme,
    /// A plane that cuts.
    pub section: Option<Section>,
}

/// A plane that cuts the scene: what lies on the side of its normal is taken away, cut faces are filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Unit normal, world frame, towards what is cut away.
    pub normal: Vec3,
    /// A point of the plane.
    pub at: Vec3,
}

impl Section {
    /// Gives more than 0 for `(x, y, z, 1)` on the side that is cut away.
    pub fn plane(&self) -> Vec4 {
        self.normal.extend(-self.normal.dot(self.at))
    }
}

/// Why there is no image.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RenderError {
    /// The picture is larger than the driver can make.
    TooLarge {
        /// Largest width and height, pixels.
        most: u32,
    },
    /// The driver said that something went wrong.
    Driver(String),
}

impl fmt::Display for RenderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooLarge { most } => {
                write!(f, "the graphics driver makes pictures of 1 to {most} pixels a side")
            }
            Self::Driver(said) => write!(f, "the graphics driver failed: {said}"),
        }
    }
}

impl std::error::Error for RenderError {}

/// Draws scenes. One for each device; keeps what it has sent to it.
#[derive(Debug)]
pub struct Renderer {
    pipelines: Pipelines,
    uniforms: Uniforms,
    cache: Cache,
    target: Option<Target>,
    samples: u32,
}

impl Renderer {
    /// A renderer with 4 samples a pixel, or one, which is faster on drivers in software.
    pub fn new(gpu: &Gpu, smooth: bool) -> Self {
        let samples = if smooth { 4 } else { 1 };
        let uniforms = Uniforms::new(&gpu.device);
        Self {
            pipelines: Pipelines::new(gpu, &uniforms, samples),
            uniforms,
            cache: Cache::default(),
            target: None,
            samples,
        }
    }

    /// Draws a scene into the renderer's own image, [`Renderer::view`]. Nothing is waited for.
    ///
    /// # Errors
    /// When the size is none that the driver can make, or the driver fails.
    pub fn draw(&mut self, gpu: &Gpu, scene: &Scene, view: &View) -> Result<(), RenderError> {
        let (width, height) = view.size;
        let most = gpu.largest_picture();
        if width == 0 || height == 0 || width > most || height > most {
            return Err(RenderError::TooLarge { most });
        }
        if self.target.as_ref().is_none_or(|t| t.size != view.size) {
            self.target = Some(Target::new(&gpu.device, view.size, self.samples));
        }
        self.cache.begin();
        self.uniforms.write(gpu, scene, view);
        self.encode(gpu, scene, view);
        self.cache.end();
        gpu.trouble().map_or(Ok(()), |said| Err(RenderError::Driver(said)))
    }

    /// The image drawn last, format [`TARGET_FORMAT`] with screen values, for a pass that shows it in a window; `None` before
    /// the first.
    pub fn view(&self) -> Option<&wgpu::TextureView> {
        self.target.as_ref().map(|t| &t.shown)
    }

    /// The image drawn last, read back; waits until it is done.
    ///
    /// # Errors
    /// When nothing was drawn, or the driver fails.
    pub fn image(&self, gpu: &Gpu) -> Result<RgbaImage, RenderError> {
        let nothing = || RenderError::Driver("nothing was drawn".to_owned());
        self.target.as_ref().ok_or_else(nothing)?.read(gpu)
    }

    /// Draws a scene and reads the image back.
    ///
    /// # Errors
    /// As [`Renderer::draw`] and [`Renderer::image`].
    pub fn picture(&mut self, gpu: &Gpu, scene: &Scene, view: &View) -> Result<RgbaImage, RenderError> {
        self.draw(gpu, scene, view)?;
        self.image(gpu)
    }

    /// Waits until everything asked for so far is drawn.
    pub fn finish(gpu: &Gpu) {
        // A device that is lost tells so as trouble.
        let _done = gpu.device.poll(wgpu::PollType::wait_indefinitely());
    }

    /// Bytes of meshes and lines held on the device.
    pub const fn bytes(&self) -> u64 {
        self.cache.bytes()
    }
}
