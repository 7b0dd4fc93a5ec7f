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

    /// A length in this unit, in millimetres, as if the decimals that were written had been multiplied on paper:
    /// 0.3 in is the number nearest to 7.62, where `0.3 * 25.4` is one step below it.
    ///
    /// The decimals are the shortest that name the number, so whatever was written with up to 15 digits is meant
    /// exactly as it was written. Numbers that are not finite come back as they are.
    pub fn to_mm_exact(self, length: f64) -> f64 {
        if self == Unit::Millimetre || !length.is_finite() {
            return length;
        }
        let written = format!("{length:e}");
        let (digits, exponent) = written.split_once('e').unwrap_or((&written, "0"));
        let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
        // An inch is 254 tenths of a millimetre: whole-number arithmetic, and the point moves by one.
        let mantissa = format!("{whole}{fraction}").parse::<i64>().ok();
        let shift = exponent.parse::<i64>().ok();
        let exact = mantissa.zip(shift).and_then(|(mantissa, shift)| {
            let places = i64::try_from(fraction.len()).ok()?;
            format!("{}e{}", i128::from(mantissa) * 254, shift - places - 1).parse().ok()
        });
        exact.unwrap_or_else(|| self.to_mm(length))
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
    fn inches_become_the_nearest_millimetres() {
        for (inch, mm) in
            [(0.9, 22.86), (0.3, 7.62), (1.3, 33.02), (-0.201, -5.1054), (0.0, 0.0), (1e-7, 2.54e-6)]
        {
            assert_eq!(Unit::Inch.to_mm_exact(inch).to_bits(), f64::to_bits(mm), "{inch}");
        }
        assert_eq!(Unit::Millimetre.to_mm_exact(0.3).to_bits(), 0.3_f64.to_bits());
        assert!(Unit::Inch.to_mm_exact(f64::MAX).is_infinite());
        for i in 0..20_000_i32 {
            let tenths = format!("{}", f64::from(i) / 10_000.0).parse::<f64>().unwrap();
            let paper = format!("{}e-5", i * 254).parse::<f64>().unwrap();
            assert_eq!(Unit::Inch.to_mm_exact(tenths).to_bits(), paper.to_bits(), "{i}");
        }
    }

    #[test]
    fn writes_as_the_trade_does() {
        assert_eq!(Unit::Inch.write(6.35), "0.2500 in");
        assert_eq!(Unit::Millimetre.write(-0.000_01), "0.000 mm");
    }
}
