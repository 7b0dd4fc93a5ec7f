//! Broken edges, measured all along.

use super::bench::Bench;
use super::finished::matter_at;
use super::judge::judge;
use super::makers::PROBE_BOUND;
use super::result::{BreakResult, BreakStatus, Measured, Verdict};
use crate::cutting::Piece;
use crate::geom::Vec3;
use crate::solid::{Edge, EdgePlace};
use crate::stock::CutId;
use rayon::prelude::*;

/// Greatest distance between two places at which an edge is measured, millimetres.
const SPACING: f64 = 2.0;

/// Fewest places on a whole edge.
const FEWEST: f64 = 16.0;

/// How far from a drawn surface the drawing is asked what stands there, millimetres.
const ASIDE: f64 = 0.01;

/// A removal less deep than this below the face is no break but the face itself, millimetres.
const FLUSH: f64 = 1.0e-4;

/// An edge whose break has less than this part of the leg asked for counts as sharp.
const SHARP: f64 = 0.05;

/// How often the search for a break's end on the face is halved.
const HALVINGS: u32 = 18;

/// What was found at one place of an edge.
struct At {
    least: f64,
    greatest: f64,
    bound: f64,
    by: Option<CutId>,
    point: Vec3,
}

/// What one place of an edge is in the drawing.
enum Place {
    /// Another feature took the edge away here.
    Interrupted,
    /// The edge is there but nothing can be measured on the part (face or wall gone).
    Lost(Vec3),
    Measured(At),
}

