//! What mouse and keys do in the scene's own room.

use super::{Desk, harness};
use crate::scene::{Kind, Look};
use crate::session::demo::{Shelf, checked};
use crate::session::{Mode, Selection, Stage};
use egui::{Key, Pos2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use std::sync::Arc;

/// The demo, all of it cut, with its scene, seen from above in its last setup.
fn with_scene() -> Harness<'static, Desk> {
    let session = checked(&Shelf::demo(None));
    let stage = Stage::new(Arc::new(|| {}), false);
    stage.wish(session.wish().expect("a wish"));
    let mut harness = harness(session);
    let begun = std::time::Instant::now();
    while harness.state().scene.items.is_empty() {
        assert!(begun.elapsed().as_secs() < 60, "no scene");
        if let Some(mut staged) = stage.newest() {
            let desk = harness.state_mut();
            desk.session.part = staged.scene.bounds_of(Kind::Stock);
            desk.session.note_drawn(Some(&staged));
            desk.session.looks.tool = Look::Hidden;
            desk.session.looks.apply(&mut staged.scene);
            desk.scene = staged.scene;
        }
    }
    harness.key_press(Key::Num1);
    harness.run_ok();
    assert!(!harness.state().session.wants_fit);
    harness
}

fn click(harness: &mut Harness<'static, Desk>, spot: Pos2) {
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
}

fn drag(harness: &mut Harness<'static, Desk>, from: Pos2, to: Pos2) {
    harness.drag_at(from);
    harness.step();
    for part in [0.5, 1.0] {
        harness.hover_at(from + part * (to - from));
        harness.step();
    }
    harness.drop_at(to);
    harness.run_ok();
}

/// Where a place of the setup is seen, millimetres.
fn seen(harness: &Harness<'static, Desk>, at: [f32; 3]) -> Pos2 {
    let rect = harness.get_by_label("Scene").rect();
    let camera = harness.state().session.looks.camera;
    super::super::room::Room { rect, camera }.on_screen(glam::Vec3::from(at)).expect("before the eye")
}

/// A drag turns the eye, the wheel zooms, and a click on the part tells who cut it.
#[test]
fn the_scene_answers_the_mouse() {
    let mut harness = with_scene();
    let before = harness.state().session.looks.camera;
    let scene = harness.get_by_label("Scene").rect();
    // A little beside the middle: there is no hole.
    let spot = scene.center() + egui::vec2(0.06 * scene.width(), 0.0);
    click(&mut harness, spot);
    let picked = harness.state().session.selection().copied();
    assert!(matches!(picked, Some(Selection::Surface(p)) if p.by.is_some() && p.off.is_some()), "{picked:?}");
    harness.get_by_label_contains("against the drawing");
    drag(&mut harness, spot, spot + egui::vec2(80.0, 30.0));
    let turned = harness.state().session.looks.camera;
    assert!(before.eye_from_world.angle_between(turned.eye_from_world) > 0.1);
}

/// The last setup looks at the long edge: X along the part, Y through its thickness.
#[test]
fn two_clicks_measure_and_one_reads_the_caliper() {
    let mut harness = with_scene();
    harness.get_by_label("Measure").click();
    harness.run_ok();
    assert_eq!(harness.state().session.measuring().mode(), Mode::Measure);
    // Two cross holes: their walls, a little below the edge that is broken.
    let inch = 25.4;
    let [first, second] = [1.6, 2.5].map(|x| [(x + 0.13) * inch, 0.0, -0.5 * inch]);
    // A wall that stands upright is not seen from above: seen from the front, cut open through the holes.
    for key in [Key::Num2, Key::S, Key::S] {
        harness.key_press(key);
        harness.run_ok();
    }
    for at in [first, second] {
        let spot = seen(&harness, at);
        click(&mut harness, spot);
    }
    let session = &harness.state().session;
    let (taken, distance) = session.measuring().distance().expect("measured");
    let named = |n: &str, hole: &str| n.starts_with(&format!("axis of {hole}, diameter 0.265"));
    assert!(named(&taken.what.0.name, "C1") && named(&taken.what.1.name, "C2"), "{:?}", taken.what);
    assert!((distance.length() - 0.9 * 25.4).abs() < 1e-5, "{distance:?}");
    assert!(session.title().contains("measured 0.9000 in"), "{}", session.title());
    harness.get_by_label("0.9000 in between the axes");
    harness.get_by_label("X 0.9000  Y 0.0000  Z 0.0000");
    harness.get_by_label("Take away").click();
    harness.run_ok();
    assert!(harness.state().session.measuring().distance().is_none());
    // The caliper, over the face that the cross slot left.
    for key in [Key::Num1, Key::S, Key::S, Key::Escape] {
        harness.key_press(key);
        harness.run_ok();
    }
    harness.get_by_label("Caliper: none").click();
    harness.run_ok();
    harness.get_by_label("Caliper: X");
    let floor = seen(&harness, [1.0 * inch, 0.1 * inch, -0.25 * inch]);
    click(&mut harness, floor);
    harness.get_by_label_contains("X 0.3760 in across the gap");
    harness.get_by_label_contains("cross slot width: 0.3750 +0.0020 -0.0000 in, within its limits");
    harness.key_press(Key::Delete);
    harness.run_ok();
    assert!(harness.query_by_label_contains("cross slot width: 0.3750").is_none());
}

