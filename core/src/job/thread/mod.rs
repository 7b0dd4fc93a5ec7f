//! Thread designations: what `1/4-20 UNC-2B` or `M6` says about diameter and pitch.

mod tables;

use crate::units::Unit;
use tables::{INCH_2B, METRIC_6H};

/// What a designation says, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct ThreadForm {
    /// Major diameter.
    pub(crate) major_diameter: f64,
    /// Pitch.
    pub(crate) pitch: f64,
    /// Lowest and highest minor diameter; `None` where the tables lack the size or the class.
    pub(crate) minor_limits: Option<(f64, f64)>,
}

/// Reads a designation of the Unified series (ASME B1.1: size, threads per inch, series, class) or of the ISO
/// metric series (ISO 965-1: M, size, pitch unless coarse, class). The class of limits taken from the tables is 2B
/// or 6H, also where the designation names none.
///
/// # Errors
/// A sentence that says what is not understood.
pub(crate) fn parse_thread(text: &str) -> Result<ThreadForm, String> {
    let text = text.trim();
    if text.chars().count() > 40 {
        return Err("this is too long for a thread".to_owned());
    }
    match text.strip_prefix(['M', 'm']) {
        Some(rest) => metric(text, rest),
        None => inch(text),
    }
}

fn metric(whole: &str, rest: &str) -> Result<ThreadForm, String> {
    let (size, class) = rest.split_once('-').map_or((rest, None), |(size, class)| (size, Some(class.trim())));
    let hand = ["-LH", " LH"];
    if hand.iter().any(|h| whole.ends_with(h)) {
        return Err("left-hand threads are not known yet".to_owned());
    }
    let (diameter, pitch) = match size.split_once(['x', 'X', '\u{d7}', '*']) {
        Some((diameter, pitch)) => (diameter, Some(pitch)),
        None => (size, None),
    };
    let diameter = number(diameter).ok_or_else(|| format!("{whole:?} has no size after M"))?;
    let same = |a: f64, b: f64| (a - b).abs() < 1.0e-9;
    let pitch = match pitch {
        Some(pitch) => number(pitch).ok_or_else(|| format!("{whole:?} has no pitch after x"))?,
        None => METRIC_6H
            .iter()
            .find(|(d, _, coarse, _, _)| same(*d, diameter) && *coarse)
            .map(|(_, pitch, ..)| *pitch)
            .ok_or_else(|| format!("no coarse pitch is known for M{diameter}; write M{diameter}xPITCH"))?,
    };
    if class.is_some_and(|c| !is_class(c, &["H", "G"])) {
        return Err(format!("{whole:?} has no tolerance class such as 6H after its dash"));
    }
    if pitch >= diameter {
        return Err(format!("a pitch of {pitch} mm cannot be cut on {diameter} mm"));
    }
    let row = METRIC_6H.iter().find(|(d, p, ..)| same(*d, diameter) && same(*p, pitch));
    let minor_limits =
        row.filter(|_| class.is_none_or(|c| c == "6H")).map(|(_, _, _, low, high)| (*low, *high));
    Ok(ThreadForm { major_diameter: diameter, pitch, minor_limits })
}

/// A class such as `6H` or `2B`: a grade and a letter, the same or two for pitch and minor diameter (`5H6H`).
fn is_class(text: &str, letters: &[&str]) -> bool {
    let one = |t: &str| {
        let letter = t.strip_prefix(|c: char| c.is_ascii_digit());
        letter.is_some_and(|l| letters.contains(&l))
    };
    one(text) || text.split_at_checked(2).is_some_and(|(a, b)| one(a) && one(b))
}

fn inch(whole: &str) -> Result<ThreadForm, String> {
    let not_understood = || format!("{whole:?} is not a thread that is known");
    let (size, rest) = whole.split_once('-').ok_or_else(not_understood)?;
    let size = size.trim();
    let major = inch_size(size).ok_or_else(not_understood)?;
    let (threads, rest) = rest.trim().split_once(' ').unwrap_or((rest.trim(), ""));
    let threads = threads.parse::<u32>().ok().filter(|n| 4 <= *n && *n <= 120).ok_or_else(not_understood)?;
    let (series, class) = match rest.trim().split_once('-') {
        Some((series, class)) => (series.trim(), Some(class.trim())),
        None => (rest.trim(), None),
    };
    if !["", "UNC", "UNF", "UNEF", "UN", "UNS"].contains(&series) {
        return Err(format!("the series {series:?} is not known"));
    }
    if class.is_some_and(|c| !is_class(c, &["B"])) {
        return Err(format!("{whole:?} has no class such as 2B at its end"));
    }
    let row = INCH_2B.iter().find(|(_, m, n, ..)| (m - major).abs() < 1.0e-9 && *n == threads);
    let wrong_series = row.is_some_and(|(_, _, _, s, _, _)| !series.is_empty() && *s != series);
    let unknown = row.is_none() && ["UNC", "UNF"].contains(&series);
    if wrong_series || unknown {
        return Err(format!("{size} with {threads} threads per inch is not {series}"));
    }
    let mm = |inch: f64| Unit::Inch.to_mm_exact(inch);
    let limits = row.filter(|_| class.is_none_or(|c| c == "2B"));
    Ok(ThreadForm {
        major_diameter: mm(major),
        pitch: Unit::Inch.mm() / f64::from(threads),
        minor_limits: limits.map(|(_, _, _, _, low, high)| (mm(*low), mm(*high))),
    })
}

