//! The wall of a hole or a bore, measured by lines across its axis.

use super::bench::Bench;
use super::finished::matter_at;
use super::result::Measured;
use crate::cutting::Piece;
use crate::geom::{Axis, Vec2, Vec3};
use crate::stock::CutId;
use nalgebra::{Matrix3, Vector3};
use std::f64::consts::TAU;

/// Places around a hole at which its wall is measured; opposite ones make two-point sizes.
const AROUND: u32 = 16;

/// Fewest wall points that tell where a hole's middle is.
const FEWEST: usize = 5;

/// How far beside the nominal wall the drawing is asked whether there is a wall, millimetres.
const BESIDE: f64 = 1.0e-3;

/// A round wall as the drawing has it.
#[derive(Clone, Copy, Debug)]
pub(super) struct RoundWall {
    pub(super) axis: Axis,
    /// In the plane `axis.others()`.
    pub(super) center: Vec2,
    pub(super) radius: f64,
}

/// What the lines across the axis at one height found.
pub(super) enum Level {
    /// The axis runs in material here.
    Solid,
    /// The wall is interrupted, or gone, too much to say where its middle is.
    Open,
    /// A wall.
    Wall(WallAt),
}

/// The wall at one height.
pub(super) struct WallAt {
    /// Middle of the circle through the wall, in the plane.
    pub(super) center: Vec2,
    /// Two-point sizes through that middle (twice the radius where the opposite wall is interrupted), each with the place
    /// of the wall that is further off and who left it.
    pub(super) diameters: Vec<(Measured, Vec2, CutId)>,
    /// Least distance from the middle to the wall.
    pub(super) least_radius: f64,
    /// Largest error of one wall point.
    pub(super) bound: f64,
    /// Who left the wall.
    pub(super) by: Vec<CutId>,
}

#[derive(Clone, Copy)]
struct WallPoint {
    index: u32,
    at: Vec2,
    by: CutId,
}

/// The point of space with these plane coordinates and height.
pub(super) fn in_space(axis: Axis, plane: &Vec2, height: f64) -> Vec3 {
    let (u, v) = axis.others();
    let mut p = Vec3::zeros();
    u.set(&mut p, plane.x);
    v.set(&mut p, plane.y);
    axis.set(&mut p, height);
    p
}

/// Unit vector at a part of the turn.
pub(super) fn direction(part: f64) -> Vec2 {
    let angle = TAU * part;
    Vec2::new(libm::cos(angle), libm::sin(angle))
}

/// The first material from the air at `at` towards higher or lower values; `None` when `at` lies in material or nothing
/// follows.
fn towards(line: &[Piece], at: f64, up: bool) -> Option<(f64, CutId)> {
    if matter_at(line, at, 0.0).is_some() {
        return None;
    }
    if up {
        line.iter().find(|m| m.low > at).map(|m| (m.low, m.low_by))
    } else {
        line.iter().rev().find(|m| m.high < at).map(|m| (m.high, m.high_by))
    }
}

impl RoundWall {
    /// True when the drawing has this wall at a part of the turn and a height.
    pub(super) fn drawn(&self, bench: &Bench, part: f64, height: f64) -> bool {
        let unit = direction(part);
        let at = |r: f64| in_space(self.axis, &(self.center + unit * r), height);
        bench.nominal.contains(&at(self.radius + BESIDE))
            && !bench.nominal.contains(&at(self.radius - BESIDE))
    }

    /// Part of the turn of one of the places around.
    fn part(index: u32) -> f64 {
        f64::from(index) / f64::from(AROUND)
    }

    /// How many places around have a wall in the drawing at this height.
    pub(super) fn drawn_places(&self, bench: &Bench, height: f64) -> usize {
        (0..AROUND).filter(|k| self.drawn(bench, Self::part(*k), height)).count()
    }

