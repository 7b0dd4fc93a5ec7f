use crate::arguments::{Picture, Seen, TintOf};
use crate::check::wrong_usage;
use crate::disk::Disk;
use crate::export::{setup_name, setups};
use crate::lens::{self, Spot};
use crate::outcome::Outcome;
use crate::output::{in_the_way, write};
use crate::page::{Pages, Stream};
use crate::progress::Bar;
use glam::Vec3;
use image::RgbaImage;
use proofcut_core::job::{Job, load};
use proofcut_core::motion::Run;
use proofcut_core::proof::{Moment, moment};
use proofcut_core::report::{self, Part, Role, Text};
use proofcut_core::solid::NominalPart;
use proofcut_core::surface::Surface;
use proofcut_viewer::camera::{Camera, StandardView};
use proofcut_viewer::colour::Theme;
use proofcut_viewer::gpu::{Drivers, Gpu};
use proofcut_viewer::picture::{Caption, legend_width, write_on};
use proofcut_viewer::render::{Renderer, Section, View};
use proofcut_viewer::scene::{Bounds, Kind, Look, Scene, Shown, Tint, job_scene};

/// Largest side of a picture, pixels, whatever the driver can: a poster.
const LARGEST: u32 = 16_384;

/// Writes a picture of a job at a moment.
pub(crate) fn run(picture: &Picture, pages: &mut Pages) -> Outcome {
    crate::quiet::driver();
    if let Some(threads) = picture.threads {
        // Only the first call in a process has an effect, and this is the first.
        let _set = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global();
    }
    let disk = Disk::default();
    let job = match load(&picture.job, &disk) {
        Ok(loaded) => loaded.job,
        Err(mistakes) => {
            pages.show(Stream::Err, &report::mistakes(&mistakes, Pages::width(Stream::Err)));
            return Outcome::Unproven;
        }
    };
    let wanted = match Wanted::of(picture, &job) {
        Ok(wanted) => wanted,
        Err(words) => return wrong_usage(&words, pages),
    };
    if let Some(words) = in_the_way(&picture.out, picture.force, &disk) {
        return wrong_usage(&words, pages);
    }
    // Before the work: without a driver it would be in vain.
    let drivers = if picture.software { Drivers::Software } else { Drivers::Any };
    let gpu = match Gpu::offscreen(drivers) {
        Ok(gpu) => gpu,
        Err(none) => return no_picture(pages, &none.to_string()),
    };
    let bar = Bar::new(picture.quiet);
    let cut = moment(&job, wanted.setup, &|run| wanted.made(run), &bar);
    bar.done();
    let at = match cut {
        Ok(Some(at)) => at,
        Ok(None) => return no_picture(pages, "the job has no such setup"),
        Err(why) => return no_picture(pages, &format!("the stock cannot be modelled: {why}")),
    };
    if let Line::At(line) = wanted.line
        && at.runs.get(wanted.setup).is_some_and(|run| last_of_line(run, line).is_none())
    {
        return wrong_usage(&format!("--line: no move is made up to line {line}"), pages);
    }
    let (mut scene, caption) = scene(&job, &at, &wanted, picture);
    let lens = match wanted.lens.map(|spot| lens::scene(&job, &at, &spot, picture, &wanted.theme)) {
        None => None,
        Some(Ok((lens, around))) => {
            scene.lines.push(around);
            Some(lens)
        }
        Some(Err(words)) => return wrong_usage(&words, pages),
    };
    let bytes = match drawn(&gpu, (&scene, lens.as_ref()), &wanted, &caption, &job).and_then(|i| png(&i)) {
        Ok(bytes) => bytes,
        Err(words) => return no_picture(pages, &words),
    };
    if let Err(words) = write(&picture.out, &bytes, picture.force) {
        return wrong_usage(&words, pages);
    }
    if !picture.quiet {
        let facts = [
            ("Written", format!("{}, PNG, {} x {}", picture.out.display(), wanted.size.0, wanted.size.1)),
            ("Seen", caption.foot.clone()),
            ("Drawn by", format!("{}, {} triangles", gpu.name(), scene.triangles())),
        ];
        let facts = facts.map(|(name, words)| (name.to_owned(), Text::plain(words)));
        pages.show(Stream::Out, &[Part::Facts(facts.to_vec())]);
    }
    if caption.warning.is_empty() {
        return Outcome::NothingFound;
    }
    let words = "what is shown is not proved to be what the job leaves, and the picture says so; see `proofcut check`";
    let text = Text::of(Role::Fault, "not proved").and(Role::Plain, format!(": {words}"));
    pages.show(Stream::Err, &[Part::Paragraph(text)]);
    Outcome::Unproven
}

fn no_picture(pages: &mut Pages, words: &str) -> Outcome {
    let text = Text::of(Role::Fault, "no picture").and(Role::Plain, format!(": {words}"));
    pages.show(Stream::Err, &[Part::Paragraph(text)]);
    Outcome::Unproven
}

