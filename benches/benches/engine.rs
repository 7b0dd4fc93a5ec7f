//! `cargo bench -p proofcut-benches`: the engine on a made-up pocket, whole jobs given by path, and the memory's own
//! speed in the same run.
//!
//! Job files after `--` are proved instead: `cargo bench -p proofcut-benches -- path/to/job.json`.

#![expect(clippy::print_stdout, reason = "a measurement prints its figures")]

use proofcut_benches::{Folder, fastest, memory_roof, peak_megabytes, pocket, processor, processor_seconds};
use proofcut_core::cutting::{History, cut_setup};
use proofcut_core::geom::Axis;
use proofcut_core::job::{self, Files, Job};
use proofcut_core::stock::Stock;
use proofcut_core::{motion, program, proof};
use std::path::{Path, PathBuf};
use std::time::Instant;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../fixtures/jobs/pivot-block/job.json");

fn main() {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    println!("{}, {threads} threads", processor());
    println!("memory: {:.1} GB/s read, change and write with one thread", memory_roof() / 1e9);
    let jobs: Vec<PathBuf> =
        std::env::args().skip(1).filter(|a| !a.starts_with("--")).map(PathBuf::from).collect();
    if !jobs.is_empty() {
        for path in &jobs {
            measure_job(path);
        }
        return;
    }
    for (moves, spacing, ball) in
        [(20_000, 0.1, false), (20_000, 0.05, false), (200_000, 0.1, false), (2_000, 0.1, true)]
    {
        measure_pocket(moves, spacing, ball);
    }
    measure_job(Path::new(DEMO));
}

fn load(path: &str, files: &dyn Files) -> Option<Job> {
    match job::load(path, files) {
        Ok(loaded) => Some(loaded.job),
        Err(why) => {
            println!("{path}: {}", why.first().map_or("not readable", |d| d.message.as_str()));
            None
        }
    }
}

fn measure_pocket(moves: usize, spacing: f64, ball: bool) {
    let Some(job) = load("job.json", &pocket(moves, spacing, ball)) else { return };
    let Some(setup) = job.setups.first() else { return };
    let start = Instant::now();
    let run = motion::interpret(&program::parse(&setup.program), &job, 0, 100.0);
    let read = start.elapsed();
    if let Some(place) = run.lost_from {
        println!("line {} could not be followed: {:?}", place.line, run.facts.first());
    }
    let (Ok(raw), Ok(empty)) = (Stock::new(&job.stock, spacing), History::new(&job.stock)) else { return };
    let build = fastest(3, || Stock::new(&job.stock, spacing));
    let mut last = None;
    let before = processor_seconds();
    let cut = fastest(1, || {
        let (mut stock, mut history) = (raw.clone(), empty.clone());
        let start = Instant::now();
        let cut = cut_setup(&mut stock, &mut history, &job, 0, &run, &|_| ());
        last = Some((stock, history, cut, start.elapsed()));
    });
    let used = processor_seconds().zip(before).map_or(f64::NAN, |(after, before)| after - before);
    let Some((stock, history, result, _)) = last else { return };
    let removed: f64 = result.moves.iter().map(|m| m.removed).sum();
    let probes = 1000_u32;
    let probing = fastest(3, || {
        (0..probes)
            .map(|n| history.probe(Axis::Z, f64::from(n) * 0.1, f64::from(n % 600) * 0.1).len())
            .sum::<usize>()
    });
    let rays: u64 = Axis::ALL.iter().map(|a| stock.grid(*a).rays()).sum();
    println!(
        "{} pocket, {} moves, {spacing} mm, {rays} rays in three grids: read {:.0} ms, raw stock {:.0} ms, cut {:.0} ms ({:.0} ms of processor), \
         {probes} probes {:.1} ms, stock {} MB, peak {} MB, contacts {}, removed {removed:.1} mm3",
        if ball { "ball" } else { "flat" },
        run.moves.len(),
        read.as_secs_f64() * 1e3,
        build.as_secs_f64() * 1e3,
        cut.as_secs_f64() * 1e3,
        used * 1e3,
        probing.as_secs_f64() * 1e3,
        stock.bytes() >> 20,
        peak_megabytes().unwrap_or(0),
        result.contacts.len(),
    );
}

fn measure_job(path: &Path) {
    let (Some(folder), Some(name)) = (path.parent(), path.file_name().and_then(|n| n.to_str())) else {
        return;
    };
    let files = Folder(folder.to_owned());
    let start = Instant::now();
    let Some(job) = load(name, &files) else { return };
    let loaded = start.elapsed();
    let before = processor_seconds();
    let whole = fastest(1, || proof::prove(&job, &proof::Unwatched));
    let used = processor_seconds().zip(before).map_or(f64::NAN, |(after, before)| after - before);
    println!(
        "whole job {} ({} setups): load {:.0} ms, prove {:.0} ms ({:.0} ms of processor), peak {} MB",
        job.name,
        job.setups.len(),
        loaded.as_secs_f64() * 1e3,
        whole.as_secs_f64() * 1e3,
        used * 1e3,
        peak_megabytes().unwrap_or(0),
    );
}
