//! Straight moves, and the way of a rapid.

use super::emit::Step;
use super::interpret::Interpreter;
use super::modes::Coordinate;
use super::motion_words::{AXES, Plan};
use super::words::Words;
use super::{Cycle, Fact, MoveKind, Place};
use crate::geom::{Axis, Path, Vec3};
use crate::job::RapidPath;
use smallvec::SmallVec;

/// Pieces of a rapid whose axes run on their own: at most one corner for each axis but the last.
type Pieces = SmallVec<[(Vec3, Vec3); 3]>;

impl Interpreter<'_> {
    /// G0 or G1 with the block's axis words.
    pub(super) fn straight(&mut self, words: &Words, plan: &Plan, kind: MoveKind) -> Result<(), Fact> {
        let place = words.span_of(AXES, plan.mode_span);
        let target = self.target(words)?;
        if kind == MoveKind::Feed {
            self.need_feed(place);
        }
        self.go(place, kind, target, None)
    }

    /// Goes to where `target` says, the other axes staying.
    ///
    /// From a position that is not wholly known only a move at home height is taken: it meets nothing there.
    pub(super) fn go(
        &mut self,
        place: Place,
        kind: MoveKind,
        target: [Option<f64>; 3],
        cycle: Option<Cycle>,
    ) -> Result<(), Fact> {
        self.count_step(place)?;
        let [x, y, z] = target;
        let [_, _, now_z] = self.modes.tip;
        if let Some(from) = self.tip() {
            let to = Vec3::new(x.unwrap_or(from.x), y.unwrap_or(from.y), z.unwrap_or(from.z));
            match kind {
                _ if from == to => {}
                MoveKind::Rapid => self.rapid(place, from, to, cycle)?,
                MoveKind::Feed | MoveKind::Thread | MoveKind::Home => {
                    self.emit(Step { cycle, ..Step::line(place, kind, from, to) })?;
                }
            }
        } else {
            let stays_home = matches!(now_z, Coordinate::Home(h) if z.is_none_or(|z| same(z, h)));
            if !stays_home {
                return Err(Fact::StartUnknown { place });
            }
        }
        for ((tip, to), axis) in self.modes.tip.iter_mut().zip(target).zip(Axis::ALL) {
            match (to, *tip) {
                // Back at home height, Z is at home still.
                (Some(to), Coordinate::Home(h)) if axis == Axis::Z && same(to, h) => {}
                (Some(to), _) => *tip = Coordinate::Known(to),
                (None, _) => {}
            }
        }
        Ok(())
    }

    fn rapid(&mut self, place: Place, from: Vec3, to: Vec3, cycle: Option<Cycle>) -> Result<(), Fact> {
        if self.compensation.is_some() {
            // Its way is found when the contour is known.
            return self.emit(Step { cycle, ..Step::line(place, MoveKind::Rapid, from, to) });
        }
        for (path, other_way) in self.ways_of_rapid(from, to) {
            let whole = Step { cycle, ..Step::line(place, MoveKind::Rapid, from, to) };
            self.emit(Step { path, other_way, ..whole })?;
        }
        Ok(())
    }

    /// The pieces of a rapid, each with the other way that it may be made.
    pub(super) fn ways_of_rapid(&self, from: Vec3, to: Vec3) -> SmallVec<[(Path, Vec<Path>); 3]> {
        let straight = (Path::Line { from, to }, Vec::new());
        if self.control.rapid_path == RapidPath::Straight {
            return SmallVec::from_iter([straight]);
        }
        let pieces = each_axis(from, to, &self.job.machine.rapid);
        if pieces.len() < 2 {
            return SmallVec::from_iter([straight]);
        }
        let paths = pieces.into_iter().map(|(from, to)| Path::Line { from, to });
        if self.control.rapid_path == RapidPath::Either {
            return SmallVec::from_iter([(straight.0, paths.collect())]);
        }
        paths.map(|path| (path, Vec::new())).collect()
    }
}

/// Equal to well below a nanometre.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

/// The way of a rapid whose axes all start at once, each at its own rate, and stop when they arrive.
fn each_axis(from: Vec3, to: Vec3, rates: &Vec3) -> Pieces {
    let way = to - from;
    let minutes = |axis: Axis| {
        let rate = axis.of(rates);
        if rate > 0.0 { axis.of(&way).abs() / rate } else { 0.0 }
    };
    let mut stops: SmallVec<[f64; 3]> = Axis::ALL.into_iter().map(minutes).filter(|t| *t > 0.0).collect();
    stops.sort_by(f64::total_cmp);
    let last = stops.last().copied().unwrap_or(0.0);
    let mut pieces = Pieces::new();
    let mut at = from;
    for stop in stops {
        let mut next = to;
        for axis in Axis::ALL {
            let time = minutes(axis);
            if stop < time && stop < last {
                axis.set(&mut next, axis.of(&from) + axis.of(&way) * (stop / time));
            }
        }
        if (next - at).norm() > 1e-9 {
            pieces.push((at, next));
            at = next;
        }
    }
    match pieces.last_mut() {
        // The last piece ends exactly where the program says.
        Some((_, end)) => *end = to,
        None => pieces.push((from, to)),
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dog_leg_runs_at_45_degrees_until_the_short_axis_arrives() {
        let way = each_axis(Vec3::zeros(), Vec3::new(10.0, 4.0, 0.0), &Vec3::repeat(1000.0));
        let corner = Vec3::new(4.0, 4.0, 0.0);
        assert_eq!(way.as_slice(), &[(Vec3::zeros(), corner), (corner, Vec3::new(10.0, 4.0, 0.0))]);
    }

    #[test]
    fn three_axes_make_three_pieces_and_equal_times_make_one() {
        let rates = Vec3::new(1024.0, 1024.0, 512.0);
        let way = each_axis(Vec3::zeros(), Vec3::new(8.0, 16.0, 12.0), &rates);
        let ends: Vec<Vec3> = way.iter().map(|(_, to)| *to).collect();
        assert_eq!(ends, [Vec3::new(8.0, 8.0, 4.0), Vec3::new(8.0, 16.0, 8.0), Vec3::new(8.0, 16.0, 12.0)]);
        assert_eq!(each_axis(Vec3::zeros(), Vec3::new(8.0, 8.0, 4.0), &rates).len(), 1);
    }
}
