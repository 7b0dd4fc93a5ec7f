use super::RenderError;
use crate::gpu::Gpu;
use image::RgbaImage;

/// Format of the image: screen values, so that no driver need convert.
pub const TARGET_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Rgba8Unorm;
/// Depth for hiding, stencil for filling cut faces.
pub(super) const DEPTH_FORMAT: wgpu::TextureFormat = wgpu::TextureFormat::Depth24PlusStencil8;

/// The images that a frame is drawn into.
#[derive(Debug)]
pub(super) struct Target {
    pub(super) size: (u32, u32),
    texture: wgpu::Texture,
    /// The finished image.
    pub(super) shown: wgpu::TextureView,
    /// The image with several samples, when there are several.
    pub(super) sampled: Option<wgpu::TextureView>,
    pub(super) depth: wgpu::TextureView,
}

/// Rows of a copy begin at multiples of this.
const ROW: u32 = wgpu::COPY_BYTES_PER_ROW_ALIGNMENT;

impl Target {
    pub(super) fn new(device: &wgpu::Device, size: (u32, u32), samples: u32) -> Self {
        let make = |label, format, samples, usage| {
            device.create_texture(&wgpu::TextureDescriptor {
                label: Some(label),
                size: wgpu::Extent3d { width: size.0, height: size.1, depth_or_array_layers: 1 },
                mip_level_count: 1,
                sample_count: samples,
                dimension: wgpu::TextureDimension::D2,
                format,
                usage,
                view_formats: &[],
            })
        };
        let attached = wgpu::TextureUsages::RENDER_ATTACHMENT;
        let shown = attached | wgpu::TextureUsages::TEXTURE_BINDING | wgpu::TextureUsages::COPY_SRC;
        let texture = make("picture", TARGET_FORMAT, 1, shown);
        let view = |t: &wgpu::Texture| t.create_view(&wgpu::TextureViewDescriptor::default());
        Self {
            size,
            shown: view(&texture),
            sampled: (samples > 1).then(|| view(&make("samples", TARGET_FORMAT, samples, attached))),
            depth: view(&make("depth", DEPTH_FORMAT, samples, attached)),
            texture,
        }
    }

    /// Reads the finished image back.
    pub(super) fn read(&self, gpu: &Gpu) -> Result<RgbaImage, RenderError> {
        let (width, height) = self.size;
        let row = (4 * width).next_multiple_of(ROW);
        let buffer = gpu.device.create_buffer(&wgpu::BufferDescriptor {
            label: Some("picture"),
            size: u64::from(row) * u64::from(height),
            usage: wgpu::BufferUsages::COPY_DST | wgpu::BufferUsages::MAP_READ,
            mapped_at_creation: false,
        });
        let mut encoder = gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        encoder.copy_texture_to_buffer(
            self.texture.as_image_copy(),
            wgpu::TexelCopyBufferInfo {
                buffer: &buffer,
                layout: wgpu::TexelCopyBufferLayout {
                    offset: 0,
                    bytes_per_row: Some(row),
                    rows_per_image: Some(height),
                },
            },
            self.texture.size(),
        );
        gpu.queue.submit([encoder.finish()]);
        let failed = |what: &dyn std::fmt::Display| {
            RenderError::Driver(gpu.trouble().unwrap_or_else(|| what.to_string()))
        };
        let (tell, told) = std::sync::mpsc::channel();
        buffer.map_async(wgpu::MapMode::Read, .., move |result| {
            // Nobody listens any longer when waiting has failed.
            let _heard = tell.send(result);
        });
        gpu.device.poll(wgpu::PollType::wait_indefinitely()).map_err(|e| failed(&e))?;
        told.recv().map_err(|e| failed(&e))?.map_err(|e| failed(&e))?;
        let bytes = buffer.get_mapped_range(..).map_err(|e| failed(&e))?;
        let used = 4 * width as usize;
        let pixels: Vec<u8> =
            bytes.chunks(row as usize).flat_map(|r| r.get(..used).unwrap_or_default()).copied().collect();
        RgbaImage::from_raw(width, height, pixels).ok_or_else(|| failed(&"the image has another size"))
    }
}
