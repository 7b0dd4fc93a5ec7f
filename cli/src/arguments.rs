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
    /// Write a picture (PNG) of the part, or of the vise, the tool and its path at a moment. It needs a graphics driver, which
    /// may be one in software, but no display. It judges nothing: see `check`.
    ///
    /// Exit codes: 0 written; 2 not written, or not proved to be what the job leaves (the picture says so); 3 wrong usage.
    #[cfg(feature = "render")]
    Picture(Picture),
    /// Open a window on a job: part, vise, tool and path at any moment, with the findings, the program and the drawing beside
    /// them. It checks the job in the background, and again on F5.
    ///
    /// Exit codes: 0 the window was closed; 2 no window can be opened; 3 wrong usage.
    #[cfg(feature = "window")]
    View(ViewJob),
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

/// Arguments of `picture`.
#[cfg(feature = "render")]
#[derive(Args, Debug)]
#[expect(clippy::struct_excessive_bools, reason = "switches of a command line, each by itself")]
pub(crate) struct Picture {
    /// The job file.
    pub(crate) job: String,
    /// The file to write; its folder must be there.
    #[arg(long, value_name = "FILE")]
    pub(crate) out: PathBuf,
    /// The part after this setup instead of the last: its number, from 1, or its name.
    #[arg(long, value_name = "SETUP", conflicts_with = "setup")]
    pub(crate) after: Option<String>,
    /// The part clamped in this setup, before its first move, or where --line says.
    #[arg(long, value_name = "SETUP")]
    pub(crate) setup: Option<String>,
    /// After the block of this line of the setup's program, with the tool where it then is; `end` for the last.
    #[arg(long, value_name = "LINE", requires = "setup")]
    pub(crate) line: Option<String>,
    /// Where the eye stands: top, front, right end, corner, left corner, back corner, left end, back, bottom, corner from
    /// below; several words with spaces or hyphens.
    #[arg(long, default_value = "corner", value_name = "VIEW")]
    pub(crate) view: String,
    /// What the colours of the part tell.
    #[arg(long, value_enum, default_value_t = TintOf::Metal, value_name = "TINT")]
    pub(crate) tint: TintOf,
    /// Width and height in pixels.
    #[arg(long, default_value = "1280x800", value_name = "WxH")]
    pub(crate) size: String,
    /// Cut open at this place, in the job's unit, from the setup's origin: X, Y or Z and a number, such as `Y0.5`. The side
    /// nearer to the eye is taken away.
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    pub(crate) section: Option<String>,
    /// Also show this spot cut again finely, in a frame at the lower right: X, Y and Z in the job's unit from the setup's
    /// origin, such as `X1.5 Y0 Z-0.1`.
    #[arg(long, value_name = "PLACE", allow_hyphen_values = true)]
    pub(crate) lens: Option<String>,
    /// Width of the cube that --lens shows, in the job's unit; without it, 0.08 in or 2 mm.
    #[arg(long, value_name = "WIDTH", requires = "lens")]
    pub(crate) lens_width: Option<f64>,
    /// Vise, parallels, clamps: shown with --setup and hidden otherwise, unless this says something else.
    #[arg(long, value_enum, value_name = "HOW")]
    pub(crate) workholding: Option<Seen>,
    /// The tool, with --line.
    #[arg(long, value_enum, default_value_t = Seen::Show, value_name = "HOW")]
    pub(crate) tool: Seen,
    /// Draw the path of the tool's tip, with --setup: up to --line, or all of it.
    #[arg(long, requires = "setup")]
    pub(crate) path: bool,
    /// Show how near each tool comes to the workholding, and where to jog to and look, with --setup.
    #[arg(long, requires = "setup")]
    pub(crate) clearance: bool,
    /// As the eye sees it, instead of parallel.
    #[arg(long)]
    pub(crate) perspective: bool,
    /// Light on dark.
    #[arg(long)]
    pub(crate) dark: bool,
    /// Write over a file that is there.
    #[arg(long)]
    pub(crate) force: bool,
    /// Draw with a driver in software, which gives the same pixels on every machine.
    #[arg(long)]
    pub(crate) software: bool,
    /// Number of threads; without it, one per processor.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
    /// No progress bar, nothing on standard output.
    #[arg(long)]
    pub(crate) quiet: bool,
}

/// Arguments of `view`.
#[cfg(feature = "window")]
#[derive(Args, Debug)]
pub(crate) struct ViewJob {
    /// The job file.
    pub(crate) job: String,
    /// Number of threads; without it, one per processor.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
}

/// What colours tell.
#[cfg(feature = "render")]
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum TintOf {
    /// Bare metal; what no tool has touched is duller.
    Metal,
    /// The tool that cut each face.
    Tool,
    /// The setup that cut each face.
    Setup,
    /// The distance from the drawing.
    Deviation,
}

/// How much of something is seen.
#[cfg(feature = "render")]
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Seen {
    /// As it is.
    Show,
    /// See-through.
    Ghost,
    /// Not at all.
    Hide,
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