/// A size of the Unified series in inches: `#10`, `1/4`, `1-1/8`, `0.25`, `1`. A bare number is a gauge number only
/// with its sign, as in `#10`, or where it cannot be inches (`10-24`).
fn inch_size(text: &str) -> Option<f64> {
    if let Some(gauge) = text.strip_prefix('#').or_else(|| text.strip_prefix("No.")) {
        return gauge_size(gauge.trim());
    }
    if let Some((top, bottom)) = text.split_once('/') {
        let (top, bottom) = (number(top)?, number(bottom)?);
        return Some(top / bottom);
    }
    match number(text)? {
        inches if inches <= 4.0 => Some(inches),
        _ => gauge_size(text),
    }
}

fn gauge_size(text: &str) -> Option<f64> {
    let gauge = text.parse::<u32>().ok().filter(|n| *n <= 14)?;
    // ASME B1.1: number 0 is 0.060 in, each number is 0.013 in more.
    Some(f64::from(60 + 13 * gauge) / 1000.0)
}

/// A plain decimal number greater than 0.
fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = !text.is_empty() && text.chars().all(|c| c.is_ascii_digit() || c == '.');
    text.parse::<f64>().ok().filter(|n| plain && n.is_finite() && 0.0 < *n && *n < 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() < 1.0e-9
    }

    #[test]
    fn every_row_of_the_inch_table_is_read_back() {
        for (size, major, threads, series, low, high) in INCH_2B {
            for text in [
                format!("{size}-{threads} {series}-2B"),
                format!("{size}-{threads} {series}"),
                format!("{size}-{threads}"),
            ] {
                let form = parse_thread(&text).unwrap();
                assert!(close(form.major_diameter, major * 25.4), "{text}");
                assert!(close(form.pitch, 25.4 / f64::from(*threads)), "{text}");
                let (l, h) = form.minor_limits.unwrap();
                assert!(close(l, low * 25.4) && close(h, high * 25.4), "{text}");
            }
        }
    }

    #[test]
    fn every_row_of_the_metric_table_is_read_back() {
        for (diameter, pitch, coarse, low, high) in METRIC_6H {
            let form = parse_thread(&format!("M{diameter}x{pitch}-6H")).unwrap();
            assert_eq!(
                form,
                ThreadForm { major_diameter: *diameter, pitch: *pitch, minor_limits: Some((*low, *high)) }
            );
            assert_eq!(
                parse_thread(&format!("M{diameter}")).unwrap().pitch.to_bits() == pitch.to_bits(),
                *coarse
            );
        }
    }

    /// The tables against the standard's own formulas: ISO 68-1 puts the basic minor diameter 1.0825 pitches below
    /// the major one, and no limit lies below it.
    #[test]
    fn tables_agree_with_the_basic_profile() {
        let basic = |major: f64, pitch: f64| major - 1.082_531_755 * pitch;
        for (diameter, pitch, _, low, high) in METRIC_6H {
            assert!((low - basic(*diameter, *pitch)).abs() < 0.001, "M{diameter}x{pitch}");
            assert!(low < high && *high < *diameter);
        }
        for (size, major, threads, _, low, high) in INCH_2B {
            // Rounded to three decimals, or to four below 1/4 in.
            assert!((low - basic(*major, 1.0 / f64::from(*threads))).abs() < 0.0011, "{size}-{threads}");
            assert!(low < high && high < major);
        }
    }

    #[test]
    fn classes_and_sizes_without_limits() {
        assert!(parse_thread("1/4-20 UNC-3B").unwrap().minor_limits.is_none());
        assert!(parse_thread("M6-5H6H").unwrap().minor_limits.is_none());
        assert!(parse_thread("M30x2").unwrap().minor_limits.is_none());
        assert!(close(parse_thread("10-24").unwrap().major_diameter, 0.19 * 25.4));
        assert!(
            close(parse_thread("1-1/8-7").map_or(0.0, |f| f.major_diameter), 0.0),
            "not understood, so refused"
        );
    }

    #[test]
    fn what_is_not_understood_is_refused() {
        for text in [
            "",
            "M",
            "Mx1",
            "M6x",
            "M6x7",
            "M33",
            "M6-",
            "M6-6X",
            "M6-LH",
            "1/4",
            "1/4-",
            "1/4-20 NPT",
            "1/4-20 UNF",
            "1/4-20 UNC-",
            "1/4-20 UNC-2A",
            "1/0-20",
            "#99-20",
            "G1/4",
            "1/4-20 UNC 2B",
            "M1e3",
            "M-6",
            "M6x-1",
            "é-20",
        ] {
            assert!(parse_thread(text).is_err(), "{text}");
        }
    }
}
