//! The window's own image: scene below, panels above.

use super::NoWindow;
use super::probe::no_display;
use crate::gpu::{Gpu, instance_on};
use crate::render::{RenderError, Renderer, Show, View};
use crate::scene::Scene;
use egui_wgpu::{RendererOptions, ScreenDescriptor};
use std::sync::Arc;
use wgpu::CurrentSurfaceTexture as Current;
use winit::window::Window;

/// Everything that draws.
pub(super) struct Surface {
    pub(super) gpu: Gpu,
    target: wgpu::Surface<'static>,
    config: wgpu::SurfaceConfiguration,
    /// Four samples a pixel; and one, for what moves on a driver in software, and for cut parts that are drawn twice as large.
    fine: Renderer,
    coarse: Option<Renderer>,
    drawn_coarse: bool,
    /// What draws the lens, once one was wanted.
    lens: Option<Renderer>,
    show: Show,
    panels: egui_wgpu::Renderer,
}

/// Left, top, width, height of a room in the window, pixels.
pub(super) type Room = (u32, u32, u32, u32);

/// What images have in the window.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rooms {
    pub(super) scene: Room,
    /// `None`: the lens is put away, or not made yet.
    pub(super) lens: Option<Room>,
}

/// The panels of a frame, ready to be drawn.
pub(super) struct Painted {
    /// Textures that nothing needs after it.
    pub(super) free: Vec<egui::TextureId>,
    pub(super) shapes: Vec<egui::ClippedPrimitive>,
    pub(super) points: f32,
}

impl Surface {
    pub(super) fn new(window: &Arc<Window>) -> Result<Self, NoWindow> {
        let instance = instance_on(Box::new(Arc::clone(window)));
        let surface = instance.create_surface(Arc::clone(window)).map_err(|error| {
            let said = crate::gpu::NoDriver { said: error.to_string() };
            NoWindow::new(said)
        })?;
        let gpu = Gpu::for_surface(instance, &surface).map_err(NoWindow::new)?;
        let size = window.inner_size();
        let mut config = surface
            .get_default_config(&gpu.adapter, size.width.max(1), size.height.max(1))
            .ok_or_else(|| no_display("the driver cannot draw on it"))?;
        // Screen values as they are, where the driver has that: what egui would rather have.
        let plain = surface
            .get_capabilities(&gpu.adapter)
            .formats
            .into_iter()
            .find(|f| matches!(f, wgpu::TextureFormat::Bgra8Unorm | wgpu::TextureFormat::Rgba8Unorm));
        config.format = plain.unwrap_or(config.format);
        config.present_mode = wgpu::PresentMode::AutoVsync;
        surface.configure(&gpu.device, &config);
        let coarse = (gpu.is_software() || gpu.is_gl()).then(|| Renderer::new(&gpu, false));
        Ok(Self {
            fine: Renderer::new(&gpu, true),
            coarse,
            drawn_coarse: false,
            lens: None,
            show: Show::new(&gpu.device, config.format),
            panels: egui_wgpu::Renderer::new(&gpu.device, config.format, RendererOptions::default()),
            gpu,
            target: surface,
            config,
        })
    }

    pub(super) fn resize(&mut self, width: u32, height: u32) {
        let most = self.gpu.largest_picture();
        (self.config.width, self.config.height) = (width.clamp(1, most), height.clamp(1, most));
        self.target.configure(&self.gpu.device, &self.config);
    }

    /// Width and height, pixels.
    pub(super) const fn size(&self) -> (u32, u32) {
        (self.config.width, self.config.height)
    }

    /// Draws the scene anew.
    pub(super) fn draw(&mut self, scene: &Scene, view: &View, moving: bool) -> Result<(), RenderError> {
        let (width, height) = view.size;
        let larger = View { size: (2 * width, 2 * height), scale: 2.0 * view.scale, ..*view };
        let fits = 2 * width.max(height) <= self.gpu.largest_picture();
        match &mut self.coarse {
            Some(coarse) if moving => {
                self.drawn_coarse = true;
                coarse.draw(&self.gpu, scene, view)
            }
            Some(coarse) if self.gpu.is_gl() && view.section.is_some() && fits => {
                self.drawn_coarse = true;
                coarse.draw(&self.gpu, scene, &larger)
            }
            _ => {
                self.drawn_coarse = false;
                self.fine.draw(&self.gpu, scene, view)
            }
        }
    }