#[test]
fn a_section_plane_is_dragged_by_its_arrow_and_stops_at_faces() {
    let mut harness = with_scene();
    harness.key_press(Key::S);
    harness.run_ok();
    let inch = 25.4;
    let place = |h: &Harness<'static, Desk>| h.state().session.looks.section.expect("a plane").at;
    assert!((place(&harness) - 1.5 * inch).abs() < 0.01, "{}", place(&harness));
    let middle = harness.state().session.part.center();
    let at = |h: &Harness<'static, Desk>, x: f32| seen(h, [x, middle.y, middle.z]);
    let camera = harness.state().session.looks.camera;
    let (from, to) = (at(&harness, place(&harness)), at(&harness, 2.2 * inch));
    drag(&mut harness, from, to);
    assert!((place(&harness) - 2.2 * inch).abs() < 0.2, "{}", place(&harness));
    // Near the slot's wall it goes to the wall, and stays beside it.
    let (from, to) = (at(&harness, place(&harness)), at(&harness, 1.19 * inch));
    drag(&mut harness, from, to);
    let off = place(&harness) - 1.188 * inch;
    assert!((1.0e-4..1.0e-3).contains(&off), "{off}");
    assert_eq!(harness.state().session.looks.camera, camera, "the eye stands still");
    assert!(harness.state().session.title().contains("section X 1.1880"));
    harness.key_press(Key::Period);
    harness.run_ok();
    assert!((place(&harness) - 1.198 * inch).abs() < 0.01, "{}", place(&harness));
    harness.key_press_modifiers(egui::Modifiers::SHIFT, Key::Comma);
    harness.run_ok();
    assert!((place(&harness) - 1.098 * inch).abs() < 0.01, "{}", place(&harness));
}

#[test]
fn the_lens_is_put_by_a_click_and_resized_by_the_wheel() {
    let mut harness = with_scene();
    harness.key_press(Key::G);
    harness.run_ok();
    let scene = harness.get_by_label("Scene").rect();
    click(&mut harness, scene.center() + egui::vec2(0.06 * scene.width(), 0.0));
    let size = |h: &Harness<'static, Desk>| h.state().session.lens().expect("a lens").size;
    assert!((size(&harness) - 0.08 * 25.4).abs() < 1e-9);
    let inset = harness.get_by_role_and_label(egui::Role::Image, "Lens").rect();
    assert!(scene.contains_rect(inset) && inset.width() > 100.0, "{inset:?}");
    harness.get_by_label_contains("Lens at X");
    harness.key_press(Key::G);
    harness.run_ok();
    assert!(
        harness.state().session.lens().is_none() && harness.query_by_label_contains("Lens at X").is_none()
    );
}

/// Seen along the plane's own axis its arrow is a point: then a drag up moves the plane up its axis.
#[test]
fn a_section_plane_seen_face_on_is_dragged_up_and_down() {
    let mut harness = with_scene();
    for _ in 0..3 {
        harness.key_press(Key::S);
        harness.run_ok();
    }
    let plane = harness.state().session.looks.section.expect("a plane");
    assert_eq!(plane.letter(), "Z");
    let middle = harness.state().session.part.center();
    let from = seen(&harness, [middle.x, middle.y, plane.at]);
    let (camera, rect) = (harness.state().session.looks.camera, harness.get_by_label("Scene").rect());
    drag(&mut harness, from, from - egui::vec2(0.0, 50.0));
    let moved = harness.state().session.looks.section.expect("a plane").at - plane.at;
    let meant = 50.0 * camera.height / rect.height();
    // A face may have drawn it a little farther.
    assert!((moved - meant).abs() < 7.0 * camera.height / rect.height(), "{moved} {meant}");
}
