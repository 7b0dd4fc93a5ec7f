use super::cursor::Cursor;
use super::fault::FaultKind;
use smallvec::SmallVec;

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// Largest whole number of which all smaller ones fit a double exactly: 2 to the 53rd.
const EXACT: u64 = 1 << 53;

/// A number: value and whether a decimal point was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) point: bool,
}

/// Reads `[+|-] digits [.] digits` with blanks anywhere (NISTIR 6556, 3.3.2.1), nearest double to what is written.
pub(super) fn number(cursor: &mut Cursor) -> Result<Number, FaultKind> {
    let negative = match cursor.peek() {
        Some(sign @ (b'+' | b'-')) => {
            cursor.advance();
            sign == b'-'
        }
        _ => false,
    };
    let mut digits: SmallVec<[u8; 24]> = SmallVec::new();
    let (mut point, mut whole, mut decimals, mut any) = (false, 0_u64, 0_usize, false);
    let mut end = cursor.at;
    while let Some(byte) = cursor.peek() {
        match byte {
            b'0'..=b'9' => {
                any = true;
                whole = whole.saturating_mul(10).saturating_add(u64::from(byte - b'0'));
                decimals += usize::from(point);
                digits.push(byte);
            }
            b'.' if point => return Err(FaultKind::BadNumber),
            b'.' => {
                point = true;
                digits.push(byte);
            }
            _ => break,
        }
        cursor.advance();
        end = cursor.at;
    }
    cursor.at = end;
    if !any {
        return Err(FaultKind::MissingNumber);
    }
    let size = match POWERS.get(decimals) {
        Some(power) if whole < EXACT => exact(whole) / power,
        _ => std::str::from_utf8(&digits)
            .ok()
            .and_then(|text| text.parse().ok())
            .filter(|v: &f64| v.is_finite())
            .ok_or(FaultKind::BadNumber)?,
    };
    Ok(Number { value: if negative { -size } else { size }, point })
}

#[expect(clippy::cast_precision_loss, reason = "called with whole numbers below 2 to the 53rd only")]
fn exact(whole: u64) -> f64 {
    whole as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Number, FaultKind> {
        number(&mut Cursor::new(text.as_bytes(), 0, text.len()))
    }

    #[test]
    fn numbers_are_the_nearest_doubles() {
        for (text, value, point) in [
            ("0.1", 0.1, true),
            ("-.5", -0.5, true),
            ("+0. 12 34", 0.1234, true),
            ("007", 7.0, false),
            ("12.", 12.0, true),
            ("0.333333333333333333333333", 1.0 / 3.0, true),
            // Worked out with exact fractions: 6.4e-9 away, its neighbours 8.5e-9 and 2.1e-8.
            ("123456789.987654321987654321", f64::from_bits(0x419d_6f34_57f3_5ba8), true),
            ("12345 6789.98765 4321987654321", f64::from_bits(0x419d_6f34_57f3_5ba8), true),
        ] {
            assert_eq!(read(text), Ok(Number { value, point }), "{text}");
        }
        assert_eq!(read("1.2.3"), Err(FaultKind::BadNumber));
        assert_eq!(read("-"), Err(FaultKind::MissingNumber));
        assert_eq!(read("."), Err(FaultKind::MissingNumber));
        assert_eq!(read(&"9".repeat(400)), Err(FaultKind::BadNumber));
    }
}
