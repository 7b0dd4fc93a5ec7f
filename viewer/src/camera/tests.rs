use super::*;

fn block() -> Bounds {
    Bounds { min: Vec3::new(-1.0, 2.0, 0.0), max: Vec3::new(5.0, 3.0, 0.5) }
}

/// Every corner of the box lands inside the picture, and at least one comes near the margin.
#[test]
fn every_standard_view_just_fits_the_box() {
    for view in StandardView::ALL {
        for aspect in [0.5, 1.6] {
            for camera in [
                Camera::fitting(view, &block(), aspect),
                Camera::fitting(view, &block(), aspect).in_perspective(),
            ] {
                let mut camera = camera;
                camera.fit(&block(), aspect);
                let places = block().corners().map(|c| camera.place_in_picture(c, aspect).expect("in front"));
                let widest = places.iter().fold(0.0_f32, |w, p| w.max(p.x.abs()).max(p.y.abs()));
                assert!(widest <= 1.0 - MARGIN && widest > 0.6, "{} {aspect}: {widest}", view.word());
                let whole = camera.projection(aspect, &block()) * camera.view();
                for (corner, place) in block().corners().iter().zip(places) {
                    let clip = whole.project_point3(*corner);
                    assert!((clip.truncate() - place).length() < 1e-4, "{}", view.word());
                    assert!(0.0 <= clip.z && clip.z <= 1.0, "{}: depth {}", view.word(), clip.z);
                }
            }
        }
    }
}

#[test]
fn standard_views_are_as_the_operator_sees_them() {
    let right = |v: StandardView| v.eye_from_world().inverse() * Vec3::X;
    assert!(right(StandardView::Front).distance(Vec3::X) < 1e-6);
    assert!(right(StandardView::Top).distance(Vec3::X) < 1e-6);
    assert!(right(StandardView::Bottom).distance(Vec3::X) < 1e-6);
    assert!(right(StandardView::RightEnd).distance(Vec3::Y) < 1e-6);
    assert!(right(StandardView::LeftEnd).distance(Vec3::NEG_Y) < 1e-6);
    for view in StandardView::ALL {
        assert!((view.eye_from_world() * view.towards_eye()).distance(Vec3::Z) < 1e-5);
        assert_eq!(StandardView::named(&view.word().to_uppercase().replace(' ', "-")), Some(view));
    }
    assert_eq!(StandardView::named("sideways"), None);
}

#[test]
fn orbit_and_zoom_hold_on_to_what_is_under_the_cursor() {
    let aspect = 1.5;
    for perspective in [false, true] {
        let mut camera = Camera::fitting(StandardView::Corner, &block(), aspect);
        if perspective {
            camera = camera.in_perspective();
        }
        let about = camera.focus + camera.eye_from_world.inverse() * Vec3::new(0.7, -0.4, 0.0);
        let before = camera.place_in_picture(about, aspect).expect("seen");
        camera.zoom_at(before, 3.0, aspect);
        assert!(camera.place_in_picture(about, aspect).expect("seen").distance(before) < 1e-4);
        camera.orbit(about, 0.4, -0.3);
        assert!(camera.place_in_picture(about, aspect).expect("seen").distance(before) < 1e-4);
        assert!((camera.eye_from_world.length() - 1.0).abs() < 1e-6);
        let ray = camera.ray(before, aspect, &block());
        let to = about - ray.origin;
        assert!(to.cross(ray.direction).length() < 1e-3 && to.dot(ray.direction) > 0.0);
        camera.slide(Vec2::new(0.1, 0.0));
        let moved = camera.place_in_picture(about, aspect).expect("seen") - before;
        assert!((moved.x - 0.2 / aspect).abs() < 1e-3 && moved.y.abs() < 1e-3, "{moved}");
    }
}

#[test]
fn nonsense_leaves_a_usable_camera() {
    let mut camera = Camera::fitting(StandardView::Top, &Bounds::EMPTY, 1.0);
    camera.orbit(Vec3::ZERO, f32::NAN, 0.0);
    camera.zoom_at(Vec2::ZERO, 0.0, 1.0);
    camera.zoom_at(Vec2::ZERO, f32::INFINITY, 1.0);
    camera.zoom_at(Vec2::ZERO, 1.0e30, 1.0);
    camera.set_height(f32::NAN);
    assert!(camera.height > 0.0 && camera.focus.is_finite());
    assert!(camera.projection(1.0, &Bounds::EMPTY).is_finite());
}
