//! Tools near the workholding: what is hit, what is passed too closely, and the lowest point over each piece.

use super::distance::{Nearest, Shape, around, between_boxes, nearest_on_path};
use super::over::{Lowest, lowest_over};
use super::workholding::Piece;
use crate::cutter::{Assembly, Part, PartRole};
use crate::geom::{Box3, Path, Vec3};
use crate::motion::{Move, MoveKind};
use rayon::prelude::*;
use smallvec::SmallVec;
use std::ops::Range;

/// A part of the tool touches or enters a piece of workholding. Setup frame, millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Collision {
    /// Index of the piece.
    pub piece: usize,
    /// Part of the tool.
    pub role: PartRole,
    /// The first move that does it.
    pub move_index: usize,
    /// Point of the piece that is touched first.
    pub at: Vec3,
    /// Tip of the tool at that moment.
    pub tip: Vec3,
    /// How deep it goes in: the least straight way along X, Y or up Z that would bring this part of the tool off the
    /// piece, at the deepest place looked at. 0 for a touch.
    pub depth: f64,
    /// How much higher the tip would have to be there.
    pub lift: f64,
    /// The move with that deepest place.
    pub deepest_move: usize,
    /// How many moves of the section do it.
    pub moves: usize,
}

/// The nearest that a tool comes to a piece of workholding without touching it. Setup frame, millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Approach {
    /// Index of the piece.
    pub piece: usize,
    /// Part of the tool.
    pub role: PartRole,
    /// The move.
    pub move_index: usize,
    /// Least distance: never more than the truth, at most a micrometre less.
    pub gap: f64,
    /// Point of the piece.
    pub at: Vec3,
    /// Tip of the tool there.
    pub tip: Vec3,
}

/// What a stay of a tool in the spindle has to do with the workholding.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SectionContact {
    /// Collisions: one for each piece and part of the tool, by piece, then part.
    pub collisions: Vec<Collision>,
    /// Nearest approach to each piece that is not hit and is nearer than [`LOOK_WITHIN`], by piece.
    pub approaches: Vec<Approach>,
    /// Lowest point over each piece, by piece.
    pub lowest: Vec<Lowest>,
}

/// Approaches farther than this, millimetres, are of no interest to anybody at the machine (about 2 inches).
pub const LOOK_WITHIN: f64 = 50.0;
/// Moves judged as one lot. Fixed, so that the result does not depend on the number of threads.
const LOT: usize = 2048;
/// Colliding moves of a lot whose depth is measured; the rest are counted.
const MEASURED: usize = 64;

/// Looks at all moves of a section. `reach`: how far beyond the tool's own radius a piece still counts as under it
/// (the job's clearance).
pub fn look(
    assembly: &Assembly,
    moves: &[Move],
    section: Range<usize>,
    pieces: &[Piece],
    reach: f64,
) -> SectionContact {
    if pieces.is_empty() || assembly.parts.is_empty() {
        return SectionContact::default();
    }
    let tool = Tool::new(assembly, reach);
    let first = section.start;
    let mine = moves.get(section).unwrap_or_default();
    let lots: Vec<Vec<PieceLot>> =
        mine.par_chunks(LOT).enumerate().map(|(i, lot)| tool.lot(lot, first + i * LOT, pieces)).collect();
    let mut out = SectionContact::default();
    for (index, piece) in pieces.iter().enumerate() {
        let mut all = PieceLot::default();
        for lot in lots.iter().filter_map(|l| l.get(index)) {
            all.join(lot);
        }
        for (role, hit) in &all.hits {
            out.collisions.push(hit.collision(&tool, *role, index, piece, moves));
        }
        if all.hits.is_empty() {
            out.approaches.extend(all.nearest.map(|a| Approach { piece: index, ..a }));
        }
        out.lowest.extend(all.lowest.map(|l| Lowest { piece: index, ..l }));
    }
    out
}

/// What is known of one piece after a lot of moves.
#[derive(Clone, Debug, Default)]
struct PieceLot {
    hits: Vec<(PartRole, Hit)>,
    nearest: Option<Approach>,
    lowest: Option<Lowest>,
}

