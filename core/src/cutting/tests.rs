//! Whole programs on the block of the specs, 60 x 40 x 20 mm with its zero on the top face, held against closed
//! formulas.

use super::*;
use crate::geom::{Axis, Vec3};
use crate::job::{self, Job, MemoryFiles};
use crate::motion::{self, Run};
use crate::program;
use crate::stock::Stock;
use std::f64::consts::PI;
use std::ops::ControlFlow;

mod keyframes;
mod overfull;

const JOB: &str = include_str!("../../../tests/specs/base/job.json");
const MACHINE: &str = include_str!("../../../tests/specs/base/machine.json");
const TOOLS: &str = include_str!("../../../tests/specs/base/tools.json");

const START: &str = "G21 G17 G40 G49 G80 G90 G54\nT1 M6\nS4000 M3\n";

struct Cut {
    job: Job,
    run: Run,
    stock: Stock,
    history: History,
    told: SetupCut,
    before: f64,
}

impl Cut {
    fn removed(&self) -> f64 {
        self.told.moves.iter().map(|m| m.removed).sum()
    }

    fn kinds(&self) -> Vec<ContactKind> {
        self.told.contacts.iter().map(|c| c.kind).collect()
    }
}

/// Cuts a program; `change` replaces text of the tool table.
fn cut(text: &str, change: &[(&str, &str)]) -> Cut {
    let mut tools = TOOLS.to_owned();
    for (from, to) in change {
        assert!(tools.contains(from), "{from}");
        tools = tools.replacen(from, to, 1);
    }
    let files = MemoryFiles::new()
        .with("job.json", JOB)
        .with("machine.json", MACHINE)
        .with("tools.json", tools)
        .with("top.nc", format!("{START}{text}M30\n"));
    let job = job::load("job.json", &files).expect("a good job").job;
    let run = motion::interpret(&program::parse(&job.setups[0].program), &job, 0, 100.0);
    assert_eq!(run.lost_from, None, "{:?}", run.facts);
    let mut stock = Stock::new(&job.stock, 0.25).expect("a block");
    let mut history = History::new(&job.stock).expect("a block");
    let before = stock.volume().0;
    let told = cut_setup(&mut stock, &mut history, &job, 0, &run, None, &|_| ControlFlow::Continue(()));
    let told = told.expect("small");
    Cut { job, run, stock, history, told, before }
}

fn near(a: f64, b: f64, by: f64) -> bool {
    (a - b).abs() <= by
}

#[test]
fn a_rapid_through_the_block_is_told_with_place_and_depth() {
    let c = cut("G0 X-20. Y20.\nG43 H1 Z5.\nZ-3.\nX80.\nZ50.\n", &[]);
    assert_eq!(c.kinds(), [ContactKind::RapidIntoStock]);
    let contact = c.told.contacts[0];
    assert_eq!(c.run.moves[contact.move_index].place.line, 7);
    assert!(near(contact.depth, 3.0, 1e-6), "{contact:?}");
    assert!(near(contact.tip.x, -5.0, 0.01) && near(contact.tip.z, -3.0, 1e-9), "{contact:?}");
    assert!(near(contact.at.x, 0.0, 0.01) && near(contact.at.y, 20.0, 0.5), "{contact:?}");
    assert!(near(c.removed(), 60.0 * 10.0 * 3.0, 0.02 * 1800.0), "{}", c.removed());
}

#[test]
fn clear_rapids_and_rapids_along_finished_walls_touch_nothing() {
    let c = cut(
        "G0 X-20. Y20.\nG43 H1 Z5.\nX30.\nX-20.\nG1 Z-3. F500.\nX30.\nG3 X30. Y20. I-6.37 J2.11\nG0 Z5.\nZ-3.\n\
         G0 X-20.\nG3 X30. Y20. R60. F300.\nG0 Z50.\n",
        &[],
    );
    assert_eq!(c.kinds(), []);
    assert!(c.removed() > 1000.0);
}

#[test]
fn both_ways_of_an_uncertain_rapid_are_looked_at() {
    // The straight way from corner to corner runs through the block, the way of each axis goes around it.
    let text = "G0 X-20. Y-20.\nG43 H1 Z-3.\nX-20. Y60.\nX80. Y60.\n";
    assert_eq!(cut(text, &[]).kinds(), []);
    let mut c = cut(text, &[]);
    let first = c.run.moves.iter().position(|m| near(m.path.end().y, 60.0, 1e-9)).expect("that move");
    let (from, to) = (c.run.moves[first].path.start(), c.run.moves[first].path.end());
    let around = Vec3::new(30.0, 20.0, -3.0);
    c.run.moves[first].other_way =
        vec![crate::geom::Path::Line { from, to: around }, crate::geom::Path::Line { from: around, to }];
    let mut stock = Stock::new(&c.job.stock, 0.25).expect("a block");
    let mut history = History::new(&c.job.stock).expect("a block");
    let again = cut_setup(&mut stock, &mut history, &c.job, 0, &c.run, None, &|_| ControlFlow::Continue(()));
    let again = again.expect("small");
    let kinds: Vec<(ContactKind, usize)> = again.contacts.iter().map(|c| (c.kind, c.move_index)).collect();
    assert_eq!(kinds, [(ContactKind::RapidIntoStock, first)]);
    assert_eq!(stock.volumes(), c.stock.volumes(), "looking takes nothing");
}

