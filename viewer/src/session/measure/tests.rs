use crate::session::demo::{Shelf, checked};
use crate::session::{Between, Command, How, LensMaker, Lies, Mode, On, Pick, Session, Snap};
use proofcut_core::geom::{Axis, Vec3};
use std::sync::Arc;
use std::time::{Duration, Instant};

const INCH: f64 = 25.4;

fn part(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3::new(x, y, z) * INCH
}

fn measure(session: &mut Session, picks: [Pick; 2]) -> (Snap, Snap, f64, How) {
    if session.measuring().mode() != Mode::Measure {
        session.apply(Command::Measure);
    }
    for pick in picks {
        assert!(session.pick(pick), "{pick:?}");
    }
    let (taken, distance) = session.measuring().distance().expect("measured");
    (taken.what.0.clone(), taken.what.1.clone(), distance.length(), distance.how)
}

#[test]
fn picks_snap_to_exact_faces_and_axes_and_say_so() {
    let mut session = checked(&Shelf::demo(None));
    // The last setup: Z along the part's Y, Y against its Z.
    let (a, b, length, how) =
        measure(&mut session, [Pick::Stock(part(2.9, 0.6, 0.9)), Pick::Stock(part(2.8, 0.5, 0.000_01))]);
    assert_eq!(
        (a.name.as_str(), b.name.as_str()),
        ("flat face at Y -0.4500, body", "flat face at Y 0.4500, body")
    );
    assert!((length - 0.9 * INCH).abs() < 1e-5 && how == How::SquareToFace, "{length}");
    // Walls of the bore and of a reamed hole, a little off as a picture is.
    let wall = |x: f64, y: f64, r: f64| Pick::Stock(part(x + r * 0.6 + 1e-5, y + r * 0.8, 0.5));
    let (a, b, length, how) = measure(&mut session, [wall(1.0, 0.875, 0.375), wall(0.35, 0.4, 0.1255)]);
    assert!(a.name.starts_with("axis of bore, diameter 0.75"), "{}", a.name);
    assert_eq!(b.name, "axis of D1, diameter 0.2510");
    assert!((length - 0.65_f64.hypot(0.475) * INCH).abs() < 1e-5 && how == How::BetweenAxes, "{length}");
    // The drawing's own axis and the zero of the setup.
    let d1 = session.proved().unwrap().checked.job.drawing.as_ref().unwrap();
    let d1 = d1.features.iter().position(|f| f.id == "D1").unwrap();
    let (a, b, length, _) = measure(&mut session, [Pick::Feature(d1), Pick::Zero(0)]);
    assert_eq!((a.name.as_str(), b.name.as_str()), ("axis of D1 as drawn, diameter 0.2510", "zero of G54"));
    assert!((length - 0.35_f64.hypot(1.35) * INCH).abs() < 1e-9, "{length}");
    // A broken edge slopes; a place far from any surface is only the picture's.
    let (a, b, ..) =
        measure(&mut session, [Pick::Stock(part(1.5, 0.005, 0.895)), Pick::Stock(part(1.5, 0.3, 0.6))]);
    assert_eq!(a.name, "sloping flat face, 45.000° to level, top edge");
    assert!(matches!(a.on, On::Face(_)) && b.on == On::Place, "{b:?}");
    assert!(b.name.starts_with("about a place of the picture"), "{}", b.name);
    // A feature that has no axis is no pick; Escape ends, and again takes away.
    assert!(!session.pick(Pick::Feature(0)));
    session.apply(Command::StopOrClear);
    assert_eq!(session.measuring().mode(), Mode::Select);
    assert!(session.measuring().distance().is_some());
    session.apply(Command::StopOrClear);
    assert!(session.measuring().is_empty());
}

#[test]
fn a_first_pick_of_another_moment_is_begun_anew_and_a_new_check_forgets() {
    let mut session = checked(&Shelf::demo(None));
    session.go(0, 0);
    session.apply(Command::Measure);
    assert!(session.pick(Pick::Stock(part(1.0, 1.0, 0.93))));
    let first = session.measuring().first().unwrap().what.name.clone();
    assert_eq!(first, "flat face at Z 0.0300");
    session.go(0, usize::MAX);
    assert!(session.pick(Pick::Stock(part(1.6, 1.2, 0.9))));
    assert_eq!(session.measuring().first().unwrap().what.name, "flat face at Z 0.0000, body");
    assert!(session.pick(Pick::Zero(0)) && session.measuring().distance().unwrap().1.length() < 1e-5);
    session.go(0, 0);
    assert!(session.measuring().distance().unwrap().0.when.contains("after the last move"));
    session.check_again();
    crate::session::demo::wait(&mut session, crate::session::State::Computing);
    assert!(session.measuring().is_empty() && session.measuring().mode() == Mode::Measure);
}

