//! The graphics driver: found, opened, or one clear sentence why not.
//!
//! *Invariant*: a machine without a driver gets [`NoDriver`], never a panic; errors of the driver are kept, not thrown.

use std::fmt;
use std::sync::{Arc, Mutex, PoisonError};

/// A graphics device with what belongs to it.
#[derive(Clone, Debug)]
pub struct Gpu {
    /// The library's entry.
    pub instance: wgpu::Instance,
    /// The driver and its hardware.
    pub adapter: wgpu::Adapter,
    /// The open device.
    pub device: wgpu::Device,
    /// Its queue of work.
    pub queue: wgpu::Queue,
    trouble: Arc<Mutex<Option<String>>>,
}

/// Kinds of drivers to look for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Drivers {
    /// Whatever is there, hardware before software.
    #[default]
    Any,
    /// Vulkan only.
    Vulkan,
    /// OpenGL only.
    Gl,
    /// Only drivers that work without graphics hardware: the same pixels on every machine.
    Software,
}

/// Why there is no graphics device. Its text says what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoDriver {
    /// What the system said, empty when nothing was found at all.
    pub said: String,
}

impl fmt::Display for NoDriver {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "no graphics driver that works was found. Pictures and the window need Vulkan or OpenGL; a driver that works \
             in software will do. On Debian and Ubuntu: `apt install libvulkan1 mesa-vulkan-drivers`, or for OpenGL \
             `apt install libegl1 libgl1-mesa-dri`. Every other command works without one",
        )?;
        if self.said.is_empty() { Ok(()) } else { write!(f, " (the driver said: {})", self.said) }
    }
}

impl std::error::Error for NoDriver {}

impl Gpu {
    /// Opens a device without a window.
    ///
    /// # Errors
    /// When no driver is there, or it refuses.
    pub fn offscreen(drivers: Drivers) -> Result<Self, NoDriver> {
        let instance = instance(drivers);
        let found = pollster::block_on(instance.enumerate_adapters(backends(drivers)));
        Self::best(instance, found, drivers)
    }

    /// Opens a device that can draw on a surface of a window.
    ///
    /// # Errors
    /// When no driver can, or it refuses.
    pub fn for_surface(instance: wgpu::Instance, surface: &wgpu::Surface<'_>) -> Result<Self, NoDriver> {
        let mut found = pollster::block_on(instance.enumerate_adapters(wgpu::Backends::all()));
        found.retain(|a| a.is_surface_supported(surface));
        Self::best(instance, found, Drivers::Any)
    }

    /// Opens the best of some drivers; when it refuses, the next.
    fn best(
        instance: wgpu::Instance,
        mut found: Vec<wgpu::Adapter>,
        drivers: Drivers,
    ) -> Result<Self, NoDriver> {
        if drivers == Drivers::Software {
            found.retain(|a| a.get_info().device_type == wgpu::DeviceType::Cpu);
        }
        found.sort_by_key(rank);
        let mut said = String::new();
        for adapter in found {
            // Never more than the driver can, never more than is asked for: the same everywhere.
            let required_limits = wgpu::Limits::default().or_worse_values_from(&adapter.limits());
            let wanted = wgpu::DeviceDescriptor { required_limits, ..Default::default() };
            match pollster::block_on(adapter.request_device(&wanted)) {
                Ok((device, queue)) => {
                    let trouble = Arc::new(Mutex::new(None));
                    let kept = Arc::clone(&trouble);
                    device.on_uncaptured_error(Arc::new(move |error: wgpu::Error| {
                        let mut slot = kept.lock().unwrap_or_else(PoisonError::into_inner);
                        slot.get_or_insert(error.to_string());
                    }));
                    return Ok(Self { instance, adapter, device, queue, trouble });
                }
                Err(error) => said = error.to_string(),
            }
        }
        Err(NoDriver { said })
    }

    /// The first thing that went wrong since the last call; `None` when all is well.
    pub fn trouble(&self) -> Option<String> {
        self.trouble.lock().unwrap_or_else(PoisonError::into_inner).take()
    }

    /// Name of the hardware, or of the software that stands in for it, and of the interface.
    pub fn name(&self) -> String {
        let info = self.adapter.get_info();
        format!("{} ({:?})", info.name, info.backend)
    }

    /// True when there is no graphics hardware: then frames take tenths of a second, and a window should draw less while
    /// things move.
    pub fn is_software(&self) -> bool {
        self.adapter.get_info().device_type == wgpu::DeviceType::Cpu
    }

    /// True for OpenGL, which makes edges of a cut smooth in no other way than by drawing larger.
    pub fn is_gl(&self) -> bool {
        self.adapter.get_info().backend == wgpu::Backend::Gl
    }

    /// Largest width and height of a picture, pixels.
    pub fn largest_picture(&self) -> u32 {
        self.device.limits().max_texture_dimension_2d
    }
}

/// The library's entry for some kinds of drivers, for pictures without a window.
pub fn instance(drivers: Drivers) -> wgpu::Instance {
    of(drivers, wgpu::InstanceDescriptor::new_without_display_handle())
}

/// The library's entry for a window on a display. OpenGL draws on none that it was not told of before.
pub fn instance_on(display: Box<dyn wgpu::wgt::WgpuHasDisplayHandle>) -> wgpu::Instance {
    of(Drivers::Any, wgpu::InstanceDescriptor::new_with_display_handle(display))
}

fn of(drivers: Drivers, plain: wgpu::InstanceDescriptor) -> wgpu::Instance {
    wgpu::Instance::new(wgpu::InstanceDescriptor {
        backends: backends(drivers),
        // The layers that check a driver's use are for developers of drivers.
        flags: wgpu::InstanceFlags::empty(),
        ..plain
    })
}

const fn backends(drivers: Drivers) -> wgpu::Backends {
    match drivers {
        Drivers::Any | Drivers::Software => wgpu::Backends::all(),
        Drivers::Vulkan => wgpu::Backends::VULKAN,
        Drivers::Gl => wgpu::Backends::GL,
    }
}

/// Hardware first, and of two ways to one piece of hardware OpenGL last.
fn rank(adapter: &wgpu::Adapter) -> (u8, bool) {
    let info = adapter.get_info();
    let kind = match info.device_type {
        wgpu::DeviceType::DiscreteGpu => 0,
        wgpu::DeviceType::IntegratedGpu => 1,
        wgpu::DeviceType::VirtualGpu => 2,
        wgpu::DeviceType::Other => 3,
        wgpu::DeviceType::Cpu => 4,
    };
    (kind, info.backend == wgpu::Backend::Gl)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentence_without_a_driver_names_what_to_install() {
        let plain = NoDriver { said: String::new() }.to_string();
        for package in ["libvulkan1", "mesa-vulkan-drivers", "libegl1", "libgl1-mesa-dri"] {
            assert!(plain.contains(package), "{package}");
        }
        assert!(
            NoDriver { said: "out of memory".to_owned() }
                .to_string()
                .ends_with("(the driver said: out of memory)")
        );
    }
}