#[derive(Clone, Debug)]
struct Hit {
    first_move: usize,
    /// Which of the ways of that move.
    way: usize,
    count: usize,
    depth: f64,
    lift: f64,
    deepest_move: usize,
}

impl PieceLot {
    fn join(&mut self, later: &Self) {
        for (role, hit) in &later.hits {
            self.hit(*role, hit);
        }
        if let Some(a) = &later.nearest
            && self.nearest.as_ref().is_none_or(|b| a.gap < b.gap)
        {
            self.nearest = Some(a.clone());
        }
        if let Some(a) = &later.lowest
            && self.lowest.as_ref().is_none_or(|b| a.is_lower_than(b))
        {
            self.lowest = Some(a.clone());
        }
    }

    fn hit(&mut self, role: PartRole, new: &Hit) {
        let Some((_, old)) = self.hits.iter_mut().find(|(r, _)| *r == role) else {
            self.hits.push((role, new.clone()));
            self.hits.sort_by_key(|(r, _)| *r);
            return;
        };
        old.count += new.count;
        if new.depth > old.depth {
            old.depth = new.depth;
            old.lift = new.lift;
            old.deepest_move = new.deepest_move;
        }
    }
}

/// An assembly made ready.
struct Tool<'a> {
    parts: &'a [Part],
    /// Box around the whole assembly with its tip at the origin.
    around_tip: Box3,
    /// Radius within which a piece counts as under the tool.
    shadow: f64,
}

impl<'a> Tool<'a> {
    fn new(assembly: &'a Assembly, reach: f64) -> Self {
        let origin = Box3 { min: Vec3::zeros(), max: Vec3::zeros() };
        let around_tip = assembly.parts.iter().fold(Box3::empty(), |b, p| b.union(&around(&p.body, &origin)));
        let widest = |holder: bool| {
            assembly
                .parts
                .iter()
                .filter(|p| holder || p.role != PartRole::Holder)
                .fold(0.0_f64, |r, p| r.max(p.body.radius()))
        };
        Self { parts: &assembly.parts, around_tip, shadow: widest(false) + reach }
    }

    /// What is known of each piece after a lot of moves.
    fn lot(&self, moves: &[Move], first: usize, pieces: &[Piece]) -> Vec<PieceLot> {
        let swept = |m: &Move| -> SmallVec<[Box3; 1]> {
            let tips = std::iter::once(&m.path).chain(&m.other_way).map(Path::bounds);
            tips.map(|b| Box3 { min: b.min + self.around_tip.min, max: b.max + self.around_tip.max })
                .collect()
        };
        let boxes: Vec<SmallVec<[Box3; 1]>> = moves.iter().map(swept).collect();
        let of = |piece: &Piece| {
            let mut known = PieceLot::default();
            for ((index, m), boxes) in (first..).zip(moves).zip(&boxes) {
                let ways = std::iter::once(&m.path).chain(&m.other_way);
                for ((way, path), swept) in ways.enumerate().zip(boxes) {
                    let apart = between_boxes(swept, piece.shape.bounds()) - m.deviation;
                    self.one(&mut known, &piece.shape, m, (index, way), path, apart);
                    if m.kind != MoveKind::Home {
                        lowest_over(&mut known.lowest, self.parts, self.shadow, &piece.shape, path, index);
                    }
                }
            }
            known
        };
        pieces.par_iter().with_max_len(1).map(of).collect()
    }

    /// One way of one move against one piece.
    fn one(
        &self,
        known: &mut PieceLot,
        shape: &Shape,
        m: &Move,
        (index, way): (usize, usize),
        path: &Path,
        apart: f64,
    ) {
        let mut cutoff = known.nearest.as_ref().map_or(LOOK_WITHIN, |a| a.gap);
        if apart >= cutoff {
            return;
        }
        let tips = path.bounds();
        for part in self.parts {
            if between_boxes(&around(&part.body, &tips), shape.bounds()) - m.deviation >= cutoff {
                continue;
            }
            let near = nearest_on_path(shape, &part.body, path, cutoff + m.deviation);
            let gap = near.gap - m.deviation;
            if gap <= 0.0 {
                let measured = known.hits.iter().find(|(r, _)| *r == part.role).map_or(0, |(_, h)| h.count);
                let (depth, lift) =
                    if measured < MEASURED { depth_on(shape, part, path, &near) } else { (0.0, 0.0) };
                let hit = Hit { first_move: index, way, count: 1, depth, lift, deepest_move: index };
                known.hit(part.role, &hit);
            } else if gap < cutoff {
                cutoff = gap;
                known.nearest = Some(Approach {
                    piece: 0,
                    role: part.role,
                    move_index: index,
                    gap,
                    at: near.on_shape,
                    tip: path.point(near.along),
                });
            }
        }
    }
}

