//! The outward normal of a sweep at a point of its surface.
//!
//! Each family of surfaces that a body leaves along a path offers its distance from the point and its normal there; the
//! nearest surface that may lie there wins. A body that moves along a line touches the surface it leaves where its
//! normal is square to the way (the envelope), or, at the start and the end, where it leans backward or forward.
//!
//! Lines, level arcs, cylinders on helices and balls on arcs without rise are closed forms (a rounded corner on a
//! ramp needs one bracketed zero). For the rest the place on the path that comes nearest to the point is searched in
//! steps and refined by golden section.

use super::normal_search::search;
use super::{STANDS_STILL, Sweep, Way, root};
use crate::cutter::Body;
use crate::geom::{Arc, Axis, Path, Vec3};
use std::f64::consts::TAU;

/// How far beyond its border, mm, a face is still taken to reach: ends are whole nanometres.
pub(super) const BORDER: f64 = 1.0e-5;

/// A point farther than this from every surface, mm, lies on none. (Vertices of a mesh are asked for, too; they lie a
/// micrometre or so beside curved faces.)
const FARTHEST_OFF: f64 = 1.0e-2;

/// How far a normal may lean the wrong way where only the other way is possible.
const LEAN: f64 = 1.0e-9;

impl Sweep {
    /// Unit normal at a point of the surface, setup frame, away from the swept volume. On an edge it is the normal of
    /// one of the faces that meet there. `None` where the point is not within 10 micrometres of a surface, and
    /// for a sweep that is only known by its box.
    ///
    /// Its error is that of the point (a nanometre over the radius of curvature).
    pub fn normal_at(&self, point: &Vec3) -> Option<Vec3> {
        let mut best = Best::default();
        let closed = match (&self.way, &self.path) {
            (Way::Nothing | Way::Whole, _) => return None,
            (_, Path::Line { from, to }) => {
                on_line(&self.body, &(to - from), &(point - from), &mut best);
                true
            }
            // Turns on the spot or plunges.
            (Way::Line { from, by }, Path::Arc(_)) => {
                on_line(&self.body, by, &(point - from), &mut best);
                true
            }
            (_, Path::Arc(arc)) => on_arc(&self.body, arc, point, &mut best),
        };
        if !closed && best.off > BORDER {
            search(&self.body, &self.path, point, &mut best);
        }
        (best.off < FARTHEST_OFF).then_some(best.normal)
    }
}

/// The nearest surface offered so far.
pub(super) struct Best {
    off: f64,
    normal: Vec3,
}

impl Default for Best {
    fn default() -> Self {
        Self { off: f64::INFINITY, normal: Vec3::zeros() }
    }
}

impl Best {
    /// Takes a surface at a distance if it is nearer than all before; a distance that is no number is none.
    pub(super) fn offer(&mut self, off: f64, normal: Vec3) {
        if off < self.off {
            *self = Self { off, normal };
        }
    }
}

/// A point seen from the tip: its distance from the axis, the direction in which that lies, its height.
#[derive(Clone, Copy)]
pub(super) struct Local {
    pub(super) d: f64,
    pub(super) e: (f64, f64),
    pub(super) h: f64,
}

impl Local {
    pub(super) fn of(q: &Vec3) -> Self {
        let d = (q.x * q.x + q.y * q.y).sqrt();
        let e = if d > 0.0 { (q.x / d, q.y / d) } else { (1.0, 0.0) };
        Self { d, e, h: q.z }
    }

    /// The vector with a part away from the axis and a part upward, made a unit vector.
    pub(super) fn vector(&self, out: f64, up: f64) -> Vec3 {
        let length = (out * out + up * up).sqrt();
        Vec3::new(self.e.0 * out, self.e.1 * out, up) / length
    }
}

