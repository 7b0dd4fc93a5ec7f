//! A proof made by hand, told in every form.

use super::{Checked, Part, Role, Text, deeds, json, report, result_of, result_of_mistakes, result_text};
use crate::findings::{Context, Kind};
use crate::geom::{Box3, Path, Vec3};
use crate::inspect::{
    BreakResult, BreakStatus, DimensionResult, DimensionValue, FeatureResult, FeatureStatus, FinalPart,
    Inspection, MadeBy, Measured, Quantity, Verdict as SizeVerdict,
};
use crate::job::{HoleEnd, Job, MemoryFiles, Tolerance, WorkOffset, load};
use crate::motion::{Cycle, Move, MoveKind, Place, Run, SpindleTurn};
use crate::proof::{LowestOver, Proof, SetupProof, ToolSection, Unproven, Verdict};
use crate::source::{Severity, Span};

const JOB: &str = r#"{
  "proofcut": 1, "name": "Link", "units": "inch", "spacing": 0.01,
  "machine": {"name": "shop mill", "rapid": {"x": 800, "y": 800, "z": 600}, "spindle": {"max_rpm": 8000},
    "changer": {"kind": "carousel", "pockets": 4, "seconds": 5}},
  "tools": [
    {"number": 1, "name": "1/4 drill", "kind": "drill", "diameter": 0.25, "point_angle": 118, "flutes": 2,
     "flute_length": 2, "shank_diameter": 0.25, "stickout": 2.5},
    {"number": 2, "name": "3/8 chamfer mill", "kind": "chamfer-mill", "diameter": 0.375, "tip_diameter": 0,
     "included_angle": 90, "flutes": 4, "flute_length": 0.1875, "shank_diameter": 0.375, "stickout": 1.5}],
  "drawing": {"name": "Link", "revision": "B", "break_edges": {"leg": 0.01, "plus": 0.005, "minus": 0.005},
    "features": [
      {"id": "body", "add": {"box": {"min": [0, 0, 0], "max": [2, 1, 0.5]}}},
      {"id": "H1", "cut": {"hole": {"at": [0.5, 0.5, 0.5], "into": "-z", "diameter": 0.25, "through": true}},
       "diameter": {"plus": 0.005, "minus": 0.001}, "breaks": ["entry"]}],
    "dimensions": [{"id": "A", "kind": "overall", "along": "x", "nominal": 2, "plus": 0.005, "minus": 0.005}]},
  "stock": {"box": {"min": [0, 0, 0], "max": [2, 1, 0.5]}},
  "setups": [{"name": "Top", "program": "top.nc", "up": "+z", "right": "+x",
    "zeros": {"G54": [0, 0, 0.5], "G55": [1, 0, 0.5]},
    "workholding": [{"box": {"name": "toe clamp", "min": [0.7, 0.3, 0.0], "max": [0.9, 0.7, 0.2]}}]}]
}"#;

const PROGRAM: &str = "G20 G90 G54\nT1 M6\nG0 X0.5 Y0.5\nZ0.1\nG81 Z-0.7 R0.1 F10.\nM30\n";

const KIND: Kind = Kind { name: "sample-kind", severity: Severity::Fault, explanation: "A sample." };

fn place(line: u32, start: usize, end: usize) -> Place {
    Place { source: 0, line, span: Span::new(start, end) }
}

fn moved(place: Place, mode_place: Option<Place>, kind: MoveKind, to: Vec3) -> Move {
    let from = Vec3::new(to.x, to.y, to.z + 20.0);
    Move {
        place,
        mode_place,
        kind,
        path: Path::Line { from, to },
        deviation: 0.0,
        other_way: Vec::new(),
        tool: Some(1),
        spindle: SpindleTurn::Clockwise,
        rpm: 3000.0,
        feed: Some(254.0),
        seconds: None,
        offset: WorkOffset(2),
        length_register: Some(1),
        cycle: (kind == MoveKind::Feed).then_some(Cycle::Drill),
    }
}

fn job() -> Job {
    let files = MemoryFiles::new().with("parts/job.json", JOB).with("parts/top.nc", PROGRAM);
    load("parts/job.json", &files).unwrap().job
}

/// The drill's moves: down at rapid in line 4 under the G0 of line 3, then the hole.
fn run(job: &Job) -> Run {
    let text = &job.setups[0].program;
    let find = |words: &str| text.text().find(words).unwrap();
    let rapid = place(4, find("Z0.1"), find("Z0.1") + 4);
    let mode = place(3, find("G0"), find("G0") + 2);
    let hole = place(5, find("G81"), find("G81") + 3);
    Run {
        sources: vec![text.clone()],
        blocks: 6,
        moves: vec![
            moved(rapid, Some(mode), MoveKind::Rapid, Vec3::new(12.7, 12.7, 2.54)),
            moved(hole, None, MoveKind::Feed, Vec3::new(12.7, 12.7, -17.78)),
        ],
        ..Run::default()
    }
}

