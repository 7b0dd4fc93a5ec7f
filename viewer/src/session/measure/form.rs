//! What kind of surface a cut left at a place: flat, round about an axis, or neither.

use crate::session::Cut;
use proofcut_core::cutter::Body;
use proofcut_core::geom::{Axis, Path, Vec3};
use proofcut_core::job::RawStock;
use proofcut_core::stock::CutId;
use proofcut_core::sweep::Sweep;

/// A surface near a place. Lengths in millimetres; the frame is that of whoever asks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Form {
    /// Flat.
    Flat,
    /// Round about an axis.
    Round {
        /// A point of the axis.
        through: Vec3,
        /// Unit vector along it.
        along: Vec3,
        /// Radius; `None` for a cone.
        radius: Option<f64>,
    },
    /// Neither, or the cut does not tell.
    Other,
}

/// An end of material on a line parallel to an axis, part frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct End {
    /// Direction of the line.
    pub(super) axis: Axis,
    /// +1 where the material ends upwards along it, -1 where it begins.
    pub(super) sense: f64,
    /// Where, millimetres.
    pub(super) at: Vec3,
    /// Which cut left it.
    pub(super) by: CutId,
}

/// The surface on which a line ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Face {
    /// What it is, part frame.
    pub(super) form: Form,
    /// Unit normal out of the material, part frame; the line's own direction where the cut tells none.
    pub(super) normal: Vec3,
}

/// Sines up to this are none: 0.2 seconds of arc.
const SQUARE: f64 = 1.0e-6;
/// A surface that leans less than this towards the line that it ends belongs to another face.
const LEAST_LEAN: f64 = 1.0e-5;
/// Ways shorter than this, millimetres, are none.
const STANDS: f64 = 1.0e-9;
/// How far a radius may lean from the normal where it ends: a thousandth of a millimetre on a radius of 10 mm.
const RADIAL: f64 = 1.0e-4;

impl Face {
    /// The surface at an end of material.
    pub(super) fn at(cut: &Cut, raw: &RawStock, end: &End) -> Self {
        let mut outward = Vec3::zeros();
        end.axis.set(&mut outward, end.sense);
        let unknown = Self { form: Form::Other, normal: outward };
        let told = if end.by == CutId::RAW { raw_face(cut, raw, end) } else { cut_face(cut, end) };
        told.filter(|face| end.sense * end.axis.of(&face.normal) > LEAST_LEAN).unwrap_or(unknown)
    }

    /// True when it is flat and square to an axis of the part.
    pub(super) fn is_square_to(&self, axis: Axis) -> bool {
        self.form == Form::Flat && axis.of(&self.normal).abs() > 1.0 - SQUARE * SQUARE
    }
}

fn raw_face(cut: &Cut, raw: &RawStock, end: &End) -> Option<Face> {
    let normal = cut.history.raw().normal_at(end.axis, &end.at)?;
    let along_an_axis = Axis::ALL.into_iter().any(|a| a.of(&normal).abs() > 1.0 - SQUARE * SQUARE);
    let form = match raw {
        RawStock::Cylinder(bar) if bar.axis != end.axis => {
            let mut along = Vec3::zeros();
            bar.axis.set(&mut along, 1.0);
            Form::Round { through: bar.center, along, radius: Some(bar.radius) }
        }
        // A slanted triangle may be a piece of something round.
        RawStock::Mesh(_) if !along_an_axis => Form::Other,
        RawStock::Box(_) | RawStock::Cylinder(_) | RawStock::Mesh(_) => Form::Flat,
    };
    Some(Face { form, normal })
}

fn cut_face(cut: &Cut, end: &End) -> Option<Face> {
    let sweep = cut.history.sweep(end.by)?;
    let frame = cut.history.frame(cut.history.origin(end.by)?.setup)?;
    let at = frame.setup_from_part(&end.at);
    let out_of_sweep = sweep.normal_at(&at)?;
    let form = match swept(sweep, &out_of_sweep, &at) {
        Form::Round { through, along, radius } => Form::Round {
            through: frame.part_from_setup(&through),
            along: frame.part_from_setup_vector(&along),
            radius,
        },
        form @ (Form::Flat | Form::Other) => form,
    };
    Some(Face { form, normal: -frame.part_from_setup_vector(&out_of_sweep) })
}

