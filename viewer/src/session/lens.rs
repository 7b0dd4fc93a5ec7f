//! A chosen spot cut again at fine spacing, on a thread of its own: neither the window nor the stage waits for it.

use super::{At, Proved, Session, Wake};
use crate::colour::Theme;
use crate::scene::{Categories, Lens, Scene, Tint, lens_scene};
use proofcut_core::geom::Vec3;
use proofcut_core::solid::NominalPart;
use proofcut_core::units::Unit;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

/// Where the lens is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LensSpot {
    /// Its middle, part frame, millimetres.
    pub at_part: Vec3,
    /// Edge of the cube that is cut again, millimetres.
    pub size: f64,
}

/// A spot that somebody wants to see.
#[derive(Clone, Debug)]
pub struct LensWish {
    /// Of which job.
    pub proved: Arc<Proved>,
    /// Index of the setup.
    pub setup: usize,
    /// Moves made.
    pub made: usize,
    /// Where.
    pub spot: LensSpot,
    /// What the colours tell.
    pub tint: Tint,
    /// Light on dark.
    pub dark: bool,
}

/// Equal when both show the same.
impl PartialEq for LensWish {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.proved, &other.proved)
            && (self.setup, self.made, self.tint, self.dark)
                == (other.setup, other.made, other.tint, other.dark)
            && self.spot == other.spot
    }
}

/// A spot that was cut again.
#[derive(Clone, Debug)]
pub struct LensStaged {
    /// Of what.
    pub wish: LensWish,
    /// Its scene, or why there is none.
    pub scene: Result<Scene, String>,
    /// Seconds that the making took.
    pub seconds: f64,
}

/// How the lens that is drawn stands to what is wished for.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub enum LensSaid {
    /// It is not made yet.
    #[default]
    Waiting,
    /// It is drawn.
    Shown,
    /// It cannot be made; why.
    Failed(String),
}

/// The thread that makes lenses: the newest wish counts.
#[derive(Debug)]
pub struct LensMaker {
    wishes: Sender<LensWish>,
    staged: Receiver<LensStaged>,
}

impl LensMaker {
    /// Begins the thread.
    pub fn new(wake: Wake) -> Self {
        let (wishes, wanted) = channel();
        let (tell, staged) = channel();
        std::thread::spawn(move || work(&wanted, &tell, &wake));
        Self { wishes, staged }
    }

    /// Asks for a spot.
    pub fn wish(&self, wish: LensWish) {
        // The thread ends with the window only.
        let _heard = self.wishes.send(wish);
    }

    /// The newest lens since the last call.
    pub fn newest(&self) -> Option<LensStaged> {
        self.staged.try_iter().last()
    }
}

/// What is the same for all lenses of a job.
struct OfJob {
    proved: Arc<Proved>,
    categories: Categories,
    nominal: Option<NominalPart>,
}

fn work(wanted: &Receiver<LensWish>, tell: &Sender<LensStaged>, wake: &Wake) {
    let mut of: Option<OfJob> = None;
    while let Ok(first) = wanted.recv() {
        let wish = wanted.try_iter().last().unwrap_or(first);
        let begun = std::time::Instant::now();
        if of.as_ref().is_none_or(|of| !Arc::ptr_eq(&of.proved, &wish.proved)) {
            of = OfJob::new(&wish.proved);
        }
        let Some(scene) = of.as_ref().and_then(|of| of.scene(&wish)) else { continue };
        if tell.send(LensStaged { wish, scene, seconds: begun.elapsed().as_secs_f64() }).is_err() {
            return;
        }
        wake();
    }
}

impl OfJob {
    fn new(proved: &Arc<Proved>) -> Option<Self> {
        let cut = proved.cut.as_ref()?;
        let drawing = proved.checked.job.drawing.as_ref();
        Some(Self {
            proved: Arc::clone(proved),
            categories: Categories::of(&cut.history, &cut.runs),
            nominal: drawing.map(NominalPart::from_drawing).filter(|p| !p.is_empty()),
        })
    }