impl Hit {
    /// Adds where the tool is at the first touch.
    fn collision(
        &self,
        tool: &Tool<'_>,
        role: PartRole,
        piece: usize,
        solid: &Piece,
        moves: &[Move],
    ) -> Collision {
        let (mut at, mut tip) = (solid.shape.bounds().center(), Vec3::zeros());
        if let Some(m) = moves.get(self.first_move) {
            let path = match self.way.checked_sub(1) {
                None => &m.path,
                Some(i) => m.other_way.get(i).unwrap_or(&m.path),
            };
            let first = tool
                .parts
                .iter()
                .filter(|p| p.role == role)
                .filter_map(|p| Some((first_touch(&solid.shape, p, path, m.deviation)?, p)))
                .min_by(|(a, _), (b, _)| a.total_cmp(b));
            if let Some((t, part)) = first {
                tip = path.point(t);
                at = solid.shape.nearest_on_line(&part.body, tip, tip, f64::INFINITY).on_shape;
            }
        }
        Collision {
            piece,
            role,
            move_index: self.first_move,
            at,
            tip,
            depth: self.depth,
            lift: self.lift,
            deepest_move: self.deepest_move,
            moves: self.count,
        }
    }
}

/// Part of the way at which a part of the tool first touches; `None` when it does not.
fn first_touch(shape: &Shape, part: &Part, path: &Path, deviation: f64) -> Option<f64> {
    let touches =
        |t: f64| nearest_on_path(shape, &part.body, &path.piece(0.0, t), f64::INFINITY).gap <= deviation;
    if touches(0.0) {
        return Some(0.0);
    }
    if !touches(1.0) {
        return None;
    }
    let (mut free, mut hit) = (0.0, 1.0);
    // 2^-40 of the longest way in a shop is far below a nanometre.
    for _ in 0..40 {
        let t = 0.5 * (free + hit);
        if touches(t) {
            hit = t;
        } else {
            free = t;
        }
    }
    // The last place known to be free: there the nearest point is the one that is touched next.
    Some(free)
}

/// The deepest that a part goes into a piece, over the ends, the nearest place and a few places between: how deep, and
/// how much higher the tip would have to be there.
fn depth_on(shape: &Shape, part: &Part, path: &Path, near: &Nearest) -> (f64, f64) {
    let mut deepest = (0.0, 0.0);
    for t in [near.along, 0.0, 1.0, 0.25, 0.5, 0.75] {
        let here = depth_at(shape, part, path.point(t));
        if here.0 > deepest.0 {
            deepest = here;
        }
    }
    deepest
}

