//! What it costs to tell of every move what it met.

use super::{How, Times, Wanted, cut_once, followed};
use proofcut_benches::JobName;
use proofcut_core::cutting::History;
use proofcut_core::stock::Records;

/// What is told, from nothing on.
const TOLD: [Records; 3] = [Records::Empty, Records::WithoutSides, Records::Whole];

/// How often each is cut; in turns, since a machine that others share is now faster, now slower.
const TURNS: usize = 40;

/// Cuts jobs telling nothing, volumes and contacts, and all, and prints what each takes.
pub(super) fn measure(jobs: &[Wanted], how: How) {
    println!("| job | nothing told | volumes and contacts | | and how far to the sides | |");
    println!("|---|---|---|---|---|---|");
    for job in jobs {
        match job {
            Wanted::MadeUp(name) => row(name, how).into_iter().for_each(|row| println!("{row}")),
            Wanted::File(path) => println!("{}: not cut, only made-up jobs are", path.display()),
        }
    }
    println!();
    println!(
        "Wall, processor: the fastest of {TURNS} in turns. How much more than nothing told: the one that half of the turns do not \
         pass, and of the fastest."
    );
}

fn row(name: &JobName, how: How) -> Option<String> {
    let (job, run) = followed(name)?;
    let empty = History::new(&job.stock).ok()?;
    let mut times = TOLD.map(|_| Vec::new());
    for turn in 0..TURNS {
        let mut order = [0, 1, 2];
        order.rotate_left(turn % TOLD.len());
        for which in order {
            let raw = How { records: *TOLD.get(which)?, ..how }.stock(&job, name.spacing)?;
            times.get_mut(which)?.push(cut_once(&job, &run, raw, empty.clone())?.times);
        }
    }
    let [nothing, volumes, all] = &times;
    let beside = |own: &[Times]| {
        let (wall, processor) = (more(own, nothing, |t| t.wall), more(own, nothing, |t| t.processor));
        format!("{} | {wall}, {processor}", fastest(own))
    };
    Some(format!("| {name} | {} | {} | {} |", fastest(nothing), beside(volumes), beside(all)))
}

fn fastest(times: &[Times]) -> String {
    let least = |own: fn(&Times) -> f64| times.iter().map(own).fold(f64::INFINITY, f64::min) * 1e3;
    format!("{:.0}, {:.0} ms", least(|t| t.wall), least(|t| t.processor))
}

/// How much more one took than the other, turn by turn, and the fastest of both.
fn more(own: &[Times], other: &[Times], time: fn(&Times) -> f64) -> String {
    let percent = |own: f64, other: f64| (own / other - 1.0) * 100.0;
    let mut ratios: Vec<f64> =
        own.iter().zip(other).map(|(own, other)| percent(time(own), time(other))).collect();
    ratios.sort_by(f64::total_cmp);
    let middle = ratios.get(ratios.len() / 2).copied().unwrap_or(f64::NAN);
    let least = |times: &[Times]| times.iter().map(time).fold(f64::INFINITY, f64::min);
    format!("{middle:+.1} % ({:+.1})", percent(least(own), least(other)))
}
