//! Names of jobs on the command line.

use crate::jobs::Kind;
use std::fmt;
use std::str::FromStr;

/// Which made-up job: its kind, how many moves, how far apart the rays. Written `flat-200k-0.1`; `k` and `m` stand for
/// thousand and million, and the spacing may be left out, which means 0.1 mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JobName {
    /// What is cut, and how.
    pub kind: Kind,
    /// Number of moves (of holes, for holes).
    pub moves: u32,
    /// Distance between rays, mm.
    pub spacing: f64,
}

impl FromStr for JobName {
    type Err = String;

    fn from_str(name: &str) -> Result<Self, String> {
        let wrong = || {
            let kinds: Vec<&str> = Kind::ALL.iter().map(|k| k.word()).collect();
            format!(
                "{name}: a job is named KIND-MOVES or KIND-MOVES-SPACING, KIND one of {}",
                kinds.join(", ")
            )
        };
        let mut parts = name.split('-');
        let kind = parts.next().and_then(|word| Kind::ALL.into_iter().find(|k| k.word() == word));
        let moves = parts.next().and_then(number);
        let spacing = parts.next().map_or(Some(0.1), |s| s.parse().ok().filter(|s| *s > 0.0));
        match (kind, moves, spacing, parts.next()) {
            (Some(kind), Some(moves), Some(spacing), None) => Ok(Self { kind, moves, spacing }),
            _ => Err(wrong()),
        }
    }
}

/// A whole number, `k` and `m` behind it standing for thousand and million.
fn number(text: &str) -> Option<u32> {
    let (digits, times) = match (text.strip_suffix('k'), text.strip_suffix('m')) {
        (Some(digits), _) => (digits, 1000),
        (_, Some(digits)) => (digits, 1_000_000),
        (None, None) => (text, 1),
    };
    digits.parse::<u32>().ok()?.checked_mul(times).filter(|n| *n <= JobName::MOST)
}

impl JobName {
    /// Most moves that a made-up job may have.
    pub const MOST: u32 = 20_000_000;
}

impl fmt::Display for JobName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let moves = match self.moves {
            n if n > 0 && n % 1_000_000 == 0 => format!("{}m", n / 1_000_000),
            n if n > 0 && n % 1000 == 0 => format!("{}k", n / 1000),
            n => n.to_string(),
        };
        write!(f, "{}-{moves}-{}", self.kind.word(), self.spacing)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_as_they_are_written() {
        for name in ["flat-200k-0.1", "flat-22630-0.05", "ball-1m-0.025", "rapids-0-0.1"] {
            assert_eq!(name.parse::<JobName>().unwrap().to_string(), name);
        }
        assert_eq!("flat-5m".parse::<JobName>().unwrap().to_string(), "flat-5m-0.1");
        for wrong in
            ["", "flat", "flat-", "round-20k", "flat-20k-0", "flat-20k-0.1-2", "flat-9999m", "flat-2kk"]
        {
            assert!(wrong.parse::<JobName>().is_err(), "{wrong}");
        }
    }
}
