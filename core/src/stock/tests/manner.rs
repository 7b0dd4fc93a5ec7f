//! Every manner of working gives the same bytes: widths of vectors, culling on and off, bands of any size,
//! ops one by one and many together.

use super::super::manner::{Manner, Records, Vectors};
use super::*;
use crate::cutter::Body;
use crate::geom::{Arc, Path};
use crate::sweep::Sweep;
use std::f64::consts::PI;

fn bodies() -> [Body; 6] {
    [
        Body::Frustum { z0: 0.0, z1: 9.0, r0: 1.1, r1: 1.1 },
        Body::HalfBall { z0: 0.0, radius: 1.3 },
        Body::RoundedDisc { z0: 0.0, radius: 1.2, corner: 0.3 },
        Body::Frustum { z0: 0.0, z1: 2.0, r0: 0.1, r1: 2.1 },
        Body::Frustum { z0: 0.0, z1: 3.0, r0: 1.4, r1: 0.9 },
        Body::Frustum { z0: 0.5, z1: 0.9, r0: 1.7, r1: 1.7 },
    ]
}

fn paths() -> Vec<Path> {
    let line = |a: [f64; 3], b: [f64; 3]| Path::Line { from: Vec3::from(a), to: Vec3::from(b) };
    let arc = |axis, center: [f64; 3], radius, start_angle, sweep, rise| {
        Path::Arc(Arc { center: Vec3::from(center), axis, radius, start_angle, sweep, rise })
    };
    vec![
        line([-5.0, -3.0, 1.6], [4.0, -2.0, 1.6]),
        line([4.0, -2.0, 1.6], [4.3, -2.0, 1.6]),
        line([4.3, -2.0, 1.6], [4.3, 2.0, 1.1]),
        line([4.3, 2.0, 1.1], [-4.0, 2.5, 0.2]),
        line([-4.0, 2.5, 0.2], [-4.0, 2.5, -1.3]),
        line([-4.0, 2.5, -1.3], [-4.0, -2.5, -1.3]),
        arc(Axis::Z, [0.0, 0.0, 0.4], 1.9, 0.4, 4.1, 0.0),
        arc(Axis::Z, [0.3, 0.1, 0.4], 1.2, -0.4, -2.0 * PI, 0.0),
        arc(Axis::Z, [1.0, 1.0, 1.0], 0.8, 0.0, 5.0 * PI, -1.7),
        arc(Axis::Y, [-1.0, 0.0, 2.0], 2.0, 1.0, 1.8, 0.0),
        arc(Axis::X, [-2.0, 0.0, 1.5], 1.0, -1.0, 2.0, 0.3),
        line([0.0, 0.0, 2.6], [0.0, 0.0, 2.6]),
    ]
}

fn ops() -> Vec<Op> {
    let pairs = bodies().into_iter().flat_map(|b| paths().into_iter().map(move |p| (b, p)));
    let mut ops: Vec<Op> = (1..)
        .zip(pairs)
        .map(|(n, (body, path))| {
            let mode = match n % 5 {
                0 => OpMode::CutAndReport,
                1 => OpMode::Look,
                _ => OpMode::Cut,
            };
            Op { id: CutId(n), sweep: Sweep::new(body, &path), mode }
        })
        .collect();
    // Not body after body, so that each finds stock left over by all the others.
    ops.sort_by_key(|op| op.id.0 * 37 % 101);
    ops
}

