use super::mesh::small;
use super::path::points;
use super::{Behind, Entry, Kind, Label, Legend, LineSet, Lines, MeshBuilder, Pattern, Shade, Swatch};
use crate::colour::{Theme, category};
use glam::{Mat4, Vec2, Vec3};
use proofcut_core::checks::contact::{self, LOOK_WITHIN};
use proofcut_core::checks::sections;
use proofcut_core::checks::workholding::Holding;
use proofcut_core::cutter::{Assembly, Body, PartRole};
use proofcut_core::geom::Vec3 as Exact;
use proofcut_core::job::Job;
use proofcut_core::motion::{MoveKind, Run};
use std::f32::consts::TAU;
use std::ops::Range;
use std::sync::Arc;

/// How near a tool comes to the workholding where it goes lowest over it: the numbers of the checks.
#[derive(Clone, Debug, PartialEq)]
pub struct Clearance {
    /// Tool number.
    pub tool: u32,
    /// Largest radius of cutter and shank, millimetres.
    pub radius: f32,
    /// Name of the piece.
    pub solid: String,
    /// Tip to jog to, setup frame.
    pub tip: Exact,
    /// Least distance there, millimetres, never more than the truth; 0 for a touch.
    pub clearance: f64,
    /// Moves of the pass at that depth.
    pub pass: Range<usize>,
}

/// Heights that differ by less than this belong to one pass, millimetres.
const SAME_HEIGHT: f64 = 1.0e-4;
/// Pieces of a round end.
const ROUND: u16 = 48;
/// Opacity of shades.
const OPACITY: u8 = 90;

/// For each tool of a run the piece to which it comes nearest where it goes lowest, nearest tool first.
pub fn clearances(job: &Job, run: &Run, holding: &Holding) -> Vec<Clearance> {
    let mut out: Vec<Clearance> = Vec::new();
    for section in sections(run) {
        let Some(tool) = section.tool.and_then(|t| job.tool(t)) else { continue };
        let assembly = Assembly::envelope(tool);
        let found =
            contact::look(&assembly, &run.moves, section.moves.clone(), &holding.pieces, job.clearance);
        let nearest = found.lowest.iter().min_by(|a, b| a.clearance.total_cmp(&b.clearance));
        let Some(l) = nearest.filter(|l| l.clearance < LOOK_WITHIN) else { continue };
        let below = [PartRole::Cutter, PartRole::Shank];
        let radius = below.iter().flat_map(|r| assembly.bodies(*r)).map(Body::radius).fold(0.0, f64::max);
        let new = Clearance {
            tool: tool.number,
            radius: small(&Exact::new(radius, 0.0, 0.0)).x,
            solid: holding.pieces.get(l.piece).map_or_else(String::new, |p| p.name.clone()),
            tip: l.tip,
            clearance: l.clearance,
            pass: pass(run, &section.moves, l.move_index, l.tip.z),
        };
        // A tool that comes in twice is shown once, where it comes nearer.
        match out.iter_mut().find(|c| c.tool == new.tool) {
            Some(known) if known.clearance <= new.clearance => {}
            Some(known) => *known = new,
            None => out.push(new),
        }
    }
    out.sort_by(|a, b| a.clearance.total_cmp(&b.clearance));
    out
}

/// The moves about one that stay at a depth.
fn pass(run: &Run, within: &Range<usize>, index: usize, depth: f64) -> Range<usize> {
    let level = |i: usize| {
        run.moves.get(i).filter(|m| m.kind != MoveKind::Home).is_some_and(|m| {
            let b = m.path.bounds();
            (b.min.z - depth).abs() <= SAME_HEIGHT && (b.max.z - depth).abs() <= SAME_HEIGHT
        })
    };
    let mut from = index;
    while from > within.start && level(from - 1) {
        from -= 1;
    }
    let mut to = index + 1;
    while to < within.end && level(to) {
        to += 1;
    }
    from..to
}