    fn scene(&self, wish: &LensWish) -> Option<Result<Scene, String>> {
        let cut = self.proved.cut.as_ref()?;
        let job = &self.proved.checked.job;
        let lens = Lens {
            frame: &job.setups.get(wish.setup)?.frame,
            history: &cut.history,
            before: cut.history.first_cut(wish.setup, wish.made),
            at: wish.spot.at_part,
            size: wish.spot.size,
            unit: job.unit,
            categories: &self.categories,
            tint: wish.tint,
            nominal: self.nominal.as_ref(),
            theme: if wish.dark { &Theme::DARK } else { &Theme::LIGHT },
        };
        Some(lens_scene(&lens).map_err(|why| why.to_string()))
    }
}

/// Edges that the lens can have, in the job's unit: from a burr to a pocket.
fn sizes(unit: Unit) -> [f64; 6] {
    match unit {
        Unit::Inch => [0.01, 0.02, 0.04, 0.08, 0.16, 0.32],
        Unit::Millimetre => [0.25, 0.5, 1.0, 2.0, 4.0, 8.0],
    }
    .map(|size| unit.to_mm(size))
}

/// The edge that a lens has first: a cube of about 2 mm, so that its rays stand 0.01 mm apart.
const USUAL: usize = 3;

impl Session {
    /// Where the lens is; `None`: put away.
    pub const fn lens(&self) -> Option<LensSpot> {
        self.lens
    }

    /// Puts the lens at a place of the part, mm.
    pub fn put_lens(&mut self, at_part: Vec3) {
        let unit = self.proved.as_ref().map_or(Unit::Millimetre, |p| p.checked.job.unit);
        let usual = sizes(unit).get(USUAL).copied().unwrap_or(2.0);
        let size = self.lens.map_or(usual, |l| l.size);
        self.lens = Some(LensSpot { at_part, size });
    }

    /// A larger cube, or a smaller one, which is seen larger.
    pub fn resize_lens(&mut self, larger: bool) {
        let unit = self.proved.as_ref().map_or(Unit::Millimetre, |p| p.checked.job.unit);
        let Some(lens) = &mut self.lens else { return };
        let all = sizes(unit);
        let fits = |size: &&f64| if larger { **size > lens.size * 1.01 } else { **size < lens.size * 0.99 };
        let next = if larger { all.iter().find(fits) } else { all.iter().rev().find(fits) };
        lens.size = next.copied().unwrap_or(lens.size);
    }

    /// Clicks put the lens, or select again. What is selected is looked at at once.
    pub(super) fn turn_lens(&mut self) {
        use super::measure::Mode;
        let on = self.measuring.mode != Mode::Lens;
        self.measuring.mode = if on { Mode::Lens } else { Mode::Select };
        if !on {
            self.lens = None;
        } else if let (None, Some(at)) = (self.lens, self.belongs.at_part) {
            self.put_lens(at);
        }
    }

    /// Takes in which lens is drawn.
    pub fn note_lens(&mut self, staged: Option<&LensStaged>) {
        let wish = self.lens_wish();
        self.lens_said = match staged.filter(|s| wish.is_some_and(|w| w == s.wish)).map(|s| &s.scene) {
            None => LensSaid::Waiting,
            Some(Ok(_)) => LensSaid::Shown,
            Some(Err(why)) => LensSaid::Failed(why.clone()),
        };
    }

    /// What the lens is to show; `None` while it is put away or there is nothing to show.
    pub fn lens_wish(&self) -> Option<LensWish> {
        let proved = self.proved.as_ref().filter(|p| p.cut.is_some())?;
        let At { setup, made, .. } = self.at;
        let (tint, dark) = (self.looks.tint, self.looks.dark);
        Some(LensWish { proved: Arc::clone(proved), setup, made, spot: self.lens?, tint, dark })
    }
}
