//! Text on a terminal: colours, widths, and the two streams.

use crate::arguments::Color;
use crate::table;
use anstream::{AutoStream, ColorChoice};
use anstyle::{AnsiColor, Color as Paint, RgbColor, Style};
use proofcut_core::report::snippet::{shown, wrapped};
use proofcut_core::report::{Part, Role, Text};
use std::io::{IsTerminal, Write};
use unicode_width::UnicodeWidthStr;

/// Widest page: longer lines are hard to read.
const WIDEST: usize = 100;

/// Narrowest page that is arranged for; a narrower terminal wraps by itself.
const NARROWEST: usize = 60;

/// Standard output and standard error.
pub(crate) struct Pages {
    color: Color,
}

/// One of the two streams.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stream {
    /// Standard output.
    Out,
    /// Standard error.
    Err,
}

impl Pages {
    /// Pages that are coloured as told.
    pub(crate) const fn new(color: Color) -> Self {
        Self { color }
    }

    /// Width of a page on a stream, in columns.
    pub(crate) fn width(stream: Stream) -> usize {
        let term = match stream {
            Stream::Out => console::Term::stdout(),
            Stream::Err => console::Term::stderr(),
        };
        term.size_checked().map_or(WIDEST, |(_, columns)| usize::from(columns).clamp(NARROWEST, WIDEST))
    }

    /// Shows parts of a report.
    pub(crate) fn show(&mut self, stream: Stream, parts: &[Part]) {
        let lines = arranged(parts, Self::width(stream));
        let deep = std::env::var("COLORTERM").is_ok_and(|v| v == "truecolor" || v == "24bit");
        let text: String = lines.iter().map(|line| painted(line, deep) + "\n").collect();
        self.write(stream, &text);
    }

    /// Writes text as it is.
    pub(crate) fn write(&mut self, stream: Stream, text: &str) {
        // A reader that went away (a pipe into `head`) changes nothing about the job.
        let _gone = match stream {
            Stream::Out => write_to(std::io::stdout(), self.color, text),
            Stream::Err => write_to(std::io::stderr(), self.color, text),
        };
    }
}

fn write_to<S>(stream: S, color: Color, text: &str) -> std::io::Result<()>
where
    S: anstream::stream::RawStream + anstream::stream::AsLockedWrite + IsTerminal,
{
    let choice = match color {
        Color::Auto => AutoStream::choice(&stream),
        Color::Always => ColorChoice::Always,
        Color::Never => ColorChoice::Never,
    };
    let mut stream = AutoStream::new(stream, choice);
    stream.write_all(text.as_bytes())?;
    stream.flush()
}

/// The lines of a report on a page of some width.
pub(crate) fn arranged(parts: &[Part], width: usize) -> Vec<Text> {
    let mut out: Vec<Text> = Vec::new();
    for part in parts {
        if !out.is_empty() {
            out.push(Text::default());
        }
        match part {
            Part::Heading(text) => {
                out.push(Text::of(Role::Strong, text.clone()));
                out.push(Text::of(Role::Faint, "=".repeat(text.width().min(width))));
            }
            Part::Facts(facts) => {
                let name = facts.iter().map(|(name, _)| name.width()).max().unwrap_or(0);
                for (head, text) in facts {
                    let head = format!("{head:name$}  ");
                    out.extend(hung(Text::of(Role::Faint, head), text, name + 2, width));
                }
            }
            Part::Table(table) => out.extend(table::lines(table, width)),
            Part::Lines(lines) => out.extend(lines.iter().cloned()),
            Part::Paragraph(text) => out.extend(hung(Text::default(), text, 0, width)),
            Part::List(list) => {
                out.extend(list.iter().flat_map(|text| hung(Text::of(Role::Faint, "- "), text, 2, width)));
            }
        }
    }
    without_gaps_under_headings(out)
}

/// A text behind a head, wrapped, later lines indented.
fn hung(head: Text, text: &Text, indent: usize, width: usize) -> Vec<Text> {
    let words = text.words();
    if words.width() + indent <= width {
        let mut line = head;
        line.pieces.extend(text.pieces.iter().cloned());
        return vec![line];
    }
    // Broken text keeps the role of its longest piece.
    let role = text.pieces.iter().max_by_key(|(_, t)| t.len()).map_or(Role::Plain, |(role, _)| *role);
    let mut lines = Vec::new();
    for (i, line) in wrapped(&words, width.saturating_sub(indent), 0).into_iter().enumerate() {
        let start = if i == 0 { head.clone() } else { Text::plain(" ".repeat(indent)) };
        lines.push(start.and(role, line));
    }
    lines
}

fn without_gaps_under_headings(lines: Vec<Text>) -> Vec<Text> {
    let mut out: Vec<Text> = Vec::with_capacity(lines.len());
    for line in lines {
        let under_heading = out.last().is_some_and(|l| {
            let words = l.words();
            !words.is_empty() && words.chars().all(|c| c == '=')
        });
        if !(under_heading && line.pieces.is_empty()) {
            out.push(line);
        }
    }
    out
}

/// A line with its colours as escape sequences; the stream drops them where they are not wanted.
fn painted(line: &Text, deep: bool) -> String {
    let mut out = String::new();
    for (role, text) in &line.pieces {
        let text: String = text.chars().map(shown).collect();
        let style = style(*role, deep);
        for piece in [style.render().to_string(), text, style.render_reset().to_string()] {
            out.push_str(&piece);
        }
    }
    out.truncate(out.trim_end_matches(' ').len());
    out
}

/// Colours that people with any kind of colour vision can tell apart (Okabe and Ito, "Color Universal Design", 2008),
/// and the nearest of the sixteen on terminals without deep colour. The word always stands beside the colour.
fn style(role: Role, deep: bool) -> Style {
    let paint = |r, g, b, plain: AnsiColor| {
        let color = if deep { Paint::Rgb(RgbColor(r, g, b)) } else { Paint::Ansi(plain) };
        Style::new().fg_color(Some(color))
    };
    match role {
        Role::Plain => Style::new(),
        Role::Strong => Style::new().bold(),
        Role::Faint => Style::new().dimmed(),
        Role::Fault => paint(0xd5, 0x5e, 0x00, AnsiColor::BrightRed).bold(),
        Role::Warning => paint(0xe6, 0x9f, 0x00, AnsiColor::Yellow),
        Role::Note => paint(0x56, 0xb4, 0xe9, AnsiColor::BrightBlue),
        Role::Unproven => paint(0xcc, 0x79, 0xa7, AnsiColor::Magenta).bold(),
        Role::Good => paint(0x00, 0x9e, 0x73, AnsiColor::Cyan),
    }
}
