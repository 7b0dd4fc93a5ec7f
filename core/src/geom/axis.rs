use super::Vec3;

/// One of the three axes of a right-handed frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Axis {
    /// The first axis.
    X,
    /// The second axis.
    Y,
    /// The third axis.
    Z,
}

impl Axis {
    /// All three, in order.
    pub const ALL: [Axis; 3] = [Axis::X, Axis::Y, Axis::Z];

    /// 0, 1 or 2.
    pub const fn index(self) -> usize {
        match self {
            Axis::X => 0,
            Axis::Y => 1,
            Axis::Z => 2,
        }
    }

    /// The two other axes in right-handed order: `(u, v)` with `u x v = self`.
    ///
    /// Z gives (X, Y), Y gives (Z, X), X gives (Y, Z).
    pub const fn others(self) -> (Axis, Axis) {
        match self {
            Axis::X => (Axis::Y, Axis::Z),
            Axis::Y => (Axis::Z, Axis::X),
            Axis::Z => (Axis::X, Axis::Y),
        }
    }

    /// This component of a vector.
    #[inline]
    pub fn of(self, v: &Vec3) -> f64 {
        match self {
            Axis::X => v.x,
            Axis::Y => v.y,
            Axis::Z => v.z,
        }
    }

    /// Sets this component of a vector.
    #[inline]
    pub fn set(self, v: &mut Vec3, value: f64) {
        match self {
            Axis::X => v.x = value,
            Axis::Y => v.y = value,
            Axis::Z => v.z = value,
        }
    }

    /// Lower-case letter of the axis.
    pub const fn letter(self) -> char {
        match self {
            Axis::X => 'x',
            Axis::Y => 'y',
            Axis::Z => 'z',
        }
    }
}

/// An axis with a sense, such as `+x` or `-z`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Direction {
    /// The axis.
    pub axis: Axis,
    /// True along the axis, false against it.
    pub positive: bool,
}

impl Direction {
    /// A direction from its axis and sense.
    pub const fn new(axis: Axis, positive: bool) -> Self {
        Self { axis, positive }
    }

    /// +1 or -1.
    pub const fn sign(self) -> f64 {
        if self.positive { 1.0 } else { -1.0 }
    }

    /// The unit vector.
    pub fn vector(self) -> Vec3 {
        let mut v = Vec3::zeros();
        self.axis.set(&mut v, self.sign());
        v
    }

    /// Reads `+x`, `-x`, ... `-z`; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        let (positive, letter) = match text.split_at_checked(1)? {
            ("+", rest) => (true, rest),
            ("-", rest) => (false, rest),
            _ => return None,
        };
        let axis = match letter {
            "x" => Axis::X,
            "y" => Axis::Y,
            "z" => Axis::Z,
            _ => return None,
        };
        Some(Self { axis, positive })
    }
}

impl std::fmt::Display for Direction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", if self.positive { '+' } else { '-' }, self.axis.letter())
    }
}
