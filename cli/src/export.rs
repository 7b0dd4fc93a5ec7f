use crate::arguments::{Export, LengthUnit};
use crate::check::wrong_usage;
use crate::disk::Disk;
use crate::outcome::Outcome;
use crate::output::{in_the_way, write};
use crate::page::{Pages, Stream};
use crate::progress::Bar;
use proofcut_core::job::{Job, load};
use proofcut_core::proof::{CutPart, cut_part};
use proofcut_core::report::snippet::one_line;
use proofcut_core::report::{self, Part, Role, Text};
use proofcut_core::surface::{Surface, SurfaceMesh};
use proofcut_core::units::Unit;

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
    if let Some(words) = in_the_way(&export.out, export.force, &disk) {
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
pub(crate) fn setups(job: &Job, after: Option<&str>) -> Result<usize, String> {
    let Some(wanted) = after else { return Ok(job.setups.len()) };
    let named = job.setups.iter().position(|s| s.name == wanted).map(|i| i + 1);
    let numbered = wanted.parse().ok().filter(|n| (1..=job.setups.len()).contains(n));
    named.or(numbered).ok_or_else(|| {
        let names: Vec<String> = job.setups.iter().map(|s| format!("`{}`", s.name)).collect();
        format!("--after: there is no setup `{wanted}`; the job has {}", names.join(", "))
    })
}

pub(crate) fn setup_name(job: &Job, number: usize) -> String {
    let name = number.checked_sub(1).and_then(|i| job.setups.get(i)).map_or("", |s| s.name.as_str());
    format!("setup {number} of {}, \"{name}\"", job.setups.len())
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
