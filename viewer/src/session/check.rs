//! Reading and checking a job on a thread of its own.

use super::Clock;
use proofcut_core::checks::workholding::Holding;
use proofcut_core::cutting::{History, Keyframes, Shown};
use proofcut_core::job::{Files, load};
use proofcut_core::motion::Run;
use proofcut_core::proof::{Kept, Progress, prove_and_keep};
use proofcut_core::report::Checked;
use proofcut_core::source::Diagnostic;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

/// Files that can be looked at again.
pub trait Disk: Files + Send + Sync {
    /// A mark of a file that is another once the file was written anew, such as its time and length; `None` when the
    /// file is not there.
    fn mark(&self, path: &str) -> Option<u128>;
}

/// Told that there is something new to show; called from any thread.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// A job that was checked, with all that is needed to show any moment of it.
#[derive(Debug)]
pub struct Proved {
    /// The job, and what is known of it.
    pub checked: Checked,
    /// Times of the moves, one clock for each setup that was run.
    pub clocks: Vec<Clock>,
    /// What the stock is shown from; `None` where it cannot be modelled.
    pub cut: Option<Cut>,
}

/// What the stock of any moment is made from.
#[derive(Debug)]
pub struct Cut {
    /// Runs of the setups, in order.
    pub runs: Vec<Run>,
    /// Who cut what.
    pub history: History,
    /// From which the stock is led to other moments.
    pub keyframes: Keyframes,
    /// What holds the part in each setup.
    pub holdings: Vec<Holding>,
    /// The stock; whoever stages the scene leads it.
    pub shown: Mutex<Shown>,
}

/// How a check ended.
#[derive(Debug)]
pub(super) enum Outcome {
    Proved(Box<Proved>),
    Mistakes(Vec<Diagnostic>),
    Cancelled,
    /// The thread ended without a word.
    BrokeOff,
}

/// What was being done, and how much of the whole was done, 0 to 1.
pub type Done = (String, f64);

/// A check that runs.
#[derive(Debug)]
pub(super) struct Check {
    cancelled: Arc<AtomicBool>,
    done: Arc<Mutex<Done>>,
    told: Receiver<(Outcome, Marks)>,
}

/// The files that were read, or looked for, and their marks before that.
pub(super) type Marks = BTreeMap<String, Option<u128>>;

impl Check {
    pub(super) fn begin(path: String, disk: Arc<dyn Disk>, wake: Wake) -> Self {
        let cancelled = Arc::new(AtomicBool::new(false));
        let done = Arc::new(Mutex::new((String::from("reading the files"), 0.0)));
        let (tell, told) = channel();
        let (flag, watched) = (Arc::clone(&cancelled), Arc::clone(&done));
        std::thread::spawn(move || {
            // Wakes the window also when the check breaks off.
            let _bell = Bell(Arc::clone(&wake));
            let progress = Told { done: watched, wake };
            tell_outcome(&tell, check(&path, &*disk, &progress, &flag));
        });
        Self { cancelled, done, told }
    }

    pub(super) fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }

    pub(super) fn done(&self) -> Done {
        self.done.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// How it ended, and what was read; `None` while it runs.
    pub(super) fn outcome(&self) -> Option<(Outcome, Marks)> {
        match self.told.try_recv() {
            Ok(told) => Some(told),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some((Outcome::BrokeOff, Marks::new())),
        }
    }
}

impl Drop for Check {
    fn drop(&mut self) {
        self.cancel();
    }
}

struct Bell(Wake);

impl Drop for Bell {
    fn drop(&mut self) {
        (self.0)();
    }
}

fn tell_outcome(tell: &Sender<(Outcome, Marks)>, told: (Outcome, Marks)) {
    // Nobody listens any longer once the window is closed or another check was begun.
    let _heard = tell.send(told);
}

struct Told {
    done: Arc<Mutex<Done>>,
    wake: Wake,
}

impl Progress for Told {
    fn at(&self, what: &str, done: f64) {
        let mut slot = self.done.lock().unwrap_or_else(PoisonError::into_inner);
        let is_news = slot.0 != what || (done - slot.1).abs() >= 0.005;
        if is_news {
            *slot = (what.to_owned(), done);
            drop(slot);
            (self.wake)();
        }
    }
}

/// Files that remember what was asked for.
struct Recorded<'a> {
    disk: &'a dyn Disk,
    marks: RefCell<Marks>,
}

impl Files for Recorded<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        // Before the reading, so that a change in between is seen.
        let mark = self.disk.mark(path);
        self.marks.borrow_mut().entry(path.to_owned()).or_insert(mark);
        self.disk.read(path)
    }
}

fn check(path: &str, disk: &dyn Disk, progress: &dyn Progress, cancelled: &AtomicBool) -> (Outcome, Marks) {
    let files = Recorded { disk, marks: RefCell::new(Marks::new()) };
    let loaded = load(path, &files);
    let marks = files.marks.into_inner();
    let loaded = match loaded {
        Ok(loaded) => loaded,
        Err(mistakes) => return (Outcome::Mistakes(mistakes), marks),
    };
    let is_cancelled = || cancelled.load(Ordering::Relaxed);
    let Some((proof, kept)) = prove_and_keep(&loaded.job, Keyframes::USUAL_BUDGET, progress, &is_cancelled)
    else {
        return (Outcome::Cancelled, marks);
    };
    let clocks = proof.setups.iter().map(|s| Clock::of(&loaded.job, &s.run)).collect();
    let cut = kept.map(|Kept { shown, history, keyframes, holdings }| Cut {
        runs: proof.setups.iter().map(|s| s.run.clone()).collect(),
        history,
        keyframes,
        holdings,
        shown: Mutex::new(shown),
    });
    let checked = Checked { job: loaded.job, warnings: loaded.warnings, proof };
    (Outcome::Proved(Box::new(Proved { checked, clocks, cut })), marks)
}

/// Looks at the files that were read until one of them has changed.
#[derive(Debug)]
pub(super) struct Watch {
    over: Arc<AtomicBool>,
    told: Receiver<String>,
}

/// Time between two looks: soon enough after saving a file, and nothing for any disk.
const LOOK_EVERY: Duration = Duration::from_millis(400);

impl Watch {
    pub(super) fn begin(marks: Marks, disk: Arc<dyn Disk>, wake: Wake) -> Self {
        let over = Arc::new(AtomicBool::new(false));
        let (tell, told) = channel();
        let flag = Arc::clone(&over);
        std::thread::spawn(move || {
            while !flag.load(Ordering::Relaxed) {
                if let Some((path, _)) = marks.iter().find(|(path, mark)| disk.mark(path) != **mark) {
                    let _heard = tell.send(path.clone());
                    wake();
                    return;
                }
                std::thread::sleep(LOOK_EVERY);
            }
        });
        Self { over, told }
    }

    /// The file that has changed; told once.
    pub(super) fn changed(&self) -> Option<String> {
        self.told.try_recv().ok()
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
    }
}