impl Bench<'_> {
    /// Measures an edge all along; `None` when the finished part of the drawing has it nowhere.
    pub(super) fn broken_edge(&self, edge: &Edge) -> Option<BreakResult> {
        let clear = 1.5 * (edge.asked.leg + edge.asked.tolerance.plus) + 0.02;
        let spacing = SPACING.min(edge.length() / FEWEST);
        let places = edge.places(spacing, clear);
        let found: Vec<Place> = places.par_iter().map(|p| self.edge_at(edge, p)).collect();
        let measured: Vec<&At> =
            found.iter().filter_map(|p| if let Place::Measured(at) = p { Some(at) } else { None }).collect();
        let lost = found.iter().find_map(|p| if let Place::Lost(at) = p { Some(*at) } else { None });
        let mut result = BreakResult {
            end: edge.end,
            status: BreakStatus::Outside,
            leg: None,
            nominal: edge.asked.leg,
            tolerance: edge.asked.tolerance,
            at: lost,
            lost,
            made_by: Vec::new(),
        };
        if measured.is_empty() {
            return lost.map(|_| result);
        }
        let least = measured.iter().copied().reduce(|a, b| if b.least < a.least { b } else { a })?;
        let greatest = measured.iter().copied().reduce(|a, b| if b.greatest > a.greatest { b } else { a })?;
        let low = Measured { value: least.least, bound: least.bound };
        let high = Measured { value: greatest.greatest, bound: greatest.bound };
        result.leg = Some((low, high));
        let judged = |m: &Measured| judge(m, edge.asked.leg, &edge.asked.tolerance);
        (result.status, result.at) = if least.least < SHARP * edge.asked.leg {
            (BreakStatus::Missing, Some(least.point))
        } else {
            match (judged(&low), judged(&high)) {
                (Verdict::Outside, _) => (BreakStatus::Outside, Some(least.point)),
                (_, Verdict::Outside) => (BreakStatus::Outside, Some(greatest.point)),
                _ if lost.is_some() => (BreakStatus::Outside, lost),
                (Verdict::Within, Verdict::Within) => (BreakStatus::Broken, Some(least.point)),
                _ => (BreakStatus::Undecided, Some(least.point)),
            }
        };
        result.made_by = self.makers().made_by(measured.iter().filter_map(|at| at.by));
        Some(result)
    }

    fn edge_at(&self, edge: &Edge, place: &EdgePlace) -> Place {
        if !self.edge_drawn(edge, place) {
            return Place::Interrupted;
        }
        let point = edge.point(place.plane, 0.0);
        match self.measure_edge(edge, place) {
            Some(at) => Place::Measured(at),
            None => Place::Lost(point),
        }
    }

    /// True when the drawing has the broken edge here: the face beyond it with air above, the wall below it with air
    /// beside.
    fn edge_drawn(&self, edge: &Edge, place: &EdgePlace) -> bool {
        let (leg, depth) = (edge.asked.leg, edge.asked.leg * edge.slope);
        let at = |s: f64, below: f64| edge.point(place.plane + place.into_material * s, below);
        let solid = |s: f64, below: f64| self.nominal.contains(&at(s, below));
        solid(leg + ASIDE, ASIDE)
            && !solid(leg + ASIDE, -ASIDE)
            && solid(ASIDE, depth + ASIDE)
            && !solid(-ASIDE, depth + ASIDE)
            && self.nominal.on_surface(&at(leg / 2.0, depth / 2.0))
    }

    fn measure_edge(&self, edge: &Edge, place: &EdgePlace) -> Option<At> {
        let (reach, level) = self.face_beyond(edge, place)?;
        let (wall, wall_by) = self.wall_at(edge, place)?;
        // The break where it meets the wall, drawn out to the wall itself.
        let tiny = 1.0e-3;
        let near = self.depth_at(edge, place, wall + tiny)?;
        let next = self.depth_at(edge, place, wall + tiny + 0.05 * edge.asked.leg)?;
        let slope = (near.0 - next.0) / (0.05 * edge.asked.leg);
        let on_wall = (near.0 + slope.clamp(0.0, 2.0 * edge.slope) * tiny - level) / edge.slope;
        // Where it meets the face.
        let deeper = |s: f64| self.depth_at(edge, place, s).is_none_or(|d| d.0 > level + FLUSH);
        let (mut low, mut high) = (wall, reach);
        for _ in 0..HALVINGS {
            let s = 0.5 * (low + high);
            if deeper(s) { low = s } else { high = s }
        }
        let on_face = high - wall;
        let by = self.depth_at(edge, place, wall + 0.5 * on_face).map(|d| d.1);
        let makers = self.makers();
        let bound = by.map_or(PROBE_BOUND, |id| makers.bound(id)) + makers.bound(wall_by);
        Some(At {
            least: on_wall.min(on_face).max(0.0),
            greatest: on_wall.max(on_face),
            // The wall's offset is measured along an axis and turned square to the edge as if the wall were flat: on an
            // arc of at least half a millimetre that errs by less than its square.
            bound: bound + FLUSH * (1.0 + 1.0 / edge.slope) + reach / f64::from(1 << HALVINGS) + wall * wall,
            by: by.filter(|_| on_wall.min(on_face) > SHARP * edge.asked.leg),
            point: edge.point(place.plane, 0.0),
        })
    }

    /// How far into the face a break is looked for, and how deep below the drawn face the face stands there: as far as
    /// the drawing has the face, at most four legs. The highest of what stands there is the face: what lies lower was
    /// cut into it from elsewhere.
    fn face_beyond(&self, edge: &Edge, place: &EdgePlace) -> Option<(f64, f64)> {
        let leg = edge.asked.leg;
        let most = leg + edge.asked.tolerance.plus.max(leg);
        let level = |s: f64| self.depth_at(edge, place, s).map(|d| (s, d.0));
        [2.0 * most, 1.5 * most, most, leg + edge.asked.tolerance.plus + ASIDE]
            .into_iter()
            .filter(|s| {
                let p = place.plane + place.into_material * *s;
                self.nominal.contains(&edge.point(p, ASIDE)) && !self.nominal.contains(&edge.point(p, -ASIDE))
            })
            .filter_map(level)
            .reduce(|a, b| if b.1 < a.1 - FLUSH { b } else { a })
            .or_else(|| level(leg + ASIDE))
    }

    /// How deep below the drawn face the material begins at a distance from the edge, and who left it; `None` when the
    /// material that the drawing has below is not there.
    fn depth_at(&self, edge: &Edge, place: &EdgePlace, s: f64) -> Option<(f64, CutId)> {
        let plane = place.plane + place.into_material * s;
        let below = edge.asked.leg * edge.slope + ASIDE;
        let foot = edge.point(plane, 0.0);
        // A wall that stands proud of the drawing has no drawn material at its edge: ask just behind the drawn wall.
        let drawn_plane = place.plane + place.into_material * s.max(ASIDE);
        let drawn = self.nominal_line(edge.axis, &edge.point(drawn_plane, 0.0));
        let inside = edge.axis.of(&edge.point(plane, below));
        let (low, high) = drawn.iter().find(|(a, b)| *a <= inside && inside <= *b)?;
        let far = if edge.into > 0.0 { *high } else { *low };
        let line = self.finished.line(edge.axis, &foot);
        // Anywhere between the break's foot and the far side: a break that is too deep leaves material only there.
        let found = matter_at(&line, inside, 0.0).or_else(|| matter_at(&line, 0.5 * (inside + far), 0.0))?;
        let end = if edge.into > 0.0 { (found.low, found.low_by) } else { (found.high, found.high_by) };
        Some(((end.0 - edge.face) * edge.into, end.1))
    }

    /// Where the wall stands below the break, measured from the drawn wall into the material, and who left it.
    fn wall_at(&self, edge: &Edge, place: &EdgePlace) -> Option<(f64, CutId)> {
        let below = edge.asked.leg * edge.slope + ASIDE;
        let reach = edge.asked.leg.max(0.5);
        let n = place.into_material;
        let (first, second) = edge.axis.others();
        let (axis, part) = if n.x.abs() >= n.y.abs() { (first, n.x) } else { (second, n.y) };
        [2.0 * below, below + edge.asked.tolerance.plus * edge.slope, below].into_iter().find_map(|depth| {
            let drawn = |s: f64| self.nominal.contains(&edge.point(place.plane + n * s, depth));
            if !drawn(ASIDE) || drawn(-ASIDE) {
                return None;
            }
            let foot = edge.point(place.plane, depth);
            let line = self.finished.line(axis, &foot);
            nearest_wall(&line, axis.of(&foot), part > 0.0)
                .map(|(off, by)| (off * part, by))
                .filter(|(off, _)| off.abs() <= reach)
        })
    }
}

/// The end of material nearest to `at` whose material lies towards higher (`up`) or lower values: its distance in the
/// line's own sense, and who left it.
fn nearest_wall(line: &[Piece], at: f64, up: bool) -> Option<(f64, CutId)> {
    line.iter()
        .map(|m| if up { (m.low - at, m.low_by) } else { (m.high - at, m.high_by) })
        .reduce(|a, b| if b.0.abs() < a.0.abs() { b } else { a })
}
