use super::convex::{Swept, Triangle, separation};
use super::{meridian, tree::Tree};
use crate::cutter::Body;
use crate::geom::{Axis, Box3, Vec2, Vec3};
use crate::job::{Mesh, RoundBar, Solid};

/// A solid of the workholding, made ready for distances. Setup frame, millimetres.
#[derive(Clone, Debug)]
pub struct Shape {
    kind: Kind,
    bounds: Box3,
}

#[derive(Clone, Debug)]
enum Kind {
    Box,
    Upright { center: Vec2, radius: f64, from: f64, to: f64 },
    Lying(RoundBar),
    Mesh(Box<Tree>),
}

/// How near a tool body comes to a shape on a straight line.
#[derive(Clone, Copy, Debug)]
pub struct Nearest {
    /// The least distance, millimetres: never more than the truth, at most [`super::RESOLUTION`] less; 0 when they
    /// touch. At or above the cutoff that was asked for it only says "not under the cutoff".
    pub gap: f64,
    /// A point of the shape where it is nearest, setup frame.
    pub on_shape: Vec3,
    /// Part of the way, 0 to 1, at which it is nearest.
    pub along: f64,
}

impl Shape {
    /// Takes a solid over.
    pub fn new(solid: &Solid) -> Self {
        match solid {
            Solid::Box(b) => Self { kind: Kind::Box, bounds: *b },
            Solid::Cylinder(bar) => {
                let bounds = bar_bounds(bar);
                let kind = match bar.axis {
                    Axis::Z => Kind::Upright {
                        center: Vec2::new(bar.center.x, bar.center.y),
                        radius: bar.radius,
                        from: bar.from,
                        to: bar.to,
                    },
                    Axis::X | Axis::Y => Kind::Lying(*bar),
                };
                Self { kind, bounds }
            }
            Solid::Mesh(mesh) => Self::mesh(mesh),
        }
    }

    fn mesh(mesh: &Mesh) -> Self {
        Self { bounds: mesh.bounds(), kind: Kind::Mesh(Box::new(Tree::new(mesh))) }
    }

    /// The smallest box that holds it.
    pub const fn bounds(&self) -> &Box3 {
        &self.bounds
    }

    /// Distance in the XY plane from a point to the shape's shadow there, 0 over it. For a mesh and a lying cylinder
    /// the shadow's box stands for the shadow.
    pub fn shadow_distance(&self, x: f64, y: f64) -> f64 {
        match &self.kind {
            Kind::Upright { center, radius, .. } => {
                (libm::hypot(x - center.x, y - center.y) - radius).max(0.0)
            }
            Kind::Box | Kind::Lying(_) | Kind::Mesh(_) => {
                let b = &self.bounds;
                let dx = (b.min.x - x).max(x - b.max.x).max(0.0);
                let dy = (b.min.y - y).max(y - b.max.y).max(0.0);
                libm::hypot(dx, dy)
            }
        }
    }

    /// How near a body comes while its tip is led along a straight line. Where the distance is `cutoff` or more only
    /// that is said.
    pub fn nearest_on_line(&self, body: &Body, from: Vec3, to: Vec3, cutoff: f64) -> Nearest {
        match &self.kind {
            Kind::Box | Kind::Upright { .. } => {
                super::line::least(from, to, cutoff, |tip| self.upright(body, tip))
            }
            Kind::Lying(bar) => {
                let s = separation(&Swept { body, from, to }, bar, cutoff);
                Nearest { gap: s.at_least, on_shape: s.on_second, along: along(from, to, s.on_second) }
            }
            Kind::Mesh(tree) => near_mesh(tree, body, from, to, cutoff),
        }
    }

    /// Distance with the tip at a point, for shapes whose sides are upright, and the shape's point that is nearest.
    fn upright(&self, body: &Body, tip: Vec3) -> (f64, Vec3) {
        let (foot, low, high) = match &self.kind {
            Kind::Upright { center, radius, from, to } => {
                let away = Vec2::new(tip.x, tip.y) - center;
                let length = libm::hypot(away.x, away.y);
                let foot = if length > *radius {
                    center + away * (radius / length)
                } else {
                    Vec2::new(tip.x, tip.y)
                };
                (foot, *from, *to)
            }
            Kind::Box | Kind::Lying(_) | Kind::Mesh(_) => {
                let b = &self.bounds;
                let foot = Vec2::new(tip.x.max(b.min.x).min(b.max.x), tip.y.max(b.min.y).min(b.max.y));
                (foot, b.min.z, b.max.z)
            }
        };
        let rho = libm::hypot(foot.x - tip.x, foot.y - tip.y);
        let (gap, z) = meridian::to_upright_line(body, rho, low - tip.z, high - tip.z);
        (gap, Vec3::new(foot.x, foot.y, tip.z + z))
    }
}

/// Most pieces that a line past a mesh is cut into.
const MOST_PIECES: f64 = 256.0;

/// How near a body comes to a mesh. A long line is cut into pieces about as long as the body is wide, so that the box
/// around each piece is tight and few triangles need a closer look.
fn near_mesh(tree: &Tree, body: &Body, from: Vec3, to: Vec3, cutoff: f64) -> Nearest {
    if tree.holds(&(from + super::middle(body))) {
        return Nearest { gap: 0.0, on_shape: from + super::middle(body), along: 0.0 };
    }
    let count = ((to - from).norm() / (2.0 * body.radius()).max(1.0)).ceil().clamp(1.0, MOST_PIECES);
    let mut best = Nearest { gap: cutoff, on_shape: tree.center(), along: 0.0 };
    let mut k = 0.0;
    while k < count && best.gap > 0.0 {
        let (a, b) = (from + (to - from) * (k / count), from + (to - from) * ((k + 1.0) / count));
        let swept = Swept { body, from: a, to: b };
        let (gap, on_shape) = tree.nearest(&super::swept_box(body, a, b), best.gap, |triangle, beyond| {
            let s = separation(&swept, &Triangle(triangle), beyond);
            (s.at_least, s.on_second)
        });
        if gap < best.gap {
            best = Nearest { gap, on_shape, along: (k + along(a, b, on_shape)) / count };
        }
        k += 1.0;
    }
    best
}

/// Part of the way at which a line is nearest to a point.
fn along(from: Vec3, to: Vec3, p: Vec3) -> f64 {
    let way = to - from;
    let squared = way.norm_squared();
    if squared > 0.0 { ((p - from).dot(&way) / squared).clamp(0.0, 1.0) } else { 0.0 }
}

fn bar_bounds(bar: &RoundBar) -> Box3 {
    let (u, v) = bar.axis.others();
    let (mut min, mut max) = (bar.center, bar.center);
    for a in [u, v] {
        a.set(&mut min, a.of(&bar.center) - bar.radius);
        a.set(&mut max, a.of(&bar.center) + bar.radius);
    }
    bar.axis.set(&mut min, bar.from);
    bar.axis.set(&mut max, bar.to);
    Box3 { min, max }
}