/// Two pockets, one along X, one turned, cleared level by level in short moves, back and forth. Where moves join they are up to so
/// much (mm) beside their row, as coordinates of a program are by their last decimal.
fn short_level_moves(off: f64) -> Vec<Op> {
    let body = Body::Frustum { z0: 0.0, z1: 9.0, r0: 1.1, r1: 1.1 };
    let mut ops = Vec::new();
    for (level, z) in [0.6, 0.33, 0.05, -0.4].into_iter().enumerate() {
        for (origin, along) in [([-3.2, -2.4], [1.0, 0.0]), ([0.9, -1.7], [0.8, 0.6])] {
            let place = |way: f64, row: f64| {
                let (x, y) = (way * along[0] - row * along[1], way * along[1] + row * along[0]);
                Vec3::new(origin[0] + x, origin[1] + y, z)
            };
            let mut corners: Vec<(f64, f64)> = Vec::new();
            for n in 0..6_u32 {
                let row = f64::from(n) * 0.47;
                corners.extend(if n % 2 == 0 { [(0.0, row), (2.3, row)] } else { [(2.3, row), (0.0, row)] });
            }
            if level % 2 == 1 {
                corners.reverse();
            }
            for pair in corners.windows(2) {
                let (from, to) = (place(pair[0].0, pair[0].1), place(pair[1].0, pair[1].1));
                let steps = ((to - from).norm() / 0.17).ceil();
                let mut n = 0.0;
                while n < steps {
                    let at = |k: f64| {
                        let beside = off * libm::sin(k * 2.7 + f64::from(u32::try_from(level).unwrap()));
                        from + (to - from) * (k / steps) + Vec3::new(-along[1], along[0], 0.0) * beside
                    };
                    let path = Path::Line { from: at(n), to: at(n + 1.0) };
                    let id = CutId(u32::try_from(ops.len() + 1).expect("few"));
                    ops.push(Op { id, sweep: Sweep::new(body, &path), mode: OpMode::Cut });
                    n += 1.0;
                }
            }
        }
    }
    ops
}

/// Rows of short moves of a ball mill over a wave, its neck behind it, now and then a level row, a move that reports and one that
/// only looks.
fn surface_ops() -> Vec<Op> {
    let tip = |row: u32, step: u32| {
        let step = if row.is_multiple_of(2) { step } else { 21 - step };
        let (x, y) = (-3.5 + 0.33 * f64::from(step), -2.4 + 0.37 * f64::from(row));
        let wave = if row % 5 == 3 { 0.0 } else { 0.25 * libm::sin(1.1 * x) * libm::cos(0.9 * y) };
        Vec3::new(x, y, 1.3 + wave)
    };
    let mut ops = Vec::new();
    for (row, step) in (0..14).flat_map(|row| (0..21).map(move |step| (row, step))) {
        let path = Path::Line { from: tip(row, step), to: tip(row, step + 1) };
        let ball = Body::HalfBall { z0: 0.0, radius: 1.3 };
        let neck = Body::Frustum { z0: 1.3, z1: 2.9, r0: 1.3, r1: 1.3 };
        let bodies = if step % 3 == 0 { [Some(ball), Some(neck)] } else { [Some(ball), None] };
        for body in bodies.into_iter().flatten() {
            let id = CutId(1 + u32::try_from(ops.len()).unwrap());
            let mode = match ops.len() {
                n if n % 45 == 44 => OpMode::CutAndReport,
                // What was only looked at is left for the move that goes on from there.
                n if n % 23 == 11 => OpMode::Look,
                _ => OpMode::Cut,
            };
            ops.push(Op { id, sweep: Sweep::new(body, &path), mode });
        }
    }
    ops
}

fn manners() -> [Manner; 9] {
    let best = Manner::best();
    [
        Manner { vectors: Vectors::Plain, ..best },
        Manner { vectors: Vectors::Bits256, ..best },
        Manner { cull: false, ..best },
        Manner { band_size: 16, ..best },
        Manner { band_size: 64, ..best },
        Manner { at_work: 1, ..best },
        Manner { at_work: 7, vectors: Vectors::Bits256, ..best },
        Manner { band_size: 4096, ..best },
        Manner { vectors: Vectors::Plain, cull: false, band_size: 32, at_work: 128, ..best },
    ]
}

fn result(frame: &Frame, ops: &[Op], manner: Manner) -> (Vec<OpRecord>, Vec<(Axis, Vec<Interval>)>) {
    let raw = RawStock::Box(block([0.0, 0.0, -4.0], [9.0, 7.0, 1.0]));
    let mut cut = Stock::worked(&raw, 0.11, manner).expect("plain block");
    // Lent, as the program does, so that the engine is compiled for nothing else.
    let lent: Vec<Op<&Sweep>> =
        ops.iter().map(|op| Op { id: op.id, sweep: &op.sweep, mode: op.mode }).collect();
    let records = cut.recorded(frame, &lent);
    (records, all_rays(&cut))
}

