//! `cargo bench -p proofcut-benches --bench engine`: the engine on made-up jobs, the demo job from load to proof, and
//! the memory's own speed in the same run.
//!
//! * `-- flat-200k-0.05 ball-20k ...`: only the jobs named; a kind alone (`-- flat`) means those of the table below.
//! * `-- path/to/job.json`: proves a job of your own.
//! * `-- cut flat-200k-0.05 ...`: only the rows of the jobs after it, without what is made of the stock afterwards.
//! * `-- uncounted flat ...`: the same, and nothing told of what moves meet (volumes, contacts, engagement).
//! * `-- volumes flat ...`: the same, and only volumes and contacts told, not how far to the sides of their paths.
//! * `-- telling flat ...`: these three in turns.
//! * `-- vectors plain flat ...`: the jobs after it cut with other vector instructions: `widest`, `256` or `plain`; before the others.
//! * `-- write flat-22630 FOLDER`: writes a made-up job's files into a folder and measures nothing.
//!
//! Paths are taken from the root of the repository.

#![expect(clippy::print_stdout, reason = "a measurement prints its figures")]

mod telling;

use proofcut_benches::{
    Folder, JobName, Kind, fastest, flat_volume, forget_peak, make, memory_roof, peak_megabytes, processor,
    processor_seconds,
};
use proofcut_core::cutting::{History, Keyframes, SetupCut, cut_setup};
use proofcut_core::geom::{Axis, Box3, Vec3};
use proofcut_core::job::{self, Files, Job};
use proofcut_core::motion::Run;
use proofcut_core::stock::{Records, Stock, Vectors};
use proofcut_core::surface::Surface;
use proofcut_core::{motion, program, proof};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

const ROOT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/..");

const DEMO: &str = "fixtures/jobs/pivot-block/job.json";

/// What is measured when nothing is named. Add `ball-1m-0.05`, `flat-1m-0.1` and `flat-5m-0.1` by name.
const USUAL: &[&str] = &[
    "flat-22630-0.1",
    "flat-200k-0.1",
    "flat-200k-0.05",
    "flat-200k-0.025",
    "ball-20k-0.05",
    "arcs-20k-0.1",
    "holes-40-0.1",
    "rapids-200k-0.1",
    DEMO,
];

/// A short job is run again until this much time is spent, and the fastest run told.
const ENOUGH: Duration = Duration::from_secs(2);
/// Most runs of one job.
const RUNS: usize = 5;

/// A job to measure.
enum Wanted {
    MadeUp(JobName),
    File(PathBuf),
}

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let done = match arguments.as_slice() {
        [write, name, folder] if write == "write" => write_job(name, &from_root(folder)),
        words => How::of(words).and_then(|(how, names)| match names {
            [word, names @ ..] if word == "telling" => wanted(names).map(|jobs| telling::measure(&jobs, how)),
            names => wanted(names).map(|jobs| measure_all(&jobs, how)),
        }),
    };
    if let Err(why) = done {
        println!("{why}");
        return ExitCode::FAILURE;
    }
    ExitCode::SUCCESS
}

fn write_job(name: &str, folder: &Path) -> Result<(), String> {
    let made = make(&name.parse()?);
    made.write(folder).map_err(|why| format!("{}: {why}", folder.display()))?;
    println!("{name} written to {}", folder.display());
    Ok(())
}

fn vectors_named(name: &str) -> Result<Vectors, String> {
    match name {
        "widest" => Ok(Vectors::Widest),
        "256" => Ok(Vectors::Bits256),
        "plain" => Ok(Vectors::Plain),
        _ => Err(format!("there are no vectors {name}: name widest, 256 or plain")),
    }
}

fn from_root(path: &str) -> PathBuf {
    Path::new(ROOT).join(path)
}

