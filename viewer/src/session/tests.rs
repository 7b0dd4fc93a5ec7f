use super::demo::{Shelf, checked, wait};
use super::stage::Pace;
use super::*;
use crate::scene::{Kind, Scene, Tint};
use std::time::{Duration, Instant};

fn kind_of(session: &Session) -> Option<&'static str> {
    match session.selection() {
        Some(Selection::Finding(n)) => Some(session.proved()?.checked.proof.findings[*n].kind.name),
        _ => None,
    }
}

#[test]
fn a_finding_leads_to_its_move_line_tool_and_feature() {
    let mut session = checked(&Shelf::demo(Some("slipped-point")));
    assert_eq!(session.state(), State::Ready);
    assert!(session.title().contains("FAULTS"), "{}", session.title());
    assert_eq!(session.at().setup, 3);
    session.apply(Command::NextFinding);
    assert_eq!(kind_of(&session), Some("gouge"));
    assert_eq!((session.at().setup, session.line()), (0, Some(123)));
    let belongs = session.belongs().clone();
    assert_eq!(belongs.line, Some(123));
    assert!(belongs.at_part.is_some() && !belongs.features.is_empty(), "{belongs:?}");
    let stay = belongs.stay.expect("a tool");
    let proved = Arc::clone(session.proved().expect("proved"));
    assert_eq!(stays(&proved, 0)[stay].tool, Some(3));
    // The same from the line, the stay, and a feature that the line left.
    session.select(Some(Selection::Line { setup: 0, line: 123 }));
    assert!(session.belongs().findings.contains(&belongs.findings[0]));
    session.select(Some(Selection::Stay { setup: 0, stay }));
    assert!(session.belongs().findings.contains(&belongs.findings[0]));
    session.select(Some(Selection::Feature(belongs.features[0])));
    assert!(session.belongs().setup.is_some());
    session.apply(Command::StopOrClear);
    assert_eq!(session.selection(), None);
}

#[test]
fn steps_go_by_block_tool_and_setup_and_stop_at_the_ends() {
    let mut session = checked(&Shelf::demo(None));
    assert!(session.findings().is_empty());
    assert!(session.title().contains("no faults found by simulation"), "{}", session.title());
    let end = session.at();
    session.apply(Command::NextBlock);
    session.apply(Command::NextTool);
    session.apply(Command::NextSetup);
    assert_eq!(session.at(), end);
    session.apply(Command::PreviousBlock);
    assert!(session.at().made < end.made);
    session.apply(Command::NextBlock);
    assert_eq!(session.at(), end);
    session.apply(Command::ToStart);
    assert_eq!((session.at().made, session.line()), (0, None));
    session.apply(Command::PreviousTool);
    assert_eq!(session.at().setup, 2);
    let mut seen = 0;
    while session.at() != end && seen < 100 {
        session.apply(Command::NextTool);
        seen += 1;
    }
    assert!(seen < 20, "{seen}");
}

#[test]
fn time_runs_at_multiples_of_the_machines_and_stops_at_the_end() {
    let mut session = checked(&Shelf::demo(None));
    let total = session.time().1;
    assert!(total > 10.0);
    let proof = &session.proved().expect("proved").checked.proof;
    assert!((total - proof.setups[3].cycle_seconds).abs() < 1e-6 * total);
    session.apply(Command::Play);
    assert!(session.is_running() && session.time().0 < 1e-9);
    session.tick(0.5);
    session.apply(Command::Faster);
    session.tick(0.25);
    session.apply(Command::Play);
    assert!(!session.is_running() && session.time().0 <= 1.0 + 1e-9);
    session.apply(Command::Play);
    let mut ticks = 0.0;
    while session.tick(0.5) {
        ticks += 1.0;
    }
    assert!((ticks - total).abs() < 3.0, "{ticks} of {total}");
    assert_eq!(session.at().made, session.run().expect("a run").moves.len());
}

#[test]
fn a_clock_finds_the_time_of_every_move_again() {
    let session = checked(&Shelf::demo(None));
    let proved = session.proved().expect("proved");
    for (clock, setup) in proved.clocks.iter().zip(&proved.checked.proof.setups) {
        let mut last = 0.0;
        for made in 0..=setup.run.moves.len() {
            let time = clock.time(made, 0.0);
            assert!(last <= time && time <= clock.total());
            last = time;
            let (found, part) = clock.at(time);
            assert!((clock.time(found, part) - time).abs() < 1e-9, "{made}: {found} {part}");
        }
    }
}

