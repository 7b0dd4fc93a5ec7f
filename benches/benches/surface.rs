//! `cargo bench -p proofcut-benches --bench surface`: the surface of made-up jobs and of the demo job, whole and after a
//! change, and the mesh for export. Jobs are named as for the bench `engine`; the word `mesh` before them leaves it at the
//! whole surface.

#![expect(clippy::print_stdout, reason = "a measurement prints its figures")]

use proofcut_benches::{Folder, fastest, make, processor, processor_seconds};
use proofcut_core::geom::{Box3, Vec3};
use proofcut_core::job::{self, Files, Job};
use proofcut_core::proof::{CutPart, Unwatched, cut_part};
use proofcut_core::surface::Surface;
use std::path::Path;

const DEMO: &str = "fixtures/jobs/pivot-block/job.json";
const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/..");

/// What is measured when nothing is named.
const USUAL: &[&str] = &["flat-20k-0.1", "flat-20k-0.05", "ball-20k-0.1", "holes-40-0.1", DEMO];

/// Edge of the box that is taken to have changed, mm.
const CHANGED: f64 = 10.0;

fn main() {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    println!("{}, {threads} threads; processor time is that of all threads together", processor());
    let mut named: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let all = named.len();
    named.retain(|word| word != "mesh");
    let only_mesh = named.len() < all;
    let usual = || USUAL.iter().map(|n| (*n).to_owned()).collect();
    for name in if named.is_empty() { usual() } else { named } {
        if let Err(why) = measure(&name, only_mesh) {
            println!("{name}: {why}");
        }
    }
}

fn load(path: &str, files: &dyn Files) -> Result<Job, String> {
    let loaded = job::load(path, files);
    loaded.map(|l| l.job).map_err(|why| why.first().map_or("not readable".to_owned(), |d| d.message.clone()))
}

fn job(name: &str) -> Result<Job, String> {
    let path = Path::new(ROOT).join(name);
    if path.is_file()
        && let (Some(folder), Some(file)) = (path.parent(), path.file_name().and_then(|n| n.to_str()))
    {
        return load(file, &Folder(folder.to_owned()));
    }
    load("job.json", &make(&name.parse()?))
}

/// Wall and processor seconds of the fastest of some runs, the latter as the mean of all.
fn timed<T>(runs: u32, work: impl FnMut() -> T) -> (f64, f64) {
    let before = processor_seconds();
    let wall = fastest(runs as usize, work).as_secs_f64();
    let used = processor_seconds().zip(before).map_or(f64::NAN, |(after, before)| after - before);
    (wall, used / f64::from(runs))
}

fn measure(name: &str, only_mesh: bool) -> Result<(), String> {
    let job = job(name)?;
    let part = cut_part(&job, job.setups.len(), &Unwatched).map_err(|why| why.to_string())?;
    let CutPart { stock, history, .. } = &part;
    let mut surface = Surface::of(stock, history);
    let cells = f64::from(u32::try_from(surface.cells()).unwrap_or(u32::MAX));
    let (wall, used) = timed(5, || Surface::of(stock, history));
    println!(
        "{name}: {cells} cells, {} triangles, {} MB; {:.0} ms, {:.0} ms of processor: {:.1} million cells/s by \
         the clock, {:.1} million per second of processor",
        surface.triangles(),
        surface.bytes() >> 20,
        wall * 1e3,
        used * 1e3,
        cells / wall / 1e6,
        cells / used / 1e6,
    );
    if only_mesh {
        return Ok(());
    }
    let middle = stock.raw_bounds().center();
    let corner = stock.raw_bounds().max - Vec3::repeat(CHANGED);
    for at in [middle, corner] {
        let changed = [Box3::between(at, at + Vec3::repeat(CHANGED))];
        let mut blocks = 0;
        let (wall, used) = timed(10, || blocks = surface.update(stock, history, &changed).len());
        println!(
            "  update of {CHANGED} mm: {blocks} blocks, {:.1} ms, {:.1} ms of processor",
            wall * 1e3,
            used * 1e3
        );
    }
    let (volume, bound) = stock.volume();
    let (wall, used) = timed(3, || surface.volume());
    println!(
        "  volume {:.4} mm3 in {:.1} ms ({:.1} ms of processor); the rays say {volume:.4} +- {bound:.4}",
        surface.volume(),
        wall * 1e3,
        used * 1e3,
    );
    let mut few = 0;
    let (wall, used) = timed(1, || few = surface.simplified(0.001).triangles.len());
    let size = f64::from(u32::try_from(few).unwrap_or(u32::MAX)) * 50e-6;
    println!(
        "  within 0.001 mm: {few} triangles, STL of {size:.2} MB, {:.0} ms, {:.0} ms of processor",
        wall * 1e3,
        used * 1e3
    );
    Ok(())
}