fn section(run: &Run) -> ToolSection {
    let hole = run.moves[1].place;
    ToolSection {
        tool: Some(1),
        moves: 0..2,
        lines: (4, 5),
        deepest: Some((-17.78, hole)),
        removed_volume: 400.0,
        cut_seconds: 4.0,
        air_seconds: 1.0,
        rapid_length: 20.0,
        feed_length: 20.0,
        lowest_over: vec![LowestOver {
            solid: "toe clamp".to_owned(),
            z: -17.78,
            at: Vec3::new(12.7, 12.7, -17.78),
            place: hole,
            clearance: 1.0,
        }],
        features: vec![1],
    }
}

fn inspection() -> Inspection {
    let limits = Tolerance { plus: 0.127, minus: 0.0254 };
    let maker = vec![MadeBy { setup: Some(0), tool: Some(1), lines: vec![5] }];
    let feature = |feature| FeatureResult {
        feature,
        status: FeatureStatus::Made,
        made_by: maker.clone(),
        quantities: Vec::new(),
        breaks: Vec::new(),
    };
    let diameter = Quantity {
        name: "diameter",
        nominal: 6.35,
        tolerance: Some(limits),
        measured: Some(Measured { value: 6.35, bound: 0.000_004 }),
        verdict: Some(SizeVerdict::Within),
        at: None,
        made_by: None,
    };
    let entry = BreakResult {
        end: Some(HoleEnd::Entry),
        status: BreakStatus::Missing,
        leg: None,
        nominal: 0.254,
        tolerance: limits,
        at: None,
        lost: None,
        made_by: Vec::new(),
    };
    let hole = FeatureResult {
        status: FeatureStatus::Outside,
        quantities: vec![diameter],
        breaks: vec![entry],
        ..feature(1)
    };
    let overall = DimensionResult {
        dimension: 0,
        value: DimensionValue::Size(Measured { value: 50.8, bound: 0.000_001 }),
        verdict: Some(SizeVerdict::Within),
        made_by: vec![MadeBy { setup: None, tool: None, lines: Vec::new() }],
        off: None,
        off_by: None,
        off_at: None,
    };
    Inspection {
        features: vec![feature(0), hole],
        dimensions: vec![overall],
        regions: Vec::new(),
        facts: Vec::new(),
    }
}

fn checked() -> Checked {
    let job = job();
    let run = run(&job);
    let runs = [run.clone()];
    let found = Context::new(&job, &runs)
        .at_move(KIND, 0, 0)
        .message("rapid move enters stock")
        .acting("still G0")
        .at(Vec3::new(crate::units::Unit::Inch.mm(), 12.7, -1.0 / 3.0))
        .amount(crate::units::Unit::Inch.mm())
        .help("plunge at feed")
        .done();
    let setup = SetupProof {
        sections: vec![section(&run)],
        run,
        rapid_length: 20.0,
        feed_length: 20.0,
        cycle_seconds: 67.0,
        volume_before: 16_387.064,
        volume_after: 16_000.0,
    };
    let bounds = Box3 { min: Vec3::zeros(), max: Vec3::new(50.8, crate::units::Unit::Inch.mm(), 12.7) };
    let part = FinalPart {
        volume: 16_000.0,
        volume_bound: 1.0,
        bounds,
        pieces: 1,
        gouge_volume: Some(0.0),
        leftover_volume: Some(-0.0),
    };
    let proof = Proof {
        verdict: Verdict::Faults,
        spacing: 0.254,
        setups: vec![setup],
        findings: vec![found],
        unproven: vec![Unproven {
            setup: Some(0),
            place: Some(place(6, 0, 1)),
            what: "a sample gap".to_owned(),
        }],
        final_part: Some(part),
        inspection: Some(inspection()),
        free_pockets: vec![2, 3, 4],
    };
    Checked { job, warnings: Vec::new(), proof }
}

/// Every line of a report, without the face's own arrangement.
fn words_of(parts: &[Part]) -> String {
    let row = |cells: &[Text]| cells.iter().map(Text::words).collect::<Vec<_>>().join(" | ");
    let lines = |part: &Part| match part {
        Part::Heading(text) => vec![format!("# {text}")],
        Part::Facts(facts) => facts.iter().map(|(name, text)| format!("{name}: {}", text.words())).collect(),
        Part::Table(table) => table.rows.iter().map(|r| row(r)).collect(),
        Part::Lines(list) | Part::List(list) => list.iter().map(Text::words).collect(),
        Part::Paragraph(text) => vec![text.words()],
    };
    parts.iter().flat_map(lines).map(|l| l.trim_end().to_owned() + "\n").collect()
}

