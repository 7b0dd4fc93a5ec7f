use crate::arguments::Moves;
use crate::disk::{Disk, reason};
use crate::outcome::Outcome;
use crate::page::{Pages, Stream};
use proofcut_core::job::{Job, load};
use proofcut_core::motion::Run;
use proofcut_core::proof::follow;
use proofcut_core::report::{self, Part, Role, Text};
use std::path::Path;

/// Lines that are written at a time.
const AT_A_TIME: usize = 4096;

/// Lists the moves of a job's programs as the interpreter sees them. Not proved (2) where a program cannot be followed.
pub(crate) fn run(moves: &Moves, pages: &mut Pages) -> Outcome {
    let disk = Disk::default();
    let loaded = match load(&moves.job, &disk) {
        Ok(loaded) => loaded,
        Err(mistakes) => {
            pages.show(Stream::Err, &report::mistakes(&mistakes, Pages::width(Stream::Err)));
            return Outcome::Unproven;
        }
    };
    let job = loaded.job;
    let wanted: Vec<usize> = match &moves.setup {
        None => (0..job.setups.len()).collect(),
        Some(setup) => match which(&job, setup) {
            Some(index) => vec![index],
            None => return wrong_usage(&no_setup(&job, setup), pages),
        },
    };
    let runs: Vec<(usize, Run)> =
        wanted.into_iter().filter_map(|index| Some((index, follow(&job, index)?))).collect();
    if let Some(path) = &moves.json {
        if disk.has_read(path) {
            let words = format!("--json would overwrite {}, a file of the job", path.display());
            return wrong_usage(&words, pages);
        }
        let text = report::moves_text(&report::moves_file(&job, &runs));
        if path == Path::new("-") {
            pages.write(Stream::Out, &text);
        } else if let Err(error) = std::fs::write(path, text) {
            return wrong_usage(&format!("{} cannot be written: {}", path.display(), reason(&error)), pages);
        }
    }
    if moves.json.as_deref() != Some(Path::new("-")) {
        for (index, run) in &runs {
            write(&job, *index, run, pages);
        }
    }
    if runs.iter().all(|(_, run)| run.lost_from.is_none()) {
        Outcome::NothingFound
    } else {
        Outcome::Unproven
    }
}

fn write(job: &Job, index: usize, run: &Run, pages: &mut Pages) {
    let mut lines = report::move_lines(job, index, run).peekable();
    while lines.peek().is_some() {
        let text: String = lines.by_ref().take(AT_A_TIME).flat_map(|line| [line, "\n".to_owned()]).collect();
        pages.write(Stream::Out, &text);
    }
}

/// A setup by its number, 1 for the first, or by its name.
fn which(job: &Job, setup: &str) -> Option<usize> {
    let by_number = setup.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    by_number.filter(|i| *i < job.setups.len()).or_else(|| job.setups.iter().position(|s| s.name == setup))
}

fn no_setup(job: &Job, setup: &str) -> String {
    let names: Vec<&str> = job.setups.iter().map(|s| s.name.as_str()).collect();
    format!("there is no setup `{setup}`; the job has {}", names.join(", "))
}

fn wrong_usage(words: &str, pages: &mut Pages) -> Outcome {
    let text = Text::of(Role::Fault, "usage").and(Role::Plain, format!(": {words}"));
    pages.show(Stream::Err, &[Part::Paragraph(text)]);
    Outcome::WrongUsage
}
