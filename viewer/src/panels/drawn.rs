//! What was measured, drawn over the scene.

use super::measured;
use super::room::{Pen, Room};
use crate::scene::small;
use crate::session::{Between, DrawnOf, On, Session, Snap};
use egui::{Align2, Pos2, Vec2};
use proofcut_core::geom::{Frame, Vec3};

/// Points over which a picked axis is drawn to either side.
const AXIS: f32 = 45.0;
/// Length of a caliper's jaws, points.
const JAW: f32 = 13.0;

/// Draws picks, distances and calipers.
pub(super) fn measured(pen: &Pen, room: &Room, session: &Session) {
    let frame = session.proved().and_then(|p| p.checked.job.setups.get(session.at().setup)).map(|s| s.frame);
    let Some(frame) = frame.filter(|_| session.drawn_of == DrawnOf::ThisSetup) else { return };
    let view = Drawn { pen, room, frame };
    let measuring = session.measuring();
    if let Some(lens) = session.lens() {
        view.cube(&lens.at_part, 0.5 * lens.size);
    }
    if let Some(first) = measuring.first() {
        view.snap(&first.what);
        if let Some(at) = view.at(&first.what.at) {
            pen.write(at + Vec2::new(14.0, -8.0), Align2::LEFT_BOTTOM, &first.what.name, true, 15.0);
        }
    }
    if let Some((taken, distance)) = measuring.distance() {
        for (snap, end) in [(&taken.what.0, &distance.from), (&taken.what.1, &distance.to)] {
            view.snap(snap);
            view.join(&snap.at, end);
        }
        view.span(&distance.from, &distance.to, None, &measured::distance(session));
    }
    if let Some(taken) = measuring.caliper() {
        view.snap(&taken.what.snap);
        for reading in &taken.what.readings {
            let words = measured::reading(session, taken, reading);
            view.span(&reading.low, &reading.high, Some(reading.of), &words);
        }
    }
}

struct Drawn<'a> {
    pen: &'a Pen,
    room: &'a Room,
    frame: Frame,
}

impl Drawn<'_> {
    fn at(&self, part: &Vec3) -> Option<Pos2> {
        self.room.on_screen(small(&self.frame.setup_from_part(part)))
    }

    /// The cube that the lens shows.
    fn cube(&self, middle: &Vec3, half: f64) {
        let corner = |k: u8| {
            let side = |bit: u8| if k & bit == 0 { -half } else { half };
            self.at(&(middle + Vec3::new(side(1), side(2), side(4))))
        };
        for a in 0..8_u8 {
            for b in [1, 2, 4].map(|bit| a | bit).into_iter().filter(|b| *b != a) {
                if let (Some(from), Some(to)) = (corner(a), corner(b)) {
                    self.pen.painter.line_segment([from, to], (3.5, self.pen.paper));
                    self.pen.painter.line_segment([from, to], (1.5, self.pen.accent));
                }
            }
        }
    }

    /// The picked place, and the axis that it snapped to.
    fn snap(&self, snap: &Snap) {
        if let On::Axis(along) = snap.on {
            let reach = along * f64::from(AXIS * self.room.mm_in_point());
            if let (Some(a), Some(b)) = (self.at(&(snap.at - reach)), self.at(&(snap.at + reach))) {
                self.pen.dashes(a, b);
            }
            self.join(&snap.picked, &snap.at);
        }
        if let Some(at) = self.at(&snap.picked) {
            self.pen.dot(at);
        }
    }

    /// A thin line from a pick to where the distance is taken.
    fn join(&self, from: &Vec3, to: &Vec3) {
        if let (Some(a), Some(b)) = (self.at(from), self.at(to))
            && a.distance(b) > 3.0
        {
            self.pen.dashes(a, b);
        }
    }

    /// A measured stretch with its words; what a caliper reads has jaws, and gap and material, which often lie on one line,
    /// have their words on different sides.
    fn span(&self, from: &Vec3, to: &Vec3, jaws: Option<Between>, words: &[String]) {
        let (Some(a), Some(b)) = (self.at(from), self.at(to)) else { return };
        self.pen.stroke(a, b, 2.2);
        if jaws.is_some() {
            let across = (b - a).normalized().rot90() * JAW;
            let across = if across.length() > 1.0 { across } else { Vec2::new(JAW, 0.0) };
            self.pen.stroke(a - across, a + across, 2.2);
            self.pen.stroke(b - across, b + across, 2.2);
        } else {
            self.pen.dot(a);
            self.pen.dot(b);
        }
        let middle = a + 0.5 * (b - a);
        let side = (b - a).normalized().rot90();
        let below = jaws == Some(Between::Gap);
        let side = if (side.y > 0.0) == below { side } else { -side };
        self.pen.write(middle + side * 16.0, anchor(side), &words.join("\n"), true, 15.0);
    }
}

/// The corner or side of a sheet that stands at a place so that the sheet lies on one side of it.
fn anchor(side: Vec2) -> Align2 {
    if side.x.abs() < 0.5 {
        if side.y < 0.0 { Align2::CENTER_BOTTOM } else { Align2::CENTER_TOP }
    } else if side.x > 0.0 {
        Align2::LEFT_CENTER
    } else {
        Align2::RIGHT_CENTER
    }
}
