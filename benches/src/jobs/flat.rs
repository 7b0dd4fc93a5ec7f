//! Level moves of a 10 mm end mill that clears two pockets, one along X, one turned, level by level.

use super::rounds;
use crate::text::{CLEAR, PER_MM, Text, mm};
use crate::zigzag::{Dealer, UNITS_PER_MM, Zigzag};

/// Rows 2 mm apart: 20 % of the cutter. No wall lies where cells of a grid end.
const POCKETS: [Zigzag; 2] = [
    // Cleared from X3.02 Y3.03 to X49.04 Y57.03.
    Zigzag {
        origin: [80_200, 80_300],
        turn: [5, 0],
        length: 36 * UNITS_PER_MM + UNITS_PER_MM / 50,
        step: 2 * UNITS_PER_MM,
        steps: 22,
    },
    // 28 x 24 mm of tool centre about X73 Y30.
    Zigzag {
        origin: [690_000, 120_000],
        turn: [4, 3],
        length: 28 * UNITS_PER_MM,
        step: 2 * UNITS_PER_MM,
        steps: 12,
    },
];

/// Deepest, tenths of a micrometre: 1 mm of floor stays.
const DEEPEST: i64 = 19 * PER_MM;
/// Highest level, tenths of a micrometre.
const LEVEL: i64 = 6 * PER_MM / 10;
/// Radius of the cutter, mm.
const RADIUS: f64 = 5.0;

/// `moves` level moves, 0.2 to 0.5 mm long (from 3,300 moves on), and for each level and pocket the few that lead there.
pub(super) fn program(moves: i64) -> String {
    let levels = levels(moves);
    let mut dealer = Dealer::new(moves, levels * way());
    let mut text = Text::new();
    let [first, _] = POCKETS;
    text.tool(1, first.place([0, 0]));
    let mut floor = 0;
    for level in 1..=levels {
        let z = -depth(levels) * level / levels;
        for pocket in &POCKETS {
            let mut corners = pocket.corners();
            if level % 2 == 0 {
                corners.reverse();
            }
            if let Some(start) = corners.first() {
                plunge(&mut text, pocket.place(*start), floor, z);
            }
            for (from, to) in corners.iter().zip(corners.iter().skip(1)) {
                straight(&mut text, &mut dealer, pocket, (*from, *to));
            }
        }
        floor = z;
    }
    text.end()
}

/// Volume that the job takes, mm3, by formula.
pub fn flat_volume(moves: u32) -> f64 {
    POCKETS.iter().map(|p| p.area(RADIUS)).sum::<f64>() * mm(depth(levels(i64::from(moves))))
}

fn way() -> i64 {
    POCKETS.iter().map(Zigzag::way).sum()
}

fn levels(moves: i64) -> i64 {
    rounds(moves, way())
}

/// Depth of the last level, tenths of a micrometre.
fn depth(levels: i64) -> i64 {
    DEEPEST.min(levels * LEVEL)
}

/// Over the block to a place, at rapid to half a millimetre above the floor, at feed down to `z`.
fn plunge(text: &mut Text, [x, y]: [i64; 2], floor: i64, z: i64) {
    text.rapid([None, None, Some(CLEAR)]);
    text.rapid([Some(x), Some(y), None]);
    text.rapid([None, None, Some(floor + PER_MM / 2)]);
    text.feed_at([None, None, Some(z)], 500);
}

/// Short moves along one row, or from row to row.
fn straight(text: &mut Text, dealer: &mut Dealer, pocket: &Zigzag, ([a, b], to): ([i64; 2], [i64; 2])) {
    let (da, db) = (to.first().map_or(0, |n| n - a), to.last().map_or(0, |n| n - b));
    let length = da.abs().max(db.abs());
    for end in dealer.ends(length) {
        let [x, y] = pocket.place([a + da.signum() * end, b + db.signum() * end]);
        text.feed([Some(x), Some(y), None]);
    }
}