/// Growth of a frustum's radius with height.
pub(super) fn slope(body: &Body) -> f64 {
    match *body {
        Body::Frustum { z0, z1, r0, r1 } => (r1 - r0) / (z1 - z0),
        Body::HalfBall { .. } | Body::RoundedDisc { .. } => 0.0,
    }
}

/// Calls `face(off, out, up)` for each face of a body that stands still: distance of a point from it, not less than
/// the true one, and its normal's parts away from the axis and upward (not a unit vector).
pub(super) fn faces(body: &Body, p: &Local, mut face: impl FnMut(f64, f64, f64)) {
    let (middle, flat, corner) = match *body {
        Body::Frustum { z0, z1, r0, r1 } => {
            if p.d <= r0 + BORDER {
                face((p.h - z0).abs(), 0.0, -1.0);
            }
            if p.d <= r1 + BORDER {
                face((p.h - z1).abs(), 0.0, 1.0);
            }
            if z0 - BORDER <= p.h && p.h <= z1 + BORDER {
                let g = slope(body);
                let off = (p.d - (r0 + g * (p.h - z0))) / (1.0 + g * g).sqrt();
                face(off.abs(), 1.0, -g);
            }
            return;
        }
        Body::HalfBall { z0, radius } => (z0 + radius, 0.0, radius),
        Body::RoundedDisc { z0, radius, corner } => (z0 + corner, radius - corner, corner),
    };
    let (x, y) = ((p.d - flat).max(0.0), p.h - middle);
    if y <= BORDER {
        face(((x * x + y * y).sqrt() - corner).abs(), x, y.min(0.0));
    }
    if p.d <= flat + corner + BORDER {
        face(y.abs(), 0.0, 1.0);
    }
}

/// Offers the faces of a body that stands still with its tip at the origin, as far as `may` allows their normals.
fn standing(body: &Body, p: &Local, best: &mut Best, may: impl Fn(&Vec3) -> bool) {
    faces(body, p, |off, out, up| {
        if off < best.off {
            let normal = p.vector(out, up);
            if may(&normal) {
                best.offer(off, normal);
            }
        }
    });
}

/// `q` is the point seen from the tip at the start.
fn on_line(body: &Body, by: &Vec3, q: &Vec3, best: &mut Best) {
    let level2 = by.x * by.x + by.y * by.y;
    if level2 <= STANDS_STILL * STANDS_STILL {
        plunge(body, by.z, q, best);
    } else if by.z.abs() <= BORDER {
        // A way that climbs less than points are known to is level.
        let t = ((q.x * by.x + q.y * by.y) / level2).clamp(0.0, 1.0);
        let p = q - by * t;
        match floor_off(body, &p) {
            Some(off) => best.offer(off, -Vec3::z()),
            None => standing(body, &Local::of(&p), best, |_| true),
        }
    } else {
        ramp(body, by, q, best);
    }
}

/// How far a point, seen from the tip, is off the flat under a cylinder, where no other face is as near: most points of
/// milled parts, worked out without a root.
fn floor_off(body: &Body, p: &Vec3) -> Option<f64> {
    let Body::Frustum { z0, z1, r0, r1 } = *body else { return None };
    let (off, inside) = ((p.z - z0).abs(), r0 - 10.0 * BORDER);
    let is_straight = !(r0 < r1 || r1 < r0);
    let is_under = off <= BORDER && z1 - z0 > 10.0 * BORDER;
    (is_straight && is_under && inside > 0.0 && p.x * p.x + p.y * p.y < inside * inside).then_some(off)
}