/// A moment within a setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Line {
    /// Before the first move.
    Begin,
    /// After the block of a line.
    At(u32),
    /// After the last move, the tool where it then is.
    End,
    /// After the setup, the tool put away.
    Done,
}

/// What is asked for, understood.
struct Wanted {
    setup: usize,
    line: Line,
    view: StandardView,
    size: (u32, u32),
    section: Option<Vec3>,
    at: Vec3,
    lens: Option<Spot>,
    theme: Theme,
    perspective: bool,
}

impl Wanted {
    fn of(picture: &Picture, job: &Job) -> Result<Self, String> {
        let named = picture.setup.as_deref().or(picture.after.as_deref());
        let number = setups(job, named).map_err(|words| match &picture.setup {
            Some(_) => words.replacen("--after", "--setup", 1),
            None => words,
        })?;
        let line = match picture.line.as_deref() {
            _ if picture.setup.is_none() => Line::Done,
            None => Line::Begin,
            Some("end") => Line::End,
            Some(number) => Line::At(number.parse().map_err(|_| {
                format!("--line takes the number of a line of the program, or `end`, not `{number}`")
            })?),
        };
        let view = StandardView::named(&picture.view).ok_or_else(|| {
            let words = StandardView::ALL.map(StandardView::word).join(", ");
            format!("--view: there is no view `{}`; there are {words}", picture.view)
        })?;
        if picture.tint == TintOf::Deviation && job.drawing.is_none() {
            return Err("--tint deviation: the job names no drawing to compare with".to_owned());
        }
        let (section, at) = match &picture.section {
            None => (None, Vec3::ZERO),
            Some(words) => {
                let (axis, place) = section(words, job).ok_or_else(|| {
                    format!("--section takes X, Y or Z and a number, such as `Y0.5`, not `{words}`")
                })?;
                // The side nearer to the eye goes; seen along the plane, the positive side.
                let sign = if axis.dot(view.towards_eye()) < -1.0e-3 { -1.0 } else { 1.0 };
                (Some(axis * sign), axis * place)
            }
        };
        Ok(Self {
            setup: number.saturating_sub(1),
            line,
            view,
            size: size(&picture.size)?,
            section,
            at,
            lens: Spot::of(picture, job)?,
            theme: if picture.dark { Theme::DARK } else { Theme::LIGHT },
            perspective: picture.perspective,
        })
    }

    /// Number of moves that are made at the moment.
    fn made(&self, run: &Run) -> usize {
        match self.line {
            Line::Begin => 0,
            Line::At(line) => last_of_line(run, line).map_or(0, |i| i + 1),
            Line::End | Line::Done => run.moves.len(),
        }
    }
}

/// The last move of a line of the program, calls with all that they do; where it makes none, the last before it.
fn last_of_line(run: &Run, line: u32) -> Option<usize> {
    let of = |i: usize| {
        let place = run.called_from(i).or_else(|| run.moves.get(i).map(|m| m.place));
        place.map_or(u32::MAX, |p| p.line)
    };
    let all = 0..run.moves.len();
    all.clone().rev().find(|i| of(*i) == line).or_else(|| all.rev().find(|i| of(*i) < line))
}

fn size(words: &str) -> Result<(u32, u32), String> {
    let side = |w: &str| w.trim().parse::<u32>().ok().filter(|n| (16..=LARGEST).contains(n));
    let both = words.split_once(['x', 'X']).and_then(|(w, h)| side(w).zip(side(h)));
    both.ok_or_else(|| {
        format!("--size takes width and height in pixels, 16 to {LARGEST}, such as 1280x800, not `{words}`")
    })
}

fn section(words: &str, job: &Job) -> Option<(Vec3, f32)> {
    let words = words.trim();
    let (letter, number) = words.split_at_checked(1)?;
    let axis = match letter {
        "x" | "X" => Vec3::X,
        "y" | "Y" => Vec3::Y,
        "z" | "Z" => Vec3::Z,
        _ => return None,
    };
    let place: f64 = number.trim().trim_start_matches('=').parse().ok().filter(|n: &f64| n.is_finite())?;
    Some((axis, small(job.unit.to_mm(place))))
}

#[expect(clippy::cast_possible_truncation, reason = "pictures need no more than seven digits")]
const fn small(x: f64) -> f32 {
    x as f32
}

