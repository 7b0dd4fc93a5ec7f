//! Programs as a post would write them: millimetres with four decimals, words that do not change left out.

use std::fmt::Write as _;

/// Tenths of a micrometre in a millimetre: the last decimal of the programs.
pub(crate) const PER_MM: i64 = 10_000;

/// The nearest tenth of a micrometre.
pub(crate) fn tenths(mm: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "coordinates of a made-up job, below a metre")]
    let whole = (mm * 10_000.0).round() as i64;
    whole
}

/// Tenths of a micrometre in millimetres.
pub(crate) fn mm(tenths: i64) -> f64 {
    i32::try_from(tenths).map_or(f64::NAN, f64::from) / 10_000.0
}

/// A program on its way. All coordinates are tenths of a micrometre.
pub(crate) struct Text {
    written: String,
    /// What the control holds now: motion, and X, Y, Z where they are known.
    motion: &'static str,
    at: [Option<i64>; 3],
}

impl Text {
    /// A program in millimetres on G54.
    pub(crate) fn new() -> Self {
        Self { written: "%\nG21 G17 G40 G49 G80 G90 G94 G54\n".to_owned(), motion: "", at: [None; 3] }
    }

    /// Puts a tool into the spindle and goes to a place above the block.
    pub(crate) fn tool(&mut self, number: u32, [x, y]: [i64; 2]) {
        let words = format!("T{number} M6\nS8000 M3\nG0 X{} Y{}\n", Decimal(x), Decimal(y));
        self.written.push_str(&words);
        let _ = writeln!(self.written, "G43 H{number} Z{}", Decimal(CLEAR));
        self.motion = "G0";
        self.at = [Some(x), Some(y), Some(CLEAR)];
    }

    /// A block as it stands; the next block states its motion and its coordinates anew.
    pub(crate) fn raw(&mut self, block: &str) {
        self.written.push_str(block);
        self.written.push('\n');
        self.motion = "";
        self.at = [None; 3];
    }

    /// The words for a place, to be used in a block as it stands.
    pub(crate) fn words([x, y]: [i64; 2]) -> String {
        format!("X{} Y{}", Decimal(x), Decimal(y))
    }

    /// Rapid to a place.
    pub(crate) fn rapid(&mut self, to: [Option<i64>; 3]) {
        self.block("G0", to, "");
    }

    /// At feed to a place.
    pub(crate) fn feed(&mut self, to: [Option<i64>; 3]) {
        self.block("G1", to, "");
    }

    /// At feed to a place, with the feed in whole mm/min.
    pub(crate) fn feed_at(&mut self, to: [Option<i64>; 3], rate: u32) {
        self.block("G1", to, &format!(" F{rate}."));
    }

    /// Counter-clockwise in the level plane to `x`, `y` about a centre `i`, `j` away from where the tool is.
    pub(crate) fn around(&mut self, [x, y]: [i64; 2], [i, j]: [i64; 2]) {
        let _ = writeln!(self.written, "G3 X{} Y{} I{} J{}", Decimal(x), Decimal(y), Decimal(i), Decimal(j));
        self.motion = "G3";
        self.at = [Some(x), Some(y), self.at.last().copied().flatten()];
    }

    /// A move; nothing is written where the tool is there already.
    fn block(&mut self, motion: &'static str, to: [Option<i64>; 3], rest: &str) {
        let mut words = String::new();
        for ((now, to), letter) in self.at.iter_mut().zip(to).zip(['X', 'Y', 'Z']) {
            if let Some(new) = to.filter(|new| *now != Some(*new)) {
                let gap = if words.is_empty() { "" } else { " " };
                let _ = write!(words, "{gap}{letter}{}", Decimal(new));
                *now = Some(new);
            }
        }
        if words.is_empty() {
            return;
        }
        let code = if motion == self.motion { String::new() } else { format!("{motion} ") };
        let _ = writeln!(self.written, "{code}{words}{rest}");
        self.motion = motion;
    }

    /// The whole text, after the tool has gone up.
    pub(crate) fn end(mut self) -> String {
        self.written.push_str("G0 Z50.\nM30\n%\n");
        self.written
    }
}

/// Height at which nothing stands in the way, tenths of a micrometre.
pub(crate) const CLEAR: i64 = 5 * PER_MM;

/// Tenths of a micrometre as millimetres, zeros at the end left out.
struct Decimal(i64);

impl std::fmt::Display for Decimal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let (whole, part) = (self.0.abs() / PER_MM, self.0.abs() % PER_MM);
        let sign = if self.0 < 0 { "-" } else { "" };
        let digits = format!("{part:04}");
        write!(f, "{sign}{whole}.{}", digits.trim_end_matches('0'))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_are_exact() {
        for (number, text) in
            [(0, "0."), (-1, "-0.0001"), (123_456, "12.3456"), (-120_000, "-12."), (5_050, "0.505")]
        {
            assert_eq!(Decimal(number).to_string(), text);
        }
    }

    #[test]
    fn words_that_do_not_change_are_left_out() {
        let mut text = Text::new();
        text.tool(1, [0, 0]);
        text.feed_at([Some(0), None, Some(-PER_MM)], 500);
        text.feed([Some(PER_MM), Some(0), Some(-PER_MM)]);
        let text = text.end();
        let blocks: Vec<&str> = text.lines().skip(6).take(2).collect();
        assert_eq!(blocks, ["G1 Z-1. F500.", "X1."]);
    }
}
