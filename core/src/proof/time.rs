use crate::geom::{Path, Vec3};
use crate::job::{HelixFeed, Job};
use crate::motion::{Move, MoveKind};

/// Seconds in a minute.
const MINUTE: f64 = 60.0;

/// Seconds that a move takes at its feed or at rapid rates. Acceleration is not modelled: a program of many short moves
/// takes longer at the machine.
pub fn seconds(job: &Job, m: &Move) -> f64 {
    if let Some(fixed) = m.seconds {
        return fixed;
    }
    match m.kind {
        MoveKind::Rapid | MoveKind::Home => rapid_seconds(job, &m.path),
        MoveKind::Feed | MoveKind::Thread => match m.feed {
            Some(feed) if feed > 0.0 => fed_length(job, &m.path) / feed * MINUTE,
            _ => 0.0,
        },
    }
}

/// The axis that needs longest at its rapid rate decides, whatever the way.
fn rapid_seconds(job: &Job, path: &Path) -> f64 {
    let way: Vec3 = path.end() - path.start();
    let rate = job.machine.rapid;
    [(way.x, rate.x), (way.y, rate.y), (way.z, rate.z)]
        .into_iter()
        .filter(|(_, rate)| *rate > 0.0)
        .map(|(way, rate)| way.abs() / rate * MINUTE)
        .fold(0.0, f64::max)
}

/// Length that the feed is counted along.
fn fed_length(job: &Job, path: &Path) -> f64 {
    match (path, job.machine.control.helix_feed) {
        (Path::Arc(arc), HelixFeed::OnCircle) => arc.radius * arc.sweep.abs(),
        _ => path.length(),
    }
}
