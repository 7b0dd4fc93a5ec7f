//! Rapids that meet nothing: criss-cross in a pocket that is cleared, up, over the block and down again.

use crate::text::{CLEAR, PER_MM, Text};
use crate::zigzag::{Noise, UNITS_PER_MM, Zigzag};

/// 84 x 44 mm of tool centre.
const POCKET: Zigzag = Zigzag {
    origin: [80_200, 80_300],
    turn: [5, 0],
    length: 84 * UNITS_PER_MM,
    step: 4 * UNITS_PER_MM,
    steps: 11,
};

/// Floors of the pocket.
const FLOORS: [i64; 2] = [-10 * PER_MM, -19 * PER_MM];
/// Heights of the rapids in the pocket.
const LOW: [i64; 2] = [-15 * PER_MM, -6 * PER_MM];
/// Rapids before the same begins again: five level ones in the pocket, one up, one over the block, one down.
const TURN: i64 = 8;

/// The pocket in one move for a row, then `moves` rapids.
pub(super) fn program(moves: i64) -> String {
    let mut text = Text::new();
    text.tool(1, POCKET.place([0, 0]));
    for floor in FLOORS {
        for (number, corner) in (0..).zip(POCKET.corners()) {
            let [x, y] = POCKET.place(corner);
            if number == 0 {
                text.rapid([None, None, Some(CLEAR)]);
                text.rapid([Some(x), Some(y), None]);
                text.feed_at([None, None, Some(floor)], 500);
            } else {
                text.feed([Some(x), Some(y), None]);
            }
        }
    }
    text.rapid([None, None, FLOORS.first().copied()]);
    let mut noise = Noise::new();
    let mut low = LOW.iter().cycle();
    for number in 0..moves {
        match number % TURN {
            5 => text.rapid([None, None, Some(CLEAR)]),
            7 => text.rapid([None, None, low.next().copied()]),
            _ => {
                let [x, y] = somewhere(&mut noise);
                text.rapid([Some(x), Some(y), None]);
            }
        }
    }
    text.end()
}

/// What rows leave standing at their ends does not reach farther into the pocket than this, units: half a millimetre.
const AWAY: i64 = UNITS_PER_MM / 2;

/// A place of the tool centre in the pocket, tenths of a micrometre.
fn somewhere(noise: &mut Noise) -> [i64; 2] {
    let (half, high) = (POCKET.length / 2, POCKET.steps * POCKET.step / 2);
    POCKET.place([half + noise.within(half - AWAY), high + noise.within(high)])
}