#[test]
fn only_a_tool_that_cannot_cut_at_its_centre_minds_a_plunge() {
    let no_center = [("\"flute_length\": 25", "\"center_cutting\": false, \"flute_length\": 25")];
    let plunge = "G0 X30. Y20.\nG43 H1 Z5.\nG1 Z-2. F100.\n";
    assert_eq!(cut(plunge, &[]).kinds(), []);
    let c = cut(plunge, &no_center);
    assert_eq!(c.kinds(), [ContactKind::CenterIntoStock]);
    let contact = c.told.contacts[0];
    assert!(near(contact.depth, 2.0, 1e-6) && near(contact.tip.z, 0.0, 1e-4), "{contact:?}");
    let ramp = "G0 X10. Y20.\nG43 H1 Z0.5\nG1 X50. Z-1.5 F100.\n";
    assert_eq!(cut(ramp, &no_center).kinds(), []);
    let steep = "G0 X10. Y20.\nG43 H1 Z0.5\nG1 X50. Z-2. F100.\n";
    assert_eq!(cut(steep, &no_center).kinds(), [ContactKind::CenterIntoStock]);
    let beside = "G0 X-6. Y20.\nG43 H1 Z5.\nG1 Z-2. F100.\nX66.\n";
    assert_eq!(cut(beside, &no_center).kinds(), []);
}

#[test]
fn shank_and_holder_in_material() {
    let short = [("\"flute_length\": 25", "\"flute_length\": 5")];
    let deep = "G0 X-10. Y20.\nG43 H1 Z5.\nG1 Z-8. F100.\nX70.\n";
    assert_eq!(cut(deep, &[]).kinds(), []);
    let c = cut(deep, &short);
    assert_eq!(c.kinds(), [ContactKind::ShankIntoStock]);
    // The shank reaches 3 mm into the block from below its top.
    assert!(
        near(c.told.contacts[0].tip.x, -5.0, 0.01) && near(c.told.contacts[0].depth, 3.0, 0.26),
        "{:?}",
        c.told.contacts
    );
    // In two levels it runs in the slot that the first has opened, on lines and on arcs.
    let levels = "G0 X-10. Y10.\nG43 H1 Z5.\nG1 Z-4. F100.\nX20.\nG3 X20. Y31.7 R11.\nG1 X-10.\nG0 Y10.\n\
                  G1 Z-8.\nX20.\nG3 X20. Y31.7 R11.\nG1 X-10.\nG0 Z50.\n";
    assert_eq!(cut(levels, &short).kinds(), []);
    let holder = [("\"stickout\": 35", "\"stickout\": 15"), ("\"flute_length\": 25", "\"flute_length\": 14")];
    let c = cut("G0 X30. Y20.\nG43 H1 Z5.\nG1 Z-17. F100.\n", &holder);
    let kinds = c.kinds();
    // The shank is as thick as the cutter and follows it down its own hole.
    assert_eq!(kinds, [ContactKind::HolderIntoStock]);
    // The nose of the holder meets the top when the tip is 15 mm below it, and goes 2 mm in.
    assert!(
        near(c.told.contacts[0].tip.z, -15.0, 0.01) && near(c.told.contacts[0].depth, 2.0, 0.01),
        "{:?}",
        c.told.contacts
    );
}