#[test]
fn a_finding_names_both_blocks_and_counts_from_the_active_zero() {
    let checked = checked();
    let finding = &checked.proof.findings[0];
    assert_eq!((finding.line, finding.column, finding.tool), (Some(4), Some(1), Some(1)));
    assert_eq!(finding.block.as_deref(), Some("Z0.1"));
    assert_eq!(finding.file_and_line().as_deref(), Some("top.nc:4"));
    // G55 lies one inch to the right of the setup's origin.
    assert_eq!(finding.diagnostic.notes, ["at X0.0000 Y0.5000 Z-0.0131"]);
    let labels: Vec<&str> = finding.diagnostic.labels.iter().map(|l| l.text.as_str()).collect();
    assert_eq!(labels, ["still G0", "G0 took effect here"]);
    assert!(
        (finding.at_part.unwrap() - Vec3::new(crate::units::Unit::Inch.mm(), 12.7, 12.7 - 1.0 / 3.0)).norm()
            < 1e-9
    );
}

#[test]
fn the_report_reads_from_top_to_bottom() {
    insta::assert_snapshot!(words_of(&report(&checked(), 90)));
}

#[test]
fn the_result_file_is_the_contracts() {
    let checked = checked();
    let text = result_text(&result_of(&checked));
    insta::assert_snapshot!(text);
    let again: json::ResultFile = serde_json::from_str(&text).unwrap();
    assert_eq!(result_text(&again), text);
}

#[test]
fn a_job_that_cannot_be_read_gives_an_unproven_result() {
    let files = MemoryFiles::new().with("job.json", "{\"proofcut\": 1}");
    let mistakes = load("job.json", &files).unwrap_err();
    let result = result_of_mistakes("job.json", &mistakes);
    assert_eq!((result.verdict.as_str(), result.units), ("unproven", None));
    assert!(!result.input.is_empty() && result.input[0].file.as_deref() == Some("job.json"));
    let words = words_of(&super::mistakes(&mistakes, 80));
    assert!(
        words.ends_with("Verdict: NOT PROVED: the job's files hold mistakes, so nothing was run.\n"),
        "{words}"
    );
}

#[test]
fn a_warning_about_the_files_is_never_a_clean_verdict() {
    let mut checked = checked();
    checked.proof.findings.clear();
    checked.proof.verdict = Verdict::NoFaults;
    assert_eq!(checked.verdict(), Verdict::NoFaults);
    let files = MemoryFiles::new().with("job.json", "{");
    let mut warning = load("job.json", &files).unwrap_err().remove(0);
    warning.severity = Severity::Warning;
    checked.warnings.push(warning);
    assert_eq!(checked.verdict(), Verdict::Warnings);
    assert!(words_of(&super::brief(&checked)).contains("Verdict: 1 warning."));
}

#[test]
fn the_word_safe_is_never_said() {
    let mut checked = checked();
    for verdict in [Verdict::NoFaults, Verdict::Warnings, Verdict::Faults, Verdict::Unproven] {
        checked.proof.verdict = verdict;
        let words = words_of(&report(&checked, 90)).to_lowercase();
        assert!(!words.contains("safe"), "{words}");
    }
}

#[test]
fn a_drill_whose_surface_is_gone_still_names_the_hole_on_whose_axis_it_went_down() {
    let job = job();
    let run = run(&job);
    let mut section = section(&run);
    section.features.clear();
    assert_eq!(deeds(&job, 0, &run, &section, true), "drills H1");
    section.removed_volume = 0.0;
    assert_eq!(deeds(&job, 0, &run, &section, true), "takes nothing off");
    section.removed_volume = 1.0;
    section.tool = Some(2);
    section.features = vec![1];
    assert_eq!(deeds(&job, 0, &run, &section, true), "breaks edges of H1");
    section.tool = Some(9);
    assert_eq!(deeds(&job, 0, &run, &section, true), "is not in the tool table");
}

#[test]
fn many_findings_of_a_kind_are_cut_with_a_count() {
    let mut checked = checked();
    let one = checked.proof.findings[0].clone();
    checked.proof.findings = vec![one; 40];
    let words = words_of(&report(&checked, 90));
    assert_eq!(words.matches("rapid move enters stock").count(), 3, "{words}");
    assert!(words.contains("fault[sample-kind] and 37 more of this kind: top.nc:4, "), "{words}");
    assert!(words.contains("Findings: 40 faults"), "{words}");
}

#[test]
fn roles_say_what_colour_only_repeats() {
    let faults = report(&checked(), 90).into_iter().filter_map(|p| match p {
        Part::Lines(lines) => Some(lines),
        Part::Heading(_) | Part::Facts(_) | Part::Table(_) | Part::Paragraph(_) | Part::List(_) => None,
    });
    let words: Vec<String> = faults
        .flatten()
        .flat_map(|t| t.pieces)
        .filter(|(role, _)| *role == Role::Fault)
        .map(|(_, t)| t)
        .collect();
    assert!(words.iter().any(|w| w == "fault[sample-kind]"), "{words:?}");
}
