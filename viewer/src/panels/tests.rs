mod mouse;

use super::*;
use crate::session::demo::{Shelf, checked, wait};
use crate::session::{Disk, Selection, State};
use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::sync::Arc;

struct Desk {
    session: Session,
    panels: Panels,
    scene: Scene,
}

fn harness(session: Session) -> Harness<'static, Desk> {
    let desk = Desk { session, panels: Panels::default(), scene: Scene::default() };
    let show = |ui: &mut Ui, desk: &mut Desk| {
        dress(ui.ctx());
        desk.session.poll();
        desk.panels.show(ui, &mut desk.session, &desk.scene);
    };
    let mut harness =
        Harness::builder().with_size([1280.0, 800.0]).with_max_steps(30).build_ui_state(show, desk);
    harness.run_ok();
    harness
}

#[test]
fn a_click_on_a_finding_moves_moment_and_program() {
    let mut harness = harness(checked(&Shelf::demo(Some("slipped-point"))));
    harness.get_by_label_contains("FAULTS: do not run this job");
    harness.get_by_label_contains("top.nc:123").click();
    harness.run_ok();
    let session = &harness.state().session;
    assert!(matches!(session.selection(), Some(Selection::Finding(_))));
    assert_eq!((session.at().setup, session.line()), (0, Some(123)));
    // The program shows the block, the details say what it is.
    harness.get_by_label("Program top.nc");
    assert!(harness.query_all_by_label_contains("123  ").count() >= 1);
    harness.get_by_label_contains("fault gouge");
    // From there to a feature.
    harness.get_all_by_label_contains("feature: ").next().expect("a feature").click_accesskit();
    harness.run_ok();
    assert!(matches!(harness.state().session.selection(), Some(Selection::Feature(_))));
}

#[test]
fn keys_and_buttons_do_the_same() {
    let mut harness = harness(checked(&Shelf::demo(Some("slipped-point"))));
    harness.key_press(Key::F8);
    harness.run_ok();
    assert_eq!(harness.state().session.line(), Some(123));
    harness.key_press(Key::Home);
    harness.run_ok();
    assert_eq!(harness.state().session.at().made, 0);
    harness.get_by_label("Next block").click();
    harness.run_ok();
    let one = harness.state().session.at().made;
    assert!(one > 0);
    harness.key_press(Key::ArrowLeft);
    harness.run_ok();
    assert_eq!(harness.state().session.at().made, 0);
    harness.get_by_label("Workholding: shown").click();
    harness.run_ok();
    harness.get_by_label("Workholding: see-through");
    harness.key_press(Key::S);
    harness.run_ok();
    harness.get_by_label("Section: X");
    harness.get_by_label("Tools").click();
    harness.run_ok();
    harness.get_all_by_label_contains("spot drill\nlines").next().expect("a tool").click();
    harness.run_ok();
    assert!(matches!(harness.state().session.selection(), Some(Selection::Stay { .. })));
    harness.get_by_label("Drawing").click();
    harness.run_ok();
    assert!(harness.query_all_by_label_contains(": made").count() > 3);
    harness.get_by_label("Dark").click();
    harness.run_ok();
    harness.get_by_label("Light");
}

#[test]
fn every_state_shows_its_word() {
    let shelf = Shelf::demo(None);
    let disk: Arc<dyn Disk> = Arc::<Shelf>::clone(&shelf);
    let mut harness = harness(Session::new("job.json", disk, Arc::new(|| {})));
    let mut sees = |word: &str, until: State| {
        wait(&mut harness.state_mut().session, until);
        harness.run_ok();
        assert!(harness.query_all_by_label_contains(word).count() > 0, "{word}");
    };
    sees("checked", State::Computing);
    shelf.write("edge.nc", shelf.text("edge.nc") + " ");
    sees("STALE", State::Ready);
    shelf.write("edge.nc", "%\nO1\nG123456\n%\n".to_owned());
    harness.key_press(Key::F5);
    harness.step();
    harness.get_by_label_contains("from before");
    let mut sees = |word: &str, until: State| {
        wait(&mut harness.state_mut().session, until);
        harness.run_ok();
        assert!(harness.query_all_by_label_contains(word).count() > 0, "{word}");
    };
    sees("NOT PROVED", State::Computing);
    shelf.write("job.json", "{".to_owned());
    sees("STALE", State::Ready);
    harness.get_by_label("Check again (F5)").click();
    harness.step();
    let mut sees = |word: &str, until: State| {
        wait(&mut harness.state_mut().session, until);
        harness.run_ok();
        assert!(harness.query_all_by_label_contains(word).count() > 0, "{word}");
    };
    sees("FAILED", State::Computing);
}

/// While a subprogram is done, its own text is shown, and the way back to the call.
#[test]
fn the_program_list_shows_a_called_subprogram() {
    let shelf = Shelf::demo(None);
    let own = shelf.text("edge.nc").replace("N120 G0 X1.063\n", "N120 M98 P7001\n");
    shelf.write("edge.nc", own);
    shelf.write("O7001.nc", "%\nO7001\nG0 X1.063 (ASIDE)\nM99\n%\n".to_owned());
    let mut harness = harness(checked(&shelf));
    harness.get_by_label("Program edge.nc");
    let run = &harness.state().session.proved().expect("proved").checked.proof.setups[3].run;
    let (end, call) = (run.calls[0].moves.end, run.calls[0].place.line);
    harness.state_mut().session.go(3, end);
    harness.run_ok();
    harness.get_by_label("Subprogram O7001.nc");
    harness.get_by_label_contains("(ASIDE)");
    harness.get_by_label(&format!("Called from edge.nc:{call}")).click();
    harness.run_ok();
    let selection = harness.state().session.selection().copied();
    assert_eq!(selection, Some(Selection::Line { setup: 3, line: call }));
}
