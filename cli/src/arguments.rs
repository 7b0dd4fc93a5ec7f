use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Proves a milling job from its posted programs before the first chip is made.
///
/// Exit codes: 0 no faults and no warnings; 1 faults or warnings; 2 not proved, or input that cannot be read;
/// 3 wrong usage.
#[derive(Debug, Parser)]
#[command(name = "proofcut", version, max_term_width = 100)]
pub(crate) struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
    /// When to colour. The environment variable `NO_COLOR` is honoured by `auto`.
    #[arg(long, value_enum, default_value_t = Color::Auto, global = true, value_name = "WHEN")]
    pub(crate) color: Color,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Run every program of a job on one piece of stock and report what would go wrong.
    Check(Check),
    /// Write the part as the programs leave it to a mesh file (binary STL). It judges nothing: see `check`.
    ///
    /// Exit codes: 0 written; 2 the job cannot be read or its programs not be followed (nothing is written); 3 wrong usage.
    Export(Export),
    /// List the moves of the programs as they are understood: block, kind of motion, place, centre, feed, tool, offsets.
    Moves(Moves),
    /// Say what a kind of finding means; without a kind, list all kinds.
    Explain {
        /// Kind of finding, such as `rapid-into-stock`.
        kind: Option<String>,
    },
    /// Print the JSON Schema of a file.
    Schema {
        /// Which file.
        #[arg(value_enum)]
        file: SchemaOf,
    },
}

/// Arguments of `check`.
#[derive(Args, Debug)]
pub(crate) struct Check {
    /// The job file.
    pub(crate) job: String,
    /// Also write the result as JSON to this file; `-` writes it to standard output and the report to standard error.
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
    /// Number of threads; without it, one per processor. The result is the same for any number.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
    /// Show only the findings, one line each, and the verdict; no progress bar.
    #[arg(long)]
    pub(crate) quiet: bool,
}

/// Arguments of `export`.
#[derive(Args, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "four switches of a command line, each by itself")]
pub(crate) struct Export {
    /// The job file.
    pub(crate) job: String,
    /// The file to write; its folder must be there.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: PathBuf,
    /// The stock after this setup instead of the last: its number, from 1, or its name.
    #[arg(long, value_name = "SETUP")]
    pub(crate) after: Option<String>,
    /// Unit of length of the file. (STL files do not say theirs.)
    #[arg(long, value_enum, default_value_t = LengthUnit::Mm)]
    pub(crate) unit: LengthUnit,
    /// All triangles as they were found; without it, flat faces have few, and nothing moves by more than 0.001 mm.
    #[arg(long)]
    pub(crate) full: bool,
    /// Write over a file that is there.
    #[arg(long)]
    pub(crate) force: bool,
    /// Write also when something in the programs is not modelled or not certain. The file says NOT PROVED, and the exit
    /// code stays 2. A program that could not be followed to its end leaves no file even so.
    #[arg(long)]
    pub(crate) unproven: bool,
    /// Number of threads; without it, one per processor. The file is the same for any number.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
    /// No progress bar, nothing on standard output.
    #[arg(long)]
    pub(crate) quiet: bool,
}

/// Units of length of files.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum LengthUnit {
    /// Millimetres.
    Mm,
    /// Inches.
    Inch,
}

/// Arguments of `moves`.
#[derive(Args, Debug)]
pub(crate) struct Moves {
    /// The job file.
    pub(crate) job: String,
    /// Only this setup: its number, 1 for the first, or its name.
    #[arg(long, value_name = "SETUP")]
    pub(crate) setup: Option<String>,
    /// Write the list as JSON to this file as well; `-` writes it to standard output in place of the text.
    #[arg(long, value_name = "FILE")]
    pub(crate) json: Option<PathBuf>,
}

/// When to colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Color {
    /// On a terminal.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// Files that have a schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum SchemaOf {
    /// The job file.
    Job,
    /// The machine file.
    Machine,
    /// The tool table.
    Tools,
    /// The drawing.
    Drawing,
    /// The result that `check --json` writes.
    Result,
    /// The list that `moves --json` writes.
    Moves,
}
