//! Pictures of the demo on software drivers, compared with those under `fixtures/pictures`.
//!
//! `PROOFCUT_REFRESH=1 cargo test -p proofcut-viewer --test pictures` draws them anew: look at them before you commit.
//! Where no driver is installed nothing can be compared; with `PROOFCUT_DRIVERS=required` that is a failure.

#![cfg(feature = "render")]
#![expect(clippy::unwrap_used, reason = "a file of tests: what is not there must stop the test")]

use image::RgbaImage;
use proofcut_core::job::{Files, Job, load};
use proofcut_core::proof::{Unwatched, moment};
use proofcut_core::solid::NominalPart;
use proofcut_core::surface::Surface;
use proofcut_viewer::camera::{Camera, StandardView};
use proofcut_viewer::colour::Theme;
use proofcut_viewer::gpu::{Drivers, Gpu};
use proofcut_viewer::picture::{Caption, write_on};
use proofcut_viewer::render::{RenderError, Renderer, Section, View};
use proofcut_viewer::scene::{Kind, Look, Scene, Shown, Tint, job_scene};
use std::io::Write;
use std::path::{Path, PathBuf};

struct Folder(PathBuf);

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, String> {
        std::fs::read(self.0.join(path)).map_err(|e| e.to_string())
    }
}

fn fixtures() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().join("fixtures")
}

/// What a picture shows.
#[derive(Clone, Copy)]
struct Shot {
    name: &'static str,
    setup: usize,
    made: usize,
    view: StandardView,
    tint: Tint,
    path: bool,
    clearances: bool,
    holding: Look,
    section: Option<(glam::Vec3, f32)>,
    perspective: bool,
    theme: Theme,
}

const PLAIN: Shot = Shot {
    name: "",
    setup: 3,
    made: usize::MAX,
    view: StandardView::Corner,
    tint: Tint::Metal,
    path: false,
    clearances: false,
    holding: Look::Hidden,
    section: None,
    perspective: false,
    theme: Theme::LIGHT,
};

const SHOTS: [Shot; 5] = [
    Shot { name: "part-metal", ..PLAIN },
    Shot {
        name: "vise-section-dark",
        setup: 0,
        made: 400,
        holding: Look::Solid,
        section: Some((glam::Vec3::NEG_Y, 0.0)),
        theme: Theme::DARK,
        ..PLAIN
    },
    Shot {
        name: "tools-and-path",
        setup: 0,
        made: 300,
        view: StandardView::LeftCorner,
        tint: Tint::Tool,
        path: true,
        holding: Look::Ghost,
        perspective: true,
        ..PLAIN
    },
    Shot {
        name: "clearances",
        setup: 1,
        view: StandardView::Top,
        tint: Tint::Setup,
        clearances: true,
        holding: Look::Solid,
        ..PLAIN
    },
    Shot { name: "deviation", view: StandardView::BackCorner, tint: Tint::Deviation, ..PLAIN },
];

const SIZE: (u32, u32) = (480, 300);

fn demo() -> Job {
    let mut job = load("job.json", &Folder(fixtures().join("jobs/pivot-block"))).unwrap().job;
    job.spacing = Some(0.5);
    job
}

fn scene(job: &Job, shot: &Shot) -> Scene {
    let at = moment(job, shot.setup, &|_| shot.made, &Unwatched).unwrap().unwrap();
    let surface = Surface::of(&at.stock, &at.history);
    let nominal = NominalPart::from_drawing(job.drawing.as_ref().unwrap());
    let mut scene = job_scene(&Shown {
        job,
        setup: at.setup,
        runs: &at.runs,
        holding: &at.holding,
        surface: &surface,
        history: &at.history,
        tint: shot.tint,
        nominal: Some(&nominal),
        tool_after: at.made.checked_sub(1).filter(|_| shot.made < usize::MAX),
        path: if shot.path { (0, at.made) } else { (0, 0) },
        clearances: shot.clearances,
        theme: &shot.theme,
    });
    scene.set_look(Kind::Workholding, shot.holding);
    scene
}

fn view(scene: &Scene, shot: &Shot) -> View {
    let aspect = 1.6;
    let mut camera = Camera::fitting(shot.view, &scene.bounds_of(Kind::Stock).grown(12.0), aspect);
    if shot.perspective {
        camera = camera.in_perspective();
    }
    let section = shot.section.map(|(normal, at)| Section { normal, at: normal * at });
    View { camera, size: SIZE, scale: 0.7, theme: shot.theme, section }
}

/// The devices at hand; none at all is a failure where drivers are required.
fn devices() -> Vec<Gpu> {
    let found: Vec<Gpu> =
        [Drivers::Software, Drivers::Gl].into_iter().filter_map(|d| Gpu::offscreen(d).ok()).collect();
    let required = std::env::var_os("PROOFCUT_DRIVERS").is_some_and(|v| v == "required");
    assert!(!found.is_empty() || !required, "no graphics driver is installed");
    if found.is_empty() {
        let mut err = std::io::stderr();
        writeln!(err, "no graphics driver is installed: no picture was compared").unwrap();
    }
    found
}

