//! Any bytes as a program: no panic, no hang, bounded memory, every place inside its text.
//!
//! Texts of the corpus under `fixtures/language/corpus` are changed at random: bytes and lines are replaced, doubled, taken
//! out, mixed. Runs for two seconds, or for as many as `PROOFCUT_FUZZ_SECONDS` says. A text that fails is printed, with
//! its number; the numbers are the same in every run.

use proofcut_core::job::{Job, MemoryFiles, load};
use proofcut_core::motion::{Run, interpret};
use proofcut_core::program::parse;
use proofcut_core::source::{SourceText, Span};
use proofcut_tests::repository;
use std::time::{Duration, Instant};

/// One text may take this long at most. What takes longest is a loop that runs to its bound.
const LONGEST: Duration = Duration::from_secs(20);
/// Largest text that changes may make, bytes.
const LARGEST: usize = 20_000;
/// Most moves that any of these texts may make.
const MOST_MOVES: usize = 3_000_000;

/// Numbers that look random and are the same in every run (xorshift, Marsaglia 2003).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % (below.max(1) as u64)).unwrap_or(0)
    }
}

const WORDS: &[&str] = &[
    "G0",
    "G1",
    "G2",
    "G3",
    "G17",
    "G18",
    "G20",
    "G21",
    "G28",
    "G40",
    "G41 D1",
    "G42",
    "G43 H1",
    "G49",
    "G52",
    "G53",
    "G54",
    "G65 P3000",
    "G66 P3000 I1 J2 I3",
    "G67",
    "G15",
    "G16",
    "G44 H1",
    "G10 L20 P1 X1",
    "G68",
    "G69",
    "G73",
    "G76",
    "G80",
    "G81",
    "G83",
    "G84",
    "G87",
    "G90",
    "G91",
    "G92",
    "G93",
    "G95",
    "G98",
    "G99",
    "M3",
    "M5",
    "M6",
    "M30",
    "M98 P2000",
    "M99",
    "T2",
    "X1",
    "Y-2.5",
    "Z3",
    "Z-3",
    "I5",
    "J-5",
    "K1",
    "R2",
    "Q.1",
    "P1",
    "L2",
    "F100",
    "S500",
    "N10",
    "#1=1",
    "#1=[#1+1]",
    "X#1",
    "GOTO 10",
    "IF [#1 LT 5] GOTO 10",
    "WHILE [#1 LT 9] DO1",
    "END1",
    "IF [#1 EQ 2] THEN #2=3",
    "(c)",
    "%",
    "O2000",
    "\n",
    "[",
    "]",
    "-",
    ".",
];

fn changed(text: &mut Vec<u8>, other: &[u8], numbers: &mut Numbers) {
    for _ in 0..=numbers.next(6) {
        let at = numbers.next(text.len() + 1);
        match numbers.next(7) {
            0 => {
                let byte = u8::try_from(numbers.next(256)).unwrap_or(b'X');
                if let Some(slot) = text.get_mut(at) {
                    *slot = byte;
                }
            }
            1 => {
                let end = (at + numbers.next(30)).min(text.len());
                text.drain(at..end);
            }
            2 => {
                let word = WORDS.get(numbers.next(WORDS.len())).unwrap_or(&"X1");
                text.splice(at..at, word.bytes());
            }
            3 => {
                let (from, long) = (numbers.next(other.len()), numbers.next(200));
                let piece = other.get(from..(from + long).min(other.len())).unwrap_or(&[]).to_vec();
                text.splice(at..at, piece);
            }
            4 => {
                let end = (at + numbers.next(200)).min(text.len());
                let piece = text.get(at..end).unwrap_or(&[]).to_vec();
                text.splice(at..at, piece);
            }
            5 => text.splice(at..at, *b"\n").for_each(drop),
            _ => {
                let number = format!("{}", numbers.next(100_000));
                text.splice(at..at, number.bytes());
            }
        }
        text.truncate(LARGEST);
    }
}

fn inside(run: &Run, source: u16, span: Span) -> bool {
    let text = run.sources.get(usize::from(source));
    text.is_some_and(|s| span.start <= span.end && s.text().get(span.start..span.end).is_some())
}

/// What must hold for any text; the sentence says what does not.
fn check(job: &Job, text: &str) -> Result<(), String> {
    let start = Instant::now();
    let source = SourceText::new("fuzz.nc", text);
    let run = interpret(&parse(&source), job, 0, 500.0);
    let told = |what: &str| Err(what.to_owned());
    if start.elapsed() > LONGEST {
        return told("takes too long");
    }
    if run.moves.len() > MOST_MOVES {
        return told("makes too many moves");
    }
    for m in &run.moves {
        let (a, b) = (m.path.start(), m.path.end());
        if !a.iter().chain(b.iter()).all(|c| c.is_finite()) || !m.deviation.is_finite() || m.deviation < 0.0 {
            return told("a move without numbers");
        }
        if !inside(&run, m.place.source, m.place.span) {
            return told("a move outside its text");
        }
    }
    if run.around.len() != run.facts.len() {
        return told("a fact without its circumstances");
    }
    if run.facts.iter().any(|f| !inside(&run, f.place().source, f.place().span)) {
        return told("a fact outside its text");
    }
    if run.lost_from.is_some_and(|p| !inside(&run, p.source, p.span)) {
        return told("lost outside its text");
    }
    Ok(())
}

fn job() -> Result<Job, String> {
    let folder = repository::root().join("tests/specs/base");
    let mut files = MemoryFiles::default();
    for name in ["job.json", "machine.json", "tools.json", "top.nc"] {
        files.insert(name, repository::read(&folder.join(name))?);
    }
    load("job.json", &files).map(|l| l.job).map_err(|list| format!("{list:?}"))
}

#[test]
fn any_bytes_are_read_and_followed() -> Result<(), String> {
    let seconds = std::env::var("PROOFCUT_FUZZ_SECONDS").ok().and_then(|s| s.parse().ok()).unwrap_or(2);
    let job = job()?;
    let mut corpus = Vec::new();
    for file in repository::files_below(&repository::root().join("fixtures/language/corpus"), ".nc")? {
        corpus.push(std::fs::read(&file).map_err(|e| format!("{}: {e}", file.display()))?);
    }
    assert!(corpus.len() >= 8, "the corpus is gone");
    for text in &corpus {
        check(&job, &String::from_utf8_lossy(text))?;
    }
    let mut numbers = Numbers(0x9E37_79B9_7F4A_7C15);
    let (start, mut count) = (Instant::now(), 0_u64);
    while start.elapsed() < Duration::from_secs(seconds) {
        let (one, other) = (numbers.next(corpus.len()), numbers.next(corpus.len()));
        let (Some(text), Some(other)) = (corpus.get(one), corpus.get(other)) else { continue };
        let mut text = text.clone();
        changed(&mut text, other, &mut numbers);
        let text = String::from_utf8_lossy(&text).into_owned();
        let checked = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| check(&job, &text)));
        let wrong = match checked {
            Ok(Ok(())) => None,
            Ok(Err(what)) => Some(what),
            Err(_) => Some("panics".to_owned()),
        };
        if let Some(what) = wrong {
            return Err(format!("text {count}: {what}\n{text}"));
        }
        count += 1;
    }
    assert!(count > 20, "only {count} texts in {seconds} s");
    Ok(())
}