fn wanted(names: &[String]) -> Result<Vec<Wanted>, String> {
    if names.is_empty() {
        return USUAL.iter().map(|name| one(name)).collect();
    }
    let mut jobs = Vec::new();
    for name in names {
        let of_kind = || USUAL.iter().filter(|usual| usual.split('-').next() == Some(name.as_str()));
        if of_kind().next().is_some() {
            jobs.extend(of_kind().map(|usual| one(usual)).collect::<Result<Vec<_>, _>>()?);
        } else {
            jobs.push(one(name)?);
        }
    }
    Ok(jobs)
}

fn one(name: &str) -> Result<Wanted, String> {
    let path = from_root(name);
    if path.extension().is_some_and(|e| e == "json") {
        return Ok(Wanted::File(path));
    }
    name.parse().map(Wanted::MadeUp)
}

/// How jobs are cut, and how much of them is measured.
#[derive(Clone, Copy)]
struct How {
    vectors: Vectors,
    /// What is told of what moves meet.
    records: Records,
    /// What is made of the stock afterwards is measured, too.
    is_whole: bool,
}

impl How {
    /// As the first words say; the others are names of jobs.
    fn of(words: &[String]) -> Result<(Self, &[String]), String> {
        let mut how = Self { vectors: Vectors::Widest, records: Records::Whole, is_whole: true };
        let mut left = words;
        loop {
            left = match left {
                [word, vectors, names @ ..] if word == "vectors" => {
                    how.vectors = vectors_named(vectors)?;
                    names
                }
                [word, names @ ..] if ["cut", "uncounted", "volumes"].contains(&word.as_str()) => {
                    how.is_whole = false;
                    how.records = match word.as_str() {
                        "uncounted" => Records::Empty,
                        "volumes" => Records::WithoutSides,
                        _ => Records::Whole,
                    };
                    names
                }
                names => return Ok((how, names)),
            };
        }
    }

    /// Raw stock to be cut so.
    fn stock(self, job: &Job, spacing: f64) -> Option<Stock> {
        let stock = Stock::new(&job.stock, spacing).ok()?;
        Some(stock.with_vectors(self.vectors).with_records(self.records))
    }
}

