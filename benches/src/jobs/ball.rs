//! A 10 mm ball mill over a wavy floor, layer by layer.

use super::rounds;
use crate::text::{PER_MM, Text, mm, tenths};
use crate::zigzag::{Dealer, UNITS_PER_MM, Zigzag};

/// 84 x 44 mm of tool centre in rows half a millimetre apart.
const ROWS: Zigzag = Zigzag {
    origin: [80_200, 80_300],
    turn: [5, 0],
    length: 84 * UNITS_PER_MM,
    step: UNITS_PER_MM / 2,
    steps: 88,
};

/// Height of the wave over its middle, mm.
const WAVE: f64 = 0.4;
/// Middle of the wave above the first layer's, tenths of a micrometre: its crests are in the block already.
const TOP: i64 = PER_MM / 2;
/// Deepest middle of the wave below `TOP`, tenths of a micrometre: the lowest tip is then at 19 mm.
const DEEPEST: i64 = 181 * PER_MM / 10;
/// Highest layer, tenths of a micrometre.
const LAYER: i64 = 4 * PER_MM / 10;

/// `moves` moves of which none is level, 0.2 to 0.5 mm long seen from above (from 22,000 moves on).
pub(super) fn program(moves: i64) -> String {
    let layers = rounds(moves, ROWS.way());
    let depth = DEEPEST.min(layers * LAYER);
    let mut dealer = Dealer::new(moves, layers * ROWS.way());
    let mut text = Text::new();
    text.tool(2, ROWS.place([0, 0]));
    let mut z = None;
    for layer in 1..=layers {
        let middle = -TOP - depth * layer / layers;
        let mut corners = ROWS.corners();
        if layer % 2 == 0 {
            corners.reverse();
        }
        if let Some([x, y]) = corners.first().map(|c| ROWS.place(*c)) {
            let start = height(x, y, middle);
            text.feed_at([Some(x), Some(y), Some(start)], 500);
            z = Some(start);
        }
        for ([a, b], [c, d]) in corners.iter().zip(corners.iter().skip(1)) {
            let (da, db) = (c - a, d - b);
            for end in dealer.ends(da.abs().max(db.abs())) {
                let [x, y] = ROWS.place([a + da.signum() * end, b + db.signum() * end]);
                let next = height(x, y, middle);
                // At a crest two heights may round to the same: a tenth of a micrometre keeps the move from being level.
                let next = if z == Some(next) { next - 1 } else { next };
                text.feed([Some(x), Some(y), Some(next)]);
                z = Some(next);
            }
        }
    }
    text.end()
}

/// Height of the wave, tenths of a micrometre.
fn height(x: i64, y: i64, middle: i64) -> i64 {
    middle + tenths(WAVE * (0.3 * mm(x)).sin() * (0.4 * mm(y)).cos())
}
