use super::shaders::Shader;
use super::target::{DEPTH_FORMAT, TARGET_FORMAT};
use super::uniforms::Uniforms;
use crate::gpu::Gpu;
use crate::scene::VERTEX_BYTES;
use wgpu::{CompareFunction as Compare, StencilOperation as Op};

/// One for each way in which something is drawn.
#[derive(Debug)]
pub(super) struct Pipelines {
    pub(super) sky: wgpu::RenderPipeline,
    pub(super) solid: Cuttable,
    pub(super) ghost: Cuttable,
    pub(super) count: Cuttable,
    pub(super) cap: wgpu::RenderPipeline,
    pub(super) line: wgpu::RenderPipeline,
    pub(super) line_hidden: wgpu::RenderPipeline,
    pub(super) shade: wgpu::RenderPipeline,
}

/// A way of drawing meshes that a section plane may cut: cutting costs, as the edge is found for each sample.
#[derive(Debug)]
pub(super) struct Cuttable {
    /// For meshes that the plane does not meet.
    pub(super) whole: wgpu::RenderPipeline,
    /// For those that it cuts.
    pub(super) cut: wgpu::RenderPipeline,
}

const MESH: &[wgpu::VertexAttribute] = &wgpu::vertex_attr_array![0 => Float32x3, 1 => Uint32];
const MESH_BUFFER: wgpu::VertexBufferLayout<'static> = wgpu::VertexBufferLayout {
    array_stride: VERTEX_BYTES as u64,
    step_mode: wgpu::VertexStepMode::Vertex,
    attributes: MESH,
};
const LINE: &[wgpu::VertexAttribute] =
    &wgpu::vertex_attr_array![0 => Float32x3, 1 => Unorm8x4, 2 => Float32x3, 3 => Uint32];

/// What tells one way of drawing from another.
struct Way<'a> {
    module: &'a wgpu::ShaderModule,
    entries: (&'a str, &'a str),
    buffer: Option<wgpu::VertexBufferLayout<'a>>,
    cull: bool,
    blend: Option<wgpu::BlendState>,
    colour: bool,
    depth: Compare,
    write_depth: bool,
    stencil: wgpu::StencilState,
}

impl Pipelines {
    pub(super) fn new(gpu: &Gpu, uniforms: &Uniforms, samples: u32) -> Self {
        let device = &gpu.device;
        let module = |shader: Shader| {
            device.create_shader_module(wgpu::ShaderModuleDescriptor {
                label: Some("scene"),
                source: wgpu::ShaderSource::Wgsl(shader.text().into()),
            })
        };
        // The OpenGL back end cannot translate a sample mask: there the edge of a cut has steps.
        let smooth = samples == 4 && gpu.adapter.get_info().backend != wgpu::Backend::Gl;
        let (surface, cut) = (module(Shader::Surface), module(Shader::SurfaceCut { smooth }));
        let (cap, line, flat) = (module(Shader::Cap), module(Shader::Line), module(Shader::Flat));
        let layout = device.create_pipeline_layout(&wgpu::PipelineLayoutDescriptor {
            label: Some("scene"),
            bind_group_layouts: &[Some(&uniforms.layout)],
            immediate_size: 0,
        });
        let make = |way: Way<'_>| pipeline(device, &layout, samples, way);
        let segment = wgpu::VertexBufferLayout {
            array_stride: 32,
            step_mode: wgpu::VertexStepMode::Instance,
            attributes: LINE,
        };
        let over = Some(wgpu::BlendState::ALPHA_BLENDING);
        let lines = |depth| Way {
            module: &line,
            entries: ("vertex", "fragment"),
            buffer: Some(segment.clone()),
            cull: false,
            blend: over,
            colour: true,
            depth,
            write_depth: false,
            stencil: wgpu::StencilState::default(),
        };
        let both = |one: &dyn Fn(&wgpu::ShaderModule) -> wgpu::RenderPipeline| Cuttable {
            whole: one(&surface),
            cut: one(&cut),
        };
        Self {
            sky: make(Way {
                module: &flat,
                entries: ("sky", "sky_colour"),
                buffer: None,
                cull: false,
                blend: None,
                colour: true,
                depth: Compare::Always,
                write_depth: false,
                stencil: wgpu::StencilState::default(),
            }),
            solid: both(&|module| make(solid(module, None))),
            ghost: both(&|module| make(solid(module, over))),
            // Each way in counts down, each way out counts up: what is left over began at the plane.
            count: both(&|module| {
                make(Way {
                    entries: ("vertex", "count"),
                    cull: false,
                    colour: false,
                    depth: Compare::Always,
                    write_depth: false,
                    stencil: stencil(Compare::Always, Op::DecrementWrap, Op::IncrementWrap, Op::Keep),
                    ..solid(module, None)
                })
            }),
            cap: make(Way {
                module: &cap,
                entries: ("vertex", "fragment"),
                buffer: None,
                cull: false,
                blend: None,
                colour: true,
                depth: Compare::LessEqual,
                write_depth: true,
                // The next solid finds zeros again.
                stencil: stencil(Compare::NotEqual, Op::Zero, Op::Zero, Op::Zero),
            }),
            line: make(lines(Compare::LessEqual)),
            line_hidden: make(lines(Compare::Greater)),
            shade: make(Way {
                module: &flat,
                entries: ("shade", "shade_colour"),
                buffer: Some(MESH_BUFFER),
                cull: false,
                blend: over,
                colour: true,
                depth: Compare::LessEqual,
                write_depth: false,
                // Each shade has a number of its own: where it has been, it does not go again.
                stencil: stencil(Compare::NotEqual, Op::Replace, Op::Replace, Op::Keep),
            }),
        }
    }
}

