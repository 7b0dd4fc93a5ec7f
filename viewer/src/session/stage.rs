//! The scene of a moment, made on a thread of its own, so that nobody who waits for a click waits for the stock.

use super::detail::{Detail, Dress};
use super::partial::Partial;
use super::{Proved, Wake};
use crate::colour::Theme;
use crate::scene::{
    Categories, DeviationScale, Kind, Legend, Lines, Palette, Scene, Tint, clearance_legend, clearances,
    path_legend, path_lines, program_zeros, setups_legend, shade_of, tool_items, tools_legend, workholding,
};
use proofcut_core::solid::NominalPart;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, PoisonError};
use std::time::{Duration, Instant};

/// A moment that somebody wants to see.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Of which job.
    pub proved: Arc<Proved>,
    /// Index of the setup.
    pub setup: usize,
    /// Moves made.
    pub made: usize,
    /// Part of the next move, 0 to 1: the tool is on its way.
    pub part: f64,
    /// What the colours of the part tell.
    pub tint: Tint,
    /// The path of the tip.
    pub path: bool,
    /// Shades of what comes near the workholding.
    pub clearance: bool,
    /// Light on dark.
    pub dark: bool,
}

/// Equal when both show the same.
impl PartialEq for Wish {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.proved, &other.proved)
            && (self.setup, self.made, self.part.to_bits()) == (other.setup, other.made, other.part.to_bits())
            && (self.tint, self.path, self.clearance, self.dark)
                == (other.tint, other.path, other.clearance, other.dark)
    }
}

/// A scene that was made.
#[derive(Clone, Debug)]
pub struct Staged {
    /// Of what.
    pub wish: Wish,
    /// The scene.
    pub scene: Scene,
    /// True while the stock is shown by a part of its rays only; once nobody wants another moment it comes again in full.
    pub rough: bool,
    /// The rough scene beside the one in full, for drivers in software while the eye moves.
    pub reduced: Option<Scene>,
    /// Seconds from the wish to the scene.
    pub seconds: f64,
}

/// The thread that makes scenes: the newest wish counts, older ones are passed over.
#[derive(Debug)]
pub struct Stage {
    wishes: Sender<Wish>,
    staged: Receiver<Staged>,
}

impl Stage {
    /// Begins the thread; `slow`: the driver is in software, so moving pictures had better be of few triangles.
    pub fn new(wake: Wake, slow: bool) -> Self {
        Self::paced(wake, Pace { slow, ..Pace::USUAL })
    }

    pub(super) fn paced(wake: Wake, pace: Pace) -> Self {
        let (wishes, wanted) = channel();
        let (tell, staged) = channel();
        std::thread::spawn(move || work(&wanted, &tell, &wake, pace));
        Self { wishes, staged }
    }

    /// Asks for a moment.
    pub fn wish(&self, wish: Wish) {
        // The thread ends with the window only.
        let _heard = self.wishes.send(wish);
    }

    /// The newest scene since the last call.
    pub fn newest(&self) -> Option<Staged> {
        self.staged.try_iter().last()
    }
}

/// When the stock is shown roughly first.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pace {
    /// Always, because the driver is in software.
    pub(super) slow: bool,
    /// What may be shown in full at once: longer, and who drags through the program would see it stutter.
    pub(super) at_once: Duration,
    /// Cells that can be made anew between two pictures.
    pub(super) rough_cells: u64,
}

impl Pace {
    pub(super) const USUAL: Self =
        Self { slow: false, at_once: Duration::from_millis(30), rough_cells: 100_000 };
}

/// How long nobody may want another moment before the stock is made in full.
const REST: Duration = Duration::from_millis(80);

fn work(wanted: &Receiver<Wish>, tell: &Sender<Staged>, wake: &Wake, pace: Pace) {
    let mut maker = Maker { pace, of: None };
    let mut next = wanted.recv().ok();
    while let Some(mut wish) = next.take() {
        if let Some(newer) = wanted.try_iter().last() {
            wish = newer;
        }
        let begun = Instant::now();
        let staged = |wish: &Wish, made: Made| {
            let seconds = begun.elapsed().as_secs_f64();
            let staged = Staged {
                wish: wish.clone(),
                scene: made.scene,
                rough: made.rough,
                reduced: made.beside,
                seconds,
            };
            let heard = tell.send(staged).is_ok();
            wake();
            heard
        };
        if let Some(made) = maker.scene(&wish) {
            let rough = made.rough;
            if !staged(&wish, made) {
                return;
            }
            if rough {
                next = wanted.recv_timeout(REST).ok();
                let mut stop = || {
                    next = next.take().or_else(|| wanted.try_recv().ok());
                    next.is_some()
                };
                if !stop()
                    && let Some(made) = maker.in_full(&wish, &mut stop)
                    && !staged(&wish, made)
                {
                    return;
                }
            }
        }
        if next.is_none() {
            next = wanted.recv().ok();
        }
    }
}

