//! The order in which a frame is drawn.

use super::cache::Cache;
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
            pass.set_bind_group(0, self.uniforms.frame(), &[]);
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
        // The layout names an item; the background reads none.
        if let Some(slot) = self.uniforms.slot(0) {
            pass.set_bind_group(1, slot, &[]);
            pass.draw(0..3, 0..1);
        }
    }

    fn solids(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene, view: &View) {
        let solid = || scene.items.iter().enumerate().filter(|(_, i)| i.look == Look::Solid);
        for (number, item) in solid() {
            let cut = view.section.is_some() && item.sectioned;
            pass.set_pipeline(if cut { &self.pipelines.solid_cut } else { &self.pipelines.solid });
            self.item(pass, number, item);
        }
        if !caps_are_seen(view) {
            return;
        }
        for (number, item) in solid().filter(|(_, i)| i.sectioned) {
            pass.set_stencil_reference(0);
            pass.set_pipeline(&self.pipelines.count);
            self.item(pass, number, item);
            pass.set_pipeline(&self.pipelines.cap);
            pass.draw(0..6, 0..1);
        }
    }

    fn ghosts(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene, view: &View) {
        for (number, item) in scene.items.iter().enumerate().filter(|(_, i)| i.look == Look::Ghost) {
            let cut = view.section.is_some() && item.sectioned;
            pass.set_pipeline(if cut { &self.pipelines.ghost_cut } else { &self.pipelines.ghost });
            self.item(pass, number, item);
        }
    }

    fn item(&self, pass: &mut wgpu::RenderPass<'_>, number: usize, item: &Item) {
        let Some(slot) = self.uniforms.slot(number) else { return };
        pass.set_bind_group(1, slot, &[]);
        for mesh in &item.meshes {
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
                pass.set_bind_group(1, slot, &[]);
                pass.draw(0..6, 0..sent.count);
            }
        }
    }

    fn shades(&self, pass: &mut wgpu::RenderPass<'_>, scene: &Scene) {
        let first = scene.items.len() + 2 * scene.lines.len();
        pass.set_pipeline(&self.pipelines.shade);
        for ((number, shade), reference) in scene.shades.iter().enumerate().zip(1..=255) {
            let Some(slot) = self.uniforms.slot(first + number) else { continue };
            pass.set_bind_group(1, slot, &[]);
            pass.set_stencil_reference(reference);
            draw_mesh(pass, &self.cache, &shade.mesh);
        }
    }
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
