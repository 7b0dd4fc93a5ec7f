//! Numbers that shaders read, laid out as in `frame.wgsl`.

use super::View;
use crate::camera::Projection;
use crate::colour::Colour;
use crate::gpu::Gpu;
use crate::scene::{Behind, Item, Lines, Look, Palette, Scene, Shade};
use glam::{Mat4, Vec3, Vec4};

/// Buffers of uniforms, as many as scenes have needed.
#[derive(Debug)]
pub(super) struct Uniforms {
    pub(super) layout: wgpu::BindGroupLayout,
    slots: Vec<Slot>,
    clip_from_world: Mat4,
}

#[derive(Debug)]
struct Slot {
    buffer: wgpu::Buffer,
    group: wgpu::BindGroup,
}

/// Numbers of `Frame` and of `Item`, four bytes each.
const FRAME_WORDS: usize = 16 + 16 + 8 * 4;
const ITEM_WORDS: usize = 16 + 4 + 4 + 1024;
/// Opacity of what is seen through.
const GHOST: f32 = 0.20;
/// Opacity of lines behind solids.
const HIDDEN: f32 = 0.22;

impl Uniforms {
    pub(super) fn new(device: &wgpu::Device) -> Self {
        let layout = device.create_bind_group_layout(&wgpu::BindGroupLayoutDescriptor {
            label: Some("numbers"),
            entries: &[wgpu::BindGroupLayoutEntry {
                binding: 0,
                visibility: wgpu::ShaderStages::VERTEX_FRAGMENT,
                ty: wgpu::BindingType::Buffer {
                    ty: wgpu::BufferBindingType::Uniform,
                    has_dynamic_offset: false,
                    min_binding_size: None,
                },
                count: None,
            }],
        });
        // The background is drawn with the numbers of some item, also when a scene has none.
        let slots = vec![Slot::new(device, &layout)];
        Self { layout, slots, clip_from_world: Mat4::IDENTITY }
    }

    /// From the world to the picture, as written last.
    pub(super) const fn clip_from_world(&self) -> Mat4 {
        self.clip_from_world
    }

    /// The uniforms of an item, counted as [`Uniforms::write`] does: items, then lines twice, then shades.
    pub(super) fn slot(&self, number: usize) -> Option<&wgpu::BindGroup> {
        self.slots.get(number).map(|s| &s.group)
    }

    /// Sends the numbers of a frame and of all that it shows.
    pub(super) fn write(&mut self, gpu: &Gpu, scene: &Scene, view: &View) {
        let frame = frame(scene, view);
        self.clip_from_world =
            view.camera.projection(aspect(view.size), &scene.all_bounds()) * view.camera.view();
        if let Some(first) = self.slots.first() {
            gpu.queue.write_buffer(&first.buffer, 0, bytemuck::cast_slice(&frame));
        }
        let mut all: Vec<Vec<u32>> = Vec::new();
        all.extend(scene.items.iter().zip(0_u8..).map(|(i, n)| item(i, n % 2 == 0)));
        let cut = view.section.is_some();
        all.extend(scene.lines.iter().flat_map(|l| {
            let behind = if l.behind == Behind::Full { 1.0 } else { HIDDEN };
            [lines(l, cut, 1.0), lines(l, cut, behind)]
        }));
        all.extend(scene.shades.iter().map(shade));
        for (number, words) in all.iter().enumerate() {
            if self.slots.len() <= number {
                self.slots.push(Slot::new(&gpu.device, &self.layout));
            }
            if let Some(slot) = self.slots.get(number) {
                gpu.queue.write_buffer(&slot.buffer, 0, bytemuck::cast_slice(&frame));
                gpu.queue.write_buffer(&slot.buffer, 4 * FRAME_WORDS as u64, bytemuck::cast_slice(words));
            }
        }
    }
}

impl Slot {
    fn new(device: &wgpu::Device, layout: &wgpu::BindGroupLayout) -> Self {
        let buffer = device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("numbers"),
            size: 4 * (FRAME_WORDS + ITEM_WORDS) as u64,
            usage: wgpu::BufferUsages::UNIFORM | wgpu::BufferUsages::COPY_DST,
            mapped_at_creation: false,
        });
        let group = device.create_bind_group(&wgpu::BindGroupDescriptor {
            label: Some("numbers"),
            layout,
            entries: &[wgpu::BindGroupEntry { binding: 0, resource: buffer.as_entire_binding() }],
        });
        Self { buffer, group }
    }
}

/// Width over height of a picture.
pub(super) fn aspect((width, height): (u32, u32)) -> f32 {
    whole(width) / whole(height).max(1.0)
}

#[expect(clippy::cast_precision_loss, reason = "pictures are at most some ten thousand pixels wide")]
const fn whole(n: u32) -> f32 {
    n as f32
}

fn frame(scene: &Scene, view: &View) -> Vec<f32> {
    let bounds = scene.all_bounds();
    let camera = &view.camera;
    let mut out = Vec::with_capacity(FRAME_WORDS);
    out.extend(camera.projection(aspect(view.size), &bounds).to_cols_array());
    out.extend(camera.view().to_cols_array());
    let plane = view.section.map_or(Vec4::new(0.0, 0.0, 0.0, -1.0), |s| s.plane());
    let reach = bounds.size().length().max(1.0);
    let middle = bounds.center() - plane.truncate() * plane.dot(bounds.center().extend(1.0));
    let (u, v) = plane.truncate().try_normalize().map_or((Vec3::X, Vec3::Y), |n| n.any_orthonormal_pair());
    let perspective = match camera.projection {
        Projection::Parallel => 0.0,
        Projection::Perspective { .. } => 1.0,
    };
    let (width, height) = (whole(view.size.0), whole(view.size.1));
    let at_focus = camera.height / height.max(1.0);
    let pixel = if perspective > 0.5 { at_focus / camera.distance() } else { at_focus };
    for four in [
        plane,
        middle.extend(1.0),
        (u * reach).extend(0.0),
        (v * reach).extend(0.0),
        Vec4::new(width, height, view.scale, perspective),
        Vec4::new(pixel, 0.0, 0.0, 0.0),
        Vec4::from_array(view.theme.sky.screen()),
        Vec4::from_array(view.theme.ground.screen()),
    ] {
        out.extend(four.to_array());
    }
    out
}

fn words(place: &Mat4, colour: Colour, more: [f32; 3], palette: Option<&Palette>) -> Vec<u32> {
    let mut out = Vec::with_capacity(ITEM_WORDS);
    out.extend(place.to_cols_array().map(f32::to_bits));
    out.extend(colour.screen().map(f32::to_bits));
    let [opacity, sense, even] = more;
    out.extend([opacity, sense, even, 0.0].map(f32::to_bits));
    out.extend(palette.iter().flat_map(|p| &p.colours));
    out
}

fn item(item: &Item, even: bool) -> Vec<u32> {
    let opacity = if item.look == Look::Ghost { GHOST } else { 1.0 };
    let hatch = if even { 1.0 } else { -1.0 };
    words(&item.world_from_mesh, item.cap, [opacity, hatch, item.palette.even], Some(&item.palette))
}

fn lines(lines: &Lines, cut: bool, opacity: f32) -> Vec<u32> {
    let cut = if cut && lines.sectioned { 1.0 } else { 0.0 };
    words(&lines.world_from_lines, Colour::hex(0), [opacity, cut, 0.0], None)
}

fn shade(shade: &Shade) -> Vec<u32> {
    words(&Mat4::IDENTITY, shade.colour, [1.0, 0.0, 0.0], None)
}