/// A scene, and whether it is rough.
struct Made {
    scene: Scene,
    rough: bool,
    beside: Option<Scene>,
}

/// What is kept from scene to scene.
struct Maker {
    pace: Pace,
    of: Option<OfJob>,
}

/// What is kept for one job.
struct OfJob {
    proved: Arc<Proved>,
    categories: Categories,
    scale: DeviationScale,
    nominal: Option<NominalPart>,
    full: Detail,
    /// For moving pictures, where the full one has many cells.
    rough: Option<Detail>,
    partial: Partial,
    path: Option<((usize, bool), Lines)>,
    clear: Option<((usize, bool), Scene)>,
}

impl OfJob {
    fn new(proved: &Arc<Proved>, most: u64) -> Option<Self> {
        let cut = proved.cut.as_ref()?;
        let shown = cut.shown.lock().unwrap_or_else(PoisonError::into_inner);
        let full = Detail::new(shown.stock(), cut, 1);
        let every = (2_u32..=16).find(|n| full.cells() <= most * u64::from(n * n));
        let rough = (full.cells() > 2 * most).then(|| Detail::new(shown.stock(), cut, every.unwrap_or(16)));
        drop(shown);
        let drawing = proved.checked.job.drawing.as_ref();
        Some(Self {
            proved: Arc::clone(proved),
            categories: Categories::of(&cut.history, &cut.runs),
            scale: DeviationScale::of(proved.checked.job.unit),
            nominal: drawing.map(NominalPart::from_drawing).filter(|p| !p.is_empty()),
            full,
            rough,
            partial: Partial::default(),
            path: None,
            clear: None,
        })
    }

    /// Leads the stock to a moment, and the meshes with it: in full, or roughly where that is much sooner.
    /// Tells whether only the rough ones are up to date; `None` where all was left half done because of `stop`.
    fn lead(&mut self, wish: &Wish, how: &mut How<'_>) -> Option<bool> {
        let cut = self.proved.cut.as_ref()?;
        let before = cut.history.first_cut(wish.setup, wish.made);
        let mut shown = cut.shown.lock().unwrap_or_else(PoisonError::into_inner);
        let mut boxes = cut.keyframes.show(&cut.history, &mut shown, before);
        let within = self.partial.lead(cut, wish, shown.stock(), &mut boxes);
        let stock = within.unwrap_or_else(|| shown.stock());
        self.full.note(&boxes);
        let dress = Dress {
            categories: &self.categories,
            scale: &self.scale,
            nominal: self.nominal.as_ref().filter(|_| wish.tint == Tint::Deviation),
            dark: wish.dark,
        };
        self.full.dress(&dress);
        if let Some(rough) = &mut self.rough {
            rough.note(&boxes);
            rough.dress(&dress);
            if how.pace.slow || !how.in_full && self.full.takes() > how.pace.at_once {
                rough.bring(stock, cut, &dress, || false);
                if !how.in_full {
                    return Some(true);
                }
            }
        }
        let stop = || how.in_full && (how.stop)();
        self.full.bring(stock, cut, &dress, stop).then_some(false)
    }
}

/// How a moment is to be made.
struct How<'a> {
    /// The stock as it was shown roughly before.
    in_full: bool,
    pace: Pace,
    /// True once somebody wants another moment.
    stop: &'a mut dyn FnMut() -> bool,
}

impl Maker {
    /// The scene of a moment, rough where that is much sooner.
    fn scene(&mut self, wish: &Wish) -> Option<Made> {
        let is_new = self.of.as_ref().is_none_or(|of| !Arc::ptr_eq(&of.proved, &wish.proved));
        if is_new {
            // The old job's stock goes before the new one's surface is made.
            self.of = None;
            self.of = OfJob::new(&wish.proved, self.pace.rough_cells);
        }
        self.made(wish, false, &mut || false)
    }

    /// The scene of a moment in full, with the rough one beside it for drivers in software; `None` where it was not made
    /// because of `stop`.
    fn in_full(&mut self, wish: &Wish, stop: &mut dyn FnMut() -> bool) -> Option<Made> {
        self.made(wish, true, stop)
    }

