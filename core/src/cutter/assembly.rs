/// A convex body of revolution about the spindle axis. Heights are measured up from the tool's tip, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Body {
    /// A cylinder or a (truncated) cone between two heights; `r0` at `z0`, `r1` at `z1`, `z0 < z1`.
    Frustum {
        /// Lower height.
        z0: f64,
        /// Upper height.
        z1: f64,
        /// Radius at the lower height; may be 0.
        r0: f64,
        /// Radius at the upper height; may be 0.
        r1: f64,
    },
    /// The lower half of a ball, lowest point at `z0`, equator at `z0 + radius`.
    HalfBall {
        /// Height of the lowest point.
        z0: f64,
        /// Radius.
        radius: f64,
    },
    /// A flat bottom with a rounded corner from `z0` up to `z0 + corner`, where the radius is reached.
    RoundedDisc {
        /// Height of the flat bottom.
        z0: f64,
        /// Full radius.
        radius: f64,
        /// Corner radius, less than `radius`.
        corner: f64,
    },
}

/// What a part of the assembly may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartRole {
    /// Cuts.
    Cutter,
    /// Must not touch: shank or neck.
    Shank,
    /// Must not touch: holder.
    Holder,
}

/// A body with its role.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// What it may do.
    pub role: PartRole,
    /// Its shape.
    pub body: Body,
}

/// A tool in its holder, from the tip upwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Assembly {
    /// Its parts.
    pub parts: Vec<Part>,
}
