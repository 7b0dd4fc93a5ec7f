//! The stock against an independent judge: every ray cut one after the other, in floating point, with nothing shared
//! but the swept volume itself.

mod manner;
mod tight;

use super::*;
use crate::geom::{Axis, Box3, Direction, Frame, Spans, Vec3};
use crate::job::RawStock;
use proptest::prelude::*;

impl Stock {
    /// Runs ops and tells the record of each, of those that met nothing, too.
    fn recorded<S: Swept>(&mut self, frame: &Frame, ops: &[Op<S>]) -> Vec<OpRecord> {
        let mut records = vec![OpRecord::default(); ops.len()];
        let met = self.run(frame, ops).expect("within the limit");
        met.each(|number, record| records[number] = record.clone());
        records
    }
}

/// Volumes of the tests: a box, and an upright cylinder led along a level line.
#[derive(Clone, Debug)]
enum Shape {
    Block(Box3),
    /// The same block, but not telling that it is a prism: takes the general way through the engine.
    Shy(Box3),
    Track {
        from: Vec3,
        to: Vec3,
        radius: f64,
        height: f64,
        shy: bool,
    },
    /// Two blocks at once: two spans on a ray.
    Pair(Box3, Box3),
}

/// Ray by ray, with nothing known beforehand.
struct RayByRay;

impl ManyRays for RayByRay {
    fn single(&self) -> bool {
        false
    }

    fn spans(&self, _: &Lanes, _: &Lanes, _: &mut Lanes, _: &mut Lanes) {
        unreachable!("not asked of volumes with several spans a ray");
    }

    fn reach(&self, _: &Lanes, _: &Lanes, _: (f64, f64), low: &mut Lanes, high: &mut Lanes) {
        (*low, *high) = ([-100.0; 16], [100.0; 16]);
    }

    fn beside(&self, _: &Lanes, _: &Lanes) -> Option<Lanes> {
        None
    }
}

impl Swept for Shape {
    type Rays<'a> = RayByRay;

    fn rays(&self, _: Axis, _: bool) -> RayByRay {
        RayByRay
    }

    fn bounds(&self) -> Box3 {
        match self {
            Shape::Block(b) | Shape::Shy(b) => *b,
            Shape::Pair(a, b) => a.union(b),
            Shape::Track { from, to, radius, height, .. } => {
                let b = Box3::between(*from, *to);
                let side = Vec3::new(*radius, *radius, 0.0);
                Box3 { min: b.min - side, max: b.max + side + Vec3::new(0.0, 0.0, *height) }
            }
        }
    }

    fn spans(&self, axis: Axis, u: f64, v: f64, out: &mut Spans) {
        out.clear();
        match self {
            Shape::Block(b) | Shape::Shy(b) => out.extend(in_block(b, axis, u, v)),
            Shape::Pair(a, b) => {
                out.extend(in_block(a, axis, u, v));
                out.extend(in_block(b, axis, u, v));
                out.sort_by(|p, q| p.0.total_cmp(&q.0));
            }
            Shape::Track { from, to, radius, height, .. } => {
                let z = (from.z, from.z + height);
                let (x, y) = match axis {
                    Axis::Z => (u, v),
                    Axis::X => (f64::NAN, u),
                    Axis::Y => (v, f64::NAN),
                };
                if axis != Axis::Z
                    && !(z.0 <= if axis == Axis::X { v } else { u }
                        && (if axis == Axis::X { v } else { u }) <= z.1)
                {
                    return;
                }
                match axis {
                    Axis::Z => {
                        let way = to - from;
                        let t =
                            ((x - from.x) * way.x + (y - from.y) * way.y) / way.norm_squared().max(1e-300);
                        let near = from + way * t.clamp(0.0, 1.0);
                        if libm::hypot(x - near.x, y - near.y) < *radius {
                            out.push(z);
                        }
                    }
                    Axis::X => out.extend(across((from.x, from.y), (to.x, to.y), *radius, y)),
                    Axis::Y => out.extend(across((from.y, from.x), (to.y, to.x), *radius, x)),
                }
            }
        }
    }

