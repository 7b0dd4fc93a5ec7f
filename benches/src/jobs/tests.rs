use super::*;
use proofcut_core::cutting::{History, SetupCut, cut_setup};
use proofcut_core::geom::Path;
use proofcut_core::job::{Job, load};
use proofcut_core::motion::{Move, MoveKind, Run, interpret};
use proofcut_core::program::parse;
use proofcut_core::stock::Stock;
use std::ops::ControlFlow;

fn read(name: &str) -> (Job, Run) {
    let made = make(&name.parse().unwrap());
    let job = load("job.json", &made).map_err(|why| format!("{why:?}")).unwrap().job;
    let run = interpret(&parse(&job.setups[0].program), &job, 0, 100.0);
    assert!(run.facts.is_empty() && run.lost_from.is_none(), "{name}: {:?}", run.facts.first());
    (job, run)
}

fn cut(job: &Job, run: &Run) -> SetupCut {
    let (mut stock, mut history) =
        (Stock::new(&job.stock, job.spacing.unwrap()).unwrap(), History::new(&job.stock).unwrap());
    let done =
        cut_setup(&mut stock, &mut history, job, 0, run, None, &|_| ControlFlow::Continue(())).unwrap();
    assert!(done.contacts.is_empty(), "{:?}", done.contacts.first());
    done
}

fn level(m: &Move) -> bool {
    (m.path.start().z - m.path.end().z).abs() < 1e-9
}

fn feeds(run: &Run) -> Vec<(usize, &Move)> {
    run.moves.iter().enumerate().filter(|(_, m)| m.kind == MoveKind::Feed).collect()
}

fn deepest(run: &Run) -> f64 {
    run.moves.iter().map(|m| m.path.end().z).fold(0.0, f64::min)
}

#[test]
fn flat_moves_are_as_many_as_named_level_short_and_all_cut() {
    let (job, run) = read("flat-22630-0.3");
    let moves: Vec<_> = feeds(&run).into_iter().filter(|(_, m)| level(m)).collect();
    assert_eq!(moves.len(), 22_630);
    for (_, m) in &moves {
        assert!(0.2 <= m.path.length() && m.path.length() <= 0.5, "{}", m.path.length());
    }
    let done = cut(&job, &run);
    // Rays 0.3 mm apart miss a few of the smallest cuts between the end of a row and the next.
    let idle = moves.iter().filter(|(n, _)| done.moves[*n].removed <= 0.0).count();
    assert!(idle < 50, "{idle}");
    let removed: f64 = done.moves.iter().map(|m| m.removed).sum();
    assert!((removed / flat_volume(22_630) - 1.0).abs() < 0.005, "{removed} {}", flat_volume(22_630));
}

#[test]
fn more_flat_moves_are_as_long_and_never_deeper_than_19_mm() {
    let (_, run) = read("flat-200k-0.5");
    let moves: Vec<_> = feeds(&run).into_iter().filter(|(_, m)| level(m)).collect();
    assert_eq!(moves.len(), 200_000);
    assert!(moves.iter().all(|(_, m)| 0.2 <= m.path.length() && m.path.length() <= 0.5));
    assert!((deepest(&run) + 19.0).abs() < 1e-9, "{}", deepest(&run));
}

#[test]
fn no_ball_move_is_level_and_nearly_all_cut() {
    let (job, run) = read("ball-45k-0.5");
    let moves = feeds(&run);
    assert!(moves.iter().all(|(_, m)| !level(m)));
    assert_eq!(moves.len(), 45_000 + 2, "one more leads into each layer");
    let done = cut(&job, &run);
    let idle = moves.iter().filter(|(n, _)| done.moves[*n].removed <= 0.0).count();
    assert!(idle < 450, "{idle}");
    assert!(deepest(&read("ball-1m-0.5").1) >= -19.0);
}

#[test]
fn arcs_are_level_and_cut() {
    let (job, run) = read("arcs-1386-0.5");
    let arcs = feeds(&run).into_iter().filter(|(_, m)| matches!(m.path, Path::Arc(_))).count();
    assert_eq!(arcs, 1386 * 2 / 3);
    assert!(cut(&job, &run).moves.iter().filter(|m| m.removed > 0.0).count() > 400);
    assert!((deepest(&read("arcs-20k").1) + 19.0).abs() < 1e-9);
}

#[test]
fn holes_are_drilled_and_chamfered() {
    let (job, run) = read("holes-15-0.2");
    let done = cut(&job, &run);
    let by = |tool: u32| {
        let moves = run.moves.iter().zip(&done.moves).filter(|(m, _)| m.tool == Some(tool));
        moves.map(|(_, cut)| cut.removed).sum::<f64>()
    };
    assert!(by(3) > 15.0 && by(4) > 15.0 * 250.0 && by(5) > 15.0, "{} {} {}", by(3), by(4), by(5));
}

#[test]
fn rapids_meet_nothing() {
    let (job, run) = read("rapids-1000-0.5");
    let done = cut(&job, &run);
    let (clearing, _) = read("rapids-0-0.5");
    assert_eq!(clearing.setups.len(), 1);
    let rapids = run.moves.iter().zip(&done.moves).filter(|(m, _)| m.kind == MoveKind::Rapid);
    let (count, removed) = rapids.fold((0, 0.0), |(n, sum), (_, cut)| (n + 1, sum + cut.removed));
    assert!(count >= 1000, "{count}");
    assert!(removed <= 0.0, "{removed}");
}
