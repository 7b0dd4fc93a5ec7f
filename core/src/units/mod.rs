//! Units at the border: files and programs speak inches or millimetres, core speaks millimetres.
//!
//! *Invariant*: the number 25.4 stands here and nowhere else.

/// Unit of length of a file or a program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Inches, G20.
    Inch,
    /// Millimetres, G21.
    Millimetre,
}

/// Nanometres in a millimetre; the stock counts in whole nanometres.
pub const NM_PER_MM: f64 = 1.0e6;

impl Unit {
    /// Millimetres in one of this unit. An inch is 25.4 mm exactly (international inch, 1959).
    pub const fn mm(self) -> f64 {
        match self {
            Unit::Inch => 25.4,
            Unit::Millimetre => 1.0,
        }
    }

    /// A length in this unit, in millimetres.
    pub const fn to_mm(self, length: f64) -> f64 {
        length * self.mm()
    }

    /// A length in millimetres, in this unit.
    pub const fn from_mm(self, length: f64) -> f64 {
        length / self.mm()
    }

    /// Decimals that the trade writes for a length in this unit: 4 for inches, 3 for millimetres.
    pub const fn decimals(self) -> usize {
        match self {
            Unit::Inch => 4,
            Unit::Millimetre => 3,
        }
    }

    /// Sign behind a number: `in` or `mm`.
    pub const fn sign(self) -> &'static str {
        match self {
            Unit::Inch => "in",
            Unit::Millimetre => "mm",
        }
    }

    /// A length given in millimetres, written in this unit with its decimals and sign, such as `0.2500 in`.
    pub fn write(self, length_mm: f64) -> String {
        format!("{} {}", self.number(length_mm), self.sign())
    }

    /// A length given in millimetres, written in this unit with its decimals, without sign. Never `-0.0000`.
    pub fn number(self, length_mm: f64) -> String {
        let text = format!("{:.*}", self.decimals(), self.from_mm(length_mm));
        match text.strip_prefix('-') {
            Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
            _ => text,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn writes_as_the_trade_does() {
        assert_eq!(Unit::Inch.write(6.35), "0.2500 in");
        assert_eq!(Unit::Millimetre.write(-0.000_01), "0.000 mm");
    }
}