    /// Draws the lens anew.
    pub(super) fn draw_lens(&mut self, scene: &Scene, view: &View) -> Result<(), RenderError> {
        let lens = self.lens.get_or_insert_with(|| Renderer::new(&self.gpu, true));
        lens.draw(&self.gpu, scene, view)
    }

    /// Puts scene, lens and panels on the window; false when the system had no image to draw on just now.
    pub(super) fn present(&mut self, painted: &Painted, rooms: &Rooms) -> bool {
        let frame = match self.target.get_current_texture() {
            Current::Success(frame) | Current::Suboptimal(frame) => frame,
            Current::Outdated | Current::Lost => {
                self.target.configure(&self.gpu.device, &self.config);
                return false;
            }
            Current::Timeout | Current::Occluded | Current::Validation => return false,
        };
        let view = frame.texture.create_view(&wgpu::TextureViewDescriptor::default());
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let screen = ScreenDescriptor {
            size_in_pixels: [self.config.width, self.config.height],
            pixels_per_point: painted.points,
        };
        let (device, queue) = (&self.gpu.device, &self.gpu.queue);
        let more = self.panels.update_buffers(device, queue, &mut encoder, &painted.shapes, &screen);
        self.pass(&mut encoder, &view, painted, &screen, rooms);
        self.gpu.queue.submit(more.into_iter().chain([encoder.finish()]));
        self.gpu.queue.present(frame);
        for id in &painted.free {
            self.panels.free_texture(id);
        }
        true
    }

    /// Takes in new textures, and gives those that nothing needs after this frame. Also when the frame is never shown: egui
    /// tells of a texture once.
    #[expect(clippy::iter_over_hash_type, reason = "no texture knows of another")]
    pub(super) fn take_textures(&mut self, mut textures: egui::TexturesDelta) -> Vec<egui::TextureId> {
        for (id, deltas) in &textures.set {
            for delta in deltas {
                self.panels.update_texture(&self.gpu.device, &self.gpu.queue, *id, delta);
            }
        }
        let free = textures.free.iter().copied().collect();
        textures.clear();
        free
    }

    fn pass(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        view: &wgpu::TextureView,
        painted: &Painted,
        screen: &ScreenDescriptor,
        rooms: &Rooms,
    ) {
        let pass = encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
            label: Some("window"),
            color_attachments: &[Some(wgpu::RenderPassColorAttachment {
                view,
                depth_slice: None,
                resolve_target: None,
                ops: wgpu::Operations {
                    load: wgpu::LoadOp::Clear(wgpu::Color::BLACK),
                    store: wgpu::StoreOp::Store,
                },
            })],
            ..wgpu::RenderPassDescriptor::default()
        });
        let mut pass = pass.forget_lifetime();
        let renderer = self.coarse.as_ref().filter(|_| self.drawn_coarse).unwrap_or(&self.fine);
        self.image(&mut pass, renderer, rooms.scene);
        if let (Some(lens), Some(room)) = (&self.lens, rooms.lens) {
            self.image(&mut pass, lens, room);
        }
        self.panels.render(&mut pass, &painted.shapes, screen);
    }

    /// Shows a renderer's image in its room of the window.
    fn image(&self, pass: &mut wgpu::RenderPass<'static>, renderer: &Renderer, room: Room) {
        let (left, top, width, height) = room;
        let Some(picture) = renderer.view().filter(|_| width > 0 && height > 0) else { return };
        let tied = self.show.tie(&self.gpu.device, picture);
        let pixels = |n: u32| f32::from(u16::try_from(n).unwrap_or(u16::MAX));
        pass.set_viewport(pixels(left), pixels(top), pixels(width), pixels(height), 0.0, 1.0);
        pass.set_scissor_rect(left, top, width, height);
        self.show.draw(pass, &tied);
        let (all_x, all_y) = self.size();
        pass.set_viewport(0.0, 0.0, pixels(all_x), pixels(all_y), 0.0, 1.0);
        pass.set_scissor_rect(0, 0, all_x, all_y);
    }
}
