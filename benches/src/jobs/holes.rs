//! Holes over 80 x 40 mm: spotted, drilled in pecks, their edges broken by a chamfer mill that goes round.

use crate::text::{CLEAR, PER_MM, Text};

/// Middle of the first hole, and what the middles spread over.
const FIRST: [i64; 2] = [10 * PER_MM, 10 * PER_MM];
const SPREAD: [i64; 2] = [80 * PER_MM, 40 * PER_MM];
/// Radius on which the chamfer mill goes round a 5 mm hole.
const ROUND: i64 = PER_MM * 3 / 2;
/// Depth of its tip.
const CHAMFER: i64 = -2 * PER_MM;

/// `holes` holes.
pub(super) fn program(holes: i64) -> String {
    let places = places(holes);
    let mut text = Text::new();
    let Some(first) = places.first() else { return text.end() };
    text.tool(3, *first);
    cycle(&mut text, "G81 G99 Z-1.5 R1. F300.", &places);
    text.tool(4, *first);
    cycle(&mut text, "G83 G99 Z-16. R1. Q3. F250.", &places);
    text.tool(5, *first);
    for [x, y] in places {
        text.rapid([Some(x), Some(y), None]);
        text.feed_at([None, None, Some(CHAMFER)], 400);
        text.feed([Some(x + ROUND), None, None]);
        text.around([x + ROUND, y], [-ROUND, 0]);
        text.feed([Some(x), None, None]);
        text.rapid([None, None, Some(CLEAR)]);
    }
    text.end()
}

/// Runs a cycle at every place and ends it.
fn cycle(text: &mut Text, words: &str, places: &[[i64; 2]]) {
    for (number, place) in places.iter().enumerate() {
        let place = Text::words(*place);
        text.raw(&if number == 0 { format!("{words} {place}") } else { place });
    }
    text.raw("G80");
    text.rapid([None, None, Some(4 * CLEAR)]);
}

/// Middles in rows, as even as it goes.
fn places(holes: i64) -> Vec<[i64; 2]> {
    let columns = (2..10_000).find(|c| c * c * 5 >= holes * 8).unwrap_or(10_000);
    let rows = ((holes + columns - 1) / columns).max(2);
    let ([x, y], [wide, high]) = (FIRST, SPREAD);
    (0..holes)
        .map(|n| [x + n % columns * wide / (columns - 1), y + n / columns * high / (rows - 1)])
        .collect()
}