/// The shade of a clearance, its jog-to mark and its note. `number`: which of the colours it has.
pub fn shade_of(job: &Job, run: &Run, c: &Clearance, number: usize, theme: &Theme) -> (Shade, Lines, Label) {
    let mut mesh = MeshBuilder::default();
    let tip = small(&c.tip);
    let moves = run.moves.get(c.pass.clone()).unwrap_or_default();
    // A plunge has no level pass: there the outline stands where the tip is.
    let level = |p: &Vec3| (f64::from(p.z) - c.tip.z).abs() <= 10.0 * SAME_HEIGHT;
    disc(&mut mesh, tip, c.radius);
    for m in moves {
        let line: Vec<Vec3> = points(&m.path).into_iter().filter(level).collect();
        for (a, b) in line.iter().zip(line.iter().skip(1)) {
            ribbon(&mut mesh, *a, *b, c.radius);
        }
        for p in &line {
            disc(&mut mesh, *p, c.radius);
        }
    }
    let colour = category(number);
    let shade = Shade {
        mesh: mesh.finish().into_iter().next().unwrap_or_default(),
        colour: colour.with_opacity(OPACITY),
    };
    let unit = job.unit;
    let text = format!("T{} {}", c.tool, unit.write(c.clearance));
    (shade, mark(tip, c.radius, theme), Label { at: tip, text, on_paper: true })
}

/// The list of clearances as a legend.
pub fn legend(job: &Job, all: &[Clearance]) -> Legend {
    let unit = job.unit;
    let entries = all.iter().enumerate().map(|(n, c)| {
        let [x, y, z] = [c.tip.x, c.tip.y, c.tip.z].map(|v| unit.number(v));
        let near = if c.clearance > 0.0 { unit.write(c.clearance) } else { "touches".to_owned() };
        let text = format!("T{}: {near}, {}; jog to X{x} Y{y} Z{z}", c.tool, c.solid);
        Entry { swatch: Swatch::Patch(category(n)), text }
    });
    Legend { title: "Lowest over the workholding".to_owned(), entries: entries.collect() }
}

fn disc(mesh: &mut MeshBuilder, middle: Vec3, radius: f32) {
    mesh.make_room(usize::from(ROUND));
    let hub = mesh.vertex(middle, Vec3::Z, 0);
    let rim: Vec<u32> = (0..=ROUND)
        .map(|k| {
            let out = Vec2::from_angle(TAU * f32::from(k) / f32::from(ROUND)) * radius;
            mesh.vertex(middle + out.extend(0.0), Vec3::Z, 0)
        })
        .collect();
    for (a, b) in rim.iter().zip(rim.iter().skip(1)) {
        mesh.triangle([hub, *a, *b]);
    }
}

fn ribbon(mesh: &mut MeshBuilder, from: Vec3, to: Vec3, radius: f32) {
    let along = (to - from).truncate();
    if along.length_squared() > 0.0 {
        let side = (along.normalize().perp() * radius).extend(0.0);
        mesh.make_room(2);
        mesh.flat([from - side, to - side, to + side, from + side], 0);
    }
}

/// A cross in a ring: the point to jog to.
fn mark(tip: Vec3, radius: f32, theme: &Theme) -> Lines {
    let mut set = LineSet::default();
    let size = radius.clamp(1.5, 4.0);
    let ring: Vec<Vec3> = (0..=24_u8)
        .map(|k| tip + (Vec2::from_angle(TAU * f32::from(k) / 24.0) * size * 0.6).extend(0.0))
        .collect();
    set.chain(&ring, theme.ink, 1.8, Pattern::Full);
    for arm in [Vec3::X, Vec3::Y] {
        set.push(tip - arm * size, tip + arm * size, theme.ink, 1.8, Pattern::Full);
    }
    set.push(tip, tip + Vec3::Z * size * 2.0, theme.ink, 1.8, Pattern::Full);
    Lines {
        kind: Kind::Mark,
        set: Arc::new(set),
        world_from_lines: Mat4::IDENTITY,
        behind: Behind::Full,
        sectioned: false,
    }
}
