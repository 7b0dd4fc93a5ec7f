use crate::arguments::{Export, LengthUnit};
use crate::check::wrong_usage;
use crate::disk::{Disk, reason};
use crate::outcome::Outcome;
use crate::page::{Pages, Stream};
use crate::progress::Bar;
use proofcut_core::job::{Job, load};
use proofcut_core::proof::{CutPart, cut_part};
use proofcut_core::report::snippet::one_line;
use proofcut_core::report::{self, Part, Role, Text};
use proofcut_core::surface::{Surface, SurfaceMesh};
use proofcut_core::units::Unit;
use std::io::Write;
use std::path::{Path, PathBuf};

/// How far the mesh with fewer triangles may lie from the full one, millimetres.
const DEVIATION: f64 = 0.001;

/// Most findings that are shown when nothing is written.
const MOST_SHOWN: usize = 12;

/// Writes the part as the programs leave it to a mesh file.
pub(crate) fn run(export: &Export, pages: &mut Pages) -> Outcome {
    if let Some(threads) = export.threads {
        // Only the first call in a process has an effect, and this is the first.
        let _set = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global();
    }
    let disk = Disk::default();
    let job = match load(&export.job, &disk) {
        Ok(loaded) => loaded.job,
        Err(mistakes) => {
            pages.show(Stream::Err, &report::mistakes(&mistakes, Pages::width(Stream::Err)));
            return Outcome::Unproven;
        }
    };
    let setups = match setups(&job, export.after.as_deref()) {
        Ok(setups) => setups,
        Err(words) => return wrong_usage(&words, pages),
    };
    if let Some(words) = in_the_way(export, &disk) {
        return wrong_usage(&words, pages);
    }
    let bar = Bar::new(export.quiet);
    let part = cut_part(&job, setups, &bar);
    bar.done();
    let part = match part {
        Ok(part) => part,
        Err(why) => return refused(pages, &[], &format!("the stock cannot be modelled: {why}")),
    };
    if !part.followed {
        let words = format!(
            "{} was not written: the program of {} cannot be followed to its end, so what it leaves is not known",
            export.out.display(),
            setup_name(&job, part.setups),
        );
        return refused(pages, &told(&part), &words);
    }
    if !part.unproven.is_empty() && !export.unproven {
        let words = format!(
            "{} was not written: the programs ask for things that are not modelled or not certain, and the part may \
             come out otherwise; --unproven writes it nevertheless",
            export.out.display(),
        );
        return refused(pages, &told(&part), &words);
    }
    let surface = Surface::of(&part.stock, &part.history);
    let mesh = if export.full { surface.mesh() } else { surface.simplified(DEVIATION) };
    let (unit, unit_word) = match export.unit {
        LengthUnit::Mm => (Unit::Millimetre, "mm"),
        LengthUnit::Inch => (Unit::Inch, "inch"),
    };
    let proved = part.unproven.is_empty();
    let head = format!("{}Proofcut, {unit_word}, {}", if proved { "" } else { "NOT PROVED, " }, job.name);
    let bytes = mesh.stl(&head, unit);
    if let Err(words) = write(&export.out, &bytes, export.force) {
        return wrong_usage(&words, pages);
    }
    if !export.quiet {
        let after = setup_name(&job, part.setups);
        pages.show(Stream::Out, &[Part::Facts(facts(export, &after, &mesh, bytes.len(), unit_word))]);
    }
    if proved {
        return Outcome::NothingFound;
    }
    refused(pages, &told(&part), "what was written is not proved to be the part that the programs leave")
}

/// Number of setups to run.
fn setups(job: &Job, after: Option<&str>) -> Result<usize, String> {
    let Some(wanted) = after else { return Ok(job.setups.len()) };
    let named = job.setups.iter().position(|s| s.name == wanted).map(|i| i + 1);
    let numbered = wanted.parse().ok().filter(|n| (1..=job.setups.len()).contains(n));
    named.or(numbered).ok_or_else(|| {
        let names: Vec<String> = job.setups.iter().map(|s| format!("`{}`", s.name)).collect();
        format!("--after: there is no setup `{wanted}`; the job has {}", names.join(", "))
    })
}