fn measure_all(jobs: &[Wanted], how: How) {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    println!("{}, {threads} threads, vectors: {}", processor(), how.vectors.used());
    println!("memory: {:.1} GB/s read, change and write with one thread", memory_roof() / 1e9);
    println!();
    println!(
        "| job | moves | rays | read | raw stock | cut, wall | cut, processor | wall a move | stock | bytes an interval / 16 | peak | removed | error | error of the surface |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|---|---|---|");
    let mut notes = Vec::new();
    for job in jobs {
        if let Wanted::MadeUp(name) = job {
            notes.extend(measure(name, how));
        }
    }
    println!();
    for note in &notes {
        println!("{note}");
    }
    for job in jobs {
        if let Wanted::File(path) = job {
            prove(path);
        }
    }
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

/// Measures a made-up job and prints its row; for rapids also a row without them, to tell what one costs; for pockets
/// what a lens costs.
fn measure(name: &JobName, how: How) -> Option<String> {
    let cut = row(name, how)?;
    if name.kind == Kind::Flat && how.is_whole {
        return Some(
            [lens(name, &cut.history), moments(name, how)]
                .into_iter()
                .flatten()
                .collect::<Vec<_>>()
                .join("\n"),
        );
    }
    let with = cut.times;
    if name.kind != Kind::Rapids || name.moves == 0 {
        return None;
    }
    let without = row(&JobName { moves: 0, ..*name }, how)?.times;
    let each = |all: f64, none: f64| (all - none) * 1e6 / f64::from(name.moves);
    Some(format!(
        "{name}: one clear rapid takes {:.2} microseconds, {:.2} of processor",
        each(with.wall, without.wall),
        each(with.processor, without.processor)
    ))
}

/// A lens of 2 x 2 x 2 mm at 0.01 mm, half in the floor of a pocket.
fn lens(name: &JobName, history: &History) -> Option<String> {
    let (x, y) = (30.0, 20.0);
    let floor = history.probe(Axis::Z, x, y).last()?.high;
    let middle = Vec3::new(x, y, floor);
    let inside = Box3 { min: middle.add_scalar(-1.0), max: middle.add_scalar(1.0) };
    let time = fastest(RUNS, || history.lens(&inside, 0.01, history.next_id()).map(|stock| stock.bytes()));
    Some(format!("{name}: a lens of 2 x 2 x 2 mm at 0.01 mm takes {:.1} ms", time.as_secs_f64() * 1e3))
}

/// Times of one cut, seconds.
#[derive(Clone, Copy)]
struct Times {
    wall: f64,
    processor: f64,
}

/// Moments that a stock is led to, to see what one takes.
const JUMPS: u32 = 40;

/// A made-up job and its moves.
fn followed(name: &JobName) -> Option<(Job, Run)> {
    let job = load("job.json", &make(name))?;
    let run = motion::interpret(&program::parse(&job.setups.first()?.program), &job, 0, 100.0);
    Some((job, run))
}

/// How long the stock at scattered moments takes, and how much memory the keyframes for it.
fn moments(name: &JobName, how: How) -> Option<String> {
    let (job, run) = followed(name)?;
    let mut stock = how.stock(&job, name.spacing)?;
    let mut history = History::new(&job.stock).ok()?;
    let mut keyframes = Keyframes::new(&stock, Keyframes::USUAL_BUDGET);
    let start = Instant::now();
    cut_setup(&mut stock, &mut history, &job, 0, &run, Some(&mut keyframes), &|_| ControlFlow::Continue(()))
        .ok()?;
    let cut = start.elapsed().as_secs_f64() * 1e3;
    let mut shown = keyframes.shown(stock);
    let (mut worst, mut sum, mut boxes) = (0.0_f64, 0.0, 0);
    for jump in 0..JUMPS {
        let before = history.first_cut(0, jump as usize * 7919 * 13 % run.moves.len());
        let start = Instant::now();
        boxes += keyframes.show(&history, &mut shown, before).len();
        let time = start.elapsed().as_secs_f64() * 1e3;
        worst = worst.max(time);
        sum += time;
    }
    Some(format!(
        "{name}: the stock at any move: {:.1} ms, at most {worst:.1} ms ({JUMPS} jumps, {} blocks changed each), {} keyframes of \
         {} MB; cut with them in {cut:.0} ms",
        sum / f64::from(JUMPS),
        boxes / JUMPS as usize,
        keyframes.frames(),
        keyframes.bytes() >> 20,
    ))
}

/// A setup cut, with what it left.
struct Cut {
    times: Times,
    stock: Stock,
    history: History,
    result: SetupCut,
}

fn row(name: &JobName, how: How) -> Option<Cut> {
    forget_peak();
    let job = load("job.json", &make(name))?;
    let start = Instant::now();
    let run = motion::interpret(&program::parse(&job.setups.first()?.program), &job, 0, 100.0);
    let read = start.elapsed();
    if let Some(place) = run.lost_from {
        println!("line {} could not be followed: {:?}", place.line, run.facts.first());
        return None;
    }
    let start = Instant::now();
    let raw = how.stock(&job, name.spacing)?;
    let build = start.elapsed();
    let cut = fastest_cut(&job, &run, &raw)?;
    // Before anything else takes memory.
    let peak = peak_megabytes().unwrap_or(0);
    print_row(name, &run, (read, build), &cut, (peak, how.is_whole));
    if !cut.result.contacts.is_empty() {
        println!("{} contacts, there should be none", cut.result.contacts.len());
    }
    Some(cut)
}

fn print_row(
    name: &JobName,
    run: &Run,
    (read, build): (Duration, Duration),
    cut: &Cut,
    (peak, is_whole): (u64, bool),
) {
    let Cut { times, stock, result, .. } = cut;
    let (rays, intervals) = census(stock);
    let removed: f64 = result.moves.iter().map(|m| m.removed).sum();
    let (error, of_surface) = match name.kind {
        Kind::Flat => {
            let by_surface = if is_whole { by_surface(name, cut) } else { None };
            (off(name, removed), by_surface.map_or_else(String::new, |v| off(name, v)))
        }
        Kind::Ball | Kind::Arcs | Kind::Holes | Kind::Rapids => (String::new(), String::new()),
    };
    let moves = u32::try_from(run.moves.len()).map_or(f64::NAN, f64::from);
    println!(
        "| {name} | {} | {rays} | {:.0} ms | {:.0} ms | {:.0} ms | {:.0} ms | {:.0} ns | {} MB | {:.2} | {peak} MB | {removed:.1} mm3 | {error} | {of_surface} |",
        run.moves.len(),
        read.as_secs_f64() * 1e3,
        build.as_secs_f64() * 1e3,
        times.wall * 1e3,
        times.processor * 1e3,
        times.wall * 1e9 / moves,
        stock.bytes() >> 20,
        share(stock.bytes(), intervals) / 16.0,
    );
}

/// How far a removed volume is from the formula's, as a part of it.
fn off(name: &JobName, removed: f64) -> String {
    format!("{:+.1e}", removed / flat_volume(name.moves) - 1.0)
}

/// Finest spacing at which the surface of a whole block still is of a size to be made just for this, mm.
const FINEST_SURFACE: f64 = 0.05;

/// The volume removed, mm3, as the surface made of the rays' ends and of the cuts' normals tells it: what its triangles enclose,
/// taken from the raw block.
fn by_surface(name: &JobName, cut: &Cut) -> Option<f64> {
    let raw = cut.stock.raw_bounds().size();
    let left = || Surface::of(&cut.stock, &cut.history).volume();
    (name.spacing >= FINEST_SURFACE).then(|| raw.x * raw.y * raw.z - left())
}

fn share(bytes: usize, intervals: usize) -> f64 {
    let number = |n: usize| u32::try_from(n).map_or(f64::NAN, f64::from);
    number(bytes) / number(intervals)
}

/// Numbers of rays and of intervals in the three grids.
fn census(stock: &Stock) -> (u64, usize) {
    let mut intervals = 0;
    for axis in Axis::ALL {
        let grid = stock.grid(axis);
        for j in 0..grid.v.count() {
            intervals += (0..grid.u.count()).map(|i| stock.ray(axis, i, j).len()).sum::<usize>();
        }
    }
    (Axis::ALL.iter().map(|a| stock.grid(*a).rays()).sum(), intervals)
}

/// The fastest of a few cuts of the same raw stock.
fn fastest_cut(job: &Job, run: &Run, raw: &Stock) -> Option<Cut> {
    let empty = History::new(&job.stock).ok()?;
    let begin = Instant::now();
    let mut best: Option<Cut> = None;
    for number in 0..RUNS {
        if number > 0 && begin.elapsed() > ENOUGH {
            break;
        }
        let cut = cut_once(job, run, raw.clone(), empty.clone())?;
        if best.as_ref().is_none_or(|b| cut.times.wall < b.times.wall) {
            best = Some(cut);
        }
    }
    best
}

fn cut_once(job: &Job, run: &Run, mut stock: Stock, mut history: History) -> Option<Cut> {
    let before = processor_seconds();
    let start = Instant::now();
    let result =
        cut_setup(&mut stock, &mut history, job, 0, run, None, &|_| ControlFlow::Continue(())).ok()?;
    let wall = start.elapsed().as_secs_f64();
    let processor = processor_seconds().zip(before).map_or(f64::NAN, |(after, before)| after - before);
    Some(Cut { times: Times { wall, processor }, stock, history, result })
}

fn prove(path: &Path) {
    let (Some(folder), Some(name)) = (path.parent(), path.file_name().and_then(|n| n.to_str())) else {
        return;
    };
    let files = Folder(folder.to_owned());
    forget_peak();
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
