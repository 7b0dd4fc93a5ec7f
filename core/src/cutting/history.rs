use super::chunks::Chunks;
use super::tree::{BoxTree, holds, line_meets};
use crate::cutter::PartRole;
use crate::geom::{Axis, Box3, Frame, Spans, Vec3};
use crate::job::RawStock;
use crate::solid::{MeshFault, RawSolid};
use crate::stock::{CutId, Op, OpMode, RayMap, Stock, StockError};
use crate::sweep::Sweep;

/// Who made a cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CutOrigin {
    /// Index of the setup.
    pub setup: usize,
    /// Index into the moves of the setup's run.
    pub move_index: usize,
    /// Which part of the tool.
    pub role: PartRole,
}

/// A piece of material on a line, part frame, mm; exact but for rounding in floating point (under 2 nm normal to
/// the surface, as [`Sweep`] promises).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Who made the lower end.
    pub low_by: CutId,
    /// Who made the upper end.
    pub high_by: CutId,
}

/// Every cut of every setup, in order, so that any line through the part can be cut again anywhere, exactly.
#[derive(Clone, Debug)]
pub struct History {
    raw: RawSolid,
    setups: Vec<SetupFrame>,
    cuts: Chunks<Cut>,
    /// Boxes of the cuts, part frame.
    tree: BoxTree,
}

#[derive(Clone, Debug)]
struct SetupFrame {
    frame: Frame,
    /// Rays along X, Y and Z of the part.
    maps: [RayMap; 3],
}

/// A cut, in the frame of its setup.
#[derive(Clone, Debug)]
pub(super) struct Cut {
    pub(super) origin: CutOrigin,
    pub(super) sweep: Sweep,
}

/// As in the stock: an overlap up to this is rounding, mm (between 1 and 2 nm).
const NOISE: f64 = 1.5e-6;
/// As in the stock: a piece this thin is rounding, mm (between 2 and 3 nm).
const FILM: f64 = 2.5e-6;

impl History {
    /// The history of stock that nothing has touched yet.
    ///
    /// # Errors
    /// When the raw stock is a mesh that is not closed.
    pub fn new(raw: &RawStock) -> Result<Self, MeshFault> {
        let (setups, cuts, tree) = (Vec::new(), Chunks::default(), BoxTree::default());
        Ok(Self { raw: RawSolid::new(raw)?, setups, cuts, tree })
    }

    /// Begins the next setup and gives its index.
    pub fn begin_setup(&mut self, frame: &Frame) -> usize {
        self.setups.push(SetupFrame { frame: *frame, maps: Axis::ALL.map(|a| RayMap::new(frame, a)) });
        self.setups.len() - 1
    }

    /// Adds a cut of the newest setup and gives its mark.
    #[cfg(test)]
    pub(crate) fn add(&mut self, move_index: usize, role: PartRole, sweep: Sweep) -> CutId {
        let origin = CutOrigin { setup: self.setups.len() - 1, move_index, role };
        let id = self.next_id();
        self.add_all(vec![Cut { origin, sweep }]);
        id
    }

    /// Adds cuts that follow each other, of the newest setup; their marks follow each other from the next one on.
    pub(super) fn add_all(&mut self, cuts: Vec<Cut>) {
        let (Some(setup), raw) = (self.setups.last(), self.raw.bounds()) else { return };
        let around = |cut: &Cut| setup.frame.part_box(cut.sweep.bounds()).grown(1e-9);
        // What never meets the raw stock need never be found.
        self.tree.extend(cuts.iter().map(around).map(|b| if b.meets(raw) { b } else { Box3::empty() }));
        self.cuts.push(cuts);
    }

    /// The mark that the next cut will get.
    pub fn next_id(&self) -> CutId {
        CutId::RAW.later(self.cuts.len() + 1)
    }

    /// Who made a cut; `None` for the raw stock's own surface.
    pub fn origin(&self, id: CutId) -> Option<CutOrigin> {
        Some(self.cut(id)?.origin)
    }

    /// The volume of a cut, in the frame of its setup; `None` for the raw stock's own surface.
    pub fn sweep(&self, id: CutId) -> Option<&Sweep> {
        Some(&self.cut(id)?.sweep)
    }

    /// Frame of a setup.
    pub fn frame(&self, setup: usize) -> Option<&Frame> {
        self.setups.get(setup).map(|s| &s.frame)
    }

    /// The raw stock.
    pub const fn raw(&self) -> &RawSolid {
        &self.raw
    }

    fn cut(&self, id: CutId) -> Option<&Cut> {
        self.cuts.get((id.0 as usize).checked_sub(1)?)
    }

    /// What is left on the line parallel to a part axis through `(u, v)` on `axis.others()`, ascending.
    pub fn probe(&self, axis: Axis, u: f64, v: f64) -> Vec<Piece> {
        self.probe_before(axis, u, v, self.next_id())
    }

