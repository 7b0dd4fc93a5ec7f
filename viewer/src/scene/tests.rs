use super::*;
use crate::camera::Ray;
use crate::colour::Theme;
use proofcut_core::job::{Files, Job, load};
use proofcut_core::proof::{Moment, Unwatched, moment, prove};
use proofcut_core::solid::NominalPart;
use proofcut_core::surface::Surface;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

struct Folder(PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.0.join(path)).map_err(|e| e.to_string())
    }
}

fn demo() -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures/jobs/pivot-block");
    let mut job = load("job.json", &Folder(folder)).expect("the demo").job;
    job.spacing = Some(0.8);
    job
}

fn at(job: &Job, setup: usize, made: usize) -> Moment {
    moment(job, setup, &|_| made, &Unwatched).expect("a stock").expect("a setup")
}

fn shown<'a>(job: &'a Job, at: &'a Moment, surface: &'a Surface) -> Shown<'a> {
    Shown {
        job,
        setup: at.setup,
        runs: &at.runs,
        holding: &at.holding,
        surface,
        history: &at.history,
        tint: Tint::Metal,
        nominal: None,
        tool_after: at.made.checked_sub(1),
        path: (0, at.made),
        clearances: true,
        theme: &Theme::LIGHT,
    }
}

/// Every edge of the pieces together is passed once in each direction.
fn watertight(meshes: &[std::sync::Arc<Mesh>]) {
    let mut passed: BTreeMap<([u32; 3], [u32; 3]), i32> = BTreeMap::new();
    for mesh in meshes {
        for t in &mesh.triangles {
            let [a, b, c] = t.map(|v| mesh.vertices[v as usize]).map(|[x, y, z, _]| [x, y, z]);
            for (from, to) in [(a, b), (b, c), (c, a)] {
                // Zero has two signs; a place has one.
                let key = |p: [u32; 3]| p.map(|w| if w == 1 << 31 { 0 } else { w });
                *passed.entry((key(from), key(to))).or_default() += 1;
            }
        }
    }
    for ((from, to), count) in &passed {
        assert!(from == to || passed.get(&(*to, *from)) == Some(count), "{from:?} to {to:?}");
    }
}

#[test]
fn the_demo_has_all_its_parts_and_the_stock_is_closed() {
    let job = demo();
    let moment = at(&job, 0, 500);
    let surface = Surface::of(&moment.stock, &moment.history);
    let scene = job_scene(&shown(&job, &moment, &surface));
    let of = |kind| scene.items.iter().filter(move |i| i.kind == kind);
    assert_eq!(of(Kind::Stock).count(), 1);
    // Two jaws, two parallels, the bed.
    assert_eq!(of(Kind::Workholding).count(), 5);
    assert_eq!(of(Kind::Cutter).count() + of(Kind::Shank).count() + of(Kind::Holder).count(), 3);
    let stock = of(Kind::Stock).next().expect("stock");
    let triangles: usize = stock.meshes.iter().map(|m| m.triangles.len()).sum();
    assert_eq!(triangles, surface.triangles());
    let volume: f64 = stock.meshes.iter().map(|m| m.volume()).sum();
    assert!((volume / surface.volume() - 1.0).abs() < 1.0e-5, "{volume}");
    let bounds = Bounds::from(&job.setups[0].frame.setup_box(&moment.stock.bounds()));
    let seen = stock.bounds();
    assert!(
        seen.min.distance(bounds.min) < 0.01 && seen.max.distance(bounds.max) < 0.01,
        "{seen:?} {bounds:?}"
    );
    for item in &scene.items {
        watertight(&item.meshes);
        assert!(item.meshes.iter().all(|m| m.triangles.len() <= 1_000_000));
        assert!(item.meshes.iter().map(|m| m.volume()).sum::<f64>() > 0.0, "{:?}", item.kind);
    }
    assert!(scene.lines.iter().any(|l| l.kind == Kind::Stock && !l.set.is_empty()));
    let mut hidden = scene.clone();
    hidden.set_look(Kind::Stock, Look::Hidden);
    assert!(hidden.triangles() < scene.triangles() && hidden.bounds_of(Kind::Stock).is_empty());
}