    /// True when the drawing has enough wall at this height to measure it.
    pub(super) fn measurable(&self, bench: &Bench, height: f64) -> bool {
        self.drawn_places(bench, height) >= FEWEST
    }

    /// Measures the wall at a height.
    pub(super) fn measure(&self, bench: &Bench, height: f64) -> Level {
        let axis_point = in_space(self.axis, &self.center, height);
        let across = self.axis.others().0;
        if matter_at(&bench.finished.line(across, &axis_point), across.of(&axis_point), 0.0).is_some() {
            return Level::Solid;
        }
        let points: Vec<WallPoint> = (0..AROUND).filter_map(|k| self.wall_point(bench, k, height)).collect();
        // Where the wall was cut away altogether the line goes on to something else: that must not move the middle.
        let whole = |p: &&WallPoint| ((p.at - self.center).norm() - self.radius).abs() <= self.radius / 4.0;
        let standing: Vec<WallPoint> = points.iter().filter(whole).copied().collect();
        let center = middle(&standing, &self.center).or_else(|| middle(&points, &self.center));
        let Some(center) = center else { return Level::Open };
        let makers = bench.makers();
        let bound = points.iter().map(|p| makers.bound(p.by)).fold(0.0, f64::max);
        let radius = |p: &WallPoint| (p.at - center).norm();
        let diameters = points.iter().filter_map(|p| {
            let opposite = points.iter().find(|q| q.index == (p.index + AROUND / 2) % AROUND);
            let off = |p: &WallPoint| (radius(p) - self.radius).abs();
            // Each pair once; its place is the wall that is further off, where the drawing has it.
            let (value, worse) = match opposite {
                Some(q) if q.index < p.index => return None,
                Some(q) => (radius(p) + radius(q), if off(q) > off(p) { q } else { p }),
                None => (2.0 * radius(p), p),
            };
            let place = self.center + direction(Self::part(worse.index)) * self.radius;
            Some((Measured { value, bound: 2.0 * bound }, place, worse.by))
        });
        Level::Wall(WallAt {
            center,
            diameters: diameters.collect(),
            least_radius: points.iter().map(radius).fold(f64::INFINITY, f64::min),
            bound,
            by: points.iter().map(|p| p.by).collect(),
        })
    }

    /// The wall at one of the places around, found on the line across the axis that meets it more steeply.
    fn wall_point(&self, bench: &Bench, index: u32, height: f64) -> Option<WallPoint> {
        let part = Self::part(index);
        if !self.drawn(bench, part, height) {
            return None;
        }
        let unit = direction(part);
        let wall = self.center + unit * self.radius;
        let (first, second) = self.axis.others();
        let steep = unit.x.abs() >= unit.y.abs();
        let (run, from, up) =
            if steep { (first, self.center.x, unit.x > 0.0) } else { (second, self.center.y, unit.y > 0.0) };
        let line = bench.finished.line(run, &in_space(self.axis, &wall, height));
        let (end, by) = towards(&line, from, up)?;
        let at = if steep { Vec2::new(end, wall.y) } else { Vec2::new(wall.x, end) };
        Some(WallPoint { index, at, by })
    }
}

/// Middle of the circle that fits the points best (algebraic least squares after Kasa, IEEE Trans. Instrum. Meas. 25,
/// 1976; exact for points of a circle); `None` when the points do not tell.
fn middle(points: &[WallPoint], about: &Vec2) -> Option<Vec2> {
    if points.len() < FEWEST {
        return None;
    }
    let mut m = Matrix3::zeros();
    let mut rhs = Vector3::zeros();
    for p in points {
        let d = p.at - about;
        let row = Vector3::new(d.x, d.y, 1.0);
        m += row * row.transpose();
        rhs -= row * d.norm_squared();
    }
    let solved = m.lu().solve(&rhs)?;
    let center = Vec2::new(-solved.x / 2.0, -solved.y / 2.0);
    center.iter().all(|c| c.is_finite()).then(|| about + center)
}