fn plunge(body: &Body, rise: f64, q: &Vec3, best: &mut Best) {
    let p = Local::of(q);
    let (lowest, highest) = (rise.min(0.0), rise.max(0.0));
    standing(body, &Local { h: p.h - lowest, ..p }, best, |n| n.z <= 0.0);
    standing(body, &Local { h: p.h - highest, ..p }, best, |n| n.z >= 0.0);
    // The wall left by the widest part.
    let (from, to) = match *body {
        Body::Frustum { z0, z1, r0, r1 } if r0 < r1 => (z1, z0.max(z1)),
        Body::Frustum { z0, z1, r0, r1 } => (z0, if r1 < r0 { z0 } else { z1 }),
        Body::HalfBall { .. } | Body::RoundedDisc { .. } => (body.top(), body.top()),
    };
    if lowest + from - BORDER <= p.h && p.h <= highest + to + BORDER {
        best.offer((p.d - body.radius()).abs(), p.vector(1.0, 0.0));
    }
}

fn ramp(body: &Body, by: &Vec3, q: &Vec3, best: &mut Best) {
    match *body {
        Body::Frustum { z0, z1, r0, r1 } => {
            cone_sides(body, by, q, best);
            rim(&Rim { radius: r0, height: z0, upper: false, slope: slope(body) }, by, q, best);
            rim(&Rim { radius: r1, height: z1, upper: true, slope: slope(body) }, by, q, best);
        }
        Body::HalfBall { z0, radius } => {
            let c = Vec3::new(q.x, q.y, q.z - (z0 + radius));
            let t = (c.dot(by) / by.norm_squared()).clamp(0.0, 1.0);
            // Only the round face: the flat top leaves a surface at the ends, and its rim one between.
            standing(body, &Local::of(&(q - by * t)), best, |n| n.z <= 0.0);
            rim(&Rim { radius, height: z0 + radius, upper: true, slope: 0.0 }, by, q, best);
        }
        Body::RoundedDisc { z0, radius, corner } => {
            let t = nearest_of_disc(radius - corner, z0 + corner, by, q);
            standing(body, &Local::of(&(q - by * t)), best, |n| n.z <= 0.0);
            rim(&Rim { radius, height: z0 + corner, upper: true, slope: 0.0 }, by, q, best);
        }
    }
    let length = by.norm();
    standing(body, &Local::of(q), best, |n| n.dot(by) <= LEAN * length);
    standing(body, &Local::of(&(q - by)), best, |n| n.dot(by) >= -LEAN * length);
}

/// The two planes that the side of a frustum leaves along a ramp: its straight lines whose normal is square to the way.
fn cone_sides(body: &Body, by: &Vec3, q: &Vec3, best: &mut Best) {
    let Body::Frustum { z0, z1, r0, .. } = *body else { return };
    let g = slope(body);
    let length = (by.x * by.x + by.y * by.y).sqrt();
    let u = (by.x / length, by.y / length);
    let s = g * by.z / length;
    // A way steeper than the side touches nowhere.
    let rest = 1.0 - s * s;
    if !(rest > 0.0) {
        return;
    }
    let along = q.x * u.0 + q.y * u.1;
    let t = (along - s * (r0 + g * (q.z - z0))) / (length * rest);
    let h = q.z - t * by.z;
    let slack = BORDER / length;
    if !(-slack <= t && t <= 1.0 + slack && z0 - BORDER <= h && h <= z1 + BORDER) {
        return;
    }
    let side = (1.0 + g * g).sqrt();
    let across = q.y * u.0 - q.x * u.1;
    let c = rest.sqrt().copysign(across);
    let e = (s * u.0 - c * u.1, s * u.1 + c * u.0);
    let off = (e.0 * q.x + e.1 * q.y - g * q.z - (r0 - g * z0)) / side;
    best.offer(off.abs(), Vec3::new(e.0, e.1, -g) / side);
}

/// A sharp edge round a body, between a flat face and its side.
pub(super) struct Rim {
    pub(super) radius: f64,
    pub(super) height: f64,
    /// True for the edge of the top face.
    pub(super) upper: bool,
    /// Growth of the side's radius with height.
    pub(super) slope: f64,
}

