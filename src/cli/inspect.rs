//! `overflown inspect`: what is in this log?

use super::log::{LogArgs, positive};
use super::{CliError, ExitStatus, Printer};
use crate::report::{OutputError, inspect_text};
use crate::track::summary::LogStatistics;

/// Entries of each finding that are printed without `--ledger`.
const ENTRIES_EACH: usize = 10;

/// Arguments of `inspect`.
#[derive(Debug, clap::Args)]
pub struct InspectArgs {
    #[command(flatten)]
    log: LogArgs,
    /// Print the statistics as JSON (SI units, times UTC).
    #[arg(long)]
    json: bool,
    /// Print every point that was dropped or repaired, not just the first ten of each kind.
    #[arg(long)]
    ledger: bool,
    /// Longest time between fixes that still counts as recorded, in seconds [default: four times the
    /// median interval, at least 10].
    #[arg(long, value_name = "SECONDS", value_parser = positive)]
    gap_limit: Option<f64>,
}

/// Reads, cleans and describes a log.
///
/// # Errors
/// If the log is refused.
pub fn run(args: &InspectArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let track = args.log.load(args.gap_limit)?;
    let statistics = LogStatistics::of(&track);
    if args.json {
        printer.data(&(json(&statistics)? + "\n"));
    } else {
        let entries_each = (!args.ledger).then_some(ENTRIES_EACH);
        printer.result(&inspect_text::render(&statistics, entries_each));
    }
    Ok(ExitStatus::Done)
}

fn json(statistics: &LogStatistics) -> Result<String, CliError> {
    serde_json::to_string_pretty(statistics).map_err(|cause| {
        CliError::Output(OutputError {
            path: "standard output".into(),
            problem: "the statistics cannot be written as JSON".to_owned(),
            hint: "leave out --json".to_owned(),
            cause: Some(cause.into()),
        })
    })
}
