//! `overflown convert`: a track log, or planned lines, in another format.

use super::log::{ChoiceArgs, all_called};
use super::{CliError, ExitStatus, Printer};
use crate::input::InputError;
use crate::plan::line_file;
use crate::plan::line_out::{self, LineFormat};
use crate::report::format::counted;
use crate::report::{OutputError, folder};
use crate::track::Reading;
use crate::track::write::{LogFormat, WriteError, WriteSettings, write};
use std::path::{Path, PathBuf};

/// The path that stands for standard output.
const STANDARD_OUTPUT: &str = "-";

/// Arguments of `convert`.
#[derive(Debug, clap::Args)]
pub struct ConvertArgs {
    /// The recorded track, in one file or several, in any format that can be read as a log; with --routes files
    /// with planned lines.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// The file to be written, or - for standard output.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Its format: gpx, igc, nmea, kml, kmz, geojson, csv or tsv [default: what the ending of its name says].
    #[arg(long, value_name = "FORMAT")]
    to: Option<String>,
    /// Replace a file that is already there.
    #[arg(long)]
    overwrite: bool,
    /// Convert planned lines (routes of GPX, LineStrings of KML and GeoJSON, tables of places) instead of recorded
    /// tracks.
    #[arg(long)]
    routes: bool,
    /// Write heights also where the format measures them from something else than they are.
    #[arg(long)]
    heights_as_they_are: bool,
    #[command(flatten)]
    choice: ChoiceArgs,
}

/// Reads, converts and writes.
///
/// # Errors
/// When an input is refused, the format cannot hold it at all, or the file cannot be written.
pub fn run(args: &ConvertArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let (bytes, notes) = if args.routes {
        routes(args)?
    } else {
        tracks(args)?
    };
    if args.out == Path::new(STANDARD_OUTPUT) {
        printer.bytes(&bytes);
    } else if args.overwrite {
        folder::replace_file(&args.out, &bytes)?;
    } else {
        folder::write_new_file(&args.out, &bytes)?;
    }
    for note in notes {
        printer.note(&note);
    }
    if args.out != Path::new(STANDARD_OUTPUT) {
        printer.note(&format!("written: {}", args.out.display()));
    }
    Ok(ExitStatus::Done)
}

fn tracks(args: &ConvertArgs) -> Result<(Vec<u8>, Vec<String>), CliError> {
    let format = format(args, LogFormat::of_name, LogFormat::NAMES)?;
    let reading = args
        .choice
        .read(&args.files)
        .map_err(|error| or_routes(error, &args.files))?;
    let settings = WriteSettings {
        heights_as_they_are: args.heights_as_they_are,
    };
    let written = write(&reading, format, settings).map_err(|error| {
        let hint = match error {
            WriteError::Empty => "`overflown inspect` tells what is wrong with its points",
            WriteError::Year { .. } => {
                "choose a format with whole years, such as gpx, or cut the log with --since and --until"
            }
            WriteError::Io(_) => "this is a fault of the program; please report it with the log",
        };
        InputError::new(&all_called(&args.files), None, error.to_string(), hint)
    })?;
    let mut notes = unusable(&reading);
    notes.extend(written.lost.iter().map(|lost| format!("not kept: {lost}")));
    Ok((written.bytes, notes))
}

/// What of the files is not among the fixes that are written.
fn unusable(reading: &Reading) -> Vec<String> {
    let counts = reading.ledger.counts().into_iter();
    counts
        .map(|(finding, count)| format!("{count} × {}", finding.describe()))
        .collect()
}

fn routes(args: &ConvertArgs) -> Result<(Vec<u8>, Vec<String>), CliError> {
    let format = format(args, LineFormat::of_name, LineFormat::NAMES)?;
    let mut lines = Vec::new();
    for file in &args.files {
        lines.extend(line_file::read_all(file)?);
    }
    let (bytes, lost) = line_out::write(&lines, format).map_err(|problem| OutputError {
        path: args.out.clone(),
        problem,
        hint: "this is a fault of the program; please report it with the file".into(),
        cause: None,
    })?;
    let mut notes = vec![counted(lines.len(), "planned line")];
    notes.extend(lost.iter().map(|lost| format!("not kept: {lost}")));
    Ok((bytes, notes))
}

/// The format asked for, or that of the name of the file.
fn format<F: std::str::FromStr<Err = String>>(
    args: &ConvertArgs,
    of_name: fn(&Path) -> Option<F>,
    names: &str,
) -> Result<F, CliError> {
    let usage = |problem: String| CliError::Usage {
        problem,
        hint: format!("give the format with --to: {names}"),
    };
    match &args.to {
        Some(name) => name
            .parse()
            .map_err(|accepted| usage(format!("\"{name}\" is no format to write: {accepted}"))),
        None => of_name(&args.out).ok_or_else(|| {
            usage(format!(
                "the name of {} does not say in which format it is to be written",
                args.out.display()
            ))
        }),
    }
}

/// A file without a track may hold planned lines.
fn or_routes(error: InputError, files: &[PathBuf]) -> InputError {
    let lines = files.iter().find_map(|file| line_file::read_all(file).ok());
    match lines {
        Some(lines) => InputError {
            hint: format!(
                "it holds {}; add --routes to convert them",
                counted(lines.len(), "planned line")
            ),
            ..error
        },
        None => error,
    }
}
