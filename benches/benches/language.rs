//! `cargo bench -p proofcut-benches --bench language`: reading and following programs of a million blocks with one
//! thread, in blocks per second.

#![expect(clippy::print_stdout, reason = "a measurement prints its figures")]

use proofcut_benches::{fastest, processor};
use proofcut_core::job::{self, Job, MemoryFiles};
use proofcut_core::source::SourceText;
use proofcut_core::{motion, program};
use std::fmt::Write as _;

const BLOCKS: usize = 1_000_000;

const JOB: &str = r#"{"proofcut": 1, "name": "bench", "units": "mm",
  "machine": {"name": "bench", "rapid": {"x": 20000, "y": 20000, "z": 15000}, "changer": {"kind": "by-hand"},
    "control": {"expressions": "report", "rapid_path": "straight"}},
  "tools": [{"number": 1, "name": "10 mm end mill", "kind": "end-mill", "diameter": 10, "flutes": 3,
    "flute_length": 25, "shank_diameter": 10, "stickout": 35}],
  "stock": {"box": {"min": [0, 0, -20], "max": [100, 60, 0]}},
  "setups": [{"name": "top", "program": "bench.nc", "up": "+z", "right": "+x", "zeros": {"G54": [0, 0, 0]},
    "workholding": []}]}"#;

fn main() {
    println!("{}, one thread", processor());
    let files = MemoryFiles::new().with("job.json", JOB).with("bench.nc", "M30\n");
    let Ok(loaded) = job::load("job.json", &files) else {
        println!("the made-up job cannot be loaded");
        return;
    };
    let job = loaded.job;
    let head = "G21 G17 G40 G49 G80 G90 G94 G54\nT1 M6\nS8000 M3\nG0 X0. Y0.\nG43 H1 Z5.\nG1 Z-1. F500.\n";
    measure(&job, "lines, as posts write them", head, |text, i| {
        let _ =
            writeln!(text, "N{i} X{:.4} Y{:.4} Z{:.4}", wave(i, 97), wave(i, 89), -1.0 - wave(i, 71) / 100.0);
    });
    measure(&job, "arcs by center", head, |text, i| {
        let (code, side) = if i % 2 == 0 { ("G2", 1.0) } else { ("G3", -1.0) };
        let _ = writeln!(text, "N{i} {code} X{:.4} Y0. I{:.4} J0.", side * 10.0, side * 5.0);
    });
    measure(&job, "expressions", &format!("{head}#1=0\n"), |text, i| {
        let _ = writeln!(text, "#1=[{i}/100] X[#1*SIN[30]] Y[SQRT[#1+2]]");
    });
    measure(&job, "drilled holes", head, |text, i| {
        let _ = writeln!(text, "G99 G81 X{:.4} Y{:.4} Z-2. R1. F200.", wave(i, 97), wave(i, 89));
    });
    // Round and round a polygon, its corners to the left.
    measure(&job, "under cutter compensation", &format!("{head}G41 D1 X200. Y0.\n"), |text, i| {
        let (sin, cos) = (small((i + 1) % 90) * 4.0).to_radians().sin_cos();
        let _ = writeln!(text, "X{:.4} Y{:.4}", 200.0 * cos, 200.0 * sin);
    });
}

/// A number below 100 that changes from block to block.
fn wave(i: usize, period: usize) -> f64 {
    let k = i % (2 * period);
    small(if k < period { k } else { 2 * period - k })
}

fn small(i: usize) -> f64 {
    f64::from(u32::try_from(i).unwrap_or(u32::MAX))
}

fn measure(job: &Job, name: &str, head: &str, mut block: impl FnMut(&mut String, usize)) {
    let mut text = String::from(head);
    for i in 0..BLOCKS {
        block(&mut text, i);
    }
    text.push_str("M30\n");
    let megabytes = small(text.len()) / 1e6;
    let source = SourceText::new("bench.nc", text);
    let read = fastest(3, || program::parse(&source));
    let parsed = program::parse(&source);
    let follow = fastest(3, || motion::interpret(&parsed, job, 0, 100.0));
    let run = motion::interpret(&parsed, job, 0, 100.0);
    // A bench of something that was given up would measure nothing.
    let given_up = run.facts.iter().any(|f| matches!(f, motion::Fact::MotionNotModelled { .. }));
    assert!(!given_up, "{name}: {:?}", run.facts.last());
    let both = read + follow;
    println!(
        "{name}: {megabytes:.0} MB, read {} ms, followed {} ms, {:.2} million blocks a second, {} moves{}",
        read.as_millis(),
        follow.as_millis(),
        small(parsed.blocks.len()) / both.as_secs_f64() / 1e6,
        run.moves.len(),
        run.lost_from.map_or(String::new(), |p| format!(", lost at line {}: {:?}", p.line, run.facts.last())),
    );
}
