//! Holes: diameter, position, depth, counterbore, countersink.

use super::bench::Bench;
use super::judge::{judge, judge_limits};
use super::makers::PROBE_BOUND;
use super::result::{MadeBy, Measured, Quantity, Verdict};
use super::round_wall::{Level, RoundWall, direction, in_space};
use crate::cutting::Piece;
use crate::geom::{Vec2, Vec3};
use crate::job::{Feature, Hole, HoleBottom, HoleEnd, Tolerance};
use crate::stock::CutId;

/// Heights at which a hole's wall is measured, evenly from end to end.
const LEVELS: u32 = 9;

/// Places around a hole at which its depth is measured.
const AROUND: u32 = 8;

/// How far inside the wall the depth of the full diameter is measured, millimetres.
const INSIDE_WALL: f64 = 1.0e-4;

/// Depths that the drawing puts nearer than this are the same, millimetres.
const SAME_DEPTH: f64 = 1.0e-3;

/// What was measured of a hole.
#[derive(Default)]
pub(super) struct HoleFound {
    /// True when its axis runs in material all along.
    pub(super) missing: bool,
    pub(super) quantities: Vec<Quantity>,
    /// Who left its wall.
    pub(super) by: Vec<CutId>,
    /// Diameters of the bare wall, least and greatest.
    pub(super) diameter: Option<(Placed, Placed)>,
}

/// A value, where, and who left that place.
pub(super) type Placed = (Measured, Vec3, Option<CutId>);

/// A hole with what its measurements share.
pub(super) struct HoleBench<'a> {
    pub(super) bench: Bench<'a>,
    pub(super) feature: &'a Feature,
    pub(super) hole: &'a Hole,
    /// Middle in the plane `axis.others()`.
    pub(super) center: Vec2,
    /// Height of the mouth along the axis.
    pub(super) mouth: f64,
}

impl<'a> HoleBench<'a> {
    pub(super) fn new(bench: Bench<'a>, feature: &'a Feature, hole: &'a Hole) -> Self {
        let (u, v) = hole.into.axis.others();
        let center = Vec2::new(u.of(&hole.at), v.of(&hole.at));
        Self { bench, feature, hole, center, mouth: hole.into.axis.of(&hole.at) }
    }

    /// Height at a depth below the mouth.
    pub(super) fn height(&self, depth: f64) -> f64 {
        self.mouth + self.hole.into.sign() * depth
    }

    /// Point of space beside the axis at a depth.
    pub(super) fn point(&self, plane: &Vec2, depth: f64) -> Vec3 {
        in_space(self.hole.into.axis, plane, self.height(depth))
    }

    fn wall(&self, radius: f64) -> RoundWall {
        RoundWall { axis: self.hole.into.axis, center: self.center, radius }
    }