    fn prism(&self) -> Option<(f64, f64)> {
        match self {
            Shape::Block(b) => Some((b.min.z, b.max.z)),
            Shape::Track { from, height, shy: false, .. } => Some((from.z, from.z + height)),
            Shape::Shy(_) | Shape::Pair(..) | Shape::Track { .. } => None,
        }
    }
}

fn in_block(b: &Box3, axis: Axis, u: f64, v: f64) -> Option<(f64, f64)> {
    let (p, q) = axis.others();
    let inside = p.of(&b.min) < u && u < p.of(&b.max) && q.of(&b.min) < v && v < q.of(&b.max);
    inside.then(|| (axis.of(&b.min), axis.of(&b.max)))
}

/// A line at `across` through a stadium from `a` to `b` (along, across): the ends are the extremes over its two
/// discs and its rectangle.
fn across(a: (f64, f64), b: (f64, f64), r: f64, at: f64) -> Option<(f64, f64)> {
    let mut ends: Vec<f64> = Vec::new();
    for c in [a, b] {
        let rest = r * r - (at - c.1) * (at - c.1);
        if rest > 0.0 {
            ends.extend([c.0 - rest.sqrt(), c.0 + rest.sqrt()]);
        }
    }
    let length = libm::hypot(b.0 - a.0, b.1 - a.1);
    if length > 0.0 {
        let side = ((a.1 - b.1) / length * r, (b.0 - a.0) / length * r);
        for s in [-1.0, 1.0] {
            let (p, q) = ((a.0 + s * side.0, a.1 + s * side.1), (b.0 + s * side.0, b.1 + s * side.1));
            let t = (at - p.1) / (q.1 - p.1);
            if (0.0..=1.0).contains(&t) {
                ends.push(p.0 + t * (q.0 - p.0));
            }
        }
    }
    let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
    let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    (low < high).then_some((low, high))
}

/// One ray of the judge: material and who cut each end.
fn judge(
    stock: &Stock,
    frame: &Frame,
    ops: &[Op<Shape>],
    axis: Axis,
    u: f64,
    v: f64,
) -> Vec<(f64, f64, u32, u32)> {
    let raw = stock.raw_bounds();
    let mut pieces = vec![(axis.of(&raw.min), axis.of(&raw.max), 0, 0)];
    let mut spans = Spans::new();
    for op in ops.iter().filter(|op| op.mode != OpMode::Look) {
        // Two points of the ray show how it lies in the setup.
        let mut p = Vec3::zeros();
        axis.others().0.set(&mut p, u);
        axis.others().1.set(&mut p, v);
        let a = frame.setup_from_part(&p);
        axis.set(&mut p, 1.0);
        let way = frame.setup_from_part(&p) - a;
        let along = Axis::ALL.into_iter().find(|x| x.of(&way).abs() > 0.5).expect("one axis");
        op.sweep.spans(along, along.others().0.of(&a), along.others().1.of(&a), &mut spans);
        for span in &spans {
            let ends = [span.0, span.1].map(|s| (s - along.of(&a)) * along.of(&way));
            let (low, high) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
            let mut after = Vec::new();
            for piece in pieces {
                if piece.1.min(high) - piece.0.max(low) <= 1.5e-6 {
                    after.push(piece);
                    continue;
                }
                if low - piece.0 > 2.5e-6 {
                    after.push((piece.0, low, piece.2, op.id.0));
                }
                if piece.1 - high > 2.5e-6 {
                    after.push((high, piece.1, op.id.0, piece.3));
                }
            }
            pieces = after;
        }
    }
    pieces
}

fn block(min: [f64; 3], max: [f64; 3]) -> Box3 {
    Box3 { min: Vec3::from(min), max: Vec3::from(max) }
}

fn stock(spacing: f64) -> Stock {
    Stock::new(&RawStock::Box(block([0.0, 0.0, -4.0], [9.0, 7.0, 1.0])), spacing).expect("plain block")
}

