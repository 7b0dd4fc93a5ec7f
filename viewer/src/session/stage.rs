//! The scene of a moment, made on a thread of its own, so that nobody who waits for a click waits for the stock.

use super::{Proved, Wake};
use crate::colour::Theme;
use crate::scene::{
    Categories, DeviationScale, Kind, Legend, Lines, Palette, Scene, StockMeshes, StockTint, Tint,
    clearance_legend, clearances, path_legend, path_lines, program_zeros, setups_legend, shade_of,
    tool_items, tools_legend, workholding,
};
use proofcut_core::solid::NominalPart;
use proofcut_core::surface::Surface;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, PoisonError};

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

impl Wish {
    /// True when both show the same.
    pub fn same(&self, other: &Self) -> bool {
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
    /// The same with few triangles, for drivers in software while the eye moves; comes later, once nothing else is wanted.
    pub reduced: Option<Scene>,
    /// Seconds that the making took.
    pub seconds: f64,
}

/// The thread that makes scenes: the newest wish counts, older ones are passed over.
#[derive(Debug)]
pub struct Stage {
    wishes: Sender<Wish>,
    staged: Receiver<Staged>,
}

impl Stage {
    /// Begins the thread; `reduce`: scenes with few triangles are made, too.
    pub fn new(wake: Wake, reduce: bool) -> Self {
        let (wishes, wanted) = channel();
        let (tell, staged) = channel();
        std::thread::spawn(move || work(&wanted, &tell, &wake, reduce));
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

fn work(wanted: &Receiver<Wish>, tell: &Sender<Staged>, wake: &Wake, reduce: bool) {
    let mut maker = Maker::default();
    let mut next = wanted.recv().ok();
    while let Some(mut wish) = next.take() {
        if let Some(newer) = wanted.try_iter().last() {
            wish = newer;
        }
        let begun = std::time::Instant::now();
        if let Some(scene) = maker.scene(&wish) {
            let staged = Staged { wish, scene, reduced: None, seconds: begun.elapsed().as_secs_f64() };
            if tell.send(staged.clone()).is_err() {
                return;
            }
            wake();
            // Only when nobody wants another moment: it takes longer than the scene itself.
            let resting = std::time::Duration::from_millis(250);
            next = if reduce { wanted.recv_timeout(resting).ok() } else { None };
            if next.is_none()
                && reduce
                && let Some(reduced) = maker.reduced(&staged)
            {
                if tell.send(Staged { reduced: Some(reduced), ..staged }).is_err() {
                    return;
                }
                wake();
            }
        }
        if next.is_none() {
            next = wanted.recv().ok();
        }
    }
}

/// How far a surface for moving pictures may be off, millimetres: less than a pixel of a part as large as the picture.
const REDUCED: f64 = 0.05;

/// What is kept from scene to scene.
#[derive(Default)]
struct Maker {
    of: Option<OfJob>,
}

/// What is kept for one job.
struct OfJob {
    proved: Arc<Proved>,
    surface: Surface,
    categories: Categories,
    nominal: Option<NominalPart>,
    meshes: StockMeshes,
    /// True for meshes coloured by the distance from the drawing; and for edges on dark.
    made_for: (bool, bool),
    path: Option<((usize, bool), Lines)>,
    clear: Option<((usize, bool), Scene)>,
}

impl OfJob {
    fn new(proved: &Arc<Proved>) -> Option<Self> {
        let cut = proved.cut.as_ref()?;
        let shown = cut.shown.lock().unwrap_or_else(PoisonError::into_inner);
        let surface = Surface::of(shown.stock(), &cut.history);
        drop(shown);
        let categories = Categories::of(&cut.history, &cut.runs);
        let drawing = proved.checked.job.drawing.as_ref();
        let meshes =
            StockMeshes::of(&surface, &cut.history, &StockTint::Makers(&categories), Theme::LIGHT.edge);
        Some(Self {
            proved: Arc::clone(proved),
            surface,
            categories,
            nominal: drawing.map(NominalPart::from_drawing).filter(|p| !p.is_empty()),
            meshes,
            made_for: (false, false),
            path: None,
            clear: None,
        })
    }

    /// Leads stock, surface and meshes to a moment.
    fn lead(&mut self, wish: &Wish) {
        let Some(cut) = &self.proved.cut else { return };
        let before = cut.history.first_cut(wish.setup, wish.made);
        let mut shown = cut.shown.lock().unwrap_or_else(PoisonError::into_inner);
        let boxes = cut.keyframes.show(&cut.history, &mut shown, before);
        let changed = self.surface.update(shown.stock(), &cut.history, &boxes);
        drop(shown);
        let theme = if wish.dark { &Theme::DARK } else { &Theme::LIGHT };
        let scale = DeviationScale::of(self.proved.checked.job.unit);
        let nominal = self.nominal.as_ref().filter(|_| wish.tint == Tint::Deviation);
        let tint = nominal.map_or(StockTint::Makers(&self.categories), |n| StockTint::Deviation(&scale, n));
        let wanted = (nominal.is_some(), wish.dark);
        if self.made_for != wanted {
            self.meshes = StockMeshes::of(&self.surface, &cut.history, &tint, theme.edge);
            self.made_for = wanted;
        } else if !changed.is_empty() {
            self.meshes.update(&self.surface, &cut.history, &tint, &changed, theme.edge);
        }
    }
}

impl Maker {
    fn scene(&mut self, wish: &Wish) -> Option<Scene> {
        if self.of.as_ref().is_none_or(|of| !Arc::ptr_eq(&of.proved, &wish.proved)) {
            // The old job's stock goes before the new one's surface is made.
            self.of = None;
            self.of = OfJob::new(&wish.proved);
        }
        let of = self.of.as_mut()?;
        of.lead(wish);
        let setup = wish.proved.checked.job.setups.get(wish.setup)?;
        let mut scene = Scene::default();
        let (palette, legend) = of.colours(wish.tint);
        scene.items.push(of.meshes.item(&setup.frame, Arc::new(palette)));
        scene.lines.push(of.meshes.lines(&setup.frame));
        scene.legends.extend(legend);
        of.around(wish, &mut scene);
        Some(scene)
    }

    /// The same scene with a stock of few triangles; `None` where the colours cannot be shown on it.
    fn reduced(&self, staged: &Staged) -> Option<Scene> {
        let of = self.of.as_ref().filter(|_| staged.wish.tint != Tint::Deviation)?;
        let setup = staged.wish.proved.checked.job.setups.get(staged.wish.setup)?;
        let theme = if staged.wish.dark { &Theme::DARK } else { &Theme::LIGHT };
        let meshes = StockMeshes::reduced(&of.surface.simplified(REDUCED), &of.categories, theme.edge);
        let (palette, _) = of.colours(staged.wish.tint);
        let mut scene = staged.scene.clone();
        scene.items.retain(|i| i.kind != Kind::Stock);
        scene.lines.retain(|l| l.kind != Kind::Stock);
        scene.items.push(meshes.item(&setup.frame, Arc::new(palette)));
        scene.lines.push(meshes.lines(&setup.frame));
        Some(scene)
    }
}

impl OfJob {
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
