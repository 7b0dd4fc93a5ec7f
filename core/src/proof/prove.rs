use super::result::{Proof, SetupProof, ToolSection};
use super::stays::{Taken, cycle_seconds, features, stay};
use super::{Progress, home, judge};
use crate::checks::contact::{self, SectionContact};
use crate::checks::distance::RESOLUTION;
use crate::checks::workholding::Holding;
use crate::checks::{self, Fact, Section, changer};
use crate::cutter::Assembly;
use crate::cutting::{Contact, History, Keyframes, SetupCut, Shown, cut_setup};
use crate::findings::{self, Context, Finding};
use crate::inspect::{self, CutStock};
use crate::job::{Job, Setup};
use crate::motion::Run;
use crate::program::{self, Program};
use crate::stock::{Stock, StockError};
use rayon::prelude::*;
use std::ops::ControlFlow;

/// Proves a job: follows every program, cuts one stock through all setups in order, checks each move, inspects the
/// finished part. Never fails: what cannot be judged makes the verdict [`super::Verdict::Unproven`].
///
/// Where a program cannot be followed for certain, the setup's moves are judged as far as they were read, and nothing
/// after that setup: neither later setups nor the finished part. Where anything else is not modelled the whole job is judged, but no result reads as a
/// pass.
pub fn prove(job: &Job, progress: &dyn Progress) -> Proof {
    prove_all(job, progress, None, &|| false, None).0
}

/// What a proof was made from, so that any moment of the job can be shown.
#[derive(Debug)]
pub struct Kept {
    /// The stock, as it stands at the end.
    pub shown: Shown,
    /// Who cut what.
    pub history: History,
    /// From which the stock is led to other moments.
    pub keyframes: Keyframes,
    /// What holds the part, for each setup that was run, closed on the stock as it was when the setup began.
    pub holdings: Vec<Holding>,
}

/// Proves a job as [`prove()`] does, and keeps what it was made from; `budget` as in [`Keyframes::new`]. `None` when
/// `is_cancelled` said so on the way; nothing is kept where the stock cannot be modelled.
pub fn prove_and_keep(
    job: &Job,
    budget: usize,
    progress: &dyn Progress,
    is_cancelled: &dyn Fn() -> bool,
) -> Option<(Proof, Option<Kept>)> {
    let proved = prove_all(job, progress, Some(budget), is_cancelled, None);
    (!is_cancelled()).then_some(proved)
}

/// A proof; with what it was made from where there is a budget for that. Worth nothing when it was cancelled. `limit`:
/// other than the usual most bytes that the stock may take while it is cut.
fn prove_all(
    job: &Job,
    progress: &dyn Progress,
    budget: Option<usize>,
    is_cancelled: &dyn Fn() -> bool,
    limit: Option<u64>,
) -> (Proof, Option<Kept>) {
    let spacing = job.spacing.unwrap_or_else(|| Stock::choose_spacing(&job.stock));
    let raw = || {
        Stock::new(&job.stock, spacing)
            .and_then(|s| History::new(&job.stock).map(|h| (s, h)).map_err(StockError::Mesh))
    };
    // The first program is read while the raw stock is made.
    let (made, first) = rayon::join(raw, || job.setups.first().map(|s| program::parse(&s.program)));
    let (stock, history) = match made {
        Ok(made) => made,
        Err(why) => return (not_modelled(job, spacing, &why), None),
    };
    let stock = if let Some(limit) = limit { stock.limited(limit) } else { stock };
    let amount = stock.amount();
    let keyframes = budget.map(|budget| Keyframes::new(&stock, budget));
    let (runs, done) = (Vec::new(), Vec::new());
    let overfull = None;
    let mut work =
        Work { job, progress, is_cancelled, first, stock, history, keyframes, amount, runs, done, overfull };
    for (index, setup) in job.setups.iter().enumerate() {
        if !work.setup(index, setup) || is_cancelled() {
            break;
        }
    }
    match &work.overfull {
        Some(why) => (not_modelled(job, spacing, why), None),
        None => work.finish(spacing),
    }
}

/// The proof of a job whose stock cannot be modelled.
fn not_modelled(job: &Job, spacing: f64, why: &StockError) -> Proof {
    let findings = vec![findings::from_stock(&Context::new(job, &[]), why)];
    let unproven = judge::unproven(&findings, &[]);
    Proof {
        verdict: judge::verdict(&findings, &unproven),
        spacing,
        setups: Vec::new(),
        findings,
        unproven,
        final_part: None,
        inspection: None,
        free_pockets: Vec::new(),
    }
}

/// A job on its way.
struct Work<'a> {
    job: &'a Job,
    progress: &'a dyn Progress,
    is_cancelled: &'a dyn Fn() -> bool,
    /// The program of the first setup, until that is run.
    first: Option<Program>,
    stock: Stock,
    history: History,
    keyframes: Option<Keyframes>,
    /// Volume of the stock as it stands, mm3.
    amount: f64,
    /// One per setup that was run.
    runs: Vec<Run>,
    /// As many.
    done: Vec<Done>,
    /// Why the stock is worth nothing any more.
    overfull: Option<StockError>,
}