#[test]
fn swept_volumes_agree_with_closed_formulas() {
    // What is taken, and its volume: r = 5, depth 3 below the top.
    let slot = ("G0 X15. Y20.\nG43 H1 Z5.\nG1 Z-3. F100.\nX45.\n", 3.0 * (30.0 * 10.0 + PI * 25.0));
    let ring = (
        "G0 X40. Y20.\nG43 H1 Z5.\nG1 Z-3. F100.\nG3 X40. Y20. I-10.\n",
        3.0 * PI * (15.0 * 15.0 - 5.0 * 5.0),
    );
    let arc = (
        "G0 X40. Y20.\nG43 H1 Z5.\nG1 Z-3. F100.\nG3 X20. Y20. I-10.\n",
        3.0 * (PI / 2.0 * (15.0 * 15.0 - 5.0 * 5.0) + PI * 25.0),
    );
    // A helix that goes down one turn and once round at the bottom leaves a ring to full depth.
    let helix = (
        "G0 X40. Y20.\nG43 H1 Z0.\nG3 X40. Y20. I-10. Z-3. F100.\nG3 X40. Y20. I-10.\n",
        3.0 * PI * (15.0 * 15.0 - 5.0 * 5.0),
    );
    let point = 2.5 / libm::tan(59.0_f64.to_radians());
    let drill = (
        "T2 M6\nS4000 M3\nG0 X30. Y20.\nG43 H2 Z5.\nG1 Z-12. F100.\nG0 Z50.\n",
        PI * 6.25 * (12.0 - point + point / 3.0),
    );
    for (text, volume) in [slot, ring, arc, helix, drill] {
        let c = cut(text, &[]);
        let (after, bound) = c.stock.volume();
        assert!(near(c.removed(), volume, 0.01 * volume), "{text} {} {volume}", c.removed());
        assert!(near(c.before - after, volume, bound), "{text} {} {volume} {bound}", c.before - after);
        assert!(near(c.before - after, c.removed(), 1e-6), "{text}");
        assert_eq!(c.kinds(), []);
    }
}

/// A program with every kind of motion, with a drill, a ball and a chamfer mill.
const MIXED: &str = "G0 X-20. Y5.\nG43 H1 Z5.\nG1 Z-2.5 F500.\nX50.\nG3 X50. Y20. J7.5\nG2 X30. Y30. I-3. J8. Z-4.\n\
    G1 X10. Y12. Z-1.\nG18 G2 X20. Z-1. I5. K0.\nG17\nG0 Z30.\nT6 M6\nS5000 M3\nG0 X10. Y30.\nG43 H6 Z5.\n\
    G1 Z-3. F200.\nX40. Y8. Z-6.\nG3 X40. Y8. I4. J4. Z-9.\nG0 Z30.\nT2 M6\nS2000 M3\nG0 X55. Y35.\nG43 H2 Z5.\n\
    G83 X55. Y35. Z-23. R2. Q4. F80.\nX5.\nG80\nG0 Z30.\nT5 M6\nS2000 M3\nG0 X-10. Y4.\nG43 H5 Z5.\n\
    G1 Z-4. F200.\nX70.\nG0 Z50.\n";

#[test]
fn a_probe_on_a_ray_tells_what_the_ray_holds() {
    let c = cut(MIXED, &[]);
    let mut cut_ends = 0;
    for axis in Axis::ALL {
        let layout = *c.stock.grid(axis);
        for j in (0..layout.v.count()).step_by(3) {
            for i in (0..layout.u.count()).step_by(3) {
                let ray = c.stock.ray(axis, i, j);
                let probe = c.history.probe(axis, layout.u.at(i), layout.v.at(j));
                assert_eq!(ray.len(), probe.len(), "{axis:?} {i} {j} {ray:?} {probe:?}");
                for (r, p) in ray.iter().zip(&probe) {
                    assert!(near(f64::from(r.low), p.low * 1e6, 0.501), "{r:?} {p:?}");
                    assert!(near(f64::from(r.high), p.high * 1e6, 0.501), "{r:?} {p:?}");
                    assert_eq!((r.low_by, r.high_by), (p.low_by, p.high_by), "{axis:?} {i} {j}");
                    cut_ends += usize::from(p.high_by != crate::stock::CutId::RAW);
                }
            }
        }
    }
    assert!(cut_ends > 2000, "{cut_ends}");
}

#[test]
fn points_are_in_material_where_the_probe_has_it() {
    let c = cut(MIXED, &[]);
    for n in 0..2000_u32 {
        let share = |k: u32| f64::from(n * k % 1009) / 1009.0;
        let p = Vec3::new(share(331) * 62.0 - 1.0, share(577) * 42.0 - 1.0, share(811) * 21.0);
        let probed = c.history.probe(Axis::Y, p.z, p.x).iter().any(|s| s.low <= p.y && p.y <= s.high);
        assert_eq!(c.history.material_at(&p), probed, "{p:?}");
    }
}

#[test]
fn every_end_knows_the_move_that_made_it() {
    let c = cut("G0 X-10. Y20.\nG43 H1 Z5.\nG1 Z-3. F100.\nX70.\nG0 Z50.\n", &[]);
    let floor = c.history.probe(Axis::Z, 30.0, 20.0);
    assert_eq!((floor.len(), floor[0].low, floor[0].high), (1, 0.0, 17.0));
    assert_eq!(c.history.origin(floor[0].low_by), None);
    let origin = c.history.origin(floor[0].high_by).expect("cut");
    assert_eq!((origin.setup, origin.role), (0, crate::cutter::PartRole::Cutter));
    assert_eq!(c.run.moves[origin.move_index].place.line, 7);
    let before = c.history.probe_before(Axis::Z, 30.0, 20.0, floor[0].high_by);
    assert!(near(before[0].high, 20.0, 1e-12));
}

