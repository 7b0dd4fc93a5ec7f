//! The order in which a frame is drawn.

use super::cache::Cache;
use super::pipelines::Cuttable;
use super::target::Target;
use super::{Renderer, View};
use crate::camera::Projection;
use crate::gpu::Gpu;
use crate::scene::{Behind, Item, Look, Scene};

impl Renderer {
    /// Sends what is missing and asks for a frame.
    pub(super) fn encode(&mut self, gpu: &Gpu, scene: &Scene, view: &View) {
        for mesh in scene.items.iter().filter(|i| i.look != Look::Hidden).flat_map(|i| &i.meshes) {
            self.cache.send_mesh(&gpu.device, mesh);
        }
        for shade in &scene.shades {
            self.cache.send_mesh(&gpu.device, &shade.mesh);
        }
        for lines in scene.lines.iter().filter(|l| !l.set.is_empty()) {
            self.cache.send_lines(&gpu.device, &lines.set);
        }
        let Some(target) = &self.target else { return };
        let mut encoder = gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        {
            let mut pass = begin(&mut encoder, target);
            self.background(&mut pass);
            self.solids(&mut pass, scene, view);
            self.lines(&mut pass, scene);
            self.shades(&mut pass, scene);
            self.ghosts(&mut pass, scene, view);
        }
        gpu.queue.submit([encoder.finish()]);
    }

    fn background(&self, pass: &mut wgpu::RenderPass<'_>) {
        pass.set_pipeline(&self.pipelines.sky);
        if let Some(slot) = self.uniforms.slot(0) {
            pass.set_bind_group(0, slot, &[]);
            pass.draw(0..3, 0..1);
        }
    }

    fn solids(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene, view: &View) {
        let solid = || scene.items.iter().enumerate().filter(|(_, i)| i.look == Look::Solid);
        for (number, item) in solid() {
            self.item(pass, number, item, view, &self.pipelines.solid);
        }
        if !caps_are_seen(view) {
            return;
        }
        for (number, item) in solid().filter(|(_, i)| i.sectioned) {
            pass.set_stencil_reference(0);
            self.item(pass, number, item, view, &self.pipelines.count);
            pass.set_pipeline(&self.pipelines.cap);
            pass.draw(0..6, 0..1);
        }
    }

    fn ghosts(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene, view: &View) {
        for (number, item) in scene.items.iter().enumerate().filter(|(_, i)| i.look == Look::Ghost) {
            self.item(pass, number, item, view, &self.pipelines.ghost);
        }
    }

    /// Draws the meshes of an item; those wholly on one side of a section plane are not cut, or not drawn.
    fn item(&self, pass: &mut wgpu::RenderPass<'_>, number: usize, item: &Item, view: &View, how: &Cuttable) {
        let Some(slot) = self.uniforms.slot(number) else { return };
        pass.set_bind_group(0, slot, &[]);
        let plane = view.section.filter(|_| item.sectioned).map(|s| s.plane());
        let clip_from_world = self.uniforms.clip_from_world();
        let mut set: Option<bool> = None;
        for mesh in &item.meshes {
            let corners = mesh.bounds.moved(&item.world_from_mesh).grown(1.0e-3).corners();
            if outside(&corners.map(|c| clip_from_world * c.extend(1.0))) {
                continue;
            }
            let beyond = plane.map(|p| corners.iter().filter(|c| p.dot(c.extend(1.0)) > 0.0).count());
            let cut = match beyond {
                Some(8) => continue,
                None | Some(0) => false,
                Some(_) => true,
            };
            if set != Some(cut) {
                pass.set_pipeline(if cut { &how.cut } else { &how.whole });
                set = Some(cut);
            }
            draw_mesh(pass, &self.cache, mesh);
        }
    }

    fn lines(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene) {
        let first = scene.items.len();
        for (number, lines) in scene.lines.iter().enumerate() {
            let Some(sent) = self.cache.lines(&lines.set) else { continue };
            pass.set_vertex_buffer(0, sent.segments.slice(..));
            let ways = [(&self.pipelines.line, 0), (&self.pipelines.line_hidden, 1)];
            for (pipeline, second) in
                ways.into_iter().take(if lines.behind == Behind::Nothing { 1 } else { 2 })
            {
                let Some(slot) = self.uniforms.slot(first + 2 * number + second) else { continue };
                pass.set_pipeline(pipeline);
                pass.set_bind_group(0, slot, &[]);
                pass.draw(0..6, 0..sent.count);
            }
        }
    }

    fn shades(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene) {
        let first = scene.items.len() + 2 * scene.lines.len();
        pass.set_pipeline(&self.pipelines.shade);
        for ((number, shade), reference) in scene.shades.iter().enumerate().zip(1..=255) {
            let Some(slot) = self.uniforms.slot(first + number) else { continue };
            pass.set_bind_group(0, slot, &[]);
            pass.set_stencil_reference(reference);
            draw_mesh(pass, &self.cache, &shade.mesh);
        }
    }
}

/// True when a box is seen nowhere in the picture: all its corners lie beyond one border.
fn outside(corners: &[glam::Vec4; 8]) -> bool {
    let beyond = |far: &dyn Fn(&glam::Vec4) -> bool| corners.iter().all(far);
    beyond(&|c| c.x > c.w) || beyond(&|c| c.x < -c.w) || beyond(&|c| c.y > c.w) || beyond(&|c| c.y < -c.w)
}

fn draw_mesh(pass: &mut wgpu::RenderPass<'_>, cache: &Cache, mesh: &std::sync::Arc<crate::scene::Mesh>) {
    if let Some(sent) = cache.mesh(mesh).filter(|s| s.count > 0) {
        pass.set_vertex_buffer(0, sent.vertices.slice(..));
        pass.set_index_buffer(sent.indices.slice(..), sent.format);
        pass.draw_indexed(0..sent.count, 0, 0..1);
    }
}

fn begin<'a>(encoder: &'a mut wgpu::CommandEncoder, target: &Target) -> wgpu::RenderPass<'a> {
    let (view, resolve) = match &target.sampled {
        Some(sampled) => (sampled, Some(&target.shown)),
        None => (&target.shown, None),
    };
    let store = if resolve.is_some() { wgpu::StoreOp::Discard } else { wgpu::StoreOp::Store };
    encoder.begin_render_pass(&wgpu::RenderPassDescriptor {
        label: Some("scene"),
        color_attachments: &[Some(wgpu::RenderPassColorAttachment {
            view,
            depth_slice: None,
            resolve_target: resolve,
            ops: wgpu::Operations { load: wgpu::LoadOp::Clear(wgpu::Color::WHITE), store },
        })],
        depth_stencil_attachment: Some(wgpu::RenderPassDepthStencilAttachment {
            view: &target.depth,
            depth_ops: Some(wgpu::Operations {
                load: wgpu::LoadOp::Clear(1.0),
                store: wgpu::StoreOp::Discard,
            }),
            stencil_ops: Some(wgpu::Operations {
                load: wgpu::LoadOp::Clear(0),
                store: wgpu::StoreOp::Discard,
            }),
        }),
        ..wgpu::RenderPassDescriptor::default()
    })
}

/// True when the eye is on the side that is cut away: only then are cut faces turned towards it.
fn caps_are_seen(view: &View) -> bool {
    view.section.is_some_and(|s| match view.camera.projection {
        Projection::Parallel => s.normal.dot(view.camera.towards_eye()) > 1.0e-4,
        Projection::Perspective { .. } => {
            let eye = view.camera.focus + view.camera.towards_eye() * view.camera.distance();
            s.plane().dot(eye.extend(1.0)) > 0.0
        }
    })
}
