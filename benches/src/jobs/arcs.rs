//! A 10 mm end mill that clears slots wider than itself in loops: half a circle through the material, half a circle back,
//! one step on.

use crate::text::{CLEAR, PER_MM, Text};

/// Radius of the loops: a slot of 16 mm.
const LOOP: i64 = 3 * PER_MM;
/// From loop to loop: a tenth of the cutter.
const STEP: i64 = PER_MM;
/// Middle of the first loop of a slot, and loops in a slot.
const LEFT: i64 = 115_100;
const LOOPS: i64 = 77;
/// Middles of the slots.
const SLOTS: [i64; 3] = [111_300, 300_300, 487_300];
/// Moves of a loop: two arcs and the step.
const MOVES: i64 = 3;
/// Deepest, and highest level.
const DEEPEST: i64 = 19 * PER_MM;
const LEVEL: i64 = PER_MM;

/// Loops of two arcs and a step, `moves` in all (a loop is not broken off), and what leads from slot to slot.
pub(super) fn program(moves: i64) -> String {
    let loops = (moves + MOVES - 1) / MOVES;
    let slots = (loops + LOOPS - 1) / LOOPS;
    let levels = ((slots + 2) / 3).max(1);
    let depth = DEEPEST.min(levels * LEVEL);
    let mut text = Text::new();
    let [first, ..] = SLOTS;
    text.tool(1, [LEFT, first - LOOP]);
    let mut left = loops;
    for (slot, y) in (0..slots).zip(SLOTS.iter().cycle()) {
        text.rapid([None, None, Some(CLEAR)]);
        text.rapid([Some(LEFT), Some(y - LOOP), None]);
        text.feed_at([None, None, Some(-depth * (slot / 3 + 1) / levels)], 500);
        for number in 0..left.min(LOOPS) {
            let x = LEFT + number * STEP;
            text.around([x, y + LOOP], [0, LOOP]);
            text.around([x, y - LOOP], [0, -LOOP]);
            text.feed([Some(x + STEP), None, None]);
        }
        left -= LOOPS;
    }
    text.end()
}
