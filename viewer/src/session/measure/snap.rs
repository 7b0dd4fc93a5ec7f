//! What a pick comes to lie on: a face, an axis, or just a place.

use super::form::{End, Face, Form};
use crate::session::Proved;
use proofcut_core::geom::{Axis, Vec3};
use proofcut_core::job::{Feature, FeatureKind, Job, Shape};
use proofcut_core::solid::NominalPart;
use proofcut_core::stock::CutId;

/// What was picked, part frame, millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Snap {
    /// The place that was picked.
    pub picked: Vec3,
    /// Where it snapped to: that place, or the point of the axis beside it.
    pub at: Vec3,
    /// What it is.
    pub on: On,
    /// The same in words, with numbers in the axes of the setup, such as `flat face at Z -0.2500`.
    pub name: String,
    /// Unit normal out of the material where a surface was picked.
    pub normal: Option<Vec3>,
}

/// What a pick lies on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum On {
    /// A flat face with this unit normal.
    Face(Vec3),
    /// An axis along this unit vector.
    Axis(Vec3),
    /// A place.
    Place,
}

/// Something that was pointed at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Pick {
    /// The surface of the stock, near this place, part frame.
    Stock(Vec3),
    /// The inside of the stock where a section plane cuts it, part frame.
    Section(Vec3),
    /// Something that holds the part: place and unit normal, setup frame.
    Holding(Vec3, Vec3),
    /// A program zero of the setup, by its number.
    Zero(usize),
    /// A feature of the drawing, by its number.
    Feature(usize),
}

/// The moment that is measured at.
#[derive(Clone, Copy, Debug)]
pub(super) struct Now<'a> {
    pub(super) proved: &'a Proved,
    pub(super) setup: usize,
    /// The stock is as all cuts before this one leave it.
    pub(super) before: CutId,
}

/// How far the surface as drawn may lie from the exact one, millimetres: beyond, a place is only what the picture shows.
const DRAWN: f64 = 0.2;
/// A surface belongs to a feature that lies no farther than this, millimetres.
const BELONGS: f64 = 0.5;
/// A direction counts as one of an axis when its cosine is at least this.
const ALONG: f64 = 1.0 - 1.0e-12;

impl Snap {
    /// What a pick comes to lie on; `None` for a feature without an axis, and where there is nothing to measure on.
    pub(super) fn of(now: &Now<'_>, pick: Pick) -> Option<Self> {
        let job = &now.proved.checked.job;
        let setup = job.setups.get(now.setup)?;
        match pick {
            Pick::Stock(at) => Some(Self::on_stock(now, &at)),
            Pick::Section(at) => Some(Self::place(job, now.setup, at, "place in the section")),
            Pick::Holding(at, normal) => {
                let to = |v: &Vec3| setup.frame.part_from_setup_vector(v);
                let at = setup.frame.part_from_setup(&at);
                let square = Axis::ALL.into_iter().find(|a| a.of(&normal).abs() > 1.0 - 1.0e-6);
                let Some(axis) = square else {
                    return Some(Self::place(job, now.setup, at, "place on the workholding"));
                };
                let mut normal = Vec3::zeros();
                axis.set(&mut normal, 1.0);
                let name = format!("workholding, {}", face_name(job, now.setup, &at, &normal));
                Some(Self { picked: at, at, on: On::Face(to(&normal)), name, normal: None })
            }
            Pick::Zero(n) => {
                let (offset, at) = setup.zeros.get(n)?;
                let name = format!("zero of {offset}");
                Some(Self { picked: *at, at: *at, on: On::Place, name, normal: None })
            }
            Pick::Feature(n) => {
                let feature = job.drawing.as_ref()?.features.get(n)?;
                let (at, along, diameter) = drawn_axis(feature)?;
                let diameter = job.unit.number(diameter);
                let name = format!("axis of {} as drawn, diameter {diameter}", feature.id);
                Some(Self { picked: at, at, on: On::Axis(along), name, normal: None })
            }
        }
    }

    fn place(job: &Job, setup: usize, at: Vec3, what: &str) -> Self {
        let [x, y, z] = in_setup(job, setup, &at).map(|v| job.unit.number(v));
        Self { picked: at, at, on: On::Place, name: format!("{what} at X{x} Y{y} Z{z}"), normal: None }
    }

