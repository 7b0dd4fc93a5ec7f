use super::Vec3;

/// A box with faces square to the axes, millimetres. Empty when a minimum exceeds its maximum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Box3 {
    /// Lowest corner.
    pub min: Vec3,
    /// Highest corner.
    pub max: Vec3,
}

impl Box3 {
    /// The box that holds nothing.
    pub fn empty() -> Self {
        Self { min: Vec3::repeat(f64::INFINITY), max: Vec3::repeat(f64::NEG_INFINITY) }
    }

    /// The box between two opposite corners given in any order.
    pub fn between(a: Vec3, b: Vec3) -> Self {
        Self { min: a.inf(&b), max: a.sup(&b) }
    }

    /// True when it holds no point.
    pub fn is_empty(&self) -> bool {
        !(self.min.x <= self.max.x && self.min.y <= self.max.y && self.min.z <= self.max.z)
    }

    /// The smallest box that holds both.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        Self { min: self.min.inf(&other.min), max: self.max.sup(&other.max) }
    }

    /// What both have in common; empty where they are apart.
    #[must_use]
    pub fn common(&self, other: &Self) -> Self {
        Self { min: self.min.sup(&other.min), max: self.max.inf(&other.max) }
    }

    /// The smallest box that holds this one and a point.
    #[must_use]
    pub fn with(&self, p: Vec3) -> Self {
        Self { min: self.min.inf(&p), max: self.max.sup(&p) }
    }

    /// The box grown by `by` on every side.
    #[must_use]
    pub fn grown(&self, by: f64) -> Self {
        Self { min: self.min.add_scalar(-by), max: self.max.add_scalar(by) }
    }

    /// True when the two share a point (touching counts).
    pub fn meets(&self, other: &Self) -> bool {
        self.min.x <= other.max.x
            && other.min.x <= self.max.x
            && self.min.y <= other.max.y
            && other.min.y <= self.max.y
            && self.min.z <= other.max.z
            && other.min.z <= self.max.z
    }

    /// True when the point lies inside or on the boundary.
    pub fn contains(&self, p: &Vec3) -> bool {
        self.min.x <= p.x
            && p.x <= self.max.x
            && self.min.y <= p.y
            && p.y <= self.max.y
            && self.min.z <= p.z
            && p.z <= self.max.z
    }

    /// Edge lengths.
    pub fn size(&self) -> Vec3 {
        self.max - self.min
    }

    /// Middle of the box.
    pub fn center(&self) -> Vec3 {
        (self.min + self.max) * 0.5
    }
}