#[test]
fn a_file_written_anew_is_stale_until_checked_again() {
    let shelf = Shelf::demo(Some("slipped-point"));
    let mut session = checked(&shelf);
    session.apply(Command::NextFinding);
    let good = shelf.text("top.nc").replace("Z-1.355", "Z-.1355");
    shelf.write("top.nc", good);
    wait(&mut session, State::Ready);
    assert_eq!(session.state(), State::Stale);
    assert!(session.state_line().contains("top.nc") && !session.title().contains("FAULTS"));
    session.apply(Command::CheckAgain);
    assert_eq!(session.state(), State::Computing);
    assert!(session.state_line().contains("from before"));
    wait(&mut session, State::Computing);
    assert_eq!((session.state(), session.findings().len()), (State::Ready, 0));
    assert_eq!(session.selection(), None);
    // A mistake in a file leaves nothing that could be taken for a result.
    shelf.write("tools.json", "{".to_owned());
    wait(&mut session, State::Ready);
    session.apply(Command::CheckAgain);
    wait(&mut session, State::Computing);
    assert_eq!(session.state(), State::Failed);
    assert!(session.proved().is_none() && !session.mistakes().is_empty() && session.wish().is_none());
}

#[test]
fn a_check_can_be_stopped_and_begun_again() {
    let shelf = Shelf::demo(None);
    let disk: Arc<dyn Disk> = Arc::<Shelf>::clone(&shelf);
    let mut session = Session::new("job.json", disk, Arc::new(|| {}));
    session.apply(Command::StopOrClear);
    wait(&mut session, State::Computing);
    assert_eq!(session.state(), State::Stopped);
    session.apply(Command::CheckAgain);
    wait(&mut session, State::Computing);
    assert_eq!(session.state(), State::Ready);
}

#[test]
fn a_job_without_a_drawing_says_so() {
    let shelf = Shelf::demo(None);
    shelf.write("job.json", shelf.text("job.json").replace("\"drawing\": \"drawing.json\",", ""));
    let mut session = checked(&shelf);
    assert_eq!(session.state(), State::NoDrawing);
    assert!(session.state_line().contains("no drawing"));
    session.apply(Command::Tint);
    session.apply(Command::Tint);
    session.apply(Command::Tint);
    assert_eq!(session.looks.tint, Tint::Metal);
}

/// The stage's stock after going here and there is the stock of that moment, roughly at first where that is asked for;
/// and a place on it knows its maker.
#[test]
fn the_stage_leads_the_stock_forth_and_back() {
    let mut session = checked(&Shelf::demo(None));
    let pace = |slow| Pace { slow, at_once: Duration::ZERO, rough_cells: 2000 };
    let stage = Stage::paced(Arc::new(|| {}), pace(true));
    let staged = |stage: &Stage, session: &Session| {
        stage.wish(session.wish().expect("a wish"));
        let begun = Instant::now();
        let mut rough = None;
        loop {
            assert!(begun.elapsed() < Duration::from_secs(60), "nothing staged");
            match stage.newest() {
                Some(staged) if staged.rough => rough = Some(staged),
                Some(staged) => {
                    assert!(staged.wish == session.wish().expect("a wish"));
                    return (rough, staged);
                }
                None => std::thread::sleep(Duration::from_millis(2)),
            }
        }
    };
    let volume = |scene: &Scene| -> f64 {
        let stock = scene.items.iter().find(|i| i.kind == Kind::Stock).expect("stock");
        stock.meshes.iter().map(|m| m.volume()).sum()
    };
    let (_, end) = staged(&stage, &session);
    session.go(0, 0);
    let (rough, begin) = staged(&stage, &session);
    assert!(volume(&end.scene) < 0.9 * volume(&begin.scene));
    let rough = rough.expect("a rough scene first").scene;
    assert!((volume(&rough) / volume(&begin.scene) - 1.0).abs() < 1e-6, "a block is as exact");
    session.go(3, usize::MAX);
    let (_, again) = staged(&stage, &session);
    assert!((volume(&again.scene) - volume(&end.scene)).abs() < 1e-6 * volume(&end.scene));
    let few = again.reduced.as_ref().expect("for a driver in software the rough one stays");
    assert!(few.triangles() < again.scene.triangles());
    assert!((volume(few) / volume(&end.scene) - 1.0).abs() < 0.05);
    // Where nothing takes long, all comes at once.
    let quick = Stage::paced(Arc::new(|| {}), Pace { at_once: Duration::from_secs(60), ..pace(false) });
    let (rough, at_once) = staged(&quick, &session);
    assert!(rough.is_none() && at_once.reduced.is_none());
    assert!((volume(&at_once.scene) - volume(&end.scene)).abs() < 1e-6 * volume(&end.scene));

    let proved = Arc::clone(session.proved().expect("proved"));
    let cut = proved.cut.as_ref().expect("cut");
    let at = proofcut_core::geom::Vec3::new(
        20.0,
        10.0,
        proved.checked.proof.final_part.as_ref().unwrap().bounds.max.z,
    );
    let by = maker_at(&proved, &at, cut.history.next_id()).expect("milled");
    assert_eq!(by.0, 0);
    session.select(Some(Selection::Surface(Picked { at_part: at, by: Some(by), off: Some(0.0) })));
    assert!(session.belongs().line.is_some() && session.belongs().stay.is_some());
    assert_eq!(session.at().setup, 3);
}