/// The records that every manner of working must give, after it was seen that it does, down to every byte of every ray.
fn same_in_every_manner(which: usize, ops: &[Op]) -> Vec<OpRecord> {
    let frame = &all_frames()[which];
    let (records, rays) = result(frame, ops, Manner::best());
    for manner in manners() {
        let (other_records, other_rays) = result(frame, ops, manner);
        for (n, (a, b)) in records.iter().zip(&other_records).enumerate() {
            assert_eq!(a, b, "op {n}, frame {which}, {manner:?}");
        }
        assert!(rays == other_rays, "frame {which}, {manner:?}");
    }
    let telling = |records| result(frame, ops, Manner { records, ..Manner::best() });
    let (silent, rays_left) = telling(Records::Empty);
    assert!(rays == rays_left, "frame {which}: telling what was met changes what is left");
    assert!(silent.iter().all(|r| *r == OpRecord::default()), "frame {which}: told all the same");
    let (without_sides, rays_left) = telling(Records::WithoutSides);
    assert!(rays == rays_left, "frame {which}: telling how far to the sides changes what is left");
    for (n, (with, without)) in records.iter().zip(without_sides).enumerate() {
        assert_eq!(OpRecord { beside: None, ..with.clone() }, without, "op {n}, frame {which}");
    }
    adds_up(ops, &records, &rays);
    records
}

/// Asserts that what ops met along each axis is, in sum, what is gone there, but for what is left so thin that it goes
/// uncounted.
fn adds_up(ops: &[Op], records: &[OpRecord], left: &[(Axis, Vec<Interval>)]) {
    let (_, raw) = result(&all_frames()[0], &[], Manner::best());
    for axis in Axis::ALL {
        let lengths = |rays: &[(Axis, Vec<Interval>)]| -> (i64, i64) {
            let own = rays.iter().filter(|(along, _)| *along == axis);
            let of_ray = |pieces: &[Interval]| pieces.iter().map(|p| i64::from(p.high - p.low)).sum::<i64>();
            own.fold((0, 0), |(sum, rays), (_, pieces)| (sum + of_ray(pieces), rays + 1))
        };
        let gone = lengths(&raw).0 - lengths(left).0;
        let met = ops.iter().zip(records).filter(|(op, _)| op.mode != OpMode::Look);
        let met: i64 = met.map(|(_, record)| record.met[axis.index()]).sum();
        let thin = 20 * lengths(&raw).1;
        assert!((0..=thin).contains(&(gone - met)), "{axis:?}: {gone} nm gone, {met} nm met");
    }
}

/// How far right of a line the rays along Z pass that hold something else than before.
fn changed_beside(path: &Path, before: &Stock, after: &Stock) -> Option<(f64, f64)> {
    let (from, to) = (path.start(), path.end());
    let way = (to - from) / (to - from).norm();
    let layout = after.grid(Axis::Z);
    let mut sides: Option<(f64, f64)> = None;
    for (i, j) in (0..layout.v.count()).flat_map(|j| (0..layout.u.count()).map(move |i| (i, j))) {
        if before.ray(Axis::Z, i, j) != after.ray(Axis::Z, i, j) {
            let right = (layout.u.at(i) - from.x) * way.y - (layout.v.at(j) - from.y) * way.x;
            let (least, most) = sides.unwrap_or((right, right));
            sides = Some((least.min(right), most.max(right)));
        }
    }
    sides
}

#[test]
fn how_far_to_the_sides_of_level_moves_is_that_of_the_rays_that_changed() {
    let raw = RawStock::Box(block([0.0, 0.0, -4.0], [9.0, 7.0, 1.0]));
    // A quarter turn about the part's own Z.
    let up = Direction::new(Axis::Z, true);
    let frame = Frame::new(up, Direction::new(Axis::Y, true), Vec3::new(4.5, 3.25, -1.5)).expect("square");
    let ops = short_level_moves(5e-5);
    let mut one_by_one = Stock::worked(&raw, 0.11, Manner::best()).expect("plain block");
    let mut together = one_by_one.clone();
    let told = together.recorded(&frame, &ops);
    let mut seen = 0;
    for (op, told) in ops.iter().zip(told) {
        let before = one_by_one.clone();
        one_by_one.recorded(&frame, std::slice::from_ref(op));
        let path = op.sweep.path();
        let moved = match path {
            Path::Line { from, to } => {
                Path::Line { from: frame.part_from_setup(from), to: frame.part_from_setup(to) }
            }
            Path::Arc(_) => unreachable!("only lines"),
        };
        match (changed_beside(&moved, &before, &one_by_one), told.beside) {
            (Some(own), Some(told)) => {
                seen += 1;
                assert!((own.0 - told.0).abs() < 1e-9 && (own.1 - told.1).abs() < 1e-9, "{own:?} {told:?}");
            }
            (own, told) => assert_eq!(own, told, "{op:?}"),
        }
    }
    assert!(seen > 300, "{seen}");
}

