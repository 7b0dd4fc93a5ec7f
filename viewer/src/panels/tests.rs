use super::*;
use crate::session::demo::{Shelf, checked, wait};
use crate::session::{Disk, Selection, Stage, State};
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

/// A drag turns the eye, the wheel zooms, and a click on the part tells who cut it.
#[test]
fn the_scene_answers_the_mouse() {
    let session = checked(&Shelf::demo(None));
    let stage = Stage::new(Arc::new(|| {}), false);
    stage.wish(session.wish().expect("a wish"));
    let mut harness = harness(session);
    let begun = std::time::Instant::now();
    while harness.state().scene.items.is_empty() {
        assert!(begun.elapsed().as_secs() < 60, "no scene");
        if let Some(mut staged) = stage.newest() {
            harness.state().session.looks.apply(&mut staged.scene);
            let desk = harness.state_mut();
            desk.session.part = staged.scene.bounds_of(crate::scene::Kind::Stock);
            desk.session.note_drawn(Some(&staged));
            desk.session.looks.tool = crate::scene::Look::Hidden;
            desk.session.looks.apply(&mut staged.scene);
            desk.scene = staged.scene;
        }
    }
    harness.key_press(Key::Num1);
    harness.run_ok();
    assert!(!harness.state().session.wants_fit);
    let before = harness.state().session.looks.camera;
    let scene = harness.get_by_label("Scene").rect();
    // A quarter from the middle: beside bore and holes.
    let spot = scene.center() + egui::vec2(0.06 * scene.width(), 0.0);
    for pressed in [true, false] {
        harness.event(egui::Event::PointerMoved(spot));
        harness.event(egui::Event::PointerButton {
            pos: spot,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers: egui::Modifiers::NONE,
        });
        harness.step();
    }
    harness.run_ok();
    let picked = harness.state().session.selection().copied();
    assert!(matches!(picked, Some(Selection::Surface(p)) if p.by.is_some() && p.off.is_some()), "{picked:?}");
    harness.get_by_label_contains("against the drawing");
    harness.drag_at(spot);
    harness.step();
    harness.hover_at(spot + egui::vec2(80.0, 30.0));
    harness.step();
    harness.drop_at(spot + egui::vec2(80.0, 30.0));
    harness.run_ok();
    let turned = harness.state().session.looks.camera;
    assert!(before.eye_from_world.angle_between(turned.eye_from_world) > 0.1);
}