#[test]
fn sections_step_through_the_axes_and_take_the_near_side() {
    let mut looks = Looks::default();
    let part = Bounds { min: glam::Vec3::ZERO, max: glam::Vec3::new(2.0, 4.0, 6.0) };
    for (letter, at, positive) in [("X", 1.0, true), ("Y", 2.0, false), ("Z", 3.0, true)] {
        looks.next_section(&part);
        let plane = looks.section.expect("a plane");
        assert_eq!((plane.letter(), plane.positive), (letter, positive));
        assert!((plane.at - at).abs() < 1e-6);
        assert!(plane.equation().dot((plane.normal() * 100.0).extend(1.0)) > 0.0);
        assert!(plane.equation().dot(part.center().extend(1.0)).abs() < 1e-5);
    }
    looks.next_section(&part);
    assert_eq!(looks.section, None);
}

#[test]
fn every_command_has_a_key_of_its_own_and_words() {
    for (i, a) in Command::ALL.iter().enumerate() {
        assert!(!a.words().is_empty());
        assert!(Command::ALL.iter().skip(i + 1).all(|b| a.key() != b.key()), "{a:?}");
    }
}

/// The demo whose last setup finishes its slot in a subprogram, in a file of its own.
fn with_subprogram() -> Arc<Shelf> {
    let shelf = Shelf::demo(None);
    let own = shelf
        .text("edge.nc")
        .replace("N120 G0 X1.063\nN130 G1 Z-.25 F40.\nN140 Y.7 F30.\n", "N120 M98 P7001\n");
    assert!(own.contains("M98"));
    shelf.write("edge.nc", own);
    shelf.write("O7001.nc", "%\nO7001 (FINISH)\nG0 X1.063\nG1 Z-.25 F40.\nY.7 F30.\nM99\n%\n".to_owned());
    shelf
}

/// Each press of a key that steps shows another moment, also within cycles, calls and lines that make several moves; the way
/// back is the same.
#[test]
fn steps_by_block_go_through_every_block_and_back_the_same_way() {
    for shelf in [Shelf::demo(None), with_subprogram()] {
        let mut session = checked(&shelf);
        for setup in 0..4 {
            session.go(setup, 0);
            let end = session.run().expect("a run").moves.len();
            let mut there = vec![0];
            while session.at().made < end {
                session.apply(Command::NextBlock);
                assert!(session.at().made > *there.last().expect("begun"), "{:?}", session.at());
                there.push(session.at().made);
            }
            for made in there.iter().rev().skip(1) {
                session.apply(Command::PreviousBlock);
                assert_eq!(session.at().made, *made);
            }
        }
    }
}

