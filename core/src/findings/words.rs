//! Small pieces of wording that several sentences share.

/// A time in words: `0.4 s`, `12 s`, `1 min 7 s`, `2 h 3 min`. Seconds, taken as 0 when negative or not finite.
pub fn time(seconds: f64) -> String {
    let seconds = if seconds.is_finite() { seconds.max(0.0) } else { 0.0 };
    if seconds < 9.95 {
        return format!("{seconds:.1} s");
    }
    if seconds < 59.5 {
        return format!("{seconds:.0} s");
    }
    if seconds < 3599.5 {
        let whole = seconds.round();
        return format!("{:.0} min {:.0} s", (whole / 60.0).floor(), whole.rem_euclid(60.0));
    }
    let minutes = (seconds / 60.0).round();
    format!("{:.0} h {:.0} min", (minutes / 60.0).floor(), minutes.rem_euclid(60.0))
}

/// A list in words: `H1`, `H1 and H2`, `H1, H2 and H3`; beyond `most` names it is cut with a count.
pub fn list(names: &[String], most: usize) -> String {
    if names.len() > most.max(1) {
        let shown: Vec<&str> = names.iter().take(most.max(1)).map(String::as_str).collect();
        return format!("{} and {} more", shown.join(", "), names.len() - shown.len());
    }
    match names {
        [] => String::new(),
        [only] => only.clone(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}

/// `1 pocket`, `2 pockets`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// A text cut after `most` characters, with `...` where something was left out.
pub fn cut(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((at, _)) => format!("{}...", text.get(..at).unwrap_or("")),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_lists_read_as_spoken() {
        assert_eq!(time(0.44), "0.4 s");
        assert_eq!(time(67.2), "1 min 7 s");
        assert_eq!(time(119.7), "2 min 0 s");
        assert_eq!(time(7381.0), "2 h 3 min");
        assert_eq!(time(f64::NAN), "0.0 s");
        let names: Vec<String> = ["H1", "H2", "H3"].iter().map(|s| (*s).to_owned()).collect();
        assert_eq!(list(&names, 9), "H1, H2 and H3");
        assert_eq!(list(&names, 2), "H1, H2 and 1 more");
        assert_eq!(list(&[], 2), "");
        assert_eq!(count(1, "pocket", "pockets"), "1 pocket");
        assert_eq!(cut("abcdef", 3), "abc...");
        assert_eq!(cut("abc", 3), "abc");
    }
}