fn all_frames() -> Vec<Frame> {
    let directions: Vec<Direction> =
        Axis::ALL.into_iter().flat_map(|a| [true, false].map(|s| Direction::new(a, s))).collect();
    let mut frames = Vec::new();
    for up in &directions {
        for right in &directions {
            frames.extend(Frame::new(*up, *right, Vec3::new(4.5, 3.25, -1.5)));
        }
    }
    frames
}

/// A few cuts of every kind about the middle of the block.
fn cuts() -> Vec<Op<Shape>> {
    let track = |a: [f64; 3], b: [f64; 3], shy| Shape::Track {
        from: Vec3::from(a),
        to: Vec3::from(b),
        radius: 1.03,
        height: 6.0,
        shy,
    };
    let shapes = [
        Shape::Block(block([-1.0, -9.0, -0.7], [0.3, 9.0, 0.9])),
        track([-3.0, -1.0, 0.4], [3.0, 1.4, 0.4], false),
        track([-3.0, 1.0, 0.1], [3.0, 1.1, 0.1], true),
        Shape::Shy(block([1.0, -2.0, -9.0], [1.4, 2.0, 9.0])),
        Shape::Pair(block([-4.0, -3.0, -1.0], [-3.5, 3.0, 1.0]), block([2.5, -3.0, -1.0], [3.1, 3.0, 1.0])),
        track([-2.0, -2.0, -1.1], [2.0, -1.0, -1.1], false),
        Shape::Block(block([-9.0, -9.0, 1.9], [9.0, 9.0, 9.0])),
    ];
    (1..).zip(shapes).map(|(n, sweep)| Op { id: CutId(n), sweep, mode: OpMode::Cut }).collect()
}

fn all_rays(stock: &Stock) -> Vec<(Axis, Vec<Interval>)> {
    let mut rays = Vec::new();
    for axis in Axis::ALL {
        let layout = *stock.grid(axis);
        for j in 0..layout.v.count() {
            for i in 0..layout.u.count() {
                rays.push((axis, stock.ray(axis, i, j).to_vec()));
            }
        }
    }
    rays
}

#[test]
fn every_ray_agrees_with_the_judge_in_all_24_orientations() {
    for frame in all_frames() {
        let ops = cuts();
        let mut cut = stock(0.23);
        cut.recorded(&frame, &ops);
        for axis in Axis::ALL {
            let layout = *cut.grid(axis);
            for j in 0..layout.v.count() {
                for i in 0..layout.u.count() {
                    let want = judge(&cut, &frame, &ops, axis, layout.u.at(i), layout.v.at(j));
                    let got = cut.ray(axis, i, j);
                    assert_eq!(got.len(), want.len(), "{axis:?} {i} {j}: {got:?} {want:?}");
                    for (g, w) in got.iter().zip(&want) {
                        let near = |nm: i32, mm: f64| (f64::from(nm) - mm * 1e6).abs() < 0.501;
                        assert!(near(g.low, w.0) && near(g.high, w.1), "{axis:?} {i} {j}: {g:?} {w:?}");
                        assert_eq!((g.low_by.0, g.high_by.0), (w.2, w.3), "{axis:?} {i} {j}");
                    }
                }
            }
        }
    }
}

#[test]
fn what_is_met_is_what_goes() {
    for frame in all_frames() {
        let mut cut = stock(0.31);
        let before = cut.volumes();
        let records = cut.recorded(&frame, &cuts());
        let after = cut.volumes();
        for axis in Axis::ALL {
            let met: i64 = records.iter().map(|r| r.met[axis.index()]).sum();
            let volume = nm::float(met) * 1e-6 * cut.grid(axis).cell_area();
            let gone = before[axis.index()].volume - after[axis.index()].volume;
            assert!((volume - gone).abs() < 1e-9 * gone, "{volume} {gone}");
        }
    }
}