    fn on_stock(now: &Now<'_>, hit: &Vec3) -> Self {
        let job = &now.proved.checked.job;
        let found = now.proved.cut.as_ref().and_then(|cut| Some((cut, nearest_end(now, hit)?)));
        let Some((cut, (end, _))) = found.filter(|(_, (_, off))| *off <= DRAWN) else {
            return Self::place(job, now.setup, *hit, "about a place of the picture");
        };
        let face = Face::at(cut, &job.stock, &end);
        let feature = feature_at(now.proved, &end.at);
        let mut snap = Self::place(job, now.setup, end.at, "place on the surface");
        snap.normal = Some(face.normal);
        match face.form {
            Form::Flat => {
                snap.on = On::Face(face.normal);
                let name = face_name(job, now.setup, &end.at, &face.normal);
                let of = feature.map(|f| f.id.as_str());
                snap.name = [Some(name.as_str()), of].into_iter().flatten().collect::<Vec<_>>().join(", ");
            }
            Form::Round { through, along, radius } => {
                let on_axis = through + along * (end.at - through).dot(&along);
                snap.at = on_axis;
                snap.on = On::Axis(along);
                let hollow = face.normal.dot(&(end.at - on_axis)) < 0.0;
                snap.name = round_name(job, feature, hollow, radius);
            }
            Form::Other => {}
        }
        snap
    }
}

/// The nearest end of material on the three lines through a place, and how far it is.
pub(super) fn nearest_end(now: &Now<'_>, at: &Vec3) -> Option<(End, f64)> {
    let cut = now.proved.cut.as_ref()?;
    let mut best: Option<(End, f64)> = None;
    for axis in Axis::ALL {
        let (u, v) = axis.others();
        for piece in cut.history.probe_before(axis, u.of(at), v.of(at), now.before) {
            for (place, by, sense) in [(piece.low, piece.low_by, -1.0), (piece.high, piece.high_by, 1.0)] {
                let off = (place - axis.of(at)).abs();
                if best.is_none_or(|(_, known)| off < known) {
                    let mut at = *at;
                    axis.set(&mut at, place);
                    best = Some((End { axis, sense, at, by }, off));
                }
            }
        }
    }
    best
}

/// The feature of the drawing to which a surface at a place belongs.
fn feature_at<'a>(proved: &'a Proved, at: &Vec3) -> Option<&'a Feature> {
    let drawing = proved.checked.job.drawing.as_ref()?;
    let nominal = NominalPart::from_drawing(drawing);
    let near = nominal.near(at).filter(|n| n.distance <= BELONGS)?;
    drawing.features.get(nominal.feature_of(near.step)?)
}

/// Place, unit direction and diameter of the axis that a feature has on the drawing.
fn drawn_axis(feature: &Feature) -> Option<(Vec3, Vec3, f64)> {
    let (FeatureKind::Add(shape) | FeatureKind::Cut(shape)) = &feature.kind else { return None };
    match shape {
        Shape::Hole(hole) => Some((hole.at, hole.into.vector(), hole.diameter)),
        Shape::Cylinder(bar) => {
            let (mut at, mut along) = (bar.center, Vec3::zeros());
            bar.axis.set(&mut at, 0.5 * (bar.from + bar.to));
            bar.axis.set(&mut along, 1.0);
            Some((at, along, 2.0 * bar.radius))
        }
        Shape::Box(_) | Shape::Prism { .. } => None,
    }
}

/// The axis as the trade writes it.
pub const fn letter(axis: Axis) -> char {
    axis.letter().to_ascii_uppercase()
}

pub(super) fn in_setup(job: &Job, setup: usize, at: &Vec3) -> [f64; 3] {
    let at = job.setups.get(setup).map_or(*at, |s| s.frame.setup_from_part(at));
    [at.x, at.y, at.z]
}

/// `flat face at Z -0.2500`.
fn face_name(job: &Job, setup: usize, at: &Vec3, normal: &Vec3) -> String {
    let Some(frame) = job.setups.get(setup).map(|s| &s.frame) else { return "flat face".to_owned() };
    let (at, n) = (frame.setup_from_part(at), frame.setup_from_part_vector(normal));
    if let Some(axis) = Axis::ALL.into_iter().find(|a| a.of(&n).abs() >= ALONG) {
        return format!("flat face at {} {}", letter(axis), job.unit.number(axis.of(&at)));
    }
    if n.z.abs() <= 1.0e-6 {
        let from_x = n.x.abs().clamp(0.0, 1.0).asin().to_degrees();
        return format!("upright flat face, {from_x:.3}° to X");
    }
    let from_level = n.z.abs().clamp(0.0, 1.0).acos().to_degrees();
    format!("sloping flat face, {from_level:.3}° to level")
}

/// `axis of H1, diameter 0.2656`.
fn round_name(job: &Job, feature: Option<&Feature>, hollow: bool, radius: Option<f64>) -> String {
    let what = match (feature, radius, hollow) {
        (Some(feature), ..) => feature.id.clone(),
        (None, None, _) => "a cone".to_owned(),
        (None, Some(_), true) => "a round inside".to_owned(),
        (None, Some(_), false) => "a round outside".to_owned(),
    };
    match radius {
        Some(radius) => format!("axis of {what}, diameter {}", job.unit.number(2.0 * radius)),
        None => format!("axis of {what}, conical"),
    }
}