/// Solids, and with blending what is seen through.
fn solid(module: &wgpu::ShaderModule, blend: Option<wgpu::BlendState>) -> Way<'_> {
    Way {
        module,
        entries: ("vertex", "fragment"),
        buffer: Some(MESH_BUFFER),
        cull: true,
        write_depth: blend.is_none(),
        blend,
        colour: true,
        depth: Compare::LessEqual,
        stencil: wgpu::StencilState::default(),
    }
}

fn stencil(compare: Compare, front: Op, back: Op, depth_fail: Op) -> wgpu::StencilState {
    let face =
        |pass_op| wgpu::StencilFaceState { compare, fail_op: Op::Keep, depth_fail_op: depth_fail, pass_op };
    wgpu::StencilState { front: face(front), back: face(back), read_mask: 0xFF, write_mask: 0xFF }
}

fn pipeline(
    device: &wgpu::Device,
    layout: &wgpu::PipelineLayout,
    samples: u32,
    way: Way<'_>,
) -> wgpu::RenderPipeline {
    let buffers: Vec<Option<wgpu::VertexBufferLayout<'_>>> = way.buffer.into_iter().map(Some).collect();
    device.create_render_pipeline(&wgpu::RenderPipelineDescriptor {
        label: Some(way.entries.1),
        layout: Some(layout),
        vertex: wgpu::VertexState {
            module: way.module,
            entry_point: Some(way.entries.0),
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            buffers: buffers.as_slice(),
        },
        primitive: wgpu::PrimitiveState {
            cull_mode: way.cull.then_some(wgpu::Face::Back),
            ..wgpu::PrimitiveState::default()
        },
        depth_stencil: Some(wgpu::DepthStencilState {
            format: DEPTH_FORMAT,
            depth_write_enabled: Some(way.write_depth),
            depth_compare: Some(way.depth),
            stencil: way.stencil,
            bias: wgpu::DepthBiasState::default(),
        }),
        multisample: wgpu::MultisampleState { count: samples, ..wgpu::MultisampleState::default() },
        fragment: Some(wgpu::FragmentState {
            module: way.module,
            entry_point: Some(way.entries.1),
            compilation_options: wgpu::PipelineCompilationOptions::default(),
            targets: &[Some(wgpu::ColorTargetState {
                format: TARGET_FORMAT,
                blend: way.blend,
                write_mask: if way.colour { wgpu::ColorWrites::ALL } else { wgpu::ColorWrites::empty() },
            })],
        }),
        multiview_mask: None,
        cache: None,
    })
}
