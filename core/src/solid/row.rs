use super::nominal::{NominalPart, Step};
use super::owned::{OwnedSpans, subtract, unite};
use crate::geom::{Axis, Spans};

/// The nominal part as the rays of one row meet it, asked for in the order of their first coordinate.
///
/// What a ray meets mostly is what its neighbour met. Each step tells up to where its pieces stay the same to the bit,
/// and is asked again only there.
#[derive(Clone, Debug)]
pub struct NominalRow<'a> {
    axis: Axis,
    v: f64,
    /// The steps that rays of the row can meet, in the order of building.
    steps: Vec<RowStep<'a>>,
    /// Those ahead of the rays asked for so far, the next one last.
    ahead: Vec<usize>,
    /// Those that the last ray met, in the order of building.
    met: Vec<usize>,
    spans: OwnedSpans,
    before: OwnedSpans,
    /// Up to here nothing changes.
    until: f64,
}

#[derive(Clone, Debug)]
struct RowStep<'a> {
    step: &'a Step,
    index: u32,
    /// First coordinates between which rays can meet it.
    from: f64,
    to: f64,
    /// Its pieces on the last ray that asked for them, and up to where they stay the same.
    pieces: Spans,
    until: f64,
}

impl NominalPart {
    /// The part for the rays along `axis` whose second coordinate is `v`.
    pub fn row(&self, axis: Axis, v: f64) -> NominalRow<'_> {
        let (first, second) = axis.others();
        let meets = |s: &Step| second.of(&s.bounds.min) <= v && v <= second.of(&s.bounds.max);
        let steps: Vec<RowStep<'_>> = (self.steps.iter().zip(0..))
            .filter(|(step, _)| meets(step))
            .map(|(step, index)| RowStep {
                step,
                index,
                from: first.of(&step.bounds.min),
                to: first.of(&step.bounds.max),
                pieces: Spans::new(),
                until: f64::NEG_INFINITY,
            })
            .collect();
        let mut ahead: Vec<(f64, usize)> = steps.iter().map(|s| s.from).zip(0..).collect();
        ahead.sort_by(|a, b| b.0.total_cmp(&a.0));
        NominalRow {
            axis,
            v,
            steps,
            ahead: ahead.into_iter().map(|(_, n)| n).collect(),
            met: Vec::new(),
            spans: OwnedSpans::new(),
            before: OwnedSpans::new(),
            until: f64::NEG_INFINITY,
        }
    }
}

impl NominalRow<'_> {
    /// Goes on to the ray at `u`, never less than before; true when it meets other pieces than the last one.
    pub fn go_on(&mut self, u: f64) -> bool {
        if u < self.until {
            return false;
        }
        self.meet(u);
        for n in &self.met {
            if let Some(s) = self.steps.get_mut(*n)
                && s.until <= u
            {
                s.until = s.step.form.steady_spans(self.axis, u, self.v, &mut s.pieces);
            }
        }
        std::mem::swap(&mut self.spans, &mut self.before);
        self.spans.clear();
        // A ray past a step's far side no longer meets it: the next number up is the first one past.
        self.until = self.next_ahead().map_or(f64::INFINITY, |s| s.from);
        for s in self.met.iter().filter_map(|n| self.steps.get(*n)) {
            self.until = self.until.min(s.until).min(s.to.next_up());
            if s.step.adds {
                unite(&mut self.spans, &s.pieces, s.index);
            } else {
                subtract(&mut self.spans, &s.pieces, s.index);
            }
        }
        self.spans != self.before
    }

    /// The pieces on the last ray, each end with the step that made it.
    pub const fn spans(&self) -> &OwnedSpans {
        &self.spans
    }

    /// Takes in the steps whose near side the ray at `u` has come to and leaves those whose far side it is past.
    fn meet(&mut self, u: f64) {
        let Self { steps, met, .. } = self;
        met.retain(|n| steps.get(*n).is_some_and(|s| u <= s.to));
        while let Some(n) = self.ahead.pop_if(|n| steps.get(*n).is_none_or(|s| s.from <= u)) {
            if steps.get(n).is_some_and(|s| u <= s.to) {
                let at = met.partition_point(|m| *m < n);
                met.insert(at, n);
            }
        }
    }

    fn next_ahead(&self) -> Option<&RowStep<'_>> {
        self.ahead.last().and_then(|n| self.steps.get(*n))
    }
}

