//! `cargo bench -p proofcut-viewer --bench render`: time of a frame and memory, for the demo and for ten million triangles.
//!
//! The program needs nothing but a graphics driver and, for the demo, the folder `fixtures` below the folder it is run in,
//! so it can be carried to another machine. Words after `--`:
//!
//! | word | meaning |
//! |---|---|
//! | `software`, `gl`, `vulkan` | only such drivers; without it the best there is |
//! | `millions=N` | triangles of the made-up surface, default 10 |
//! | `out=FOLDER` | also writes each picture there |
//! | `like=FOLDER` | compares each picture with that of an earlier run with `out` |

#![cfg(feature = "render")]
#![expect(clippy::print_stdout, reason = "a measurement prints its figures")]

use glam::{Mat4, Vec3};
use proofcut_core::job::{Files, load};
use proofcut_core::proof::{Unwatched, moment};
use proofcut_core::surface::Surface;
use proofcut_viewer::camera::{Camera, StandardView};
use proofcut_viewer::colour::{Colour, Theme};
use proofcut_viewer::gpu::{Drivers, Gpu};
use proofcut_viewer::render::{Renderer, Section, View};
use proofcut_viewer::scene::{Item, Kind, Look, MeshBuilder, Palette, Scene, Shown, Tint, job_scene};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

const SIZE: (u32, u32) = (1280, 800);
/// Cells along one side of a tile: its vertices can be numbered with two bytes.
const TILE: u16 = 224;
/// Frames of which the fastest counts.
const FRAMES: usize = 7;

struct Words {
    drivers: Drivers,
    millions: f32,
    out: Option<PathBuf>,
    like: Option<PathBuf>,
}

fn main() {
    let mut words = Words { drivers: Drivers::Any, millions: 10.0, out: None, like: None };
    for word in std::env::args().skip(1) {
        match word.split_once('=') {
            Some(("millions", n)) => words.millions = n.parse().unwrap_or(words.millions),
            Some(("out", folder)) => words.out = Some(folder.into()),
            Some(("like", folder)) => words.like = Some(folder.into()),
            _ => match word.as_str() {
                "software" => words.drivers = Drivers::Software,
                "gl" => words.drivers = Drivers::Gl,
                "vulkan" => words.drivers = Drivers::Vulkan,
                _ => {}
            },
        }
    }
    match Gpu::offscreen(words.drivers) {
        Ok(gpu) => {
            println!("{}, {} x {} pixels", gpu.name(), SIZE.0, SIZE.1);
            match demo() {
                Ok(scene) => measure(&gpu, "demo", &scene, &words),
                Err(why) => println!("demo: {why}"),
            }
            measure(&gpu, "waves", &waves(words.millions), &words);
        }
        Err(none) => println!("{none}"),
    }
}

fn measure(gpu: &Gpu, name: &str, scene: &Scene, words: &Words) {
    let theme = Theme::LIGHT;
    let aspect = 1.6;
    let camera = Camera::fitting(StandardView::Corner, &scene.bounds(), aspect);
    let mut view = View { camera, size: SIZE, scale: 1.0, theme, section: None };
    println!("{name}: {:.2} million triangles", count(scene.triangles()) / 1.0e6);
    for smooth in [true, false] {
        let mut renderer = Renderer::new(gpu, smooth);
        let begun = Instant::now();
        let drawn = renderer.draw(gpu, scene, &view);
        Renderer::finish(gpu);
        let first = begun.elapsed();
        if let Err(why) = drawn {
            println!("  {why}");
            return;
        }
        let still = fastest(|| frame(&mut renderer, gpu, scene, &view));
        let middle = scene.bounds().center();
        view.section = Some(Section { normal: Vec3::NEG_Y, at: middle });
        let cut = fastest(|| frame(&mut renderer, gpu, scene, &view));
        if smooth {
            picture(&mut renderer, gpu, &format!("{name}-cut"), scene, &view, words);
        }
        view.section = None;
        let samples = if smooth { "4 samples" } else { "1 sample " };
        println!(
            "  {samples}: first frame {} ms with {:.0} MB sent, then {} ms a frame, cut open {} ms",
            ms(first),
            count_u64(renderer.bytes()) / 1.0e6,
            ms(still),
            ms(cut)
        );
        if smooth {
            picture(&mut renderer, gpu, name, scene, &view, words);
        }
    }
    println!("  most memory of the process so far: {}", peak());
}

fn frame(renderer: &mut Renderer, gpu: &Gpu, scene: &Scene, view: &View) {
    if let Err(why) = renderer.draw(gpu, scene, view) {
        println!("  {why}");
    }
    Renderer::finish(gpu);
}

fn fastest(mut work: impl FnMut()) -> Duration {
    let one = |_| {
        let begun = Instant::now();
        work();
        begun.elapsed()
    };
    (0..FRAMES).map(one).min().unwrap_or_default()
}