/// From within a cycle, where a finding leads, the next press ends the cycle and leaves the line as it is.
#[test]
fn a_step_from_within_a_cycle_ends_it() {
    let mut session = checked(&Shelf::demo(Some("slipped-point")));
    session.apply(Command::NextFinding);
    let (inside, line) = (session.at().made, session.line());
    assert_eq!(line, Some(123));
    session.apply(Command::NextBlock);
    assert!(session.at().made > inside);
    assert_eq!(session.line(), line);
    let after = session.at().made;
    session.apply(Command::NextBlock);
    assert_eq!(session.line(), Some(124));
    session.apply(Command::PreviousBlock);
    assert_eq!((session.at().made, session.line()), (after, line));
    session.apply(Command::PreviousBlock);
    assert!(session.at().made < inside && session.line() == Some(122), "{:?}", session.line());
}

#[test]
fn a_subprogram_is_what_is_being_done() {
    let mut session = checked(&with_subprogram());
    assert!(session.title().contains("no faults"), "{}", session.title());
    session.go(3, 0);
    assert_eq!(session.doing().map(|d| (d.source, d.line)), Some((0, None)));
    let mut seen = Vec::new();
    for _ in 0..40 {
        session.apply(Command::NextBlock);
        let doing = session.doing().expect("a block");
        if doing.source != 0 {
            assert!(doing.text.name().ends_with("O7001.nc") && doing.called_from == session.line());
            let line = doing.line.expect("a line");
            assert!(session.moment_words().expect("words").ends_with(&format!(", in O7001.nc:{line}")));
            seen.push(line);
        }
    }
    assert_eq!(seen, [3, 4, 5]);
    let call = session.proved().expect("proved").checked.proof.setups[3].run.calls[0].place.line;
    // A line of the subprogram is gone to, and its call is selected; a line of the program is selected.
    session.choose_line(1, 4);
    assert_eq!(session.doing().map(|d| (d.source, d.line)), Some((1, Some(4))));
    assert_eq!(session.selection(), Some(&Selection::Line { setup: 3, line: call }));
    session.choose_line(0, 20);
    assert_eq!(session.selection(), Some(&Selection::Line { setup: 3, line: 20 }));
}

/// Within a move the stock shows the part of it that is made; forth and back it is the same, and what is left of the copy is
/// nothing once the move is over.
#[test]
fn the_stock_inside_a_move_shows_the_part_that_is_made() {
    let mut session = checked(&Shelf::demo(None));
    let stage = Stage::new(Arc::new(|| {}), false);
    let volume = |session: &Session| -> f64 {
        stage.wish(session.wish().expect("a wish"));
        let begun = Instant::now();
        loop {
            assert!(begun.elapsed() < Duration::from_secs(60), "nothing staged");
            if let Some(staged) = stage.newest() {
                assert!(staged.wish == session.wish().expect("a wish"));
                let stock = staged.scene.items.iter().find(|i| i.kind == Kind::Stock).expect("stock");
                return stock.meshes.iter().map(|m| m.volume()).sum();
            }
            std::thread::sleep(Duration::from_millis(2));
        }
    };
    // The first pass of the cross slot: 1.4 in long, 0.25 wide, 0.125 deep.
    session.go(3, 0);
    let own = &session.proved().expect("proved").checked.job.setups[3].program;
    let made = (0..session.run().expect("a run").moves.len())
        .find(|i| own.line(line_of(session.run().unwrap(), *i).unwrap() as usize).contains("Y.7 F30."))
        .expect("the pass");
    let clock = session.proved().expect("proved").clocks[3].clone();
    let at = |session: &mut Session, part: f64| {
        session.go_to_time(clock.time(made, part.max(1.0e-9)));
        volume(session)
    };
    let begin = at(&mut session, 0.0);
    let parts = [0.3, 0.5, 0.7, 0.5].map(|part| at(&mut session, part));
    session.go(3, made + 1);
    let end = at(&mut session, 1.0);
    let taken = begin - end;
    assert!(taken > 100.0, "{taken}");
    let [a, b, c, back] = parts.map(|v| (begin - v) / taken);
    assert!(0.1 < a && a + 0.1 < b && b + 0.1 < c && c < 0.95, "{a} {b} {c}");
    assert!((back - b).abs() < 1e-3, "{back} {b}");
    let again = at(&mut session, 0.5);
    session.go(3, made);
    let before = at(&mut session, 0.0);
    assert!(
        (again - parts[1]).abs() < 1e-3 * taken && (before - begin).abs() < 1e-4 * taken,
        "{before} {begin}"
    );
}