#[cfg(test)]
mod tests {
    use super::super::sample::{block, block_mesh, drawing, feature, hole, prism, rounded, tolerance};
    use super::*;
    use crate::geom::{Direction, Vec2, Vec3};
    use crate::job::{
        Bore, EdgeBreak, FeatureKind, HoleBottom, HoleEnd, Outline, OutlineSegment, RoundBar, Shape,
    };
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4};

    /// Every kind of form along every axis, with breaks of faces and of holes, crossing each other.
    fn everything() -> NominalPart {
        let broken = |of: usize, face: &str, leg: f64| FeatureKind::Break {
            of,
            face: Direction::parse(face).expect("a direction"),
            edge: EdgeBreak { leg, tolerance: tolerance(0.1, 0.1) },
            angle: FRAC_PI_4,
        };
        let mut kinds = vec![FeatureKind::Add(block([0.0; 3], [20.0, 12.0, 9.0])), broken(0, "+z", 0.7)];
        for (axis, from, outline) in [
            (Axis::X, 15.0, rounded([2.0, 1.0], [9.0, 7.0], 1.5)),
            (Axis::Y, -3.0, rounded([-2.0, 3.0], [6.0, 8.0], 2.0)),
            (Axis::Z, 5.0, slanted()),
        ] {
            kinds.push(FeatureKind::Add(prism(axis, from, from + 9.0, outline)));
            let of = kinds.len() - 1;
            kinds.push(broken(of, "+x", 0.5));
            kinds.push(broken(of, "-y", 0.5));
            kinds.push(broken(of, "+z", 0.5));
        }
        let bar =
            RoundBar { axis: Axis::Y, center: Vec3::new(4.0, 0.0, 9.0), radius: 3.0, from: 2.0, to: 10.0 };
        kinds.push(FeatureKind::Add(Shape::Cylinder(bar)));
        kinds.push(FeatureKind::Cut(prism(Axis::Z, 6.0, 20.0, rounded([8.0, 4.0], [14.0, 9.0], 1.0))));
        let blind = HoleBottom::Blind { depth: 6.0, point_angle: Some(2.0) };
        for (at, into) in [([5.0, 5.0, 9.0], "-z"), ([0.0, 6.0, 4.0], "+x"), ([11.0, 12.0, 3.0], "-y")] {
            kinds.push(FeatureKind::Cut(Shape::Hole(hole(at, into, 3.0, blind))));
        }
        let mut bored = hole([17.0, 3.0, 9.0], "-z", 2.0, HoleBottom::Through);
        bored.counterbore = Some(Bore { diameter: 3.5, depth: 2.0 });
        kinds.push(FeatureKind::Cut(Shape::Hole(bored)));
        let mut sunk = hole([17.0, 9.0, 0.0], "+z", 2.0, HoleBottom::Through);
        sunk.countersink = Some((4.0, FRAC_PI_2));
        kinds.push(FeatureKind::Cut(Shape::Hole(sunk)));
        let mut features: Vec<_> = kinds.into_iter().map(|k| feature("one", k)).collect();
        for f in &mut features {
            if let FeatureKind::Cut(Shape::Hole(_)) = f.kind {
                f.breaks = vec![HoleEnd::Entry, HoleEnd::Exit];
            }
        }
        NominalPart::from_drawing(&drawing(features))
    }

    /// An outline with a slanted side, arcs out and in, and an arc whose ends the print's decimals put off its circle.
    fn slanted() -> Outline {
        let line = |x, y| OutlineSegment::Line { to: Vec2::new(x, y) };
        let arc = |x, y, cx, cy, clockwise| OutlineSegment::Arc {
            to: Vec2::new(x, y),
            center: Vec2::new(cx, cy),
            clockwise,
        };
        let segments = vec![
            line(9.0, 1.5),
            arc(9.0, 5.5, 9.01, 3.5, false),
            line(4.0, 6.0),
            arc(2.0, 4.0, 2.0, 6.0, true),
            line(1.0, 0.5),
        ];
        Outline { start: Vec2::new(1.0, 0.5), segments }
    }

    /// Rays a step apart, some exactly on faces and corners, against each ray by itself.
    fn rows_are_rays(part: &NominalPart, step: f64) {
        let mut alone = OwnedSpans::new();
        let (mut same, mut other) = (0, 0);
        for axis in Axis::ALL {
            let mut places: Vec<f64> = (-90..500).map(|k| f64::from(k) * step + 0.000_3).collect();
            places.extend((-20..100).map(|k| f64::from(k) * 0.5));
            places.sort_by(f64::total_cmp);
            for v in places.iter().filter(|v| **v < 13.0).step_by(3) {
                let mut row = part.row(axis, *v);
                for u in &places {
                    let before = row.spans().clone();
                    let changed = row.go_on(*u);
                    part.owned_spans(axis, *u, *v, &mut alone);
                    assert_eq!(row.spans(), &alone, "{axis:?} {u} {v}");
                    assert_eq!(changed, before != alone, "{axis:?} {u} {v}");
                    *if changed { &mut other } else { &mut same } += 1;
                }
            }
        }
        assert!(same > other && other > 300, "{same} {other}");
    }

    #[test]
    fn a_row_meets_what_each_of_its_rays_meets() {
        let part = everything();
        assert!(part.steps() > 20, "{}", part.steps());
        for step in [0.06, 0.017] {
            rows_are_rays(&part, step);
        }
    }

    #[test]
    fn a_row_through_a_mesh_is_its_rays() {
        let mesh = block_mesh([0.3, 0.2, 0.1], [9.0, 8.0, 7.0], 3);
        rows_are_rays(&NominalPart::from_mesh(&mesh).expect("closed"), 0.05);
    }
}
