//! `overflown inspect`: what is in this log?

use super::{CliError, ExitStatus, Printer, log};
use crate::report::{OutputError, inspect_text};
use crate::track::clean::{CleanSettings, DEFAULT_SPEED_LIMIT_KT};
use crate::track::read::ReadSettings;
use crate::track::summary::LogStatistics;
use crate::units::Speed;
use std::path::PathBuf;

/// Entries of each finding that are printed without `--ledger`.
const ENTRIES_EACH: usize = 10;

/// Arguments of `inspect`.
#[derive(Debug, clap::Args)]
pub struct InspectArgs {
    /// The track log: GPX 1.0 or 1.1 with a recorded track.
    #[arg(value_name = "LOG")]
    file: PathBuf,
    /// Print the statistics as JSON (SI units, times UTC).
    #[arg(long)]
    json: bool,
    /// Read a file that breaks off or is ill-formed up to that place.
    #[arg(long)]
    salvage: bool,
    /// Refuse the log if any point in it cannot be used.
    #[arg(long)]
    strict: bool,
    /// Print every point that was dropped or repaired, not just the first ten of each kind.
    #[arg(long)]
    ledger: bool,
    /// Longest time between fixes that still counts as recorded, in seconds [default: four times the
    /// median interval, at least 10].
    #[arg(long, value_name = "SECONDS", value_parser = positive)]
    gap_limit: Option<f64>,
    /// Ground speed above which a step between fixes is taken for an error, in knots.
    #[arg(long, value_name = "KNOTS", value_parser = positive, default_value_t = DEFAULT_SPEED_LIMIT_KT)]
    speed_limit: f64,
}

/// Reads, cleans and describes a log.
///
/// # Errors
/// If the log is refused.
pub fn run(args: &InspectArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let reading = ReadSettings {
        salvage: args.salvage,
    };
    let settings = CleanSettings {
        gap_limit_s: args.gap_limit,
        speed_limit: Speed::from_kt(args.speed_limit),
        strict: args.strict,
    };
    let track = log::load(&args.file, reading, &settings)?;
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

fn positive(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if value > 0.0 && value.is_finite() => Ok(value),
        _ => Err("a number above 0 is accepted".to_owned()),
    }
}