#[test]
fn looking_changes_nothing_and_reports_what_cutting_would_take() {
    let frame = Frame::part().at(Vec3::new(4.5, 3.25, -1.5));
    let mut cut = stock(0.2);
    let before = all_rays(&cut);
    let mut ops = cuts();
    ops.truncate(1);
    ops[0].mode = OpMode::Look;
    let looked = cut.recorded(&frame, &ops);
    assert_eq!(before, all_rays(&cut));
    ops[0].mode = OpMode::CutAndReport;
    let reported = cut.recorded(&frame, &ops);
    assert_eq!(looked, reported);
    assert_ne!(before, all_rays(&cut));
    let kept = reported[0].bites.len();
    assert!((OpRecord::MOST_BITES / 4..=OpRecord::MOST_BITES).contains(&kept), "{kept}");
    assert!(reported[0].bites.is_sorted_by(|a, b| a.high - a.low >= b.high - b.low - 1e-9));
    assert_eq!(reported[0].longest.iter().max(), Some(&7_000_000));
    ops[0].mode = OpMode::Cut;
    let again = cut.recorded(&frame, &ops);
    assert_eq!(again[0], OpRecord::default());
}

#[test]
fn same_bytes_for_any_number_of_threads() {
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let mut cut = stock(0.05);
            let mut ops = cuts();
            for op in &mut ops {
                op.mode = OpMode::CutAndReport;
            }
            let records = cut.recorded(&all_frames()[7], &ops);
            (records, all_rays(&cut), cut.volume(), cut.piece_list())
        })
    };
    let one = run(1);
    assert!(one == run(2), "two threads");
    assert!(one == run(8), "eight threads");
}

#[test]
fn one_run_or_many_give_the_same_stock() {
    let frame = all_frames()[3];
    let (mut at_once, mut one_by_one) = (stock(0.17), stock(0.17));
    let together = at_once.recorded(&frame, &cuts());
    let apart: Vec<OpRecord> =
        cuts().iter().flat_map(|op| one_by_one.recorded(&frame, std::slice::from_ref(op))).collect();
    assert_eq!(together, apart);
    assert_eq!(all_rays(&at_once), all_rays(&one_by_one));
}

#[test]
fn coincident_faces_keep_the_first_cutter() {
    let mut cut = stock(0.3);
    let floor = |id, z0: f64| Op {
        id: CutId(id),
        sweep: Shape::Block(block([-1.0, -1.0, z0], [10.0, 8.0, 5.0])),
        mode: OpMode::Cut,
    };
    let records = cut
        .recorded(&Frame::part(), &[floor(1, 0.0), floor(2, 0.0), floor(3, -0.000_001), floor(4, -0.000_01)]);
    assert_eq!(records[1], OpRecord::default());
    assert_eq!(records[2], OpRecord::default(), "a nanometre is rounding");
    assert_eq!(records[3].longest, [0, 0, 10]);
    assert_eq!(cut.ray(Axis::Z, 3, 3)[0].high_by, CutId(4));
}

#[test]
fn a_block_in_two_is_two_pieces() {
    let mut cut = stock(0.2);
    assert_eq!(cut.pieces(), 1);
    let wall = Shape::Block(block([4.0, -1.0, -5.0], [4.5, 8.0, 5.0]));
    cut.recorded(&Frame::part(), &[Op { id: CutId(1), sweep: wall, mode: OpMode::Cut }]);
    let pieces = cut.piece_list();
    assert_eq!(pieces.len(), 2);
    assert!((pieces[0].volume - 4.5 * 7.0 * 5.0).abs() < 0.2 * 35.0, "{pieces:?}");
    let (volume, bound) = cut.volume();
    assert!((volume - 8.5 * 35.0).abs() <= bound + 1e-9 && bound < 0.11 * 2.0 * 35.0, "{volume} {bound}");
    let extent = cut.extent_in(&block([-9.0, -9.0, -9.0], [4.2, 9.0, 0.5])).expect("left piece");
    assert_eq!(extent, block([0.0, 0.0, -4.0], [4.0, 7.0, 0.5]));
    assert_eq!(cut.extent_in(&block([4.1, 0.0, -4.0], [4.4, 7.0, 1.0])), None);
    assert_eq!(cut.bounds(), block([0.0, 0.0, -4.0], [9.0, 7.0, 1.0]));
}