#[test]
fn same_bytes_in_every_manner_of_working() {
    for which in [0, 5, 10, 15, 21] {
        let records = same_in_every_manner(which, &ops());
        assert!(records.iter().filter(|r| r.longest != [0; 3]).count() > 30, "the ops meet too little");
        assert!(records.iter().any(|r| r.beside.is_some()) && records.iter().any(|r| !r.bites.is_empty()));
    }
}

#[test]
fn same_bytes_for_short_level_moves_in_every_manner() {
    // Exact, so that rounding decides whether a later move takes something more, and rounded as programs are.
    for (off, frames) in [(0.0, [0, 7, 15]), (2.5e-6, [1, 6, 12]), (5e-5, [3, 9, 20])] {
        let ops = short_level_moves(off);
        assert!(ops.len() > 600, "{}", ops.len());
        for which in frames {
            let records = same_in_every_manner(which, &ops);
            let met = records.iter().filter(|r| r.met.iter().all(|nm| *nm > 0) && r.beside.is_some()).count();
            assert!(met > 200, "frame {which}: {met} of {} moves meet material", ops.len());
        }
    }
}

#[test]
fn moves_over_a_surface_leave_the_same_bytes_in_every_manner_of_working() {
    for which in [0, 7, 14, 19] {
        let records = same_in_every_manner(which, &surface_ops());
        assert!(records.iter().filter(|r| r.longest != [0; 3]).count() > 200, "the ops meet too little");
        assert!(records.iter().any(|r| r.beside.is_some()) && records.iter().any(|r| !r.bites.is_empty()));
    }
}

#[test]
fn same_bytes_where_level_moves_and_a_ball_cut_in_turns() {
    // What was known of packets after a level must not be believed any more after a ball.
    let (levels, mut ops) = (short_level_moves(5e-5), Vec::new());
    let half = levels.len() / 2;
    let lower = surface_ops().into_iter().map(|op| lowered(&op, 1.2));
    ops.extend(levels[..half].iter().cloned());
    ops.extend(lower);
    ops.extend(levels[half..].iter().cloned());
    for (id, op) in (1..).zip(&mut ops) {
        op.id = CutId(id);
    }
    for which in [0, 5] {
        same_in_every_manner(which, &ops);
    }
}

#[test]
fn same_bytes_where_a_ball_goes_above_places_that_it_has_been_under() {
    // What it leaves void below what stands must not be taken for void up there: heights below zero and above it.
    let all = surface_ops();
    let mut ops = Vec::new();
    for row in all[..180].chunks(30) {
        ops.extend(row.iter().map(|op| lowered(op, 3.4)));
        ops.extend(row.iter().map(|op| lowered(op, 2.3)));
    }
    for (id, op) in (1..).zip(&mut ops) {
        (op.id, op.mode) = (CutId(id), OpMode::Cut);
    }
    for which in [0, 14] {
        let records = same_in_every_manner(which, &ops);
        assert!(records.iter().filter(|r| r.longest != [0; 3]).count() > 200, "the ops meet too little");
    }
}

/// The same on a line, so much further down.
fn lowered(op: &Op, by: f64) -> Op {
    let down = |p: &Vec3| p - Vec3::new(0.0, 0.0, by);
    let Path::Line { from, to } = op.sweep.path() else { unreachable!("only lines") };
    let path = Path::Line { from: down(from), to: down(to) };
    Op { sweep: Sweep::new(*op.sweep.body(), &path), ..op.clone() }
}
