//! Whatever the text, nothing panics, and places lie inside it.

use super::{job, run_with};
use crate::program::parse;
use crate::source::{SourceText, Span};
use proptest::prelude::*;

/// Texts that look like programs, so that the interpreter is reached.
fn program_like() -> impl Strategy<Value = String> {
    let letter = prop::sample::select(b"GGGGMXYZIJKRFSTHDPQLNOA#/%".to_vec());
    let number = prop_oneof![
        (0_u32..100).prop_map(|n| n.to_string()),
        (-100.0_f64..100.0).prop_map(|v| format!("{v:.3}")),
        Just("[1+2*3]".to_owned()),
        Just("#1".to_owned()),
        Just(" 1 .5".to_owned()),
        Just(String::new()),
    ];
    let code = prop::sample::select(vec![
        "G0", "G1", "G2", "G3", "G17", "G18", "G19", "G20", "G21", "G28", "G30", "G43H1", "G49", "G53",
        "G54", "G55", "G73", "G80", "G81", "G82", "G83", "G84", "G85", "G86", "G89", "G90", "G91", "G93",
        "G94", "G98", "G99", "M3", "M5", "M6T1", "#1=4", "F100", "R2", "Q1", "P1", "L3", "(c)", "X1",
        "Y-2.5", "Z3", "Z-3", "I5", "J-5",
    ]);
    let word = prop_oneof![
        6 => code.prop_map(str::to_owned),
        1 => (letter, number).prop_map(|(l, n)| format!("{}{n}", char::from(l))),
    ];
    let block = prop::collection::vec(word, 0..6).prop_map(|w| w.join(" "));
    prop::collection::vec(block, 0..20).prop_map(|b| format!("G21 F50 G0 X0 Y0\nZ5\n{}", b.join("\n")))
}

fn inside(source: &SourceText, span: Span) -> bool {
    span.start <= span.end && source.text().get(span.start..span.end).is_some()
}

fn check(text: &str) {
    let source = SourceText::new("t", text);
    let program = parse(&source);
    for block in &program.blocks {
        assert!(inside(&source, block.span));
        assert_eq!(source.place(block.span.start).line, block.line as usize);
        let words = program.words(block).iter().map(crate::program::Word::span);
        for span in words.chain(program.faults(block).iter().map(|f| f.span)) {
            assert!(inside(&source, span) && block.span.start <= span.start && span.end <= block.span.end);
        }
    }
    assert!(program.comments.iter().all(|c| inside(&source, c.span)));
    let run = run_with(&job(), text);
    for m in &run.moves {
        let (a, b) = (m.path.start(), m.path.end());
        assert!(a.iter().chain(b.iter()).all(|c| c.is_finite()));
        assert!(inside(&source, m.place.span) && m.deviation >= 0.0);
    }
    for fact in &run.facts {
        assert!(inside(&source, fact.place().span));
    }
    // Each move begins where the one before ended, but for what deviation says.
    for pair in run.moves.windows(2) {
        let gap = (pair[1].path.start() - pair[0].path.end()).norm();
        let gone_home = pair[0].kind == crate::motion::MoveKind::Home;
        let unknown = pair[0].path.end().z >= super::CLEAR - 1.0;
        let missed = pair[0].deviation + pair[1].deviation + 1e-6;
        assert!(gap <= missed || gone_home || unknown, "{gap}: {text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn any_characters(text in any::<String>()) {
        check(&text);
    }

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        check(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn any_line_of_the_language(text in "[GMXYZIJKRQPFSTHDNOL0-9 .#\\[\\]()/%;=*+\\n-]{0,200}") {
        check(&text);
    }

    #[test]
    fn anything_like_a_program(text in program_like()) {
        check(&text);
    }
}