/// The jaws touch the stock; the tool stands where its move ends.
#[test]
fn things_stand_where_they_belong() {
    let job = demo();
    let moment = at(&job, 1, 60);
    let surface = Surface::of(&moment.stock, &moment.history);
    let scene = job_scene(&shown(&job, &moment, &surface));
    let stock = scene.bounds_of(Kind::Stock);
    let vise = scene.bounds_of(Kind::Workholding);
    assert!(vise.min.y < stock.min.y - 10.0 && stock.max.y + 10.0 < vise.max.y);
    assert!((vise.min.z..vise.max.z).contains(&stock.min.z));
    let end = moment.runs[1].moves[59].path.end();
    let cutter = scene.bounds_of(Kind::Cutter);
    assert!((cutter.min.z - mesh::small(&end).z).abs() < 1.0e-4);
    assert!((cutter.center().truncate() - mesh::small(&end).truncate()).length() < 1.0e-2);
    // Down the spindle the eye meets the stock's top first, outside of the holes.
    let ray = Ray {
        origin: glam::Vec3::new(stock.min.x + 9.0, stock.max.y - 2.0, 300.0),
        direction: glam::Vec3::NEG_Z,
    };
    let mut bare = scene.clone();
    for kind in [Kind::Cutter, Kind::Shank, Kind::Holder] {
        bare.set_look(kind, Look::Hidden);
    }
    let hit = pick(&bare, &ray, None).expect("something");
    assert_eq!(hit.kind, Kind::Stock);
    assert!((hit.at.z - stock.max.z).abs() < 0.01, "{:?} {stock:?}", hit.at);
    let below =
        pick(&bare, &ray, Some(glam::Vec4::new(0.0, 0.0, 1.0, 5.0 - stock.max.z))).expect("below the cut");
    assert!(below.at.z <= stock.max.z - 5.0);
}

#[test]
fn patches_of_tints_name_their_tools_and_setups() {
    let job = demo();
    let moment = at(&job, 1, usize::MAX);
    let categories = Categories::of(&moment.history, &moment.runs);
    assert!(categories.known.iter().any(|c| c.setup == 0) && categories.known.iter().any(|c| c.setup == 1));
    for id in 1..moment.history.next_id().0 {
        let id = proofcut_core::stock::CutId(id);
        let origin = moment.history.origin(id).expect("a cut");
        let category = categories.category(categories.tint(id)).expect("known");
        assert_eq!(category.setup, origin.setup);
        assert_eq!(category.tool, moment.runs[origin.setup].moves[origin.move_index].tool);
    }
    assert_eq!(categories.tint(proofcut_core::stock::CutId::RAW), 0);
    let surface = Surface::of(&moment.stock, &moment.history);
    let meshes =
        StockMeshes::of(&surface, &moment.history, &StockTint::Makers(&categories), Theme::LIGHT.edge);
    let mut seen: Vec<u16> =
        meshes.meshes().flat_map(|m| m.vertices.iter().map(|v| Mesh::tint_of(v[3]))).collect();
    seen.sort_unstable();
    seen.dedup();
    assert!(seen.len() > 4 && usize::from(seen[seen.len() - 1]) <= categories.known.len());
}

/// What was not remeshed stays the same object, what was is as from scratch.
#[test]
fn only_what_changed_is_made_anew() {
    let job = demo();
    let moment = at(&job, 0, 300);
    let surface = Surface::of(&moment.stock, &moment.history);
    let categories = Categories::of(&moment.history, &moment.runs);
    let tint = StockTint::Makers(&categories);
    let before = StockMeshes::of(&surface, &moment.history, &tint, Theme::LIGHT.edge);
    let mut after = before.clone();
    let full = surface.blocks().iter().position(|b| !b.is_empty()).expect("a block");
    after.update(&surface, &moment.history, &tint, &[full], Theme::LIGHT.edge);
    let same = before.meshes().zip(after.meshes()).filter(|(a, b)| std::sync::Arc::ptr_eq(a, b)).count();
    assert_eq!(same + 1, before.meshes().count());
    assert!(before.meshes().zip(after.meshes()).all(|(a, b)| a == b));
    assert_eq!(before.edges(), after.edges());
}

