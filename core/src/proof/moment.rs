use super::{Progress, home, judge};
use crate::checks::workholding::Holding;
use crate::cutting::{History, cut_setup};
use crate::findings::Finding;
use crate::job::Job;
use crate::motion::Run;
use crate::program;
use crate::stock::{Stock, StockError};
use std::ops::ControlFlow;

/// A job at a moment: the part clamped in a setup, cut so far and no farther, not judged.
#[derive(Debug)]
pub struct Moment {
    /// Index of the setup.
    pub setup: usize,
    /// Moves of its run that are made, from the first on.
    pub made: usize,
    /// The stock.
    pub stock: Stock,
    /// Who cut what.
    pub history: History,
    /// What holds the part in the setup, closed on the stock as it was when the setup began.
    pub holding: Holding,
    /// Runs of the setups up to this one, in order, each whole.
    pub runs: Vec<Run>,
    /// False when a program could not be followed as far as the moment: the stock is then not what the job leaves, and
    /// `setup` is the setup where it was lost.
    pub followed: bool,
    /// What the programs say that is not modelled or not certain (severity unproven), in order.
    pub unproven: Vec<Finding>,
}

/// Cuts the setups before one whole, and that one up to a moment: `made` is asked how many moves of its run are made.
/// `None`: the job has no such setup.
///
/// # Errors
/// When the stock cannot be modelled.
pub fn moment(
    job: &Job,
    setup: usize,
    made: &dyn Fn(&Run) -> usize,
    progress: &dyn Progress,
) -> Result<Option<Moment>, StockError> {
    let spacing = job.spacing.unwrap_or_else(|| Stock::choose_spacing(&job.stock));
    let mut stock = Stock::new(&job.stock, spacing)?;
    let mut history = History::new(&job.stock).map_err(StockError::Mesh)?;
    let mut runs: Vec<Run> = Vec::new();
    let mut reached = None;
    for (index, of_setup) in job.setups.iter().enumerate().take(setup.saturating_add(1)) {
        let (holding, run, _) =
            home::read(job, (index, of_setup), &program::parse(&of_setup.program), &stock);
        let moves = if index == setup { made(&run).min(run.moves.len()) } else { run.moves.len() };
        // Where the run was lost its moves end, so a moment before that is known.
        let followed = run.lost_from.is_none() || (index == setup && moves < run.moves.len());
        let part = run.moves.get(..moves).filter(|part| part.len() < run.moves.len());
        let part = part.map(|part| Run { moves: part.to_vec(), ..Run::default() });
        let what = format!("cutting setup {} of {}", index + 1, job.setups.len());
        let small = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
        let at = |done: f64| {
            progress.at(&what, (small(index) + done) / small(setup + 1));
            ControlFlow::Continue(())
        };
        let _told =
            cut_setup(&mut stock, &mut history, job, index, part.as_ref().unwrap_or(&run), None, &at)?;
        runs.push(run);
        reached = Some((index, moves, holding, followed));
        if !followed {
            break;
        }
    }
    let unproven = judge::unproven_programs(job, &runs);
    let whole = |(setup, made, holding, followed)| Moment {
        setup,
        made,
        stock,
        history,
        holding,
        runs,
        followed,
        unproven,
    };
    Ok(reached.filter(|_| setup < job.setups.len()).map(whole))
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::{Unwatched, cut_part};
    use super::*;
    use crate::job::{MemoryFiles, load};

    pub(in crate::proof) fn demo() -> Job {
        let mut files = MemoryFiles::default();
        macro_rules! of_demo {
            ($($name:literal),*) => {
                $(files.insert($name, include_str!(concat!("../../../fixtures/jobs/pivot-block/", $name)));)*
            };
        }
        of_demo!("job.json", "mill.json", "tools.json", "drawing.json");
        of_demo!("top.nc", "bottom.nc", "end.nc", "edge.nc");
        let mut job = load("job.json", &files).expect("the demo").job;
        job.spacing = Some(1.0);
        job
    }

    #[test]
    fn a_moment_lies_between_the_setup_before_and_the_setup_after() {
        let job = demo();
        let at = |setup, made: usize| moment(&job, setup, &|_| made, &Unwatched).unwrap().unwrap();
        let first = cut_part(&job, 1, &Unwatched).unwrap().stock.amount();
        let begun = at(1, 0);
        assert!(begun.followed && begun.made == 0 && begun.runs.len() == 2);
        assert!((begun.stock.amount() - first).abs() < 1e-9);
        assert!(!begun.holding.pieces.is_empty());
        let end = at(1, usize::MAX);
        assert_eq!(end.made, end.runs[1].moves.len());
        let middle = at(1, end.made / 2).stock.amount();
        assert!(end.stock.amount() < middle && middle < first);
        let second = cut_part(&job, 2, &Unwatched).unwrap().stock.amount();
        assert!((end.stock.amount() - second).abs() < 1e-9);
        assert!(moment(&job, 4, &|_| 0, &Unwatched).unwrap().is_none());
    }
}