/// Least straight way along X, Y or up Z that brings a part off a piece, and the way up alone.
fn depth_at(shape: &Shape, part: &Part, tip: Vec3) -> (f64, f64) {
    let free = |p: Vec3| shape.nearest_on_line(&part.body, p, p, 1.0).gap > 0.0;
    if free(tip) {
        return (0.0, 0.0);
    }
    let here = around(&part.body, &Box3 { min: tip, max: tip });
    let there = shape.bounds();
    let way = |direction: Vec3, farthest: f64| {
        let (mut inside, mut outside) = (0.0, farthest.max(0.0) + 1.0e-3);
        for _ in 0..40 {
            let s = 0.5 * (inside + outside);
            if free(tip + direction * s) {
                outside = s;
            } else {
                inside = s;
            }
        }
        outside
    };
    let lift = way(Vec3::z(), there.max.z - here.min.z);
    let sideways = [
        way(Vec3::x(), there.max.x - here.min.x),
        way(-Vec3::x(), here.max.x - there.min.x),
        way(Vec3::y(), there.max.y - here.min.y),
        way(-Vec3::y(), here.max.y - there.min.y),
    ];
    (sideways.into_iter().fold(lift, f64::min), lift)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::workholding::resolve;
    use crate::checks::workholding::tests::{block, setup, vise};
    use crate::cutter::Body;
    use crate::geom::Arc;
    use crate::job::{WorkOffset, Workholding};
    use crate::motion::{Place, SpindleTurn};
    use crate::source::Span;

    fn moved(path: Path) -> Move {
        Move {
            place: Place { source: 0, line: 1, span: Span::default() },
            mode_place: None,
            kind: MoveKind::Feed,
            path,
            deviation: 0.0,
            other_way: Vec::new(),
            tool: Some(1),
            spindle: SpindleTurn::Clockwise,
            rpm: 1000.0,
            feed: Some(100.0),
            seconds: None,
            offset: WorkOffset(1),
            length_register: Some(1),
            cycle: None,
        }
    }

    fn line(from: [f64; 3], to: [f64; 3]) -> Move {
        moved(Path::Line { from: Vec3::from(from), to: Vec3::from(to) })
    }

    /// 10 mm end mill, 25 mm long, in a holder of 40 mm.
    fn mill() -> Assembly {
        let frustum = |role, z0, z1, r| Part { role, body: Body::Frustum { z0, z1, r0: r, r1: r } };
        Assembly {
            parts: vec![
                frustum(PartRole::Cutter, 0.0, 15.0, 5.0),
                frustum(PartRole::Shank, 15.0, 25.0, 5.0),
                frustum(PartRole::Holder, 25.0, 60.0, 20.0),
            ],
        }
    }

    /// The block of 60 x 40 x 20 in its vise: jaw tops at Z-15, jaws from Y40 to Y60 and from Y-20 to Y0.
    fn pieces() -> Vec<Piece> {
        resolve(&setup(vec![Workholding::Vise(vise())]), &block()).pieces
    }

    fn run(moves: &[Move]) -> SectionContact {
        look(&mill(), moves, 0..moves.len(), &pieces(), 1.0)
    }

    #[test]
    fn an_outside_contour_above_the_jaws_says_its_clearance() {
        // Along the far side at Z-14.2: 0.8 mm over the fixed jaw.
        let found = run(&[line([-10.0, 45.0, -14.2], [70.0, 45.0, -14.2])]);
        assert_eq!(found.collisions, []);
        let jaw = found.approaches.iter().find(|a| a.piece == 0).unwrap();
        assert!((jaw.gap - 0.8).abs() < 1e-3 && jaw.gap <= 0.8, "{jaw:?}");
        let lowest = found.lowest.iter().find(|l| l.piece == 0).unwrap();
        assert!((lowest.clearance - 0.8).abs() < 1e-3 && (lowest.tip.z + 14.2).abs() < 1e-12);
        assert!(found.lowest.iter().all(|l| l.piece != 1), "the moving jaw is 40 mm away");
    }

    #[test]
    fn a_contour_too_deep_enters_the_jaw() {
        let found = run(&[
            line([-40.0, 45.0, 5.0], [-40.0, 45.0, -16.5]),
            line([-40.0, 45.0, -16.5], [70.0, 45.0, -16.5]),
        ]);
        let hit = &found.collisions[0];
        assert_eq!((hit.piece, hit.role, hit.move_index), (0, PartRole::Cutter, 1));
        assert!((hit.depth - 1.5).abs() < 1e-6, "{hit:?}");
        // The jaw's end is at X-20; the cutter's edge reaches it with its middle 5 mm before.
        assert!((hit.tip.x + 25.0).abs() < 1e-3, "{hit:?}");
        assert!((hit.at - Vec3::new(-20.0, 45.0, -15.0)).norm() < 1e-2 || hit.at.z <= -15.0, "{hit:?}");
    }

    /// A drill through the block over a parallel, over the gap between, and a holder that comes down on a jaw.
    #[test]
    fn drilling_into_a_parallel_and_past_it() {
        let tip = |y: f64, z: f64| line([30.0, y, 2.0], [30.0, y, z]);
        let drill = Assembly {
            parts: vec![Part {
                role: PartRole::Cutter,
                body: Body::Frustum { z0: 0.0, z1: 50.0, r0: 2.5, r1: 2.5 },
            }],
        };
        let over = look(&drill, &[tip(35.5, -22.0)], 0..1, &pieces(), 1.0);
        assert_eq!(over.collisions.len(), 1);
        assert_eq!((over.collisions[0].piece, over.collisions[0].role), (2, PartRole::Cutter));
        assert!((over.collisions[0].tip.z + 20.0).abs() < 1e-3);
        // 2 mm deep, but 1 mm to the side would do.
        assert!((over.collisions[0].lift - 2.0).abs() < 1e-6);
        assert!((over.collisions[0].depth - 1.0).abs() < 1e-6);
        let between = look(&drill, &[tip(20.0, -22.0)], 0..1, &pieces(), 1.0);
        assert_eq!(between.collisions, []);
        let bed = look(&drill, &[tip(20.0, -61.0)], 0..1, &pieces(), 1.0);
        assert_eq!(bed.collisions.iter().map(|c| c.piece).collect::<Vec<_>>(), [4]);
    }

    #[test]
    fn a_holder_comes_down_on_the_jaw() {
        // Beside the jaw by Y, the holder 25 mm up has radius 20: at tip Z-41 it is 1 mm under the jaw's top.
        let found = run(&[line([30.0, 25.0, 5.0], [30.0, 25.0, -41.0])]);
        let holder: Vec<_> = found.collisions.iter().filter(|c| c.role == PartRole::Holder).collect();
        assert_eq!(holder.len(), 1);
        assert_eq!(holder[0].piece, 0);
        assert!((holder[0].lift - 1.0).abs() < 1e-6, "{holder:?}");
        assert!((holder[0].tip.z + 40.0).abs() < 1e-3, "{holder:?}");
    }

    #[test]
    fn both_ways_of_a_rapid_are_looked_at_and_deviation_counts() {
        let mut m = line([-60.0, 45.0, 5.0], [120.0, 45.0, 5.0]);
        assert_eq!(run(std::slice::from_ref(&m)).collisions, []);
        m.other_way = vec![
            Path::Line { from: Vec3::new(-60.0, 45.0, 5.0), to: Vec3::new(30.0, 45.0, -16.0) },
            Path::Line { from: Vec3::new(30.0, 45.0, -16.0), to: Vec3::new(120.0, 45.0, 5.0) },
        ];
        assert_eq!(run(&[m]).collisions.len(), 1);
        let mut near = line([-10.0, 45.0, -14.9], [70.0, 45.0, -14.9]);
        assert_eq!(run(std::slice::from_ref(&near)).collisions, []);
        near.deviation = 0.2;
        assert_eq!(run(&[near]).collisions.len(), 1);
    }

    #[test]
    fn an_arc_round_a_corner_finds_its_lowest_place() {
        let helix = Path::Arc(Arc {
            center: Vec3::new(30.0, 20.0, -10.0),
            axis: crate::geom::Axis::Z,
            radius: 24.0,
            start_angle: 0.0,
            sweep: std::f64::consts::TAU,
            rise: -4.0,
        });
        let found = run(&[moved(helix)]);
        // Over the fixed jaw last when the cutter's edge, 6 mm with the reach, leaves it: y = 34, sin = 14/24.
        let angle = std::f64::consts::PI - libm::asin(14.0 / 24.0);
        let z = -10.0 - 4.0 * angle / std::f64::consts::TAU;
        let jaw = found.lowest.iter().find(|l| l.piece == 0).unwrap();
        assert!((jaw.tip.z - z).abs() < 0.02, "{} {z}", jaw.tip.z);
    }

    #[test]
    fn the_same_for_any_number_of_threads() {
        let moves: Vec<Move> = (0..20_000)
            .map(|i| {
                let a = f64::from(i) * 0.01;
                let p = |s: f64| {
                    [30.0 + 40.0 * libm::cos(a + s), 20.0 + 30.0 * libm::sin(a + s), -5.0 - a * 0.07]
                };
                line(p(0.0), p(0.01))
            })
            .collect();
        let on = |threads: usize| {
            rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(|| run(&moves))
        };
        let one = on(1);
        assert!(!one.collisions.is_empty() && !one.lowest.is_empty());
        assert_eq!(one, on(2));
        assert_eq!(one, on(8));
    }
}
