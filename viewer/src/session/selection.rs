//! The one thing that is chosen, and everything that belongs to it.

use super::Proved;
use proofcut_core::findings::Finding;
use proofcut_core::geom::{Axis, Vec3};
use proofcut_core::inspect::MadeBy;
use proofcut_core::job::JobPlace;
use proofcut_core::motion::{Place, Run};
use proofcut_core::proof::ToolSection;
use proofcut_core::stock::CutId;

/// What is chosen. Indices are those of the proof and of the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Selection {
    /// A finding.
    Finding(usize),
    /// A feature of the drawing.
    Feature(usize),
    /// A size of the drawing.
    Size(usize),
    /// A line of a setup's program.
    Line {
        /// Index of the setup.
        setup: usize,
        /// 1-based line.
        line: u32,
    },
    /// A place on the surface.
    Surface(Picked),
    /// A stay of a tool in the spindle.
    Stay {
        /// Index of the setup.
        setup: usize,
        /// Index of the stay.
        stay: usize,
    },
}

/// A place on the surface that was pointed at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Picked {
    /// Part frame, millimetres.
    pub at_part: Vec3,
    /// Who left it: setup and move; `None` for the raw stock.
    pub by: Option<(usize, usize)>,
    /// How far it lies from the drawing's part, millimetres, positive for material left, to about 1 mm; `None` without a
    /// drawing. It is read off the surface as drawn: to look at, not a measurement.
    pub off: Option<f64>,
}

/// What belongs to a selection; what is not known is `None` or empty.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Belongs {
    /// Index of the setup.
    pub setup: Option<usize>,
    /// The move, index into the run's moves.
    pub move_index: Option<usize>,
    /// Line of the setup's own program.
    pub line: Option<u32>,
    /// Stay of a tool.
    pub stay: Option<usize>,
    /// Place, part frame, millimetres.
    pub at_part: Option<Vec3>,
    /// Findings.
    pub findings: Vec<usize>,
    /// Features of the drawing.
    pub features: Vec<usize>,
    /// Sizes of the drawing.
    pub sizes: Vec<usize>,
}

impl Belongs {
    /// Finds out what belongs to a selection.
    pub fn to(proved: &Proved, selection: &Selection) -> Self {
        let mut out = Self::default();
        match *selection {
            Selection::Finding(n) => out.of_finding(proved, n),
            Selection::Feature(n) => out.of_feature(proved, n),
            Selection::Size(n) => out.of_size(proved, n),
            Selection::Line { setup, line } => {
                (out.setup, out.line) = (Some(setup), Some(line));
                out.move_index = run(proved, setup).and_then(|r| last_of_line(r, line));
            }
            Selection::Surface(picked) => {
                out.at_part = Some(picked.at_part);
                if let Some((setup, index)) = picked.by {
                    (out.setup, out.move_index) = (Some(setup), Some(index));
                }
            }
            Selection::Stay { setup, stay } => {
                (out.setup, out.stay) = (Some(setup), Some(stay));
                let section = stays(proved, setup).get(stay);
                out.move_index =
                    section.and_then(|s| s.moves.end.checked_sub(1).filter(|i| s.moves.contains(i)));
            }
        }
        out.fill(proved, selection);
        out
    }

    fn of_finding(&mut self, proved: &Proved, n: usize) {
        let Some(finding) = proved.checked.proof.findings.get(n) else { return };
        self.findings.push(n);
        self.setup = finding.setup;
        self.at_part = finding.at_part;
        if let Some(run) = finding.setup.and_then(|s| run(proved, s)) {
            self.move_index = move_of(finding, run);
            self.line = finding.line.filter(|_| is_own(finding, run));
        }
        let asked = |place: &JobPlace| {
            let same = |l: &&proofcut_core::source::Label| {
                l.source.name() == place.source.name()
                    && l.span.start < place.span.end
                    && place.span.start < l.span.end
            };
            finding.diagnostic.labels.iter().any(|l| same(&l))
        };
        if let Some(drawing) = &proved.checked.job.drawing {
            let features = drawing.features.iter().enumerate();
            self.features = features.filter(|(_, f)| asked(&f.place)).map(|(i, _)| i).collect();
            let sizes = drawing.dimensions.iter().enumerate();
            self.sizes = sizes.filter(|(_, d)| asked(&d.place)).map(|(i, _)| i).collect();
        }
    }

    fn of_feature(&mut self, proved: &Proved, n: usize) {
        self.features.push(n);
        let Some(inspection) = &proved.checked.proof.inspection else { return };
        let Some(result) = inspection.features.iter().find(|f| f.feature == n) else { return };
        let places = result.quantities.iter().filter_map(|q| q.at);
        self.at_part = places.chain(result.breaks.iter().filter_map(|b| b.at)).next();
        let makers = result.made_by.iter().chain(result.breaks.iter().flat_map(|b| &b.made_by));
        self.of_maker(proved, makers.into_iter().find(|m| m.setup.is_some()));
    }

    fn of_size(&mut self, proved: &Proved, n: usize) {
        self.sizes.push(n);
        let Some(inspection) = &proved.checked.proof.inspection else { return };
        let Some(result) = inspection.dimensions.iter().find(|d| d.dimension == n) else { return };
        self.at_part = result.off_at;
        self.of_maker(
            proved,
            result.off.as_ref().or_else(|| result.made_by.iter().find(|m| m.setup.is_some())),
        );
    }