/// What is known of a setup that was run.
struct Done {
    holding: Holding,
    facts: Vec<Fact>,
    contacts: Vec<Contact>,
    sections: Vec<ToolSection>,
    volumes: (f64, f64),
}

/// Parts of the whole at which each stage begins: reading and cutting, then looking at the workholding.
const CUTTING: f64 = 0.1;
const CHECKING: f64 = 0.8;
/// Part of the whole left for the inspection.
const INSPECTION: f64 = 0.15;

impl Work<'_> {
    /// Runs a setup; false when its program could not be followed to its end, or the stock is overfull.
    fn setup(&mut self, index: usize, setup: &Setup) -> bool {
        self.tell(index, "reading the program", 0.0);
        let program = self.first.take().unwrap_or_else(|| program::parse(&setup.program));
        let (holding, run, home) = home::read(self.job, (index, setup), &program, &self.stock);
        drop(program);
        let cut = {
            let (stock, history, job) = (&mut self.stock, &mut self.history, self.job);
            let at = |done: f64| {
                tell(self.progress, job, index, "cutting", CUTTING + (CHECKING - CUTTING) * done);
                if (self.is_cancelled)() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
            };
            cut_setup(stock, history, job, index, &run, self.keyframes.as_mut(), &at)
        };
        let cut = match cut {
            Ok(cut) => cut,
            Err(why) => {
                self.overfull = Some(why);
                return false;
            }
        };
        let before = std::mem::replace(&mut self.amount, self.stock.amount());
        self.tell(index, "checking the workholding", CHECKING);
        let (facts, sections) = self.check(setup, &run, &holding, &cut, home);
        let followed = run.lost_from.is_none();
        self.runs.push(run);
        self.done.push(Done {
            holding,
            facts,
            contacts: cut.contacts,
            sections,
            volumes: (before, self.amount),
        });
        followed
    }

    fn check(
        &self,
        setup: &Setup,
        run: &Run,
        holding: &Holding,
        cut: &SetupCut,
        home: f64,
    ) -> (Vec<Fact>, Vec<ToolSection>) {
        let removed = |i: usize| cut.moves.get(i).map_or(0.0, |m| m.removed);
        let cuts = |i: usize| cut.moves.get(i).is_some_and(|m| m.longest > LEAST_BITE);
        let taken = Taken { removed: &removed, cuts: &cuts };
        let sections = checks::sections(run);
        let mut facts = checks::program::look(self.job, run, &sections, &cuts, home);
        facts.extend(checks::travel::look(self.job, setup, run));
        let job = self.job;
        let contacts: Vec<SectionContact> =
            sections.par_iter().map(|section| contact(job, run, section, holding)).collect();
        let mut stays = Vec::new();
        for (section, contact) in sections.iter().zip(&contacts) {
            facts.extend(contact_facts(job, contact, holding));
            stays.push(stay(job, run, section, contact, &holding.pieces, &taken));
        }
        (facts, stays)
    }

    fn finish(self, spacing: f64) -> (Proof, Option<Kept>) {
        let Self { job, progress, stock, history, keyframes, runs, mut done, .. } = self;
        let ctx = Context::new(job, &runs);
        let mut findings: Vec<Finding> = Vec::new();
        for (index, (d, run)) in done.iter().zip(&runs).enumerate() {
            findings.extend(findings::from_motion(&ctx, index, &run.facts));
            findings.extend(findings::from_holding(&ctx, index, &d.holding));
            findings.extend(findings::from_checks(&ctx, index, &d.facts));
            findings.extend(findings::from_cutting(&ctx, index, &d.contacts));
        }
        let pockets = changer::look(job, &runs);
        findings.extend(findings::from_changer(&ctx, &pockets.facts));
        let whole = runs.len() == job.setups.len() && runs.iter().all(|r| r.lost_from.is_none());
        let (mut inspection, mut final_part) = (None, None);
        if whole {
            let finished = CutStock { stock: &stock, history: &history };
            let at = |done: f64| {
                progress.at("inspecting the finished part", 1.0 - INSPECTION * (1.0 - done));
            };
            at(0.0);
            let drawing = job.drawing.as_ref();
            let mut measured = ((0.0, 0.0), 0);
            // Progress is told from this thread, so only what tells none may go to another.
            rayon::in_place_scope(|scope| {
                scope.spawn(|_| measured = rayon::join(|| stock.volume(), || stock.pieces()));
                inspection = drawing.map(|d| inspect::inspect(job, d, &finished, &runs, &at));
            });
            let (volume, pieces) = measured;
            final_part = Some(inspect::final_part(&finished, volume, pieces, inspection.as_ref()));
            findings.extend(inspection.iter().flat_map(|i| findings::from_inspect(&ctx, i)));
            findings.extend(final_part.iter().flat_map(|p| findings::from_final_part(&ctx, p)));
        }
        if let Some(i) = &inspection {
            for (setup, d) in done.iter_mut().enumerate() {
                for s in &mut d.sections {
                    s.features = features(i, setup, s);
                }
            }
        }
        judge::sort(&mut findings);
        let unproven = judge::unproven(&findings, &runs);
        if let Some(i) = inspection.as_mut().filter(|_| !unproven.is_empty()) {
            judge::no_passes(i);
        }
        progress.at("done", 1.0);
        let holdings = done.iter().map(|d| d.holding.clone()).collect();
        let proof = Proof {
            verdict: judge::verdict(&findings, &unproven),
            spacing,
            setups: runs.into_iter().zip(done).map(|(r, d)| setup_proof(job, r, d)).collect(),
            findings,
            unproven,
            final_part,
            inspection,
            free_pockets: pockets.free,
        };
        let Some(keyframes) = keyframes else {
            // Freeing all blocks takes a few milliseconds; nobody needs to wait for it.
            rayon::spawn(move || drop((stock, history)));
            return (proof, None);
        };
        (proof, Some(Kept { shown: keyframes.shown(stock), history, keyframes, holdings }))
    }

    fn tell(&self, setup: usize, what: &str, done: f64) {
        tell(self.progress, self.job, setup, what, done);
    }
}

