//! `cargo bench -p proofcut-viewer --bench scrub`: from a wish for another moment to its picture, for a job of 200,000 moves.
//!
//! The program needs nothing but a graphics driver: the job is made up in memory. Words after `--`:
//!
//! | word | meaning |
//! |---|---|
//! | `software`, `gl`, `vulkan` | only such drivers; without it the best there is |
//! | a job's name, as for the bench `engine` | another job than `flat-200k-0.1` |

#![cfg(feature = "window")]
#![expect(clippy::print_stdout, reason = "a measurement prints its figures")]

use proofcut_benches::{MadeUp, make, processor};
use proofcut_core::job::Files;
use proofcut_viewer::camera::{Camera, StandardView};
use proofcut_viewer::colour::Theme;
use proofcut_viewer::gpu::{Drivers, Gpu};
use proofcut_viewer::render::{Renderer, View};
use proofcut_viewer::session::{Disk, Session, Stage, Staged, State, Wish};
use std::sync::Arc;
use std::time::{Duration, Instant};

const SIZE: (u32, u32) = (1280, 800);
/// Jumps of each kind.
const JUMPS: usize = 40;
/// Longest wait for the check.
const PATIENCE: Duration = Duration::from_secs(600);

struct InMemory(MadeUp);

impl Files for InMemory {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        self.0.read(path)
    }
}

impl Disk for InMemory {
    fn mark(&self, _path: &str) -> Option<u128> {
        Some(0)
    }
}

fn main() {
    let (mut drivers, mut name) = (Drivers::Any, String::from("flat-200k-0.1"));
    for word in std::env::args().skip(1).filter(|word| !word.starts_with("--")) {
        match word.as_str() {
            "software" => drivers = Drivers::Software,
            "gl" => drivers = Drivers::Gl,
            "vulkan" => drivers = Drivers::Vulkan,
            _ => name = word,
        }
    }
    if let Err(why) = measure(drivers, &name) {
        println!("{name}: {why}");
    }
}

fn measure(drivers: Drivers, name: &str) -> Result<(), String> {
    let gpu = Gpu::offscreen(drivers).map_err(|none| none.to_string())?;
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    println!("{}, {} x {} pixels; {}, {threads} threads", gpu.name(), SIZE.0, SIZE.1, processor());
    let disk: Arc<dyn Disk> = Arc::new(InMemory(make(&name.parse()?)));
    let mut session = Session::new("job.json", disk, Arc::new(|| {}));
    let begun = Instant::now();
    while session.state() == State::Computing && begun.elapsed() < PATIENCE {
        session.poll();
        std::thread::sleep(Duration::from_millis(2));
    }
    println!("{name}: checked in {} ms", ms(begun.elapsed()));
    let moves = session.run().map_or(0, |run| run.moves.len());
    let wish = session.wish().ok_or("it was not checked")?;
    let mut scrub = Scrub {
        stage: Stage::new(Arc::new(|| {}), gpu.is_software()),
        renderer: Renderer::new(&gpu, !gpu.is_software()),
        gpu: &gpu,
    };
    let begun = Instant::now();
    scrub.go(&wish, moves / 2)?;
    println!("  first scene and frame {} ms", ms(begun.elapsed()));
    let far: Vec<usize> = scattered(moves).take(JUMPS).collect();
    let near: Vec<usize> = (0..JUMPS).map(|n| moves / 2 + 50 * n).collect();
    let back: Vec<usize> = near.iter().rev().copied().collect();
    for (what, way) in [("far jumps", far), ("50 moves on", near), ("50 moves back", back)] {
        if let Some(first) = way.first() {
            scrub.go(&wish, *first)?;
        }
        let took = way.iter().skip(1).map(|made| scrub.go(&wish, *made)).collect::<Result<Vec<_>, _>>()?;
        let of = |f: fn(&Took) -> Duration| {
            let all: Vec<Duration> = took.iter().map(f).collect();
            let count = u32::try_from(all.len()).unwrap_or(1).max(1);
            (ms(all.iter().sum::<Duration>() / count), ms(all.iter().max().copied().unwrap_or_default()))
        };
        let (scene, draw, both) = (of(|t| t.scene), of(|t| t.draw), of(|t| t.scene + t.draw));
        println!(
            "  {what}: {} ms on average, {} at most; of it the scene {} ({}), sending and drawing {} ({})",
            both.0, both.1, scene.0, scene.1, draw.0, draw.1
        );
    }
    Ok(())
}

/// What a jump took.
struct Took {
    scene: Duration,
    draw: Duration,
}

struct Scrub<'a> {
    stage: Stage,
    renderer: Renderer,
    gpu: &'a Gpu,
}

impl Scrub<'_> {
    /// Goes to a moment and draws it.
    fn go(&mut self, wish: &Wish, made: usize) -> Result<Took, String> {
        let begun = Instant::now();
        self.stage.wish(Wish { made, ..wish.clone() });
        let staged: Staged = loop {
            if let Some(staged) = self.stage.newest().filter(|staged| staged.wish.made == made) {
                break staged;
            }
            if begun.elapsed() > PATIENCE {
                return Err("the scene does not come".to_owned());
            }
            std::thread::yield_now();
        };
        let scene = begun.elapsed();
        let camera = Camera::fitting(StandardView::Corner, &staged.scene.bounds(), 1.6);
        let view = View { camera, size: SIZE, scale: 1.0, theme: Theme::LIGHT, section: None };
        self.renderer.draw(self.gpu, &staged.scene, &view).map_err(|why| why.to_string())?;
        Renderer::finish(self.gpu);
        Ok(Took { scene, draw: begun.elapsed().saturating_sub(scene) })
    }
}

/// Moments far apart, the same in every run.
fn scattered(moves: usize) -> impl Iterator<Item = usize> {
    // The golden ratio, in parts of 2^20: no two of a few follow each other closely.
    (1..).map(move |n: usize| (n * 648_056 % (1 << 20)) * moves / (1 << 20))
}

fn ms(time: Duration) -> String {
    format!("{:.1}", time.as_secs_f64() * 1.0e3)
}
