use super::shape::{self, Diameters};
use super::{Body, Tool};

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

impl Assembly {
    /// What removes or touches stock, from the tip up: cutter, neck and shank, holder.
    ///
    /// Above `flute_length` the tool is `Shank`, up to the holder's nose at `stickout`; from there on it is
    /// `Holder`. A tap counts with its basic minor diameter (it leaves the hole as drilled). Without holder
    /// sections nothing is known above the stickout, and nothing is modelled there.
    pub fn of(tool: &Tool) -> Self {
        shape::assembly(tool, Diameters::Cutting)
    }

    /// The tool with its full outer diameters (a tap with its major diameter), for collision with workholding.
    pub fn envelope(tool: &Tool) -> Self {
        shape::assembly(tool, Diameters::Full)
    }

    /// The part of the tip that cannot cut because it lies too near the axis; `None` when the tool cuts at its
    /// centre. It lies inside the cutter. Radii by kind:
    ///
    /// | kind | radius of the core |
    /// |---|---|
    /// | drill, spot drill, center drill; end, bull, ball and taper mill that cut at the centre | none |
    /// | end, bull, ball, taper mill that do not | half the radius (of the flat, of the tip) |
    /// | face mill | 0.8 of the tip's radius: inserts sit at the rim |
    /// | chamfer mill | the flat at its tip; none when it has a point |
    /// | reamer | 0.8 of its radius: it takes a few tenths only |
    /// | tap | 0.9 of its basic minor radius |
    /// | counterbore | half its radius, where the pilot sits |
    /// | boring bar | the bar itself, at most 0.8 of the radius |
    /// | slot cutter | the neck, at most 0.8 of the radius |
    ///
    /// The factors are our own choice: no standard fixes them. A plunge into solid stock meets any of them.
    pub fn core(tool: &Tool) -> Option<Body> {
        shape::core(tool)
    }

    /// Height of its highest point over the tip, millimetres; 0 without parts.
    pub fn height(&self) -> f64 {
        self.parts.iter().fold(0.0, |h, p| p.body.top().max(h))
    }

    /// Largest radius of all its parts, millimetres; 0 without parts.
    pub fn radius(&self) -> f64 {
        self.parts.iter().fold(0.0, |r, p| p.body.radius().max(r))
    }

    /// The parts of a role, from the tip up.
    pub fn bodies(&self, role: PartRole) -> impl Iterator<Item = &Body> {
        self.parts.iter().filter(move |p| p.role == role).map(|p| &p.body)
    }
}
