use crate::arguments::Check;
use crate::disk::{Disk, reason};
use crate::outcome::Outcome;
use crate::page::{Pages, Stream};
use crate::progress::Bar;
use proofcut_core::job::load;
use proofcut_core::proof::prove;
use proofcut_core::report::json::ResultFile;
use proofcut_core::report::{self, Checked, Part, Role, Text};
use std::path::Path;

/// Checks a job: reads its files, proves it, shows the report and writes the result.
pub(crate) fn run(check: &Check, pages: &mut Pages) -> Outcome {
    if let Some(threads) = check.threads {
        // Only the first call in a process has an effect, and this is the first.
        let _set = rayon::ThreadPoolBuilder::new().num_threads(usize::from(threads)).build_global();
    }
    let to_stdout = check.json.as_deref() == Some(Path::new("-"));
    let stream = if to_stdout { Stream::Err } else { Stream::Out };
    let disk = Disk::default();
    let loaded = load(&check.job, &disk);
    if let Some(path) = check.json.as_deref().filter(|p| disk.has_read(p)) {
        let words = format!("--json would overwrite {}, a file of the job", path.display());
        return wrong_usage(&words, pages);
    }
    let (result, parts, outcome) = match loaded {
        Err(mistakes) => {
            let parts = report::mistakes(&mistakes, Pages::width(stream));
            (report::result_of_mistakes(&check.job, &mistakes), parts, Outcome::Unproven)
        }
        Ok(loaded) => {
            // On a thread of the pool: from outside, every piece of work that is shared out waits for one to wake.
            let proof = rayon::scope(|_| {
                let bar = Bar::new(check.quiet);
                let proof = prove(&loaded.job, &bar);
                bar.done();
                proof
            });
            let checked = Checked { job: loaded.job, warnings: loaded.warnings, proof };
            let parts = if check.quiet {
                report::brief(&checked)
            } else {
                report::report(&checked, Pages::width(stream))
            };
            (report::result_of(&checked), parts, Outcome::of(checked.verdict()))
        }
    };
    pages.show(stream, &parts);
    match check.json.as_deref().map(|path| write(&result, path, pages)) {
        Some(Err(words)) => wrong_usage(&words, pages),
        Some(Ok(())) | None => outcome,
    }
}

fn write(result: &ResultFile, path: &Path, pages: &mut Pages) -> Result<(), String> {
    let text = report::result_text(result);
    if path == Path::new("-") {
        pages.write(Stream::Out, &text);
        return Ok(());
    }
    std::fs::write(path, text).map_err(|e| format!("{} cannot be written: {}", path.display(), reason(&e)))
}

/// Says what was wrong with the command.
pub(crate) fn wrong_usage(words: &str, pages: &mut Pages) -> Outcome {
    let text = Text::of(Role::Fault, "usage").and(Role::Plain, format!(": {words}"));
    pages.show(Stream::Err, &[Part::Paragraph(text)]);
    Outcome::WrongUsage
}