impl Rim {
    /// Normal, as parts away from the axis and upward, of what the rim leaves where it moves by `way` at the side
    /// where the point lies; `None` where a face beside the rim leads instead.
    fn normal(&self, p: &Local, way: &Vec3) -> Option<(f64, f64)> {
        let out = way.z.abs();
        let up = -(p.e.0 * way.x + p.e.1 * way.y) * 1.0_f64.copysign(way.z);
        let beyond = up + self.slope * out;
        let leads = if self.upper { beyond >= 0.0 } else { beyond <= 0.0 };
        (leads && out > 0.0).then_some((out, up))
    }

    /// Offers the surface that the rim leaves, for a point seen from the tip at the time when it is at the rim's
    /// height.
    pub(super) fn offer(&self, p: &Local, way: &Vec3, best: &mut Best) {
        if let Some((out, up)) = self.normal(p, way).filter(|_| self.radius > 0.0) {
            let normal = p.vector(out, up);
            let off = (p.d - self.radius).abs() * out / (out * out + up * up).sqrt();
            best.offer(off, normal);
        }
    }
}

fn rim(rim: &Rim, by: &Vec3, q: &Vec3, best: &mut Best) {
    let t = (q.z - rim.height) / by.z;
    let slack = BORDER / by.z.abs();
    if -slack <= t && t <= 1.0 + slack {
        rim.offer(&Local::of(&(q - by * t)), by, best);
    }
}

/// Where on a line (0 to 1) a flat disc of a radius at a height over the tip comes nearest to a point: the distance
/// from a convex set along a line is convex, so its slope is bracketed.
fn nearest_of_disc(radius: f64, height: f64, by: &Vec3, q: &Vec3) -> f64 {
    let rate = |t: f64| {
        let (x, y, h) = (q.x - t * by.x, q.y - t * by.y, q.z - height - t * by.z);
        let d = (x * x + y * y).sqrt();
        let outside = if d > radius { (d - radius) / d } else { 0.0 };
        -(outside * (x * by.x + y * by.y) + h * by.z)
    };
    if rate(0.0) >= 0.0 {
        0.0
    } else if rate(1.0) <= 0.0 {
        1.0
    } else {
        root::between(0.0, 1.0, STANDS_STILL / by.norm(), rate)
    }
}

/// True when all surfaces of the family have been offered.
fn on_arc(body: &Body, arc: &Arc, point: &Vec3, best: &mut Best) -> bool {
    let c = point - arc.center;
    match (arc.axis, body) {
        (Axis::Z, _) if arc.rise.abs() <= STANDS_STILL => {
            level_arc(body, arc, &c, best);
            true
        }
        (Axis::Z, Body::Frustum { z0, z1, r0, r1 }) if slope(body).abs() <= 0.0 => {
            helix(&Upright { radius: r0.max(*r1), z0: *z0, z1: *z1 }, body, arc, &c, best);
            true
        }
        (_, Body::HalfBall { z0, radius }) if arc.rise.abs() <= STANDS_STILL => {
            // The tube round the arc that the middle of the ball runs along.
            let middle = Vec3::new(c.x, c.y, c.z - (z0 + radius));
            let (a, b) = arc.axis.others();
            let (x, y) = (a.of(&middle), b.of(&middle));
            if within(arc, (x, y)).is_some() {
                let length = (x * x + y * y).sqrt();
                let mut tip = Vec3::zeros();
                a.set(&mut tip, arc.radius * x / length);
                b.set(&mut tip, arc.radius * y / length);
                standing(body, &Local::of(&(c - tip)), best, |n| n.z <= 0.0);
            }
            false
        }
        _ => false,
    }
}

/// How far round an arc, rad, a direction seen from its middle lies; `None` when the arc does not reach it.
fn within(arc: &Arc, p: (f64, f64)) -> Option<f64> {
    let angle = libm::atan2(p.1, p.0);
    let round = ((angle - arc.start_angle) * 1.0_f64.copysign(arc.sweep)).rem_euclid(TAU);
    (round <= arc.sweep.abs()).then_some(round)
}