    fn made(&mut self, wish: &Wish, in_full: bool, stop: &mut dyn FnMut() -> bool) -> Option<Made> {
        let of = self.of.as_mut()?;
        let rough = of.lead(wish, &mut How { in_full, pace: self.pace, stop })?;
        let scene = of.scene(wish, rough)?;
        let beside =
            if in_full && self.pace.slow && of.rough.is_some() { of.scene(wish, true) } else { None };
        Some(Made { scene, rough, beside })
    }
}

impl OfJob {
    /// The scene with the stock as it was led, rough or in full.
    fn scene(&mut self, wish: &Wish, rough: bool) -> Option<Scene> {
        let setup = wish.proved.checked.job.setups.get(wish.setup)?;
        let mut scene = Scene::default();
        let (palette, legend) = self.colours(wish.tint);
        let detail = self.rough.as_ref().filter(|_| rough).unwrap_or(&self.full);
        scene.items.push(detail.meshes.item(&setup.frame, Arc::new(palette)));
        scene.lines.push(detail.meshes.lines(&setup.frame));
        scene.legends.extend(legend);
        self.around(wish, &mut scene);
        Some(scene)
    }

    fn colours(&self, tint: Tint) -> (Palette, Option<Legend>) {
        let job = &self.proved.checked.job;
        match tint {
            Tint::Deviation if self.nominal.is_some() => {
                let scale = DeviationScale::of(job.unit);
                (scale.palette(), Some(scale.legend()))
            }
            Tint::Metal | Tint::Deviation => (Palette::metal(), None),
            Tint::Tool => (Palette::tools(&self.categories), Some(tools_legend(job, &self.categories))),
            Tint::Setup => (Palette::setups(&self.categories), Some(setups_legend(job, &self.categories))),
        }
    }

    /// Everything but the stock.
    fn around(&mut self, wish: &Wish, scene: &mut Scene) {
        let theme = if wish.dark { &Theme::DARK } else { &Theme::LIGHT };
        let job = &wish.proved.checked.job;
        let Some(cut) = &wish.proved.cut else { return };
        let (run, holding) = (cut.runs.get(wish.setup), cut.holdings.get(wish.setup));
        if let Some(holding) = holding {
            let (items, lines) = workholding(holding, theme);
            scene.items.extend(items);
            scene.lines.extend(lines);
        }
        let key = (wish.setup, wish.dark);
        if let Some(run) = run {
            if wish.path {
                if self.path.as_ref().is_none_or(|(k, _)| *k != key) {
                    self.path = Some((key, path_lines(run, 0..run.moves.len(), theme)));
                }
                scene.lines.extend(self.path.iter().map(|(_, lines)| lines.clone()));
                scene.legends.push(path_legend(theme));
            }
            // Between two moves the tool stands at the end of the one before, on its way on the next.
            let (at, t) =
                if wish.part > 0.0 { (Some(wish.made), wish.part) } else { (wish.made.checked_sub(1), 1.0) };
            let at = at.and_then(|i| run.moves.get(i));
            if let Some((m, tool)) = at.and_then(|m| Some((m, job.tool(m.tool?)?))) {
                let (items, lines) = tool_items(tool, crate::scene::small(&m.path.point(t)), theme);
                scene.items.extend(items);
                scene.lines.extend(lines);
            }
        }
        if let (true, Some(run), Some(holding)) = (wish.clearance, run, holding) {
            if self.clear.as_ref().is_none_or(|(k, _)| *k != key) {
                let all = clearances(job, run, holding);
                let mut only = Scene::default();
                // The nearest is drawn last, over the others.
                for (number, c) in all.iter().enumerate().rev() {
                    let (shade, mark, label) = shade_of(job, run, c, number, theme);
                    only.shades.push(shade);
                    only.lines.push(mark);
                    only.labels.push(label);
                }
                only.legends.push(clearance_legend(job, &all));
                self.clear = Some((key, only));
            }
            if let Some((_, only)) = &self.clear {
                scene.shades.extend(only.shades.iter().cloned());
                scene.lines.extend(only.lines.iter().cloned());
                scene.labels.extend(only.labels.iter().cloned());
                scene.legends.extend(only.legends.iter().cloned());
            }
        }
        let length = (0.22 * scene.bounds_of(Kind::Stock).size().max_element()).clamp(4.0, 60.0);
        if let Some(setup) = job.setups.get(wish.setup) {
            let (lines, labels) = program_zeros(setup, length, theme);
            scene.lines.push(lines);
            scene.labels.extend(labels);
        }
    }
}