    /// Pieces of material along the hole beside its axis as depths below the mouth, in the order of drilling:
    /// `(entering, leaving, entering_by, leaving_by)`.
    fn pieces(&self, line: &[Piece]) -> Vec<(f64, f64, CutId, CutId)> {
        let sign = self.hole.into.sign();
        let mut out: Vec<_> = line
            .iter()
            .map(|m| {
                let (a, b) = ((m.low - self.mouth) * sign, (m.high - self.mouth) * sign);
                if a <= b { (a, b, m.low_by, m.high_by) } else { (b, a, m.high_by, m.low_by) }
            })
            .collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0));
        out
    }

    /// The drawing's material along the hole beside its axis, as depths.
    fn drawn_pieces(&self, plane: &Vec2) -> Vec<(f64, f64)> {
        let sign = self.hole.into.sign();
        let spans = self.bench.nominal_line(self.hole.into.axis, &self.point(plane, 0.0));
        let mut out: Vec<_> = spans
            .iter()
            .map(|(a, b)| ((a - self.mouth) * sign, (b - self.mouth) * sign))
            .map(|(a, b)| (a.min(b), a.max(b)))
            .collect();
        out.sort_by(|a, b| a.0.total_cmp(&b.0));
        out
    }

    fn cut_pieces(&self, plane: &Vec2) -> Vec<(f64, f64, CutId, CutId)> {
        self.pieces(&self.bench.finished.line(self.hole.into.axis, &self.point(plane, 0.0)))
    }

    /// Depth to which the hole's full diameter goes in the drawing: its own, or where the material ends.
    pub(super) fn drawn_depth(&self) -> f64 {
        match self.hole.bottom {
            HoleBottom::Blind { depth, .. } => depth,
            HoleBottom::Through => {
                let r = self.hole.diameter / 2.0 * (1.0 + 1.0e-6) + 1.0e-6;
                (0..4 * AROUND)
                    .map(|k| self.center + direction(f64::from(k) / f64::from(4 * AROUND)) * r)
                    .filter_map(|p| self.drawn_pieces(&p).last().map(|piece| piece.1))
                    .fold(0.0, f64::max)
            }
        }
    }

    /// Measures everything about the hole's own shape.
    pub(super) fn measure(&self, general: Option<Tolerance>) -> HoleFound {
        let mut found = HoleFound::default();
        let depth = self.drawn_depth();
        let own = self.wall(self.hole.diameter / 2.0);
        let (from, to) = self.bare_wall(depth);
        let walls = self.levels(&own, from, to);
        found.missing = walls.missing;
        found.by.extend(&walls.by);
        if walls.missing {
            return found;
        }
        found.diameter = walls.least.zip(walls.greatest);
        let threaded = self.feature.thread.as_ref().is_some_and(|t| t.minor_limits.is_some());
        let tolerance = self.feature.diameter.or_else(|| general.filter(|_| !threaded));
        found.quantities.push(self.quantity(
            "diameter",
            self.hole.diameter,
            tolerance,
            (walls.least, walls.greatest),
        ));
        found.quantities.extend(self.position(&walls));
        self.depth(&walls, depth, general, &mut found);
        self.counterbore(general, &mut found);
        self.countersink(general, &mut found);
        found
    }

    /// The depths between which the wall is the hole's own, clear of everything wider at its ends as large as it may be.
    fn bare_wall(&self, depth: f64) -> (f64, f64) {
        let most = self.bench.drawing.general_tolerance.map_or(0.0, |t| t.plus);
        let leg = self.bench.drawing.break_edges.map_or(0.0, |e| e.leg + e.tolerance.plus);
        let broken = |end: HoleEnd| if self.feature.breaks.contains(&end) { leg } else { 0.0 };
        let bore = self.hole.counterbore.map_or(0.0, |b| b.depth + most);
        let sink = self.hole.countersink.map_or(0.0, |(diameter, angle)| {
            (diameter - self.hole.diameter) / 2.0 / libm::tan(angle / 2.0) + most
        });
        let (from, to) = (broken(HoleEnd::Entry).max(bore).max(sink), depth - broken(HoleEnd::Exit));
        if from < to { (from, to) } else { (0.0, depth) }
    }

    /// The wall at several heights between two depths, wherever the drawing has a wall.
    fn levels(&self, wall: &RoundWall, from: f64, to: f64) -> Levels {
        let mut levels = Levels::default();
        let (mut solid, mut asked) = (0, 0);
        // Below the depth of the full diameter there is no wall to measure, but a drill's point or a narrower hole: that
        // is told as a depth.
        let mut floor = f64::INFINITY;
        for k in 0..LEVELS {
            let depth = from + (to - from) * (f64::from(k) + 0.5) / f64::from(LEVELS);
            let height = self.height(depth);
            if !wall.measurable(&self.bench, height) {
                continue;
            }
            asked += 1;
            if depth >= floor {
                levels.solid = true;
                continue;
            }
            match wall.measure(&self.bench, height) {
                Level::Solid => solid += 1,
                Level::Open => {}
                Level::Wall(at) => {
                    if levels.center.is_none() {
                        floor = self.reached(at.center, at.least_radius - INSIDE_WALL, depth);
                    }
                    levels.add(self, &at, depth);
                }
            }
        }
        levels.missing = asked > 0 && solid == asked;
        levels.solid |= solid > 0;
        levels
    }

    /// Depth of the first material below a depth, on a circle just inside the wall; infinite where there is none.
    fn reached(&self, center: Vec2, radius: f64, from: f64) -> f64 {
        let places =
            (0..AROUND).map(|k| center + direction(f64::from(k) / f64::from(AROUND)) * radius.max(0.0));
        let depths = places.flat_map(|p| self.cut_pieces(&p)).map(|piece| piece.0).filter(|d| *d > from);
        depths.fold(f64::INFINITY, f64::min)
    }

    fn position(&self, walls: &Levels) -> Option<Quantity> {
        let (measured, at, by) = walls.offset?;
        let zone = self.feature.position;
        let tolerance = zone.map(|plus| Tolerance { plus, minus: 0.0 });
        // A position is never below 0: only the zone's edge is a limit.
        let verdict = zone.map(|zone| judge_limits(&measured, f64::NEG_INFINITY, zone));
        Some(Quantity {
            name: "position",
            nominal: 0.0,
            tolerance,
            measured: Some(measured),
            verdict,
            at: Some(at),
            made_by: self.maker(by),
        })
    }

    /// Who made a cut; `None` for the raw surface.
    pub(super) fn maker(&self, by: Option<CutId>) -> Option<MadeBy> {
        self.bench.makers().made_by(by).into_iter().find(|m| m.setup.is_some())
    }

    /// A quantity of which a least and a greatest value were found: the graver one is told.
    fn quantity(
        &self,
        name: &'static str,
        nominal: f64,
        tolerance: Option<Tolerance>,
        (least, greatest): (Option<Placed>, Option<Placed>),
    ) -> Quantity {
        let middle = tolerance.map_or(nominal, |t| nominal + 0.5 * (t.plus - t.minus));
        let off = |p: &Placed| (p.0.value - middle).abs();
        let worst = match (least, greatest) {
            (Some(a), Some(b)) => Some(if off(&b) > off(&a) { b } else { a }),
            (a, b) => a.or(b),
        };
        let verdict = match worst {
            None => Some(Verdict::Undecided),
            Some((m, ..)) => tolerance.map(|t| judge(&m, nominal, &t)),
        };
        let made_by = self.maker(worst.and_then(|w| w.2));
        Quantity {
            name,
            nominal,
            tolerance,
            measured: worst.map(|w| w.0),
            verdict,
            at: worst.map(|w| w.1),
            made_by,
        }
    }

    /// Depths of the actual face around the mouth, lowest and highest, where the drawing has it; the nominal mouth
    /// otherwise.
    fn mouth_depths(&self, clear: f64) -> (f64, f64) {
        let mut least = f64::INFINITY;
        let mut most = f64::NEG_INFINITY;
        for k in 0..AROUND {
            let unit = direction(f64::from(k) / f64::from(AROUND));
            // Further out as well, where a break that is too large does not reach: the higher of both is the face.
            let faces = [clear, clear + self.hole.diameter / 4.0];
            let faces = faces.iter().filter_map(|r| self.mouth_depth(&(self.center + unit * *r)));
            if let Some(depth) = faces.reduce(f64::min) {
                (least, most) = (least.min(depth), most.max(depth));
            }
        }
        if least <= most { (least, most) } else { (0.0, 0.0) }
    }

    /// Depth of the actual face at a place beside the mouth; `None` where the drawing has no face at the mouth's height.
    fn mouth_depth(&self, plane: &Vec2) -> Option<f64> {
        let drawn = self.drawn_pieces(plane);
        let piece = drawn.iter().find(|p| p.0.abs() < SAME_DEPTH)?;
        let below = 0.5 * piece.1.min(self.hole.diameter);
        let pieces = self.cut_pieces(plane);
        pieces.iter().find(|p| p.0 <= below && below <= p.1).map(|p| p.0)
    }

    /// Radius around the mouth beyond everything that belongs to the hole.
    fn clear_radius(&self) -> f64 {
        let bore = self.hole.counterbore.map_or(0.0, |b| b.diameter);
        let sink = self.hole.countersink.map_or(0.0, |(d, _)| d);
        let leg = self.bench.drawing.break_edges.map_or(0.0, |e| e.leg + e.tolerance.plus);
        0.5 * self.hole.diameter.max(bore).max(sink) + leg + 0.05
    }

    fn depth(&self, walls: &Levels, depth: f64, general: Option<Tolerance>, found: &mut HoleFound) {
        match self.hole.bottom {
            HoleBottom::Through => found.quantities.extend(self.blocked(walls, depth)),
            HoleBottom::Blind { .. } => {
                let tolerance = self.feature.depth.or(general);
                let (least, greatest) = self.floor(
                    walls.middle(self.center),
                    [self.hole.diameter / 2.0 - INSIDE_WALL, self.free_radius(walls)],
                    depth,
                    found,
                );
                if least.is_some() {
                    found.quantities.push(self.quantity("depth", depth, tolerance, (least, greatest)));
                } else if walls.solid {
                    // The drawing has no floor to measure (it opens into something), but the hole stops short.
                    found.quantities.extend(self.blocked(walls, depth));
                }
            }
        }
    }

    /// Just inside the narrowest wall that was measured; inside the drawing's wall where none was.
    fn free_radius(&self, walls: &Levels) -> f64 {
        let radius = walls.center.map_or(self.hole.diameter / 2.0, |_| walls.least_radius);
        (radius - INSIDE_WALL).max(0.0)
    }

    /// A through hole that does not go through: how deep it goes where it is blocked.
    fn blocked(&self, walls: &Levels, depth: f64) -> Option<Quantity> {
        let center = walls.middle(self.center);
        let mut reached: Option<Placed> = None;
        for k in 0..=AROUND {
            let r = if k == AROUND { 0.0 } else { self.free_radius(walls) };
            let plane = center + direction(f64::from(k) / f64::from(AROUND)) * r;
            let blocked = |p: &&(f64, f64, CutId, CutId)| p.1 > SAME_DEPTH && p.0 < depth - SAME_DEPTH;
            if let Some(piece) = self.cut_pieces(&plane).iter().find(blocked) {
                let at = piece.0.max(0.0);
                if reached.as_ref().is_none_or(|r| at < r.0.value) {
                    let bound = self.bench.makers().bound(piece.2) + INSIDE_WALL;
                    reached = Some((Measured { value: at, bound }, self.point(&plane, at), Some(piece.2)));
                }
            }
        }
        reached.map(|(measured, at, by)| Quantity {
            name: "depth",
            nominal: depth,
            tolerance: None,
            measured: Some(measured),
            verdict: Some(Verdict::Outside),
            at: Some(at),
            made_by: self.maker(by),
        })
    }

    /// Least and greatest depth of the floor on a circle (radii in the drawing and on the part), measured from the actual face at the mouth, where the drawing
    /// has a floor at `depth`.
    fn floor(
        &self,
        center: Vec2,
        [drawn_radius, radius]: [f64; 2],
        depth: f64,
        found: &mut HoleFound,
    ) -> (Option<Placed>, Option<Placed>) {
        let (lowest_mouth, highest_mouth) = self.mouth_depths(self.clear_radius());
        let (mut least, mut greatest): (Option<Placed>, Option<Placed>) = (None, None);
        if radius <= 0.0 {
            return (None, None);
        }
        for k in 0..AROUND {
            let unit = direction(f64::from(k) / f64::from(AROUND));
            let drawn = self.drawn_pieces(&(self.center + unit * drawn_radius));
            if !drawn.iter().any(|p| (p.0 - depth).abs() < SAME_DEPTH) {
                continue;
            }
            let plane = center + unit * radius;
            // The floor is the first material past half the depth; a hole stopped short is met at once.
            let pieces = self.cut_pieces(&plane);
            let Some(piece) = pieces.iter().find(|p| p.1 > SAME_DEPTH) else {
                // Nothing below at all: it goes through.
                let value = self.bench.nominal.bounds().size().norm();
                let open = Measured { value, bound: PROBE_BOUND };
                greatest = Some((open, self.point(&plane, depth), None));
                least = least.or(greatest);
                continue;
            };
            found.by.push(piece.2);
            let bound = self.bench.makers().bound(piece.2) + PROBE_BOUND + INSIDE_WALL;
            let at = self.point(&plane, piece.0);
            let (low, high) = (piece.0 - highest_mouth, piece.0 - lowest_mouth);
            if least.as_ref().is_none_or(|m| low < m.0.value) {
                least = Some((Measured { value: low, bound }, at, Some(piece.2)));
            }
            if greatest.as_ref().is_none_or(|m| high > m.0.value) {
                greatest = Some((Measured { value: high, bound }, at, Some(piece.2)));
            }
        }
        (least, greatest)
    }

    fn counterbore(&self, general: Option<Tolerance>, found: &mut HoleFound) {
        let Some(bore) = self.hole.counterbore else { return };
        let wall = self.wall(bore.diameter / 2.0);
        let walls = self.levels(&wall, 0.0, bore.depth);
        found.by.extend(&walls.by);
        found.quantities.push(self.quantity(
            "counterbore_diameter",
            bore.diameter,
            general,
            (walls.least, walls.greatest),
        ));
        let middle = (self.hole.diameter + bore.diameter) / 4.0;
        let (least, greatest) = self.floor(self.center, [middle; 2], bore.depth, found);
        found.quantities.push(self.quantity("counterbore_depth", bore.depth, general, (least, greatest)));
    }

    /// The countersink's diameter at the mouth, from the wall a little below it and the drawing's angle.
    fn countersink(&self, general: Option<Tolerance>, found: &mut HoleFound) {
        let Some((diameter, angle)) = self.hole.countersink else { return };
        let slope = libm::tan(angle / 2.0);
        let own = (diameter - self.hole.diameter) / 2.0 / slope;
        let depth = 0.1 * own;
        let wall = self.wall(diameter / 2.0 - depth * slope);
        let (mut least, mut greatest): (Option<Placed>, Option<Placed>) = (None, None);
        if let Level::Wall(at) = wall.measure(&self.bench, self.height(depth)) {
            found.by.extend(&at.by);
            for (m, p, by) in &at.diameters {
                let mouth = Measured { value: m.value + 2.0 * depth * slope, bound: m.bound };
                keep_extremes((mouth, self.point(p, depth), Some(*by)), &mut least, &mut greatest);
            }
        }
        found.quantities.push(self.quantity("countersink_diameter", diameter, general, (least, greatest)));
    }
}