    fn of_maker(&mut self, proved: &Proved, maker: Option<&MadeBy>) {
        let Some((maker, setup)) = maker.and_then(|m| Some((m, m.setup?))) else { return };
        self.setup = Some(setup);
        self.line = maker.lines.last().copied();
        self.move_index = self.line.zip(run(proved, setup)).and_then(|(line, run)| last_of_line(run, line));
    }

    /// What follows from what is known.
    fn fill(&mut self, proved: &Proved, selection: &Selection) {
        let Some(setup) = self.setup else { return };
        let Some(run) = run(proved, setup) else { return };
        if let (None, Some(index)) = (self.line, self.move_index) {
            self.line = line_of(run, index);
        }
        if let (None, Some(index)) = (self.stay, self.move_index) {
            self.stay = stays(proved, setup).iter().position(|s| s.moves.contains(&index));
        }
        let is_stay = matches!(selection, Selection::Stay { .. });
        let section = self.stay.and_then(|n| stays(proved, setup).get(n));
        let within = |line: u32| match section {
            Some(s) if is_stay => s.lines.0 <= line && line <= s.lines.1,
            _ => self.line == Some(line),
        };
        let made = |m: &MadeBy| m.setup == Some(setup) && m.lines.iter().any(|l| within(*l));
        if let Some(inspection) = &proved.checked.proof.inspection {
            for f in &inspection.features {
                let breaks = || f.breaks.iter().flat_map(|b| &b.made_by);
                if f.made_by.iter().chain(breaks()).any(made) && !self.features.contains(&f.feature) {
                    self.features.push(f.feature);
                }
            }
            for d in &inspection.dimensions {
                if d.made_by.iter().any(made) && !self.sizes.contains(&d.dimension) {
                    self.sizes.push(d.dimension);
                }
            }
        }
        for (n, f) in proved.checked.proof.findings.iter().enumerate() {
            let here = f.setup == Some(setup) && is_own(f, run) && f.line.is_some_and(within);
            if here && !self.findings.contains(&n) {
                self.findings.push(n);
            }
        }
    }
}

/// Stays of the tools of a setup.
pub fn stays(proved: &Proved, setup: usize) -> &[ToolSection] {
    proved.checked.proof.setups.get(setup).map_or(&[], |s| &s.sections)
}

fn run(proved: &Proved, setup: usize) -> Option<&Run> {
    Some(&proved.checked.proof.setups.get(setup)?.run)
}

/// True when a finding's line counts in the setup's own program.
fn is_own(finding: &Finding, run: &Run) -> bool {
    let own = run.sources.first().map(proofcut_core::source::SourceText::name);
    let label = finding.diagnostic.labels.iter().find(|l| l.primary).or(finding.diagnostic.labels.first());
    own.is_some() && own == label.map(|l| l.source.name())
}

/// The place of a move in the setup's own program: its own block, or the call that it came from.
pub fn own_place(run: &Run, move_index: usize) -> Option<Place> {
    run.called_from(move_index).or_else(|| run.moves.get(move_index).map(|m| m.place))
}

/// The line of the setup's own program that makes a move.
pub fn line_of(run: &Run, move_index: usize) -> Option<u32> {
    own_place(run, move_index).map(|p| p.line)
}

/// The last move that a line makes; where it makes none, the last before it.
fn last_of_line(run: &Run, line: u32) -> Option<usize> {
    let of = |i: usize| line_of(run, i).unwrap_or(u32::MAX);
    let all = 0..run.moves.len();
    all.clone().rev().find(|i| of(*i) == line).or_else(|| all.rev().find(|i| of(*i) < line))
}

/// The move that a finding is about: of those of its line the one that comes nearest to its place.
fn move_of(finding: &Finding, run: &Run) -> Option<usize> {
    let label = finding.diagnostic.labels.iter().find(|l| l.primary).or(finding.diagnostic.labels.first())?;
    let source = run.sources.iter().position(|s| s.name() == label.source.name())?;
    let line = finding.line?;
    let of_line = |i: &usize| {
        let place = run.moves.get(*i).map(|m| m.place);
        place.is_some_and(|p| usize::from(p.source) == source && p.line == line)
            || source == 0 && run.called_from(*i).is_some_and(|p| p.line == line)
    };
    let mut moves = (0..run.moves.len()).filter(of_line);
    let Some(at) = finding.at else {
        return moves.next_back().or_else(|| last_of_line(run, line).filter(|_| source == 0));
    };
    let off = |i: &usize| {
        let path = run.moves.get(*i).map(|m| m.path);
        path.map_or(f64::INFINITY, |p| {
            (0..=16).map(|t| (p.point(f64::from(t) / 16.0) - at).norm()).fold(f64::INFINITY, f64::min)
        })
    };
    moves.min_by(|a, b| off(a).total_cmp(&off(b))).or_else(|| last_of_line(run, line).filter(|_| source == 0))
}

/// Who left the surface at a place, part frame, in the stock as it is before a cut: the nearest end of material on the lines
/// through the place along the three axes.
pub fn maker_at(proved: &Proved, at: &Vec3, before: CutId) -> Option<(usize, usize)> {
    let cut = proved.cut.as_ref()?;
    let mut best: Option<(f64, CutId)> = None;
    for axis in Axis::ALL {
        let (u, v) = axis.others();
        for piece in cut.history.probe_before(axis, u.of(at), v.of(at), before) {
            for (end, by) in [(piece.low, piece.low_by), (piece.high, piece.high_by)] {
                let off = (end - axis.of(at)).abs();
                if best.is_none_or(|(b, _)| off < b) {
                    best = Some((off, by));
                }
            }
        }
    }
    let origin = cut.history.origin(best?.1)?;
    Some((origin.setup, origin.move_index))
}
