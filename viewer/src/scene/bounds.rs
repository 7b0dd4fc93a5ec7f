use glam::{Mat4, Vec3};

/// A box square to the axes, millimetres; holds nothing when a minimum exceeds its maximum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Lowest corner.
    pub min: Vec3,
    /// Highest corner.
    pub max: Vec3,
}

impl Bounds {
    /// The box that holds nothing.
    pub const EMPTY: Self = Self { min: Vec3::INFINITY, max: Vec3::NEG_INFINITY };

    /// True when it holds no point.
    pub fn is_empty(&self) -> bool {
        !self.min.cmple(self.max).all()
    }

    /// The smallest box that holds both.
    #[must_use]
    pub fn union(&self, other: &Self) -> Self {
        Self { min: self.min.min(other.min), max: self.max.max(other.max) }
    }

    /// The smallest box that holds this one and a point.
    #[must_use]
    pub fn with(&self, p: Vec3) -> Self {
        Self { min: self.min.min(p), max: self.max.max(p) }
    }

    /// The box grown by `by` on every side.
    #[must_use]
    pub fn grown(&self, by: f32) -> Self {
        Self { min: self.min - by, max: self.max + by }
    }

    /// Middle; the origin for an empty box.
    pub fn center(&self) -> Vec3 {
        if self.is_empty() { Vec3::ZERO } else { (self.min + self.max) * 0.5 }
    }

    /// Edge lengths; zero for an empty box.
    pub fn size(&self) -> Vec3 {
        if self.is_empty() { Vec3::ZERO } else { self.max - self.min }
    }

    /// The eight corners.
    pub fn corners(&self) -> [Vec3; 8] {
        let (a, b) = (self.min, self.max);
        let pick = |k: u8| {
            let of = |bit: u8, lo: f32, hi: f32| if k & bit == 0 { lo } else { hi };
            Vec3::new(of(1, a.x, b.x), of(2, a.y, b.y), of(4, a.z, b.z))
        };
        [0, 1, 2, 3, 4, 5, 6, 7].map(pick)
    }

    /// The smallest box around this one carried elsewhere.
    #[must_use]
    pub fn moved(&self, by: &Mat4) -> Self {
        if self.is_empty() {
            return Self::EMPTY;
        }
        self.corners().iter().fold(Self::EMPTY, |b, c| b.with(by.transform_point3(*c)))
    }

    /// The part of a ray inside, as distances along it; `None` when it misses.
    pub fn met_by(&self, origin: Vec3, direction: Vec3) -> Option<(f32, f32)> {
        let one_over = direction.recip();
        let (a, b) = ((self.min - origin) * one_over, (self.max - origin) * one_over);
        // A ray along a face gives 0 * infinity there; `min` and `max` pass over what is not a number.
        let near = a.min(b).to_array().into_iter().fold(0.0, f32::max);
        let far = a.max(b).to_array().into_iter().fold(f32::INFINITY, f32::min);
        (near <= far).then_some((near, far))
    }
}

impl From<&proofcut_core::geom::Box3> for Bounds {
    fn from(b: &proofcut_core::geom::Box3) -> Self {
        Self { min: super::mesh::small(&b.min), max: super::mesh::small(&b.max) }
    }
}