/// Several heights of a wall, taken together.
#[derive(Default)]
struct Levels {
    least: Option<Placed>,
    greatest: Option<Placed>,
    /// Twice the greatest distance from the nominal axis.
    offset: Option<Placed>,
    least_radius: f64,
    by: Vec<CutId>,
    missing: bool,
    solid: bool,
    /// Actual middle at the last height measured.
    center: Option<Vec2>,
}

impl Levels {
    fn add(&mut self, hole: &HoleBench, wall: &super::round_wall::WallAt, depth: f64) {
        for (m, p, by) in &wall.diameters {
            keep_extremes((*m, hole.point(p, depth), Some(*by)), &mut self.least, &mut self.greatest);
        }
        let off = Measured { value: 2.0 * (wall.center - hole.center).norm(), bound: 2.0 * wall.bound };
        if self.offset.as_ref().is_none_or(|o| off.value > o.0.value) {
            self.offset = Some((off, hole.point(&wall.center, depth), wall.by.first().copied()));
        }
        let first = self.center.is_none();
        self.least_radius = if first { wall.least_radius } else { self.least_radius.min(wall.least_radius) };
        self.center = Some(wall.center);
        self.by.extend(&wall.by);
    }

    fn middle(&self, nominal: Vec2) -> Vec2 {
        self.center.unwrap_or(nominal)
    }
}

fn keep_extremes(new: Placed, least: &mut Option<Placed>, greatest: &mut Option<Placed>) {
    if least.as_ref().is_none_or(|m| new.0.value < m.0.value) {
        *least = Some(new);
    }
    if greatest.as_ref().is_none_or(|m| new.0.value > m.0.value) {
        *greatest = Some(new);
    }
}
