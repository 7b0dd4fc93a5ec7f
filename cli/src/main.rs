//! The `proofcut` command.
//!
//! It reads files, shows reports and sets the exit code; everything that is judged is judged in the core.
//!
//! *Invariant*: `check` ends with 0 only for a job that was proved without faults and without warnings.

mod arguments;
mod check;
mod disk;
mod explain;
mod export;
#[cfg(feature = "render")]
mod lens;
mod moves;
mod outcome;
mod output;
mod page;
#[cfg(feature = "render")]
mod picture;
mod progress;
#[cfg(feature = "render")]
mod quiet;
mod schema;
mod table;
#[cfg(feature = "window")]
mod view;

use arguments::{Arguments, Command};
use clap::Parser;
use outcome::Outcome;
use page::Pages;
use std::process::ExitCode;

/// Stock is many small lists made by several threads at once. With the system's own allocator (GNU's) each of them asked the
/// system for its pages one by one, which took a sixth of the time of a short job.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are no mistakes; the library would end with 2 for the others.
            let outcome = if error.use_stderr() { Outcome::WrongUsage } else { Outcome::NothingFound };
            // Nothing is left to be said when the terminal itself is gone.
            let _gone = error.print();
            return outcome.code();
        }
    };
    let mut pages = Pages::new(arguments.color);
    let outcome = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| match &arguments.command {
        Command::Check(check) => check::run(check, &mut pages),
        Command::Export(export) => export::run(export, &mut pages),
        #[cfg(feature = "render")]
        Command::Picture(picture) => picture::run(picture, &mut pages),
        #[cfg(feature = "window")]
        Command::View(job) => view::run(job, &mut pages),
        Command::Moves(list) => moves::run(list, &mut pages),
        Command::Explain { kind } => explain::run(kind.as_deref(), &mut pages),
        Command::Schema { file } => schema::run(*file, &mut pages),
    }));
    outcome.unwrap_or(Outcome::Unproven).code()
}
