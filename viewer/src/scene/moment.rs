use super::{
    Categories, DeviationScale, Entry, Kind, Legend, Palette, Scene, StockMeshes, StockTint, Swatch, axes,
    clearance, holding, mesh, path, tool,
};
use crate::colour::{Theme, category};
use proofcut_core::checks::workholding::Holding;
use proofcut_core::cutting::History;
use proofcut_core::job::Job;
use proofcut_core::motion::Run;
use proofcut_core::solid::NominalPart;
use proofcut_core::surface::Surface;
use std::sync::Arc;

/// What the colours of the stock tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tint {
    /// Bare metal; what no tool has touched is duller.
    Metal,
    /// Which tool cut each face.
    Tool,
    /// Which setup cut each face.
    Setup,
    /// How far each place is from the drawing.
    Deviation,
}

/// A moment of a job, and what of it is to be seen.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// The job.
    pub job: &'a Job,
    /// Index of the setup in which the part is clamped.
    pub setup: usize,
    /// Runs of the setups up to this one, in order.
    pub runs: &'a [Run],
    /// What holds the part in this setup.
    pub holding: &'a Holding,
    /// The surface of the stock at the moment.
    pub surface: &'a Surface,
    /// Who cut it.
    pub history: &'a History,
    /// What the colours tell.
    pub tint: Tint,
    /// The drawing's part, for [`Tint::Deviation`].
    pub nominal: Option<&'a NominalPart>,
    /// The move at whose end the tool is shown; `None`: no tool.
    pub tool_after: Option<usize>,
    /// Moves of this setup whose path is drawn; empty: none.
    pub path: (usize, usize),
    /// Shades of what comes near the workholding.
    pub clearances: bool,
    /// Surroundings.
    pub theme: &'a Theme,
}

/// The whole scene of a moment.
pub fn job_scene(shown: &Shown<'_>) -> Scene {
    let mut scene = Scene::default();
    let Some(setup) = shown.job.setups.get(shown.setup) else { return scene };
    let theme = shown.theme;
    stock(&mut scene, shown, &setup.frame);
    let (items, lines) = holding::workholding(shown.holding, theme);
    scene.items.extend(items);
    scene.lines.extend(lines);
    let run = shown.runs.get(shown.setup);
    if let Some(run) = run {
        let moves = shown.path.0..shown.path.1.min(run.moves.len());
        if !moves.is_empty() {
            scene.lines.push(path::path_lines(run, moves, theme));
            scene.legends.push(path::legend(theme));
        }
        let at = shown.tool_after.and_then(|i| run.moves.get(i));
        if let Some((m, tool)) = at.and_then(|m| Some((m, shown.job.tool(m.tool?)?))) {
            let (items, lines) = tool::tool_items(tool, mesh::small(&m.path.end()), theme);
            scene.items.extend(items);
            scene.lines.extend(lines);
        }
        if shown.clearances {
            let all = clearance::clearances(shown.job, run, shown.holding);
            // The nearest is drawn last, over the others.
            for (number, c) in all.iter().enumerate().rev() {
                let (shade, mark, label) = clearance::shade_of(shown.job, run, c, number, theme);
                scene.shades.push(shade);
                scene.lines.push(mark);
                scene.labels.push(label);
            }
            scene.legends.push(clearance::legend(shown.job, &all));
        }
    }
    let length = (0.22 * scene.bounds_of(Kind::Stock).size().max_element()).clamp(4.0, 60.0);
    let (lines, labels) = axes::program_zeros(setup, length, theme);
    scene.lines.push(lines);
    scene.labels.extend(labels);
    scene
}

fn stock(scene: &mut Scene, shown: &Shown<'_>, frame: &proofcut_core::geom::Frame) {
    let categories = Categories::of(shown.history, shown.runs);
    let scale = DeviationScale::of(shown.job.unit);
    let nominal = shown.nominal.filter(|_| shown.tint == Tint::Deviation);
    let (tint, palette) = match (nominal, shown.tint) {
        (Some(part), _) => (StockTint::Deviation(&scale, part), scale.palette()),
        (None, Tint::Tool) => (StockTint::Makers(&categories), Palette::tools(&categories)),
        (None, Tint::Setup) => (StockTint::Makers(&categories), Palette::setups(&categories)),
        (None, Tint::Metal | Tint::Deviation) => (StockTint::Makers(&categories), Palette::metal()),
    };
    match (nominal, shown.tint) {
        (Some(_), _) => scene.legends.push(scale.legend()),
        (None, Tint::Tool) => scene.legends.push(tools_legend(shown.job, &categories)),
        (None, Tint::Setup) => scene.legends.push(setups_legend(shown.job, &categories)),
        (None, Tint::Metal | Tint::Deviation) => {}
    }
    let meshes = StockMeshes::of(shown.surface, shown.history, &tint, shown.theme.edge);
    scene.items.push(meshes.item(frame, Arc::new(palette)));
    scene.lines.push(meshes.lines(frame));
}

/// Which colour is which tool.
pub fn tools_legend(job: &Job, categories: &Categories) -> Legend {
    let entries = categories.tools().iter().map(|number| {
        let text = match number {
            None => "no tool called".to_owned(),
            Some(n) => job.tool(*n).map_or_else(|| format!("T{n}"), |t| format!("T{n}  {}", t.name)),
        };
        Entry { swatch: Swatch::Patch(categories.tool_colour(*number)), text }
    });
    Legend { title: "Cut by".to_owned(), entries: entries.chain(std::iter::once(uncut())).collect() }
}

/// Which colour is which setup.
pub fn setups_legend(job: &Job, categories: &Categories) -> Legend {
    let seen = |i: &usize| categories.known.iter().any(|c| c.setup == *i);
    let entries = (0..job.setups.len()).filter(seen).map(|i| Entry {
        swatch: Swatch::Patch(category(i)),
        text: job.setups.get(i).map_or_else(String::new, |s| s.name.clone()),
    });
    Legend { title: "Cut in setup".to_owned(), entries: entries.chain(std::iter::once(uncut())).collect() }
}

fn uncut() -> Entry {
    Entry { swatch: Swatch::Patch(super::palette::RAW), text: "raw stock".to_owned() }
}
