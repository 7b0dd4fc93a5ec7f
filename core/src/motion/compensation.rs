//! Cutter compensation, G40 to G42: moves are held from the block that turns it on until the move that leaves the
//! contour again, then the way of the tool's center is worked out over all of them.

#![expect(
    clippy::wildcard_enum_match_arm,
    reason = "each stage of a block takes up its own codes and leaves the others to theirs"
)]

use super::codes::{G, M};
use super::contour::{Contour, ContourFault, Way};
use super::flat::Flat;
use super::interpret::Interpreter;
use super::motion_words::{Plan, Use};
use super::overcut::{Mark, Stretch};
use super::words::{Words, letters};
use super::{Doubt, Event, Fact, Move, MoveKind, Place, ToolCall};
use crate::geom::{Arc, Axis, Path, Vec2, Vec3};
use crate::source::Span;

/// Moves in the plane shorter than this, millimetres, are none.
const NO_LENGTH: f64 = 1e-9;

/// Cutter compensation that is on.
#[derive(Clone, Debug)]
pub(super) struct Compensation {
    /// Where it was turned on.
    pub(super) set: Place,
    /// Distance of the tool's center from the contour, to the left for a positive number, millimetres.
    pub(super) by: f64,
    held: Vec<Held>,
    /// G40 was read; the next move in the plane leaves the contour.
    pub(super) leaving: bool,
    /// Blocks since the last one with a move in the plane.
    idle: u32,
    /// True while the present block has made such a move.
    moved: bool,
}

impl Compensation {
    /// True once a move in the plane is held.
    pub(super) fn has_begun(&self) -> bool {
        self.held.iter().any(|h| matches!(h, Held::Plane(..)))
    }
}

/// Something that happens under compensation, in order.
#[derive(Clone, Debug)]
enum Held {
    /// A move in the plane as programmed, and the blocks without one before it.
    Plane(Box<Move>, Flat, u32),
    /// A move along Z alone.
    Along(Box<Move>),
    Event(Place, ToolCall),
}

/// Over-cuts of one compensated contour that are told; more say nothing new.
const MOST_OVERCUTS: usize = 20;

const WHILE_ON: &str = "cutter compensation";

