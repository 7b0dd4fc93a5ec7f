use super::{Progress, home, judge};
use crate::cutting::{History, cut_setup};
use crate::findings::Finding;
use crate::job::Job;
use crate::program;
use crate::stock::{Stock, StockError};
use std::ops::ControlFlow;

/// The stock as the programs of a job leave it, cut but not judged.
#[derive(Debug)]
pub struct CutPart {
    /// The stock.
    pub stock: Stock,
    /// Who cut what.
    pub history: History,
    /// Number of setups that were run.
    pub setups: usize,
    /// False when the last of them could not be followed to its end: the stock is then not what the job leaves.
    pub followed: bool,
    /// What the programs say that is not modelled or not certain (severity unproven), in order.
    pub unproven: Vec<Finding>,
}

/// Follows the programs of the first setups of a job and cuts the stock, as [`super::prove()`] does, without judging anything
/// but the programs themselves.
///
/// # Errors
/// When the stock cannot be modelled.
pub fn cut_part(job: &Job, setups: usize, progress: &dyn Progress) -> Result<CutPart, StockError> {
    let spacing = job.spacing.unwrap_or_else(|| Stock::choose_spacing(&job.stock));
    let mut stock = Stock::new(&job.stock, spacing)?;
    let mut history = History::new(&job.stock).map_err(StockError::Mesh)?;
    let mut runs = Vec::new();
    for (index, setup) in job.setups.iter().enumerate().take(setups) {
        let (_, run, _) = home::read(job, (index, setup), &program::parse(&setup.program), &stock);
        let what = format!("cutting setup {} of {}", index + 1, setups);
        let whole = f64::from(u32::try_from(setups.max(1)).unwrap_or(u32::MAX));
        let before = f64::from(u32::try_from(index).unwrap_or(0));
        let at = |done: f64| {
            progress.at(&what, (before + done) / whole);
            ControlFlow::Continue(())
        };
        let _told = cut_setup(&mut stock, &mut history, job, index, &run, None, &at)?;
        let followed = run.lost_from.is_none();
        runs.push(run);
        if !followed {
            break;
        }
    }
    let unproven = judge::unproven_programs(job, &runs);
    let followed = runs.iter().all(|r| r.lost_from.is_none());
    Ok(CutPart { stock, history, setups: runs.len(), followed, unproven })
}