/// What a stay of a tool in the spindle has to do with the workholding.
fn contact(job: &Job, run: &Run, section: &Section, holding: &Holding) -> SectionContact {
    match section.tool.and_then(|t| job.tool(t)) {
        Some(tool) => {
            let moves = section.moves.clone();
            contact::look(&Assembly::envelope(tool), &run.moves, moves, &holding.pieces, job.clearance)
        }
        None => SectionContact::default(),
    }
}

/// A bite on no ray longer than this, millimetres, is rubbing along a finished wall, not cutting.
const LEAST_BITE: f64 = 1.0e-4;

fn tell(progress: &dyn Progress, job: &Job, setup: usize, what: &str, done: f64) {
    let (one, all) = (f64::from(small(setup)), f64::from(small(job.setups.len().max(1))));
    let what = format!("setup {} of {}: {what}", setup + 1, job.setups.len());
    progress.at(&what, (one + done) / all * (1.0 - INSPECTION));
}

fn small(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn setup_proof(job: &Job, run: Run, done: Done) -> SetupProof {
    let sum = |f: fn(&ToolSection) -> f64| done.sections.iter().map(f).sum();
    SetupProof {
        rapid_length: sum(|s| s.rapid_length),
        feed_length: sum(|s| s.feed_length),
        cycle_seconds: cycle_seconds(job, &run),
        volume_before: done.volumes.0,
        volume_after: done.volumes.1,
        run,
        sections: done.sections,
    }
}

/// Facts about the workholding: every collision, and what passes more closely than the job's clearance. Distances are
/// told a little too small, so a pass at just that clearance is none.
fn contact_facts(job: &Job, contact: &SectionContact, holding: &Holding) -> Vec<Fact> {
    let name = |piece: usize| holding.pieces.get(piece).map_or_else(String::new, |p| p.name.clone());
    let hits = contact.collisions.iter().map(|c| Fact::Collision { hit: c.clone(), solid: name(c.piece) });
    let near = contact
        .approaches
        .iter()
        .filter(|a| a.gap + RESOLUTION < job.clearance)
        .map(|a| Fact::Near { approach: a.clone(), solid: name(a.piece) });
    hits.chain(near).collect()
}

#[cfg(test)]
mod tests {
    use super::super::moment::tests::demo;
    use super::super::{Unwatched, Verdict};
    use super::*;

    #[test]
    fn a_stock_that_comes_to_take_too_much_memory_leaves_everything_unproven() {
        let job = demo();
        let proved = |limit| prove_all(&job, &Unwatched, Some(1 << 20), &|| false, limit);
        let raw = Stock::new(&job.stock, 1.0).expect("a block").bytes() as u64;
        let (proof, kept) = proved(Some(raw + 1));
        assert_eq!(proof.verdict, Verdict::Unproven);
        assert!(kept.is_none() && proof.inspection.is_none() && proof.final_part.is_none());
        let kinds: Vec<&str> = proof.findings.iter().map(|f| f.kind.name).collect();
        assert_eq!(kinds, ["stock-not-modelled"]);
        let words = &proof.findings[0].diagnostic.message;
        assert!(words.contains("so many thin pieces") && proof.unproven.len() == 1, "{words}");
        let usual = proved(None).0;
        assert!(usual.inspection.is_some() && usual.setups.len() == 4);
    }
}