#[test]
fn pieces_are_told_over_many_rows() {
    let mut cut = stock(0.03);
    assert!(cut.grid(Axis::Z).v.count() > 200, "the rows are looked at in several parts");
    let mut take = |id, min, max| {
        let sweep = Shape::Block(block(min, max));
        cut.recorded(&Frame::part(), &[Op { id: CutId(id), sweep, mode: OpMode::Cut }]);
        let (whole, _) = cut.volume();
        let pieces = cut.piece_list();
        let sum: f64 = pieces.iter().map(|p| p.volume).sum();
        assert!((sum - whole).abs() < 0.02 * whole, "{sum} {whole}");
        assert!(pieces.windows(2).all(|two| two[0].volume >= two[1].volume));
        (pieces.len(), pieces[0].bounds)
    };
    // Two legs that hang together in the last rows only, then not at all; then each in two.
    let (count, bounds) = take(1, [4.0, -1.0, -5.0], [4.5, 6.8, 5.0]);
    assert_eq!(count, 1);
    assert!((bounds.max - Vec3::new(9.0, 7.0, 1.0)).amax() < 0.04, "{bounds:?}");
    assert_eq!(take(2, [4.0, 6.0, -5.0], [4.5, 8.0, 5.0]).0, 2);
    let (count, bounds) = take(3, [-1.0, 3.0, -5.0], [10.0, 3.1, 5.0]);
    assert_eq!(count, 4);
    assert!((bounds.min - Vec3::new(4.5, 3.1, -4.0)).amax() < 0.04, "{bounds:?}");
}

#[test]
fn bad_stock_is_refused() {
    let raw = |min, max| RawStock::Box(block(min, max));
    assert_eq!(Stock::new(&raw([0.0; 3], [1.0, 0.0, 1.0]), 0.1).err(), Some(StockError::Empty));
    assert_eq!(Stock::new(&raw([0.0; 3], [f64::NAN, 1.0, 1.0]), 0.1).err(), Some(StockError::Empty));
    assert_eq!(Stock::new(&raw([0.0; 3], [1.0; 3]), f64::NAN).err(), Some(StockError::Empty));
    let far = Stock::new(&raw([2099.0, 0.0, 0.0], [2101.0, 1.0, 1.0]), 0.1).err();
    assert_eq!(far, Some(StockError::TooFar { reach: 2100.0 }));
    let fine = Stock::new(&raw([0.0; 3], [500.0; 3]), 0.01).err();
    assert!(matches!(fine, Some(StockError::TooFine { .. })), "{fine:?}");
}

fn any_block() -> impl Strategy<Value = Shape> {
    let edge = || (-6.0..6.0_f64, 0.001..6.0_f64);
    (edge(), edge(), edge(), any::<bool>()).prop_map(|(x, y, z, shy)| {
        let b = block([x.0, y.0, z.0], [x.0 + x.1, y.0 + y.1, z.0 + z.1]);
        if shy { Shape::Shy(b) } else { Shape::Block(b) }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn stock_never_grows(shapes in prop::collection::vec(any_block(), 1..8), which in 0..24_usize) {
        let frame = all_frames()[which];
        let mut cut = stock(0.5);
        for (n, sweep) in (1..).zip(shapes) {
            let before = all_rays(&cut);
            cut.recorded(&frame, &[Op { id: CutId(n), sweep, mode: OpMode::Cut }]);
            for ((_, old), (_, new)) in before.iter().zip(all_rays(&cut)) {
                let mut last = i32::MIN;
                for piece in &new {
                    prop_assert!(piece.low < piece.high && last < piece.low, "{new:?}");
                    last = piece.high;
                    prop_assert!(old.iter().any(|o| o.low <= piece.low && piece.high <= o.high), "{old:?} {new:?}");
                }
            }
        }
    }
}
