//! Surfaces of cut stock: closed, manifold, crisp, the right volume, the same bytes however they were made.

mod closed;
mod shapes;
mod simple;

use super::Surface;
use crate::cutter::{Body, PartRole};
use crate::cutting::History;
use crate::geom::{Axis, Box3, Direction, Frame, Path, Vec3};
use crate::job::RawStock;
use crate::stock::Stock;
use crate::sweep::Sweep;

/// Stock that is cut sweep by sweep.
struct Bench {
    stock: Stock,
    history: History,
    frame: Frame,
}

impl Bench {
    fn new(raw: &RawStock, spacing: f64) -> Self {
        let mut history = History::new(raw).unwrap();
        history.begin_setup(&Frame::part());
        Self { stock: Stock::new(raw, spacing).unwrap(), history, frame: Frame::part() }
    }

    fn block(size: [f64; 3], spacing: f64) -> Self {
        Self::new(&RawStock::Box(Box3::between(Vec3::zeros(), Vec3::from(size))), spacing)
    }

    fn turn(&mut self, up: Direction, right: Direction, origin: Vec3) {
        self.frame = Frame::new(up, right, origin).unwrap();
        self.history.begin_setup(&self.frame);
    }

    fn cut(&mut self, body: Body, path: Path) {
        let sweep = Sweep::new(body, &path);
        let id = self.history.add(0, PartRole::Cutter, sweep.clone());
        self.stock.take_away(&self.frame, &[(id, sweep)]);
    }

    fn surface(&self) -> Surface {
        Surface::of(&self.stock, &self.history)
    }
}

fn cylinder(radius: f64) -> Body {
    Body::Frustum { z0: 0.0, z1: 50.0, r0: radius, r1: radius }
}

fn line(from: [f64; 3], to: [f64; 3]) -> Path {
    Path::Line { from: Vec3::from(from), to: Vec3::from(to) }
}

fn up(axis: Axis) -> Direction {
    Direction::new(axis, true)
}
