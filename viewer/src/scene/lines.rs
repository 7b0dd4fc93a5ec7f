use super::Bounds;
use crate::colour::Colour;
use glam::Vec3;

/// How a line is drawn, so that lines can be told apart without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pattern {
    /// One stroke.
    Full,
    /// Long dashes.
    Dashed,
    /// Two thin strokes side by side.
    Double,
}

/// Straight pieces of lines, each with colour, width and pattern.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineSet {
    /// Ends as bits of `f32`, the first with the packed colour, the second with width and pattern: see [`LineSet::push`].
    pub segments: Vec<[u32; 8]>,
    /// The smallest box around them.
    pub bounds: Bounds,
}

impl LineSet {
    /// Adds a piece of a line; its width is in points, which are pixels where nothing is scaled, up to 25.
    pub fn push(&mut self, from: Vec3, to: Vec3, colour: Colour, width: f32, pattern: Pattern) {
        let tenths = u32::from(crate::colour::byte(width * 10.0));
        let pattern = match pattern {
            Pattern::Full => 0,
            Pattern::Dashed => 1,
            Pattern::Double => 2,
        };
        let [ax, ay, az] = from.to_array().map(f32::to_bits);
        let [bx, by, bz] = to.to_array().map(f32::to_bits);
        self.segments.push([ax, ay, az, colour.packed(), bx, by, bz, tenths | pattern << 8]);
        self.bounds = self.bounds.with(from).with(to);
    }

    /// Adds the edges of a chain of points.
    pub fn chain(&mut self, points: &[Vec3], colour: Colour, width: f32, pattern: Pattern) {
        for (a, b) in points.iter().zip(points.iter().skip(1)) {
            self.push(*a, *b, colour, width, pattern);
        }
    }

    /// Ends of a piece.
    pub fn ends(segment: &[u32; 8]) -> (Vec3, Vec3) {
        let [ax, ay, az, _, bx, by, bz, _] = *segment;
        let of = |x, y, z| Vec3::new(f32::from_bits(x), f32::from_bits(y), f32::from_bits(z));
        (of(ax, ay, az), of(bx, by, bz))
    }

    /// True when there are none.
    pub const fn is_empty(&self) -> bool {
        self.segments.is_empty()
    }
}
