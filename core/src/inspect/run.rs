use super::bench::Bench;
use super::differences::{Comparer, Comparison};
use super::extent::extreme;
use super::fact::Fact;
use super::features::{FeatureFound, add_regions};
use super::finished::Finished;
use super::permitted::Permitted;
use super::result::{BreakResult, BreakStatus, FinalPart, Inspection, RegionKind};
use crate::geom::{Axis, Box3, Direction};
use crate::job::{Drawing, Job};
use crate::motion::Run;
use crate::solid::{Edge, NominalPart};
use rayon::prelude::*;

/// Judges the finished part against the job's drawing.
///
/// `runs` holds one run per setup that was cut. `progress` is told how much is done, 0 to 1.
pub fn inspect(
    job: &Job,
    drawing: &Drawing,
    finished: &dyn Finished,
    runs: &[Run],
    progress: &dyn Fn(f64),
) -> Inspection {
    let nominal = NominalPart::from_drawing(drawing);
    let bench = Bench { job, drawing, nominal: &nominal, finished, runs };
    let mut facts: Vec<Fact> = nominal.unclear().iter().map(|u| Fact::Unclear(*u)).collect();
    let (mut dimensions, mut breaks) = (Vec::new(), Vec::new());
    rayon::in_place_scope(|scope| {
        let all = drawing.dimensions.par_iter().enumerate();
        scope.spawn(|_| dimensions = all.map(|(i, d)| bench.dimension(i, d)).collect());
        breaks = nominal.edges().par_iter().map(|e| (e, bench.broken_edge(e))).collect();
    });
    progress(0.3);
    let target = match &drawing.mesh {
        Some(mesh) => NominalPart::from_mesh(mesh).ok(),
        None => None,
    };
    let (mut found, mut comparison) = (Vec::new(), (Vec::new(), Comparison::default()));
    rayon::in_place_scope(|scope| {
        let all = drawing.features.par_iter().enumerate();
        scope.spawn(|_| {
            found = all.map(|(i, f)| bench.feature(i, f, &breaks, nominal.unclear())).collect();
        });
        // Progress is told from this thread, so only what tells none may go to another.
        let compared = Bench { nominal: target.as_ref().unwrap_or(&nominal), ..bench };
        comparison = compare(&compared, &breaks, &|done| progress(0.3 + 0.7 * done));
    });
    facts.extend(found.iter_mut().flat_map(|f: &mut FeatureFound| f.facts.drain(..)));
    if drawing.mesh.is_some() && target.is_none() {
        facts.push(Fact::MeshNotClosed);
    }
    if drawing.mesh.is_none() && nominal.is_empty() && !drawing.features.is_empty() {
        facts.push(Fact::NothingToCompare);
    }
    let makers = bench.makers();
    let mut features = Vec::new();
    for (i, mut f) in found.into_iter().enumerate() {
        let on_rays = comparison.1.made.iter().filter(|(feature, _)| *feature == i).map(|(_, id)| *id);
        f.result.made_by = makers.made_by(f.by.into_iter().chain(on_rays));
        features.push(f.result);
    }
    add_regions(&mut features, &comparison.0);
    Inspection { features, dimensions, regions: comparison.0, facts }
}

fn compare(
    bench: &Bench,
    breaks: &[(&Edge, Option<BreakResult>)],
    progress: &dyn Fn(f64),
) -> (Vec<super::result::Region>, Comparison) {
    if bench.nominal.is_empty() {
        return (Vec::new(), Comparison::default());
    }
    let permitted = Permitted::new(bench);
    let edges = breaks.iter().map(|(edge, found)| {
        let permitted = edge.asked.leg + edge.asked.tolerance.plus;
        let wrong =
            found.as_ref().filter(|b| matches!(b.status, BreakStatus::Missing | BreakStatus::Outside));
        let told = wrong.filter(|b| b.lost.is_none()).and_then(|b| b.leg);
        let most = told.map_or(permitted, |(_, greatest)| permitted.max(greatest.value + greatest.bound));
        (*edge, most, wrong.is_some())
    });
    let comparer = Comparer { bench: *bench, permitted: &permitted, edges: edges.collect() };
    let comparison = comparer.all(progress);
    (comparer.regions(&comparison.differences), comparison)
}

/// The finished stock as a whole. Volume with its bound and the number of pieces come from the stock.
pub fn final_part(
    finished: &dyn Finished,
    (volume, volume_bound): (f64, f64),
    pieces: usize,
    inspection: Option<&Inspection>,
) -> FinalPart {
    let mut bounds = Box3::empty();
    for axis in Axis::ALL {
        let end = |positive| extreme(finished, Direction::new(axis, positive));
        let ends = end(false).zip(end(true));
        if let Some((low, high)) = ends {
            axis.set(&mut bounds.min, low.0);
            axis.set(&mut bounds.max, high.0);
        }
    }
    let sum = |kind: RegionKind| {
        inspection.map(|i| i.regions.iter().filter(|r| r.kind == kind).fold(0.0, |sum, r| sum + r.volume))
    };
    FinalPart {
        volume,
        volume_bound,
        bounds,
        pieces,
        gouge_volume: sum(RegionKind::Gouge),
        leftover_volume: sum(RegionKind::Leftover),
    }
}