/// The scene and what is said about it.
fn scene(job: &Job, at: &Moment, wanted: &Wanted, picture: &Picture) -> (Scene, Caption) {
    let surface = Surface::of(&at.stock, &at.history);
    let nominal = job.drawing.as_ref().map(NominalPart::from_drawing).filter(|p| !p.is_empty());
    let moves = at.runs.get(at.setup).map_or(0, |r| r.moves.len());
    let with_tool = matches!(wanted.line, Line::At(_) | Line::End);
    let drawn = if wanted.line == Line::Begin { moves } else { at.made };
    let shown = Shown {
        job,
        setup: at.setup,
        runs: &at.runs,
        holding: &at.holding,
        surface: &surface,
        history: &at.history,
        tint: tint(picture.tint),
        nominal: nominal.as_ref(),
        tool_after: at.made.checked_sub(1).filter(|_| with_tool),
        path: if picture.path { (0, drawn) } else { (0, 0) },
        clearances: picture.clearance,
        theme: &wanted.theme,
    };
    let mut scene = job_scene(&shown);
    let alone = if wanted.line == Line::Done { Seen::Hide } else { Seen::Show };
    scene.set_look(Kind::Workholding, look(picture.workholding.unwrap_or(alone)));
    for kind in [Kind::Cutter, Kind::Shank, Kind::Holder] {
        scene.set_look(kind, look(picture.tool));
    }
    if wanted.line == Line::Done {
        scene.set_look(Kind::Mark, Look::Hidden);
        scene.labels.clear();
    }
    let when = match wanted.line {
        Line::Begin => "before its first move".to_owned(),
        Line::At(line) => format!("after line {line}"),
        Line::End => "after its last move".to_owned(),
        Line::Done => "done".to_owned(),
    };
    let foot = format!("{}, {}, {when}; {}", job.name, setup_name(job, at.setup + 1), wanted.view.word());
    let warning = if !at.followed {
        "NOT PROVED: the program cannot be followed to here"
    } else if at.unproven.is_empty() {
        ""
    } else {
        "NOT PROVED: see `proofcut check`"
    };
    (scene, Caption { foot, warning: warning.to_owned() })
}

pub(crate) const fn tint(tint: TintOf) -> Tint {
    match tint {
        TintOf::Metal => Tint::Metal,
        TintOf::Tool => Tint::Tool,
        TintOf::Setup => Tint::Setup,
        TintOf::Deviation => Tint::Deviation,
    }
}

const fn look(seen: Seen) -> Look {
    match seen {
        Seen::Show => Look::Solid,
        Seen::Ghost => Look::Ghost,
        Seen::Hide => Look::Hidden,
    }
}

fn drawn(
    gpu: &Gpu,
    (scene, lens): (&Scene, Option<&Scene>),
    wanted: &Wanted,
    caption: &Caption,
    job: &Job,
) -> Result<RgbaImage, String> {
    let pixels = |n: u32| f32::from(u16::try_from(n).unwrap_or(u16::MAX));
    let (width, height) = (pixels(wanted.size.0), pixels(wanted.size.1));
    let scale = (height / 800.0).clamp(0.6, 4.0);
    let left = legend_width(&scene.legends, scale).min(0.6 * width);
    let foot = 36.0 * scale;
    let (room_x, room_y) = (width - left, height - foot);
    let mut camera = Camera::fitting(wanted.view, &Bounds::EMPTY, room_x / room_y);
    if wanted.perspective {
        camera = camera.in_perspective();
    }
    camera.fit(&fitted(scene), room_x / room_y);
    // The part stands in the middle of what legends and caption leave free.
    camera.set_height(camera.height * height / room_y);
    camera.slide(glam::Vec2::new(0.5 * left / height, 0.5 * foot / height));
    let section = wanted.section.map(|normal| Section { normal, at: wanted.at });
    let view = View { camera, size: wanted.size, scale, theme: wanted.theme, section };
    let mut renderer = Renderer::new(gpu, true);
    // Not every driver makes edges of a cut smooth: drawn twice as large and halved they are.
    let (wide, high) = (2 * wanted.size.0, 2 * wanted.size.1);
    let larger = section.is_some() && wide.max(high) <= gpu.largest_picture();
    let mut image = if larger {
        let twice = View { size: (wide, high), scale: 2.0 * scale, ..view };
        let image = renderer.picture(gpu, scene, &twice).map_err(|e| e.to_string())?;
        image::imageops::thumbnail(&image, wanted.size.0, wanted.size.1)
    } else {
        renderer.picture(gpu, scene, &view).map_err(|e| e.to_string())?
    };
    write_on(&mut image, scene, &view, caption);
    if let (Some(lens), Some(spot)) = (lens, wanted.lens) {
        spot.draw(&mut image, gpu, lens, &view, job)?;
    }
    Ok(image)
}

/// What the picture is fitted to: the part, and what of vise and tool is near it.
fn fitted(scene: &Scene) -> Bounds {
    let part = scene.bounds_of(Kind::Stock);
    let held = scene.bounds_of(Kind::Workholding);
    let cutter = scene.bounds_of(Kind::Cutter).union(&scene.bounds_of(Kind::Shank));
    let near = part.grown(0.45 * part.size().max_element());
    let kept = |b: Bounds| Bounds { min: b.min.max(near.min), max: b.max.min(near.max) };
    [held, cutter].map(kept).iter().filter(|b| !b.is_empty()).fold(part, |all, b| all.union(b))
}

fn png(image: &RgbaImage) -> Result<Vec<u8>, String> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png).map_err(|e| e.to_string())?;
    Ok(bytes.into_inner())
}
