//! Every code's page in `tests/codes`, run: the program on the base job, and the moves that come of it.

use proofcut_core::job::{self, DeleteSwitches, Job, RapidPath};
use proofcut_core::motion::{Fact, Run, interpret};
use proofcut_core::program::parse;
use proofcut_core::report::{Step, moves_file};
use proofcut_core::source::SourceText;
use proofcut_tests::repository;
use proofcut_tests::spec::{Block, Case};
use std::fmt::Write as _;

/// Runs before each program, and is not listed: the tip stands at X0 Y0 Z25 with T1 turning.
const HEAD: &str = "G21 G17 G40 G49 G80 G90 G94 G54\nT1 M6\nS1000 M3\nG43 H1 G0 X0. Y0.\nZ25. F100.\n";
const HEAD_LINES: u32 = 5;

/// The base job, with a merge patch on its machine's `control`.
fn base(control: &str) -> Result<Job, String> {
    let (word, argument) = ("job".to_owned(), "/machine/control".to_owned());
    let blocks = vec![Block { word, argument, text: control.to_owned() }];
    let files = Case { name: String::new(), blocks, expect: Vec::new() }.files()?;
    let mut loaded = job::load("job.json", &files).map_err(|m| format!("{m:?}"))?;
    loaded.job.machine.control.rapid_path = RapidPath::Straight;
    loaded.job.machine.control.block_delete = Some(DeleteSwitches::of([2]));
    Ok(loaded.job)
}

fn run(job: &Job, program: &str) -> Run {
    let text = SourceText::new("top.nc", format!("{HEAD}{program}"));
    interpret(&parse(&text), job, 0, 100.0)
}

/// One line for each move and event, and one for where the program could not be followed any more.
fn listed(job: &Job, program: &str) -> String {
    let run = run(job, program);
    let lost = run.lost_from.map(|p| p.line);
    let file = moves_file(job, &[(0, run)]);
    let mut text = String::new();
    for step in file.setups.iter().flat_map(|s| &s.steps).filter(|s| s.line > HEAD_LINES) {
        let _ = writeln!(text, "{} {}", step.line - HEAD_LINES, words(step));
    }
    if let Some(line) = lost {
        let _ = writeln!(text, "{} nothing is proved from here", line - HEAD_LINES);
    }
    text
}

fn words(step: &Step) -> String {
    let point = |[x, y, z]: [f64; 3]| format!("X{x:.3} Y{y:.3} Z{z:.3}");
    let mut text = step.what.clone();
    if let Some(to) = step.to {
        let _ = write!(text, " {}", point(to));
    }
    if let Some(center) = step.center {
        let _ = write!(text, " about {}", point(center));
    }
    if let Some(feed) = step.feed {
        let _ = write!(text, " F{feed:.1}");
    }
    text
}

/// Each `program` of a page with the `moves` behind it, and the page with the moves that come of it now. A `control` block
/// changes the control for what follows, up to the next heading.
fn renewed(page: &str) -> Result<String, String> {
    let mut text = String::new();
    let (mut block, mut program, mut moves) = ("", String::new(), false);
    let mut control = String::new();
    for line in page.lines() {
        match (block, line) {
            ("", opens) if opens.starts_with("```") => {
                block = opens.trim_start_matches('`');
                moves = block == "moves";
                match block {
                    "program" => program.clear(),
                    "control" => control.clear(),
                    _ => {}
                }
            }
            (_, "```") => {
                if moves {
                    let patch = if control.is_empty() { "{}" } else { &control };
                    text.push_str(&listed(&base(patch)?, &program));
                }
                (block, moves) = ("", false);
            }
            ("program", line) => program = program + line + "\n",
            ("control", line) => control = control + line + "\n",
            ("", heading) if heading.starts_with("## ") => control.clear(),
            _ => {}
        }
        if !moves || line.starts_with("```") {
            text.push_str(line);
            text.push('\n');
        }
    }
    Ok(text)
}

fn pages() -> Result<Vec<(std::path::PathBuf, String)>, String> {
    let files = repository::files_below(&repository::root().join("tests/codes"), ".md")?;
    files.into_iter().map(|f| repository::read(&f).map(|text| (f, text))).collect()
}

/// To renew the moves after a change that you mean: `PROOFCUT_REFRESH=1 cargo test -p proofcut-tests --test codes`, and
/// read the difference.
#[test]
fn each_page_lists_the_moves_that_come_of_its_programs() -> Result<(), String> {
    let mut wrong = String::new();
    for (path, page) in pages()? {
        let now = renewed(&page)?;
        if std::env::var_os("PROOFCUT_REFRESH").is_some() {
            std::fs::write(&path, &now).map_err(|e| e.to_string())?;
        } else if now != page {
            let differs = page.lines().zip(now.lines()).find(|(a, b)| a != b);
            let _ = writeln!(wrong, "{}: {differs:?}", path.display());
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    Ok(())
}

/// A code is known when it is not an unknown word; each must stand in the title of a page.
#[test]
fn every_code_that_is_understood_has_a_page() -> Result<(), String> {
    let job = base("{}")?;
    let titles: Vec<String> =
        pages()?.iter().filter_map(|(_, page)| page.lines().next().map(str::to_owned)).collect();
    let has = |code: &str| {
        let names = |t: &String| t.split([' ', ',', ':']).any(|word| word == code);
        titles.iter().any(names)
    };
    let known = |code: &str| {
        let unknown = |fact: &Fact| matches!(fact, Fact::UnknownWord { .. });
        !run(&job, code).facts.iter().any(unknown)
    };
    let g = (0..1000).map(|tenths| match (tenths / 10, tenths % 10) {
        (whole, 0) => format!("G{whole}"),
        (whole, part) => format!("G{whole}.{part}"),
    });
    let without: Vec<String> =
        g.chain((0..100).map(|m| format!("M{m}"))).filter(|c| known(c) && !has(c)).collect();
    assert!(without.is_empty(), "no page for {without:?}");
    Ok(())
}
