use super::local::{join, split};
use super::profile::{Piece, Profile};
use crate::geom::{Axis, Vec2, Vec3};
use crate::job::{EdgeBreak, HoleEnd};

/// An edge that must be broken: the outline of a shape on one of its faces. Part frame, millimetres.
#[derive(Clone, Debug)]
pub struct Edge {
    /// Feature that lists the break.
    pub feature: usize,
    /// Which end, for a hole.
    pub end: Option<HoleEnd>,
    /// Axis square to the face.
    pub axis: Axis,
    /// Height of the face along it.
    pub face: f64,
    /// +1 when the material lies above the face, -1 when below.
    pub into: f64,
    pub(super) profile: Profile,
    /// True when the material lies inside the outline.
    pub(super) inside: bool,
    /// What the drawing asks for.
    pub asked: EdgeBreak,
    /// Depth of the break for a leg of 1: the tangent of its angle to the face.
    pub slope: f64,
}

/// A place on an edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EdgePlace {
    /// On the outline, in the plane `axis.others()`.
    pub plane: Vec2,
    /// Unit vector in that plane into the material.
    pub into_material: Vec2,
}

/// Corners turn more than this, radians; less is a smooth run of pieces (or the rounding of the print's decimals).
const CORNER: f64 = 0.02;

impl Edge {
    /// The point of space at a place of the edge's plane, `below` under its face.
    pub fn point(&self, plane: Vec2, below: f64) -> Vec3 {
        join(self.axis, plane, self.face + self.into * below)
    }

    /// Places all along the edge, at most `spacing` apart, none nearer than `clear` to a sharp corner.
    pub fn places(&self, spacing: f64, clear: f64) -> Vec<EdgePlace> {
        let pieces = &self.profile.pieces;
        let mut out = Vec::new();
        for (i, piece) in pieces.iter().enumerate() {
            let before = pieces.get((i + pieces.len() - 1) % pieces.len());
            let after = pieces.get((i + 1) % pieces.len());
            let length = piece.length();
            let corner = |a: Option<&Piece>, b: Option<&Piece>| match (a, b) {
                (Some(a), Some(b)) => turn(a, b) > CORNER,
                _ => true,
            };
            let from = if corner(before, Some(piece)) { clear } else { 0.0 };
            let to = length - if corner(Some(piece), after) { clear } else { 0.0 };
            if to <= from {
                continue;
            }
            let count = ((to - from) / spacing).ceil().clamp(1.0, MOST_PLACES);
            let mut k = 0.0;
            while k < count {
                let t = (from + (to - from) * (k + 0.5) / count) / length;
                let inward = self.profile.inward(piece, t);
                let into_material = if self.inside { inward } else { -inward };
                out.push(EdgePlace { plane: piece.point(t), into_material });
                k += 1.0;
            }
        }
        out
    }

    /// True when a break with this leg takes the point away; points within `slack` of that count too.
    pub fn takes(&self, leg: f64, p: &Vec3, slack: f64) -> bool {
        let (plane, height) = split(self.axis, p);
        let below = (height - self.face) * self.into;
        let depth = leg * self.slope;
        if !(-slack <= below && below <= depth + slack) {
            return false;
        }
        let distance = self.profile.distance(&plane);
        distance <= leg * (1.0 - below.clamp(0.0, depth) / depth) + slack
            && (self.profile.contains(&plane) == self.inside || distance <= slack)
    }

    /// Length of the whole outline, millimetres.
    pub fn length(&self) -> f64 {
        self.profile.pieces.iter().map(Piece::length).sum()
    }
}

/// Most places on one piece of an outline: bounds the time spent on a huge part.
const MOST_PLACES: f64 = 4000.0;

/// Angle by which the direction changes from one piece to the next, radians.
fn turn(a: &Piece, b: &Piece) -> f64 {
    let (d, e) = (a.tangent(1.0), b.tangent(0.0));
    libm::atan2((d.x * e.y - d.y * e.x).abs(), d.dot(&e))
}