/// The surface of a sweep at a place with its normal there, in the frame of the sweep.
fn swept(sweep: &Sweep, n: &Vec3, at: &Vec3) -> Form {
    let has_floor = matches!(sweep.body(), Body::Frustum { .. } | Body::RoundedDisc { .. });
    if has_floor && n.x.hypot(n.y) <= SQUARE {
        return Form::Flat;
    }
    let Body::Frustum { z0, z1, r0, r1 } = *sweep.body() else { return Form::Other };
    let slope = (r1 - r0) / (z1 - z0);
    let is_cone = slope.abs() > 0.0;
    // What a rim leaves on a slope has another lean than the side itself.
    let is_side = (n.z + slope / (1.0 + slope * slope).sqrt()).abs() <= SQUARE;
    let round = |c: &Vec3, is_cone: bool| Form::Round {
        through: *c,
        along: Vec3::z(),
        radius: (!is_cone).then(|| (at.x - c.x).hypot(at.y - c.y)),
    };
    match sweep.path() {
        Path::Line { from, to } => {
            let way = to - from;
            if way.x.hypot(way.y) <= STANDS {
                return match (n.z.abs() <= SQUARE, is_side) {
                    (true, _) => round(from, false),
                    (false, true) => round(from, true),
                    (false, false) => Form::Other,
                };
            }
            let lean = n.dot(&way) / way.norm();
            match is_side {
                false => Form::Other,
                true if lean.abs() <= SQUARE => Form::Flat,
                true => round(if lean < 0.0 { from } else { to }, is_cone),
            }
        }
        Path::Arc(arc) if arc.axis == Axis::Z && is_side && !(is_cone && arc.rise.abs() > STANDS) => {
            let centers = [arc.center, arc.point(0.0), arc.point(1.0)];
            let radial = |c: &&Vec3| {
                let (x, y) = (at.x - c.x, at.y - c.y);
                let lengths = x.hypot(y) * n.x.hypot(n.y);
                lengths > SQUARE && (x * n.y - y * n.x).abs() <= RADIAL * lengths
            };
            centers.iter().find(radial).map_or(Form::Other, |c| round(c, is_cone))
        }
        Path::Arc(_) => Form::Other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proofcut_core::geom::Arc;

    fn form(body: Body, path: &Path, at: Vec3) -> Form {
        let sweep = Sweep::new(body, path);
        let n = sweep.normal_at(&at).expect("on the surface");
        swept(&sweep, &n, &at)
    }

    fn line(from: [f64; 3], to: [f64; 3]) -> Path {
        Path::Line { from: from.into(), to: to.into() }
    }

    const MILL: Body = Body::Frustum { z0: 0.0, z1: 20.0, r0: 3.0, r1: 3.0 };

    #[test]
    fn an_end_mill_leaves_walls_a_floor_and_round_ends() {
        let way = line([0.0, 0.0, -5.0], [30.0, 0.0, -5.0]);
        assert_eq!(form(MILL, &way, Vec3::new(10.0, 3.0, -1.0)), Form::Flat);
        assert_eq!(form(MILL, &way, Vec3::new(10.0, 1.0, -5.0)), Form::Flat);
        let Form::Round { through, radius, .. } = form(MILL, &way, Vec3::new(33.0, 0.0, -2.0)) else {
            panic!("a round end")
        };
        assert_eq!((through.x, through.y), (30.0, 0.0));
        assert!((radius.unwrap() - 3.0).abs() < 1e-12);
        // The wall of a ramp is flat, too; what its lower rim leaves is not.
        let ramp = line([0.0, 0.0, 0.0], [30.0, 0.0, -10.0]);
        assert_eq!(form(MILL, &ramp, Vec3::new(15.0, 3.0, 2.0)), Form::Flat);
        let under = Sweep::new(MILL, &ramp);
        let low = {
            let mut s = proofcut_core::geom::Spans::new();
            under.spans(Axis::Z, 15.0, 1.0, &mut s);
            s[0].0
        };
        assert_eq!(form(MILL, &ramp, Vec3::new(15.0, 1.0, low)), Form::Other);
    }

    #[test]
    fn drills_bores_and_chamfers_have_their_axes() {
        let drill = Body::Frustum { z0: 0.0, z1: 2.0, r0: 0.0, r1: 4.0 };
        let down = line([7.0, 8.0, 2.0], [7.0, 8.0, -12.0]);
        let Form::Round { through, radius, .. } = form(drill, &down, Vec3::new(9.0, 8.0, -11.0)) else {
            panic!("a cone")
        };
        assert_eq!((through.x, through.y, radius), (7.0, 8.0, None));
        let wall = form(drill, &down, Vec3::new(7.0, 12.0, -4.0));
        assert!(matches!(wall, Form::Round { radius: Some(r), .. } if (r - 4.0).abs() < 1e-9), "{wall:?}");
        let arc = Arc {
            center: Vec3::new(1.0, 2.0, -5.0),
            axis: Axis::Z,
            radius: 6.0,
            start_angle: 0.0,
            sweep: std::f64::consts::TAU,
            rise: 0.0,
        };
        for (r, path) in [(9.0, Path::Arc(arc)), (9.0, Path::Arc(Arc { rise: -2.0, ..arc }))] {
            let bore = form(MILL, &path, Vec3::new(1.0 + r * 0.6, 2.0 + r * 0.8, 1.0));
            let Form::Round { through, radius, .. } = bore else { panic!("a bore: {bore:?}") };
            assert!((through - arc.center).xy().norm() < 1e-12 && (radius.unwrap() - r).abs() < 1e-9);
        }
        let boss = form(MILL, &Path::Arc(arc), Vec3::new(1.0, 5.0, 1.0));
        assert!(matches!(boss, Form::Round { radius: Some(r), .. } if (r - 3.0).abs() < 1e-9), "{boss:?}");
        // The side of a chamfer mill along a line is flat.
        let mill = Body::Frustum { z0: 0.0, z1: 4.0, r0: 1.0, r1: 5.0 };
        let along = line([0.0, 0.0, 0.0], [30.0, 0.0, 0.0]);
        assert_eq!(form(mill, &along, Vec3::new(9.0, 3.0, 2.0)), Form::Flat);
        let ball = Body::HalfBall { z0: 0.0, radius: 3.0 };
        assert_eq!(form(ball, &along, Vec3::new(9.0, 0.0, 0.0)), Form::Other);
    }
}
