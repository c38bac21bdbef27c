//! The command line: one file per command, no mathematics.
//!
//! Every command takes its arguments and a `Printer`, and returns an `ExitStatus` or a `CliError`.
//! Exit codes: 0 done; 1 strips need a re-fly (`--check` of `debrief`, `batch` and `refly`); 2 wrong usage; 3 an input
//! was refused, also because it does not fit the others, or a result could not be written; of a batch: of any sortie.

mod also;
mod batch;
mod convert;
mod debrief;
mod inspect;
mod log;
mod logbook;
mod plan;
mod preflight;
mod printer;
mod refly;
mod rehearse;
mod review;

pub use printer::Printer;

use crate::input::InputError;
use crate::report::OutputError;
use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// Debriefs airborne visual searches from their track logs.
#[derive(Debug, Parser)]
#[command(name = "overflown", version, max_term_width = 100, after_help = crate::cautions::SHORT)]
struct Cli {
    #[command(subcommand)]
    command: Command,
    /// Print nothing but errors.
    #[arg(long, short, global = true)]
    quiet: bool,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Tell what is in a track log: times, gaps, speeds, heights and every point that is unusable.
    Inspect(inspect::InspectArgs),
    /// Judge a flown track against its tasking: strips, holes, tracking, time out of the area.
    Debrief(debrief::DebriefArgs),
    Batch(batch::BatchArgs),
    /// Lay a tasking out: leg table and route, and the arithmetic beside them.
    Plan(plan::PlanArgs),
    Rehearse(Box<rehearse::Arguments>),
    /// Write a track log, or planned lines, in another format.
    Convert(convert::ConvertArgs),
    /// Take several sorties as one search: what they found together, and what to fly next.
    Refly(refly::ReflyArgs),
    Logbook(logbook::LogbookArgs),
    /// Review the flights of a pilot: what changed, why, and what to practise next.
    Review(review::ReviewArgs),
}

/// How a command ended, as the shell sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ExitStatus {
    /// Done.
    Done,
    /// Done, and `--check` found strips to fly again.
    StripsToRefly,
    /// Done but for some inputs that were refused or results that could not be written, which was told.
    SomeRefused,
}

impl From<ExitStatus> for ExitCode {
    fn from(status: ExitStatus) -> Self {
        match status {
            ExitStatus::Done => Self::from(0),
            ExitStatus::StripsToRefly => Self::from(1),
            ExitStatus::SomeRefused => Self::from(3),
        }
    }
}

/// Why a command could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// An input was refused.
    #[error(transparent)]
    Input(#[from] InputError),
    /// A result could not be written.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// The arguments do not fit together.
    #[error("{problem}")]
    Usage {
        /// What is wrong.
        problem: String,
        /// What would do.
        hint: String,
    },
}

impl CliError {
    fn hint(&self) -> &str {
        match self {
            Self::Input(error) => &error.hint,
            Self::Output(error) => &error.hint,
            Self::Usage { hint, .. } => hint,
        }
    }

    fn exit_code(&self) -> ExitCode {
        match self {
            Self::Usage { .. } => ExitCode::from(2),
            Self::Input(_) | Self::Output(_) => ExitCode::from(3),
        }
    }
}

/// Parses the arguments, runs the command and turns its end into an exit code.
#[must_use]
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Nothing is left to do if even the usage text cannot be printed.
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let printer = Printer::new(cli.quiet);
    match run(&cli.command, &printer) {
        Ok(status) => status.into(),
        Err(error) => {
            printer.error(&error, error.hint());
            error.exit_code()
        }
    }
}

fn run(command: &Command, printer: &Printer) -> Result<ExitStatus, CliError> {
    match command {
        Command::Inspect(args) => inspect::run(args, printer),
        Command::Debrief(args) => debrief::run(args, printer),
        Command::Batch(args) => batch::run(args, printer),
        Command::Plan(args) => plan::run(args, printer),
        Command::Rehearse(arguments) => rehearse::run(arguments, printer),
        Command::Convert(args) => convert::run(args, printer),
        Command::Refly(args) => refly::run(args, printer),
        Command::Logbook(args) => logbook::run(args, printer),
        Command::Review(args) => review::run(args, printer),
    }
}