fn setup_name(job: &Job, number: usize) -> String {
    let name = number.checked_sub(1).and_then(|i| job.setups.get(i)).map_or("", |s| s.name.as_str());
    format!("setup {number} of {}, \"{name}\"", job.setups.len())
}

/// Why the file may not be written; asked before the work is done.
fn in_the_way(export: &Export, disk: &Disk) -> Option<String> {
    let out = &export.out;
    let path = out.display();
    if disk.has_read(out) {
        return Some(format!("--out would overwrite {path}, a file of the job"));
    }
    if out.is_dir() {
        return Some(format!("{path} is a folder"));
    }
    if out.exists() && !export.force {
        return Some(format!("{path} is there already; --force writes over it"));
    }
    let folder = folder_of(out);
    (!folder.is_dir()).then(|| format!("{path} cannot be written: there is no folder {}", folder.display()))
}

fn folder_of(path: &Path) -> PathBuf {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new(".")).to_owned()
}

/// Writes all or nothing: into a file beside, which then takes the name.
fn write(path: &Path, bytes: &[u8], force: bool) -> Result<(), String> {
    let cannot = |e: &std::io::Error| format!("{} cannot be written: {}", path.display(), reason(e));
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let beside = folder_of(path).join(format!(".{name}.{}.part", std::process::id()));
    let written = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&beside)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.sync_all()))
        .map_err(|e| cannot(&e))
        .and_then(|()| {
            // Whoever made a file of that name meanwhile keeps it.
            if !force && path.exists() {
                return Err(format!("{} is there already; --force writes over it", path.display()));
            }
            std::fs::rename(&beside, path).map_err(|e| cannot(&e))
        });
    if written.is_err() {
        // Whether it is there or not, nothing is to stay.
        let _gone = std::fs::remove_file(&beside);
    }
    written
}

fn facts(export: &Export, after: &str, mesh: &SurfaceMesh, bytes: usize, unit: &str) -> Vec<(String, Text)> {
    let size = format!("{} triangles, {} kB", mesh.triangles.len(), bytes.div_ceil(1000));
    let kept = if export.full {
        "as found".to_owned()
    } else {
        format!("nothing moved by more than {DEVIATION} mm to save triangles")
    };
    [
        ("Written", format!("{}, STL, {unit}", export.out.display())),
        ("Stock after", after.to_owned()),
        ("Mesh", format!("{size}, {kept}")),
        ("Volume", format!("{:.1} mm3", mesh.volume())),
        ("Judged", "nothing: `proofcut check` proves the job".to_owned()),
    ]
    .map(|(name, words)| (name.to_owned(), Text::plain(words)))
    .to_vec()
}

/// The findings that stand against the part, one line each.
fn told(part: &CutPart) -> Vec<Text> {
    let shown = part.unproven.iter().take(MOST_SHOWN);
    let mut lines: Vec<Text> = shown.map(|f| one_line(&f.diagnostic, f.file_and_line().as_deref())).collect();
    let more = part.unproven.len().saturating_sub(MOST_SHOWN);
    if more > 0 {
        lines.push(Text::plain(format!("and {more} more; `proofcut check` shows them")));
    }
    lines
}

fn refused(pages: &mut Pages, lines: &[Text], words: &str) -> Outcome {
    let text = Text::of(Role::Fault, "not proved").and(Role::Plain, format!(": {words}"));
    let mut parts = vec![Part::Paragraph(text)];
    if !lines.is_empty() {
        parts.push(Part::Lines(lines.to_vec()));
    }
    pages.show(Stream::Err, &parts);
    Outcome::Unproven
}