#[test]
fn the_caliper_reads_material_and_gap_and_knows_the_size() {
    let mut session = checked(&Shelf::demo(None));
    while session.measuring().mode() != Mode::Caliper(Axis::Z) {
        session.apply(Command::Caliper);
    }
    // The floor of the slot, along the part's Y.
    assert!(session.pick(Pick::Stock(part(2.3, 0.9, 0.7))));
    let caliper = session.measuring().caliper().unwrap().what.clone();
    let [outside, inside] = caliper.readings.as_slice() else { panic!("{caliper:?}") };
    assert_eq!((outside.of, inside.of), (Between::Material, Between::Gap));
    assert!((outside.length() - 1.75 * INCH).abs() < 1e-4, "{outside:?}");
    assert!(0.0 <= inside.length() - 0.375 * INCH && inside.length() <= 0.377 * INCH, "{inside:?}");
    let job = &session.proved().unwrap().checked.job;
    let id = |n: usize| job.drawing.as_ref().unwrap().dimensions[n].id.clone();
    let (width, slot) = (outside.size.unwrap(), inside.size.unwrap());
    assert_eq!((id(width.size), id(slot.size)), ("width".to_owned(), "slot width".to_owned()));
    assert_eq!((width.lies, slot.lies), (Some(Lies::In), Some(Lies::In)));
    // The same place along another axis: thickness under the slot, no gap above it.
    session.apply(Command::Caliper);
    session.apply(Command::Caliper);
    session.apply(Command::Caliper);
    assert_eq!(session.measuring().mode(), Mode::Caliper(Axis::Y));
    let caliper = session.measuring().caliper().unwrap().what.clone();
    let [outside] = caliper.readings.as_slice() else { panic!("{caliper:?}") };
    assert!((outside.length() - 0.7 * INCH).abs() < 1e-4, "{outside:?}");
    assert_eq!(
        outside.size.map(|s| (id2(&session, s.size), s.lies)),
        Some(("under the slot".to_owned(), Some(Lies::In)))
    );
    // Beside the narrowest place between bore and slot a reading is no judgement.
    session.apply(Command::Caliper);
    assert!(session.pick(Pick::Stock(part(1.0, 1.5, 0.5))));
    let caliper = session.measuring().caliper().unwrap().what.clone();
    let wall = caliper.readings.iter().find(|r| r.of == Between::Material).unwrap();
    assert!((wall.length() - 0.25 * INCH).abs() < 0.02, "{wall:?}");
    assert_eq!(
        wall.size.map(|s| (id2(&session, s.size), s.lies)),
        Some(("bore to cross slot".to_owned(), None))
    );
}

fn id2(session: &Session, n: usize) -> String {
    session.proved().unwrap().checked.job.drawing.as_ref().unwrap().dimensions[n].id.clone()
}

/// Faces at which a section plane stops are those of the stock: floor and ends.
#[test]
fn faces_along_an_axis_are_exact() {
    let mut session = checked(&Shelf::demo(None));
    session.go(0, usize::MAX);
    let faces = session.faces_along(Axis::Z);
    for z in [0.0, -0.2, -1.22] {
        assert!(faces.iter().any(|f| (f - z * INCH).abs() < 1e-5), "{z}: {faces:?}");
    }
    assert!(session.is_material(&part(2.9, 0.3, 0.5)) && !session.is_material(&part(1.0, 0.875, 0.5)));
}

/// A broken edge of 0.01 in, less than a quarter of a millimetre, has its faces in the lens.
#[test]
fn the_lens_cuts_a_broken_edge_again() {
    let mut session = checked(&Shelf::demo(None));
    session.put_lens(part(1.5, 0.005, 0.895));
    let maker = LensMaker::new(Arc::new(|| {}));
    maker.wish(session.lens_wish().unwrap());
    let begun = Instant::now();
    let staged = loop {
        assert!(begun.elapsed() < Duration::from_secs(60), "no lens");
        if let Some(staged) = maker.newest() {
            break staged;
        }
        std::thread::sleep(Duration::from_millis(2));
    };
    session.note_lens(Some(&staged));
    assert_eq!(session.lens_said, crate::session::LensSaid::Shown);
    let scene = staged.scene.unwrap();
    let stock = &scene.items[0];
    // Material of the cube: all of it below face and side, less the corner that is broken.
    let edge = 0.08 * INCH;
    let (deep, high) = (edge / 2.0 - 0.005 * INCH, edge / 2.0 + 0.005 * INCH);
    let broken = 0.5 * (0.01 * INCH).powi(2) * edge;
    let volume: f64 = stock.meshes.iter().map(|m| m.volume()).sum();
    let whole = high * high * edge;
    assert!(deep < high && (volume - (whole - broken)).abs() < 0.02 * broken, "{volume} {whole} {broken}");
    assert!(scene.lines[0].set.segments.len() > 100);
    session.resize_lens(false);
    assert!((session.lens().unwrap().size - 0.04 * INCH).abs() < 1e-12);
    session.note_lens(None);
    assert_eq!(session.lens_said, crate::session::LensSaid::Waiting);
}