/// The clearances are those of the proof, to the last digit.
#[test]
fn clearances_are_the_numbers_of_the_checks() {
    let job = demo();
    let proof = prove(&job, &Unwatched);
    let mut all = 0;
    for setup in 0..job.setups.len() {
        let moment = at(&job, setup, 0);
        let found = clearances(&job, &moment.runs[setup], &moment.holding);
        let mut tools = 0;
        for section in &proof.setups[setup].sections {
            let Some(nearest) = section.lowest_over.first() else { continue };
            let Some(tool) = section.tool else { continue };
            tools += 1;
            let c = found.iter().find(|c| c.tool == tool).expect("a tool of the proof");
            assert!(c.clearance <= nearest.clearance);
            let same = proof.setups[setup].sections.iter().filter(|s| s.tool == Some(tool)).any(|s| {
                s.lowest_over.iter().any(|l| {
                    l.clearance.to_bits() == c.clearance.to_bits() && l.at == c.tip && l.solid == c.solid
                })
            });
            assert!(same, "setup {setup}, T{tool}");
            assert!(c.pass.start < c.pass.end);
        }
        assert!(found.len() <= tools);
        all += found.len();
    }
    assert!(all > 5, "{all}");
}

/// A part as drawn is within the middle class but for what the program leaves on purpose; raw stock is not.
#[test]
fn deviation_of_the_finished_demo_is_small_and_of_raw_stock_large() {
    let mut job = demo();
    // Fine enough for chamfers, and for holes to be round to half a ten-thousandth.
    job.spacing = Some(0.2);
    let part = NominalPart::from_drawing(job.drawing.as_ref().expect("a drawing"));
    let scale = DeviationScale::of(job.unit);
    let share = |moment: &Moment| {
        let surface = Surface::of(&moment.stock, &moment.history);
        let tint = StockTint::Deviation(&scale, &part);
        let meshes = StockMeshes::of(&surface, &moment.history, &tint, Theme::LIGHT.edge);
        let all: Vec<u16> =
            meshes.meshes().flat_map(|m| m.vertices.iter().map(|v| Mesh::tint_of(v[3]))).collect();
        let middle = scale.tint(0.0) / 64;
        let within = all.iter().filter(|t| **t / 64 == middle).count();
        100 * within / all.len()
    };
    let raw = share(&at(&job, 0, 0));
    let done = share(&at(&job, 3, usize::MAX));
    assert!(raw < 5, "{raw} %");
    assert!(done > 85, "{done} %");
}

#[test]
fn normals_keep_their_direction_when_packed() {
    let mut widest = 0.0_f32;
    for i in 0..2000_u16 {
        let t = f32::from(i);
        let n = glam::Vec3::new((t * 0.37).sin(), (t * 0.11).cos(), (t * 0.73).sin()).normalize();
        let word = Mesh::word(n, i % 1024);
        assert_eq!(Mesh::tint_of(word), i % 1024);
        widest = widest.max(Mesh::normal_of(word).angle_between(n));
    }
    assert!(widest < 0.0021, "{widest}");
    for n in [glam::Vec3::X, glam::Vec3::Y, glam::Vec3::Z, -glam::Vec3::X, -glam::Vec3::Y, -glam::Vec3::Z] {
        assert!(Mesh::normal_of(Mesh::word(n, 0)).angle_between(n) < 1.0e-6, "{n}");
    }
}

/// Feed, arc and rapid differ in pattern, not only in colour; arcs stay near their circle.
#[test]
fn kinds_of_motion_have_patterns_of_their_own() {
    let job = demo();
    let run = proofcut_core::proof::follow(&job, 0).expect("a setup");
    let lines = path_lines(&run, 0..run.moves.len(), &Theme::LIGHT);
    let mut patterns: Vec<u32> = lines.set.segments.iter().map(|s| s[7] >> 8).collect();
    patterns.sort_unstable();
    patterns.dedup();
    assert_eq!(patterns, [0, 1, 2]);
    let arc = run.moves.iter().find_map(|m| match m.path {
        proofcut_core::geom::Path::Arc(arc) => Some(arc),
        proofcut_core::geom::Path::Line { .. } => None,
    });
    let arc = arc.expect("the demo has arcs");
    let points = path::points(&proofcut_core::geom::Path::Arc(arc));
    let center = mesh::small(&arc.center);
    let radius = mesh::small(&proofcut_core::geom::Vec3::repeat(arc.radius)).x;
    for pair in points.windows(2) {
        let middle = (pair[0] + pair[1]) * 0.5;
        let out = (middle - center).with_z(0.0).length();
        assert!((radius - out).abs() < 0.002 * radius, "{out} {radius}");
    }
}
