//! Meshes and lines that were sent to the device, kept as long as scenes show them.

use crate::scene::{LineSet, Mesh};
use std::collections::HashMap;
use std::sync::{Arc, Weak};
use wgpu::util::DeviceExt;

/// A mesh on the device.
#[derive(Debug)]
pub(super) struct SentMesh {
    pub(super) vertices: wgpu::Buffer,
    pub(super) indices: wgpu::Buffer,
    pub(super) format: wgpu::IndexFormat,
    pub(super) count: u32,
}

/// Lines on the device.
#[derive(Debug)]
pub(super) struct SentLines {
    pub(super) segments: wgpu::Buffer,
    pub(super) count: u32,
}

/// What was sent, found again by the address of the shared object; the weak pointer keeps the address from being used
/// anew.
#[derive(Debug)]
struct Slot<T, S> {
    of: Weak<T>,
    sent: S,
    bytes: u64,
    used: u64,
}

/// All that was sent.
#[derive(Debug, Default)]
pub(super) struct Cache {
    meshes: HashMap<usize, Slot<Mesh, SentMesh>>,
    lines: HashMap<usize, Slot<LineSet, SentLines>>,
    frame: u64,
    bytes: u64,
}

/// Frames that something is kept unused as long as somebody still holds it.
const KEPT: u64 = 300;

impl Cache {
    pub(super) const fn begin(&mut self) {
        self.frame += 1;
    }

    /// Drops what nobody holds any longer, and what was not shown for long.
    pub(super) fn end(&mut self) {
        let frame = self.frame;
        let keep = |used: u64, held: usize| held > 0 && frame - used < KEPT;
        self.meshes.retain(|_, s| keep(s.used, s.of.strong_count()));
        self.lines.retain(|_, s| keep(s.used, s.of.strong_count()));
        // The order of a sum of whole numbers is of no consequence.
        let meshes = self.meshes.values().map(|s| s.bytes).sum::<u64>();
        self.bytes = meshes + self.lines.values().map(|s| s.bytes).sum::<u64>();
    }

    pub(super) const fn bytes(&self) -> u64 {
        self.bytes
    }

    /// Sends a mesh unless it is there.
    pub(super) fn send_mesh(&mut self, device: &wgpu::Device, mesh: &Arc<Mesh>) {
        let slot = self.meshes.entry(Arc::as_ptr(mesh).addr()).or_insert_with(|| {
            let sent = SentMesh::new(device, mesh);
            let bytes = sent.vertices.size() + sent.indices.size();
            Slot { of: Arc::downgrade(mesh), sent, bytes, used: 0 }
        });
        slot.used = self.frame;
    }

    /// Sends lines unless they are there.
    pub(super) fn send_lines(&mut self, device: &wgpu::Device, set: &Arc<LineSet>) {
        let slot = self.lines.entry(Arc::as_ptr(set).addr()).or_insert_with(|| {
            let segments = device.create_buffer_init(&wgpu::util::BufferInitDescriptor {
                label: Some("lines"),
                contents: bytemuck::cast_slice(&set.segments),
                usage: wgpu::BufferUsages::VERTEX,
            });
            let (bytes, count) = (segments.size(), small(set.segments.len()));
            Slot { of: Arc::downgrade(set), sent: SentLines { segments, count }, bytes, used: 0 }
        });
        slot.used = self.frame;
    }

    /// A mesh that was sent.
    pub(super) fn mesh(&self, mesh: &Arc<Mesh>) -> Option<&SentMesh> {
        self.meshes.get(&Arc::as_ptr(mesh).addr()).map(|s| &s.sent)
    }

    /// Lines that were sent.
    pub(super) fn lines(&self, set: &Arc<LineSet>) -> Option<&SentLines> {
        self.lines.get(&Arc::as_ptr(set).addr()).map(|s| &s.sent)
    }
}

impl SentMesh {
    fn new(device: &wgpu::Device, mesh: &Mesh) -> Self {
        let buffer = |label, contents: &[u8], usage| {
            device.create_buffer_init(&wgpu::util::BufferInitDescriptor {
                label: Some(label),
                contents,
                usage,
            })
        };
        let vertices = buffer("vertices", bytemuck::cast_slice(&mesh.vertices), wgpu::BufferUsages::VERTEX);
        // Half the bytes wherever short numbers do.
        let short: Option<Vec<u16>> =
            mesh.triangles.iter().flatten().map(|i| u16::try_from(*i).ok()).collect();
        let (indices, format) = match &short {
            Some(short) => (
                buffer("indices", bytemuck::cast_slice(short), wgpu::BufferUsages::INDEX),
                wgpu::IndexFormat::Uint16,
            ),
            None => (
                buffer("indices", bytemuck::cast_slice(&mesh.triangles), wgpu::BufferUsages::INDEX),
                wgpu::IndexFormat::Uint32,
            ),
        };
        Self { vertices, indices, format, count: 3 * small(mesh.triangles.len()) }
    }
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(0)
}
