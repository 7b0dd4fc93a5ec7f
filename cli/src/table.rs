//! Tables for a page of fixed width: words are wrapped, numbers are not.

use proofcut_core::report::snippet::wrapped;
use proofcut_core::report::{Column, Role, Table, Text};
use unicode_width::UnicodeWidthStr;

/// Blanks between two columns.
const GAP: usize = 2;

/// A column of words is not made narrower than this.
const NARROWEST: usize = 9;

/// The lines of a table that is at most `width` columns wide, unless what must not be wrapped is wider.
pub(crate) fn lines(table: &Table, width: usize) -> Vec<Text> {
    let widths = widths(table, width);
    let heads: Vec<Text> = table.columns.iter().map(|(name, _)| Text::of(Role::Strong, *name)).collect();
    let mut out = row(table, &widths, &heads);
    let rules: Vec<Text> = widths.iter().map(|w| Text::of(Role::Faint, "-".repeat(*w))).collect();
    out.extend(row(table, &widths, &rules));
    out.extend(table.rows.iter().flat_map(|cells| row(table, &widths, cells)));
    out
}

fn widths(table: &Table, width: usize) -> Vec<usize> {
    let cell = |row: &Vec<Text>, i: usize| row.get(i).map_or(0, |t| t.words().width());
    let natural = |i: usize| table.rows.iter().map(|r| cell(r, i)).max().unwrap_or(0);
    let mut widths: Vec<usize> =
        table.columns.iter().enumerate().map(|(i, (name, _))| natural(i).max(name.width())).collect();
    let gaps = GAP * widths.len().saturating_sub(1);
    loop {
        let total: usize = widths.iter().sum::<usize>() + gaps;
        let over = total.saturating_sub(width);
        let words = widths
            .iter_mut()
            .zip(&table.columns)
            .filter(|(w, (_, c))| *c == Column::Words && **w > NARROWEST);
        match words.max_by_key(|(w, _)| **w) {
            Some((widest, _)) if over > 0 => *widest -= 1,
            _ => return widths,
        }
    }
}

/// One row, as many lines as its highest cell needs.
fn row(table: &Table, widths: &[usize], cells: &[Text]) -> Vec<Text> {
    let columns: Vec<(Vec<String>, Role, usize, Column)> = (cells.iter().zip(widths).zip(&table.columns))
        .map(|((cell, width), (_, column))| {
            let role = cell.pieces.first().map_or(Role::Plain, |(role, _)| *role);
            let words = cell.words();
            let lines = if *column == Column::Words { wrapped(&words, *width, 0) } else { vec![words] };
            (lines, role, *width, *column)
        })
        .collect();
    let height = columns.iter().map(|(lines, ..)| lines.len()).max().unwrap_or(0);
    (0..height)
        .map(|i| {
            let mut out = Text::default();
            for (n, (lines, role, width, column)) in columns.iter().enumerate() {
                let text = lines.get(i).map_or("", String::as_str);
                let pad = " ".repeat(width.saturating_sub(text.width()));
                let gap = if n == 0 { String::new() } else { " ".repeat(GAP) };
                let (before, after) =
                    if *column == Column::Number { (gap + &pad, String::new()) } else { (gap, pad) };
                out = out.and(Role::Plain, before).and(*role, text).and(Role::Plain, after);
            }
            out
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_and_numbers_stand_to_the_right() {
        let table = Table {
            columns: vec![("Tool", Column::Name), ("What it does", Column::Words), ("Z", Column::Number)],
            rows: vec![
                vec!["T1".into(), "drills H1, H2, H3 and H4".into(), "-1.25".into()],
                vec!["T12".into(), "faces body".into(), "-10.5".into()],
            ],
        };
        let shown: Vec<String> = lines(&table, 30).iter().map(|t| t.words().trim_end().to_owned()).collect();
        assert_eq!(
            shown,
            [
                "Tool  What it does           Z",
                "----  -----------------  -----",
                "T1    drills H1, H2, H3  -1.25",
                "      and H4",
                "T12   faces body         -10.5",
            ]
        );
    }
}