impl Interpreter<'_> {
    /// Refuses what controls refuse under compensation.
    pub(super) fn check_under_compensation(&self, words: &Words, plan: &Plan) -> Result<(), Fact> {
        let Some(on) = &self.compensation else { return Ok(()) };
        let refuse =
            |span: Span| Fact::NotWhileActive { place: words.at(span), mode: Some(on.set), what: WHILE_ON };
        let turns_on = words.g.iter().any(|(g, _)| matches!(g, G::CompensationOn(_)));
        for (code, span) in &words.g {
            let refused = match code {
                G::Units(unit) => *unit != self.modes.unit,
                G::Plane(axis) => *axis != Axis::Z,
                G::CompensationOn(_)
                | G::Offset(_)
                | G::ExtendedOffset
                | G::Home
                | G::SecondHome
                | G::MachineCoordinates
                | G::Setting(_)
                | G::ShiftOff(_)
                | G::ShiftBack
                | G::ScaleOff
                | G::TurnOff
                | G::Polar(_)
                | G::Cycle(_) => true,
                _ => false,
            };
            if refused {
                return Err(refuse(*span));
            }
        }
        if let Some((_, span)) = words.m.iter().find(|(m, _)| *m == M::ToolChange) {
            return Err(Fact::CompensationLeftOn { place: words.at(*span), set: on.set });
        }
        if let Some(d) = words.get(b'D').filter(|_| !turns_on) {
            return Err(refuse(d.span));
        }
        if let Use::Cycle(_) = plan.axis_use {
            return Err(refuse(words.block.span));
        }
        if on.leaving {
            self.check_leaving(words, plan)?;
        }
        Ok(())
    }

    /// After a G40 without a move: does an axis that is not named stay at the tool, or at the contour? Controls differ.
    fn check_leaving(&self, words: &Words, plan: &Plan) -> Result<(), Fact> {
        const PLANE: u32 = letters(b"XY");
        let both = words.get(b'X').is_some() && words.get(b'Y').is_some() && !self.modes.incremental;
        let moves = matches!(plan.axis_use, Use::Motion(_)) && words.any(PLANE);
        if moves && !both {
            return Err(Fact::ReadTwoWays { place: words.span_of(PLANE, None), why: Doubt::AxisNotNamed });
        }
        Ok(())
    }

    /// G40, G41 or G42 of a block.
    pub(super) fn take_compensation(&mut self, words: &Words, plan: &Plan) -> Result<(), Fact> {
        if let Some(on) = &mut self.compensation {
            on.moved = false;
        }
        let code = words.g.iter().find(|(g, _)| matches!(g, G::CompensationOn(_) | G::CompensationOff));
        match code {
            Some((G::CompensationOff, _)) => {
                let Some(on) = &mut self.compensation else { return Ok(()) };
                on.leaving = true;
                // Nothing has moved aside yet, so nothing has to come back.
                if on.has_begun() { Ok(()) } else { self.release(false).map(drop) }
            }
            Some((G::CompensationOn(left), span)) => self.turn_on(words, plan, *left, words.at(*span)),
            _ => Ok(()),
        }
    }

    fn turn_on(&mut self, words: &Words, plan: &Plan, left: bool, code: Place) -> Result<(), Fact> {
        if plan.plane != Axis::Z {
            return Err(Fact::CompensationNotModelled { place: code });
        }
        if let Use::Cycle(_) = plan.axis_use {
            return Err(Fact::NotWhileActive {
                place: code,
                mode: self.modes.mode_place,
                what: "a canned cycle",
            });
        }
        let [x, y, _] = self.modes.tip;
        if x.number().is_none() || y.number().is_none() {
            return Err(Fact::StartUnknown { place: code });
        }
        let place = words.span_of(letters(b"D"), Some(code.span));
        let own = || self.job.tool(self.modes.tool?).map(|t| t.radius_offset);
        let own = own().filter(|_| self.control.compensation.own_register_without_d);
        let missing = Fact::WordMissing { place: code, letter: 'D' };
        let register = self.modes.radius_register.or(own).ok_or(missing)?;
        let radius = self.register_radius(register);
        let radius = radius.ok_or(Fact::RadiusRegisterUnknown { place, register })?;
        let to_left = left != self.placing.flips(Axis::Z);
        let by = if to_left { radius } else { -radius };
        self.compensation =
            Some(Compensation { set: place, by, held: Vec::new(), leaving: false, idle: 0, moved: true });
        Ok(())
    }

    /// Counts a block without a move in the plane, at its end.
    pub(super) fn count_idle(&mut self) {
        if let Some(on) = &mut self.compensation
            && !on.moved
        {
            on.idle = on.idle.saturating_add(1);
        }
    }

    /// Counts a block that holds no word, such as a setting.
    pub(super) fn count_idle_block(&mut self) {
        if let Some(on) = &mut self.compensation {
            on.idle = on.idle.saturating_add(1);
        }
    }

    /// Holds a move while compensation is on; gives it back when it is not.
    pub(super) fn hold(&mut self, m: Move) -> Result<Option<Move>, Fact> {
        let most = self.most_moves;
        let Some(on) = &mut self.compensation else { return Ok(Some(m)) };
        if on.held.len() >= most {
            return Err(Fact::TooManyMoves { place: m.place });
        }
        let flat = |p: Vec3| Vec2::new(p.x, p.y);
        let shape = match &m.path {
            Path::Line { from, to } if (flat(*to) - flat(*from)).norm() < NO_LENGTH => {
                on.held.push(Held::Along(Box::new(m)));
                return Ok(None);
            }
            Path::Line { from, to } => Flat::Line { from: flat(*from), to: flat(*to) },
            Path::Arc(arc) if arc.axis == Axis::Z => Flat::Arc {
                center: flat(arc.center),
                radius: arc.radius,
                start: arc.start_angle,
                sweep: arc.sweep,
            },
            Path::Arc(_) => return Err(Fact::CompensationNotModelled { place: m.place }),
        };
        let idle = std::mem::take(&mut on.idle);
        on.moved = true;
        on.held.push(Held::Plane(Box::new(m), shape, idle));
        if on.leaving {
            return self.release(true).map(|_| None);
        }
        Ok(None)
    }

    /// Holds an event while compensation is on; false when it is not.
    pub(super) fn hold_event(&mut self, place: Place, call: &ToolCall) -> bool {
        let Some(on) = &mut self.compensation else { return false };
        on.held.push(Held::Event(place, call.clone()));
        true
    }

    /// Ends compensation: works out the way of the tool's center and adds its moves. `exit`: the last move leaves the
    /// contour. Gives back where the tool's center then stands, if anything has moved.
    pub(super) fn release(&mut self, exit: bool) -> Result<Option<Vec2>, Fact> {
        let Some(on) = self.compensation.take() else { return Ok(None) };
        let mut pieces = Vec::new();
        let mut places = Vec::new();
        let mut marks = Vec::new();
        for held in &on.held {
            if let Held::Plane(m, shape, idle) = held {
                pieces.push(*shape);
                places.push((m.place, *idle));
                marks.push(Mark::of(m));
            }
        }
        let rules = &self.control.compensation;
        let (ways, fault) = Contour { pieces: &pieces, exit, by: on.by, rules }.follow();
        let most = rules.blocks_ahead;
        for (way, (place, blocks)) in ways.iter().zip(&places) {
            if way.turns && *blocks > most {
                self.notice(Fact::CompensationLookAhead { place: *place, blocks: *blocks, most });
            }
        }
        let place = |i: usize| places.get(i).map_or(on.set, |(place, _)| *place);
        let radius = on.by.abs();
        if fault.is_none() {
            let stretch = Stretch { pieces: &pieces, ways: &ways, marks: &marks, exit, radius };
            self.notice_overcuts(&stretch, &place);
        }
        let stands = ways.last().and_then(|w| w.own).map(|own| own.end());
        self.add_held(on.held, &pieces, ways);
        let Some((at, fault)) = fault else { return Ok(stands) };
        let first = place(at.saturating_sub(1));
        Err(match fault {
            ContourFault::EntryOnArc => Fact::CompensationEntryOnArc { place: place(at), gap: None },
            ContourFault::EntryTooShort { length } => {
                Fact::CompensationEntryTooShort { place: place(at), length, radius }
            }
            ContourFault::ArcTooSmall { radius: arc } => {
                Fact::InsideArcTooSmall { place: place(at), radius: arc, tool: radius }
            }
            ContourFault::Overcut => {
                Fact::CompensationOvercut { place: place(at), other: first, radius, depth: None }
            }
            ContourFault::InsideCorner => Fact::InsideCornerRefused { place: place(at), first },
            ContourFault::Reversal => Fact::ReadTwoWays { place: place(at), why: Doubt::Reversal },
        })
    }

    /// Says where the tool cuts into parts of the contour that it has yet to follow.
    fn notice_overcuts(&mut self, stretch: &Stretch, place: &dyn Fn(usize) -> Place) {
        let Some(cuts) = stretch.overcuts(&mut self.comparisons) else {
            let what = "whether the cutter fits everywhere along so long a compensated contour";
            self.notice(Fact::MotionNotModelled { place: place(0), what });
            return;
        };
        for cut in cuts.into_iter().take(MOST_OVERCUTS) {
            let (place, other) = (place(cut.along), place(cut.into));
            let (radius, depth) = (stretch.radius, Some(cut.depth));
            self.notice(Fact::CompensationOvercut { place, other, radius, depth });
        }
    }

    /// Adds what was held, as far as there is a way.
    fn add_held(&mut self, held: Vec<Held>, pieces: &[Flat], ways: Vec<Way>) {
        let mut ways = ways.into_iter();
        let mut at = pieces.first().map(Flat::start);
        for item in held {
            match item {
                Held::Event(place, call) => {
                    self.run.events.push(Event { before_move: self.run.moves.len(), place, call });
                }
                Held::Along(mut m) => {
                    if let Some(at) = at {
                        let on_way = |p: Vec3| Vec3::new(at.x, at.y, p.z);
                        let (from, to) = (on_way(m.path.start()), on_way(m.path.end()));
                        m.path = Path::Line { from, to };
                    }
                    self.run.moves.push(*m);
                }
                Held::Plane(m, ..) => {
                    let Some(Way { corner, own: Some(own), deviation, .. }) = ways.next() else { return };
                    let (low, high) = (m.path.start().z, m.path.end().z);
                    for piece in &corner {
                        self.add_piece(&m, piece, (low, low), deviation);
                    }
                    self.add_piece(&m, &own, (low, high), deviation);
                    at = Some(own.end());
                }
            }
        }
    }

    /// Adds a move like `m` along a piece of the way, from one height to another.
    fn add_piece(&mut self, m: &Move, piece: &Flat, (low, high): (f64, f64), deviation: f64) {
        let point = |p: Vec2, z: f64| Vec3::new(p.x, p.y, z);
        let deviation = m.deviation.max(deviation);
        let path = match piece {
            Flat::Line { from, to } => Path::Line { from: point(*from, low), to: point(*to, high) },
            Flat::Arc { center, radius, start, sweep } => Path::Arc(Arc {
                center: point(*center, low),
                axis: Axis::Z,
                radius: *radius,
                start_angle: *start,
                sweep: *sweep,
                rise: high - low,
            }),
        };
        if let (MoveKind::Rapid, Path::Line { from, to }) = (m.kind, &path) {
            for (path, other_way) in self.ways_of_rapid(*from, *to) {
                self.run.moves.push(Move { path, deviation, other_way, ..m.clone() });
            }
            return;
        }
        self.run.moves.push(Move { path, deviation, ..m.clone() });
    }
}