#[test]
fn same_cut_for_any_number_of_threads() {
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let c = cut(
                &format!("{MIXED}G0 Z-5. X30. Y20.\n"),
                &[("\"flute_length\": 15", "\"flute_length\": 4")],
            );
            (c.told.moves, c.told.contacts, c.stock.volumes())
        })
    };
    let one = run(1);
    assert!(!one.1.is_empty(), "no contact to compare");
    assert!(one.0.iter().any(|m| m.removed > 100.0));
    assert!(one == run(2) && one == run(8));
}

#[test]
fn a_lens_agrees_with_exact_probes_and_leaves_no_cut_out() {
    let c = cut(MIXED, &[]);
    let inside = crate::geom::Box3 { min: Vec3::new(8.0, 3.0, 12.0), max: Vec3::new(34.0, 21.0, 21.0) };
    let lens = c.history.lens(&inside, 0.13, c.history.next_id()).expect("a lens");
    let bounds = *lens.raw_bounds();
    assert!((bounds.max.z - 20.0).abs() < 1e-12, "no larger than the raw stock");
    let mut ends = 0;
    for axis in Axis::ALL {
        let layout = *lens.grid(axis);
        let (from, to) = (axis.of(&bounds.min), axis.of(&bounds.max));
        for j in (0..layout.v.count()).step_by(5) {
            for i in (0..layout.u.count()).step_by(5) {
                let seen: Vec<_> = lens.ray(axis, i, j).to_vec();
                let probed: Vec<_> = c
                    .history
                    .probe(axis, layout.u.at(i), layout.v.at(j))
                    .into_iter()
                    .filter(|p| p.low.max(from) + 3e-6 < p.high.min(to))
                    .collect();
                assert_eq!(seen.len(), probed.len(), "{axis:?} {i} {j} {seen:?} {probed:?}");
                for (s, p) in seen.iter().zip(&probed) {
                    assert!(near(f64::from(s.low), p.low.max(from) * 1e6, 0.501), "{s:?} {p:?}");
                    assert!(near(f64::from(s.high), p.high.min(to) * 1e6, 0.501), "{s:?} {p:?}");
                    if p.high < to {
                        assert_eq!(s.high_by, p.high_by);
                        ends += 1;
                    }
                }
            }
        }
    }
    assert!(ends > 300, "{ends}");
    // Before the first cut it is the raw stock.
    let raw = c.history.lens(&inside, 0.5, crate::stock::CutId(1)).expect("a lens");
    assert!(near(raw.volume().0, bounds.size().product(), 1e-3 * bounds.size().product()));
    let outside = crate::geom::Box3 { min: Vec3::new(90.0, 0.0, 0.0), max: Vec3::new(91.0, 1.0, 1.0) };
    assert!(c.history.lens(&outside, 0.1, c.history.next_id()).is_err());
}

#[test]
fn a_cutting_move_tells_how_far_it_was_in_the_material() {
    // A slot 3 mm deep, then a pass beside it with 4 mm of the cutter, then one in the air.
    let c =
        cut("G0 X-20. Y12.\nG43 H1 Z5.\nG1 Z-3. F500.\nX80.\nY16.\nX-20.\nY14.\nZ-1.\nX80.\nG0 Z50.\n", &[]);
    let of = |line: u32| {
        let index = c.run.moves.iter().position(|m| m.place.line == line).expect("that line");
        c.told.moves[index].engagement
    };
    let slot = of(7).expect("a slot");
    assert!(near(slot.axial, 3.0, 1e-9) && near(slot.radial.expect("sides"), 10.0, 0.5), "{slot:?}");
    let pass = of(9).expect("a pass");
    assert!(near(pass.axial, 3.0, 1e-9) && near(pass.radial.expect("sides"), 4.0, 0.5), "{pass:?}");
    assert_eq!(of(12), None, "in the air");
    assert_eq!(of(13), None, "a rapid");
    let plunge = cut("G0 X30. Y20.\nG43 H1 Z5.\nG1 Z-3. F500.\nG0 Z50.\n", &[]);
    let met = plunge.told.moves.iter().find_map(|m| m.engagement).expect("a plunge");
    assert!(near(met.axial, 3.0, 1e-9) && met.radial.is_none(), "{met:?}");
}