    /// What was there on a line before a cut was made.
    pub fn probe_before(&self, axis: Axis, u: f64, v: f64, before: CutId) -> Vec<Piece> {
        let mut spans = Spans::new();
        self.raw.spans(axis, u, v, &mut spans);
        let raw = |s: &(f64, f64)| Piece { low: s.0, high: s.1, low_by: CutId::RAW, high_by: CutId::RAW };
        let mut pieces: Vec<Piece> = spans.iter().map(raw).collect();
        if pieces.is_empty() {
            return pieces;
        }
        let mut after = Vec::new();
        self.tree.each(
            |b| line_meets(b, axis, u, v),
            |n| {
                let id = CutId::RAW.later(n + 1);
                let Some(cut) = self.cut(id).filter(|_| id < before) else { return false };
                let Some([x, y, z]) = self.setups.get(cut.origin.setup).map(|s| &s.maps) else { return true };
                let map = match axis {
                    Axis::X => x,
                    Axis::Y => y,
                    Axis::Z => z,
                };
                map.spans(&cut.sweep, u, v, &mut spans);
                for span in &spans {
                    take(&pieces, *span, id, &mut after);
                    std::mem::swap(&mut pieces, &mut after);
                }
                !pieces.is_empty()
            },
        );
        pieces
    }

    /// A lens: the stock inside a box of the part, as all cuts before a given one leave it, cut again with rays at most
    /// `spacing` (mm) apart over that box alone. Its ends know the same cuts as those of the whole stock.
    ///
    /// # Errors
    /// When the box holds nothing of the raw stock's box, or the stock takes more than its memory limit at that spacing.
    pub fn lens(&self, inside: &Box3, spacing: f64, before: CutId) -> Result<Stock, StockError> {
        let mut lens = Stock::lens(&self.raw, inside, spacing)?;
        let bounds = *lens.raw_bounds();
        let mut found = Vec::new();
        self.tree.each(
            |b| b.meets(&bounds),
            |n| {
                let id = CutId::RAW.later(n + 1);
                found.push(id);
                id < before
            },
        );
        let cuts = found.into_iter().filter(|id| *id < before);
        self.cut_again(cuts, |frame, ops| lens.run_untold(frame, ops))?;
        Ok(lens)
    }

    /// Does cuts again, in order: those of each setup by one call of `run`.
    fn cut_again(
        &self,
        ids: impl Iterator<Item = CutId>,
        mut run: impl FnMut(&Frame, &[Op<&Sweep>]) -> Result<(), StockError>,
    ) -> Result<(), StockError> {
        let known = ids.filter_map(|id| Some((id, self.cut(id)?)));
        let cuts: Vec<(CutId, &Cut)> = known.collect();
        for same in cuts.chunk_by(|a, b| a.1.origin.setup == b.1.origin.setup) {
            let frame = same.first().and_then(|(_, cut)| self.frame(cut.origin.setup));
            let ops = same.iter().map(|(id, cut)| Op { id: *id, sweep: &cut.sweep, mode: OpMode::Cut });
            if let Some(frame) = frame {
                run(frame, &ops.collect::<Vec<Op<&Sweep>>>())?;
            }
        }
        Ok(())
    }

    /// Does all cuts from one up to another, which is left out, again on a stock as those before them leave it. Its memory is not
    /// limited: the stock that was led through all of them before held as much.
    pub fn replay(&self, stock: &mut Stock, from: CutId, before: CutId) {
        let run = |frame: &Frame, ops: &[Op<&Sweep>]| {
            stock.run_again(frame, ops);
            Ok(())
        };
        // Without a limit nothing can go wrong.
        let _done = self.cut_again((from.0..before.0).map(CutId), run);
    }

    /// A box around everything that cuts from one up to another, which is left out, can have met; part frame, mm.
    pub fn bounds_between(&self, from: CutId, before: CutId) -> Box3 {
        let number = |id: CutId| (id.0 as usize).saturating_sub(1);
        self.tree.union(number(from), number(before))
    }

    /// The first cut of a move of a setup, or of what comes next when the move cuts nothing.
    pub fn first_cut(&self, setup: usize, move_index: usize) -> CutId {
        let before = |cut: &Cut| (cut.origin.setup, cut.origin.move_index) < (setup, move_index);
        CutId::RAW.later(self.cuts.partition_point(before) + 1)
    }

    /// True when a point of the part lies in material; on a surface either.
    pub fn material_at(&self, point: &Vec3) -> bool {
        if !self.raw.contains(point) {
            return false;
        }
        let mut spans = Spans::new();
        let mut cut_away = false;
        self.tree.each(
            |b| holds(b, point),
            |n| {
                let Some(cut) = self.cuts.get(n) else { return true };
                let Some(setup) = self.setups.get(cut.origin.setup) else { return true };
                let p = setup.frame.setup_from_part(point);
                cut.sweep.spans(Axis::Z, p.x, p.y, &mut spans);
                cut_away = spans.iter().any(|s| s.0 < p.z && p.z < s.1);
                !cut_away
            },
        );
        !cut_away
    }
}

/// Takes one span out of pieces.
fn take(pieces: &[Piece], span: (f64, f64), by: CutId, after: &mut Vec<Piece>) {
    after.clear();
    for piece in pieces {
        if piece.high.min(span.1) - piece.low.max(span.0) <= NOISE {
            after.push(*piece);
            continue;
        }
        if span.0 - piece.low > FILM {
            after.push(Piece { high: span.0, high_by: by, ..*piece });
        }
        if piece.high - span.1 > FILM {
            after.push(Piece { low: span.1, low_by: by, ..*piece });
        }
    }
}