/// Mean difference of the channels, and pixels in a thousand that differ by more than a little.
fn difference(a: &RgbaImage, b: &RgbaImage) -> (f64, usize) {
    assert_eq!(a.dimensions(), b.dimensions());
    let apart = |p: &image::Rgba<u8>, q: &image::Rgba<u8>| {
        p.0.iter().zip(q.0).map(|(x, y)| u32::from(x.abs_diff(y))).max().unwrap()
    };
    let all: Vec<u32> = a.pixels().zip(b.pixels()).map(|(p, q)| apart(p, q)).collect();
    let sum: u32 = all.iter().sum();
    let count = u32::try_from(all.len()).unwrap();
    (f64::from(sum) / f64::from(count), 1000 * all.iter().filter(|d| **d > 24).count() / all.len())
}

#[test]
fn pictures_are_those_that_were_looked_at() {
    let job = demo();
    let refresh = std::env::var_os("PROOFCUT_REFRESH").is_some();
    let devices = devices();
    if devices.is_empty() {
        return;
    }
    let mut renderers: Vec<(&Gpu, Renderer)> = devices.iter().map(|g| (g, Renderer::new(g, true))).collect();
    for shot in &SHOTS {
        let scene = scene(&job, shot);
        let view = view(&scene, shot);
        let file = fixtures().join("pictures").join(format!("{}.png", shot.name));
        for (number, (gpu, renderer)) in renderers.iter_mut().enumerate() {
            let mut image = renderer.picture(gpu, &scene, &view).unwrap();
            let caption = Caption { foot: shot.name.to_owned(), warning: String::new() };
            write_on(&mut image, &scene, &view, &caption);
            if refresh && number == 0 {
                image.save(&file).unwrap();
            }
            let kept = image::open(&file).unwrap().to_rgba8();
            let (mean, far) = difference(&image, &kept);
            if mean > 0.8 || far > 8 {
                let beside = std::env::temp_dir().join(format!("proofcut-{}.png", shot.name));
                image.save(&beside).unwrap();
                panic!(
                    "{} on {}: differs by {mean:.2} in the mean and by much in {far} pixels of a thousand; it is now {}",
                    shot.name,
                    gpu.name(),
                    beside.display()
                );
            }
        }
    }
}

/// A section plane opens solids and fills their faces: the cut face shows its colour, nothing shows through.
#[test]
fn cut_faces_are_filled() {
    let job = demo();
    let shot = Shot { view: StandardView::Front, section: Some((glam::Vec3::NEG_Y, 0.0)), ..PLAIN };
    let mut scene = scene(&job, &shot);
    scene.lines.clear();
    scene.labels.clear();
    let mut view = view(&scene, &shot);
    for gpu in devices() {
        let mut renderer = Renderer::new(&gpu, true);
        view.section = None;
        let whole = renderer.picture(&gpu, &scene, &view).unwrap();
        let middle = scene.bounds_of(Kind::Stock).center();
        view.section = Some(Section { normal: glam::Vec3::NEG_Y, at: middle });
        let cut = renderer.picture(&gpu, &scene, &view).unwrap();
        // Warm where cut faces are, neutral elsewhere.
        let warm = |i: &RgbaImage| i.pixels().filter(|p| p[0] > p[2].saturating_add(12)).count();
        assert_eq!(warm(&whole), 0, "{}", gpu.name());
        let seen = whole.pixels().zip(whole.pixels().skip(1)).count();
        assert!(warm(&cut) * 20 > seen, "{}: {} of {seen}", gpu.name(), warm(&cut));
    }
}

#[test]
fn sizes_that_no_driver_makes_are_refused() {
    for gpu in devices() {
        let mut renderer = Renderer::new(&gpu, false);
        let scene = Scene::default();
        let mut view = view(&scene, &PLAIN);
        for size in [(0, 10), (10, 0), (1_000_000, 10)] {
            view.size = size;
            let most = gpu.largest_picture();
            assert_eq!(renderer.draw(&gpu, &scene, &view), Err(RenderError::TooLarge { most }));
        }
        view.size = (33, 7);
        let empty = renderer.picture(&gpu, &scene, &view).unwrap();
        assert_eq!(empty.dimensions(), (33, 7));
        assert!(
            empty.get_pixel(5, 0)[0] > empty.get_pixel(5, 6)[0],
            "the background is there without a scene"
        );
    }
}

/// What lies outside of the picture is left out without a trace: a near view is the middle of a far one.
#[test]
fn a_near_view_is_a_piece_of_a_far_one() {
    let job = demo();
    let mut scene = scene(&job, &PLAIN);
    scene.lines.clear();
    let far = view(&scene, &PLAIN);
    for gpu in devices() {
        let mut renderer = Renderer::new(&gpu, false);
        let whole = renderer.picture(&gpu, &scene, &View { size: (480, 300), ..far }).unwrap();
        let mut near = View { size: (160, 100), ..far };
        near.camera.set_height(far.camera.height / 3.0);
        let piece = renderer.picture(&gpu, &scene, &near).unwrap();
        let differs = piece.enumerate_pixels().filter(|(x, y, p)| {
            let other = whole.get_pixel(x + 160, y + 100);
            p.0.iter().zip(other.0).any(|(a, b)| a.abs_diff(b) > 12)
        });
        // The background, a gradient over the picture, is not seen in the middle of the part.
        assert!(differs.count() < 160, "{}", gpu.name());
    }
}