fn picture(renderer: &mut Renderer, gpu: &Gpu, name: &str, scene: &Scene, view: &View, words: &Words) {
    let image = match renderer.picture(gpu, scene, view) {
        Ok(image) => image,
        Err(why) => return println!("  {why}"),
    };
    let file = format!("{name}.png");
    if let Some(folder) = &words.out
        && let Err(why) = image.save(folder.join(&file))
    {
        println!("  {file}: {why}");
    }
    if let Some(folder) = &words.like {
        match image::open(folder.join(&file)) {
            Ok(other) => {
                let other = other.to_rgba8();
                let apart = |(p, q): (&image::Rgba<u8>, &image::Rgba<u8>)| {
                    p.0.iter().zip(q.0).map(|(a, b)| a.abs_diff(b)).max().unwrap_or(0)
                };
                let all: Vec<u8> = image.pixels().zip(other.pixels()).map(apart).collect();
                let mean = all.iter().map(|d| f64::from(*d)).sum::<f64>() / count(all.len());
                let far = all.iter().filter(|d| **d > 24).count();
                println!(
                    "  differs by {mean:.3} of 255 in the mean, by more than 24 in {far} of {} pixels",
                    all.len()
                );
            }
            Err(why) => println!("  {file}: {why}"),
        }
    }
}

struct Folder(PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.0.join(path)).map_err(|e| e.to_string())
    }
}

/// The demo's first setup after its last cut, with vise and path.
fn demo() -> Result<Scene, String> {
    let below = Path::new("fixtures/jobs/pivot-block");
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(below);
    let folder = if below.is_dir() { below.to_owned() } else { here };
    let job = load("job.json", &Folder(folder)).map_err(|_| "its files are not here".to_owned())?.job;
    let at = moment(&job, 0, &|run| run.moves.len(), &Unwatched).map_err(|e| e.to_string())?;
    let at = at.ok_or("it has no setup")?;
    let begun = Instant::now();
    let surface = Surface::of(&at.stock, &at.history);
    let meshed = begun.elapsed();
    let scene = job_scene(&Shown {
        job: &job,
        setup: at.setup,
        runs: &at.runs,
        holding: &at.holding,
        surface: &surface,
        history: &at.history,
        tint: Tint::Metal,
        nominal: None,
        tool_after: None,
        path: (0, at.made),
        clearances: false,
        theme: &Theme::LIGHT,
    });
    println!("demo: surface {} ms, scene {} ms", ms(meshed), ms(begun.elapsed().saturating_sub(meshed)));
    Ok(scene)
}

/// A milled-looking wavy plate of so many million triangles, in tiles.
fn waves(millions: f32) -> Scene {
    let tiles = (millions * 1.0e6 / (2.0 * f32::from(TILE) * f32::from(TILE))).sqrt().ceil().max(1.0);
    let pitch = 0.1;
    let side = tiles * f32::from(TILE) * pitch;
    let height = |x: f32, y: f32| (0.35 * x).sin() * (0.27 * y).cos() * 2.0 + 0.02 * (6.0 * y).sin();
    let normal = |x: f32, y: f32| {
        let dx = 0.7 * (0.35 * x).cos() * (0.27 * y).cos();
        let dy = -0.54 * (0.35 * x).sin() * (0.27 * y).sin() + 0.12 * (6.0 * y).cos();
        Vec3::new(-dx, -dy, 1.0).normalize()
    };
    let mut meshes = Vec::new();
    let mut corner = (0.0, 0.0);
    while corner.1 + 0.5 < tiles {
        let mut tile = MeshBuilder::default();
        for j in 0..=TILE {
            for i in 0..=TILE {
                let x = (corner.0 * f32::from(TILE) + f32::from(i)) * pitch - 0.5 * side;
                let y = (corner.1 * f32::from(TILE) + f32::from(j)) * pitch - 0.5 * side;
                tile.vertex(Vec3::new(x, y, height(x, y)), normal(x, y), 1);
            }
        }
        let row = u32::from(TILE) + 1;
        for j in 0..u32::from(TILE) {
            for i in 0..u32::from(TILE) {
                let a = j * row + i;
                tile.triangle([a, a + 1, a + row + 1]);
                tile.triangle([a, a + row + 1, a + row]);
            }
        }
        meshes.extend(tile.finish());
        corner.0 += 1.0;
        if corner.0 + 0.5 > tiles {
            corner = (0.0, corner.1 + 1.0);
        }
    }
    let item = Item {
        kind: Kind::Stock,
        meshes,
        world_from_mesh: Mat4::IDENTITY,
        palette: Arc::new(Palette::metal()),
        look: Look::Solid,
        sectioned: true,
        cap: Colour::hex(0xE3_D3_B8),
    };
    Scene { items: vec![item], ..Scene::default() }
}

fn ms(time: Duration) -> String {
    format!("{:.1}", time.as_secs_f64() * 1.0e3)
}

#[expect(clippy::cast_precision_loss, reason = "a figure to be read by people")]
const fn count(n: usize) -> f64 {
    n as f64
}

#[expect(clippy::cast_precision_loss, reason = "a figure to be read by people")]
const fn count_u64(n: u64) -> f64 {
    n as f64
}

/// The most memory that the process held, where the system tells it.
fn peak() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
    line.map_or_else(|| "not told".to_owned(), |l| l.trim().to_owned())
}
