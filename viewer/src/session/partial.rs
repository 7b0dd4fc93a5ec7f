//! The stock inside a move: a copy of the stock before it, on which the part of the move is cut that is made.

use super::{Cut, Wish};
use proofcut_core::geom::{Box3, Frame, Path};
use proofcut_core::stock::{CutId, Stock};
use proofcut_core::sweep::Sweep;

/// The stock within the move that is being made, if one is.
#[derive(Debug, Default)]
pub(super) struct Partial {
    begun: Option<Begun>,
}

#[derive(Debug)]
struct Begun {
    setup: usize,
    made: usize,
    /// How much of the move is cut, 0 to 1.
    part: f64,
    stock: Stock,
    /// Nothing outside differs from the stock before the move, part frame.
    touched: Box3,
}

/// Largest stock that is copied, bytes: a copy of as much takes about 0.1 s.
const MOST_BYTES: usize = 400 << 20;

impl Partial {
    /// The stock with the part of the next move that is made, when that takes anything. `whole` is the stock before the
    /// move. Boxes around what differs from the stock of the last call are added to `boxes`.
    pub(super) fn lead(
        &mut self,
        cut: &Cut,
        wish: &Wish,
        whole: &Stock,
        boxes: &mut Vec<Box3>,
    ) -> Option<&Stock> {
        let goes_on = |b: &Begun| (b.setup, b.made) == (wish.setup, wish.made) && b.part <= wish.part;
        if let Some(over) = self.begun.take_if(|b| !goes_on(b)) {
            boxes.push(over.touched);
        }
        let frame = cut.history.frame(wish.setup)?;
        let sweeps = sweeps(cut, wish);
        if sweeps.is_empty() || self.begun.is_none() && whole.bytes() > MOST_BYTES {
            return None;
        }
        let begun = self.begun.get_or_insert_with(|| Begun {
            setup: wish.setup,
            made: wish.made,
            part: 0.0,
            stock: whole.clone(),
            touched: Box3::empty(),
        });
        if begun.part < wish.part {
            begun.cut(frame, &sweeps);
            begun.part = wish.part;
            boxes.push(begun.touched);
        }
        Some(&begun.stock)
    }
}

impl Begun {
    fn cut(&mut self, frame: &Frame, sweeps: &[(CutId, Sweep)]) {
        self.stock.take_away(frame, sweeps);
        let boxes = sweeps.iter().map(|(_, sweep)| frame.part_box(sweep.bounds()));
        self.touched = boxes.fold(self.touched, |all, b| all.union(&b));
    }
}

/// What the made part of the next move sweeps, with the marks of the whole move's cuts.
fn sweeps(cut: &Cut, wish: &Wish) -> Vec<(CutId, Sweep)> {
    let path = cut.runs.get(wish.setup).and_then(|run| run.moves.get(wish.made)).map(|m| m.path);
    let Some(path) = path.filter(|_| 0.0 < wish.part && wish.part < 1.0) else { return Vec::new() };
    let first = cut.history.first_cut(wish.setup, wish.made);
    let next = cut.history.first_cut(wish.setup, wish.made + 1);
    let part = |id: CutId| {
        let whole = cut.history.sweep(id)?;
        // An upright arc is cut in pieces that only rise or only fall: those are shown once the move is made.
        let made: Path = (*whole.path() == path).then(|| path.piece(0.0, wish.part))?;
        Some((id, Sweep::new(*whole.body(), &made)))
    };
    (first.0..next.0).map(CutId).filter_map(part).collect()
}