fn level_arc(body: &Body, arc: &Arc, c: &Vec3, best: &mut Best) {
    let round = arc.sweep.abs() >= TAU || within(arc, (c.x, c.y)).is_some();
    if round {
        let rho = (c.x * c.x + c.y * c.y).sqrt();
        let k = if rho > 0.0 { 1.0 / rho } else { 0.0 };
        let out = rho - arc.radius;
        let sign = 1.0_f64.copysign(out);
        standing(body, &Local { d: out.abs(), e: (c.x * k * sign, c.y * k * sign), h: c.z }, best, |_| true);
        return;
    }
    let ends = [0.0, 1.0].map(|t| c + arc.center - arc.point(t));
    for q in ends {
        // The nearer end alone counts; the other is farther off everywhere but on the floor, where both agree.
        standing(body, &Local::of(&q), best, |_| true);
    }
}

/// A cylinder that stands upright.
struct Upright {
    radius: f64,
    z0: f64,
    z1: f64,
}

fn helix(cylinder: &Upright, body: &Body, arc: &Arc, c: &Vec3, best: &mut Best) {
    let turn = arc.sweep.abs();
    let climb = arc.rise / turn;
    // Walls outside and inside the helix, where the cylinder is abreast at the point's height.
    if let Some(first) = within_turns(arc, c) {
        let mut round = first;
        while round <= turn {
            let h = c.z - climb * round;
            if cylinder.z0 - BORDER <= h && h <= cylinder.z1 + BORDER {
                let p = Local::of(&Vec3::new(c.x, c.y, h));
                best.offer((p.d - (arc.radius + cylinder.radius)).abs(), p.vector(1.0, 0.0));
                best.offer((arc.radius - cylinder.radius - p.d).abs(), p.vector(-1.0, 0.0));
                break;
            }
            round += TAU;
        }
    }
    for (height, upper) in [(cylinder.z0, false), (cylinder.z1, true)] {
        let t = (c.z - height) / arc.rise;
        let slack = BORDER / arc.rise.abs();
        if -slack <= t && t <= 1.0 + slack {
            let (tip, way) = tip_and_way(arc, t.clamp(0.0, 1.0));
            let p = Local::of(&(c + arc.center - tip));
            Rim { radius: cylinder.radius, height, upper, slope: 0.0 }.offer(&p, &way, best);
        }
    }
    for (t, sign) in [(0.0, -1.0), (1.0, 1.0)] {
        let (tip, way) = tip_and_way(arc, t);
        let p = Local::of(&(c + arc.center - tip));
        standing(body, &p, best, |n| sign * n.dot(&way) >= -LEAN * way.norm());
    }
}

/// How far round the first turn of an arc a point lies, seen along the axis; `None` when no turn reaches it, or
/// there are too many turns to try.
fn within_turns(arc: &Arc, c: &Vec3) -> Option<f64> {
    const MOST: f64 = 1000.0;
    within(arc, (c.x, c.y)).filter(|_| arc.sweep.abs() < MOST * TAU)
}

/// Point and velocity (per whole path) of an arc.
pub(super) fn tip_and_way(arc: &Arc, t: f64) -> (Vec3, Vec3) {
    let angle = arc.start_angle + arc.sweep * t;
    let (sin, cos) = libm::sincos(angle);
    let (a, b) = arc.axis.others();
    let (mut tip, mut way) = (arc.center, Vec3::zeros());
    a.set(&mut tip, a.of(&arc.center) + arc.radius * cos);
    b.set(&mut tip, b.of(&arc.center) + arc.radius * sin);
    arc.axis.set(&mut tip, arc.axis.of(&arc.center) + arc.rise * t);
    a.set(&mut way, -arc.radius * arc.sweep * sin);
    b.set(&mut way, arc.radius * arc.sweep * cos);
    arc.axis.set(&mut way, arc.rise);
    (tip, way)
}
