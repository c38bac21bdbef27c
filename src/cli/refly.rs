//! `overflown refly`: several sorties as one search, and what to fly next.

mod given;

use super::also::{self, AlsoList};
use super::log::ReadingArgs;
use super::{CliError, ExitStatus, Printer};
use crate::input::{InputError, shown_path};
use crate::plan::outline;
use crate::report::{self, OutputError, refly_words};
use crate::search::{Part, Search, SearchError, Wants, search};
use crate::tasking::{self, SearchTask, quantity};
use std::path::{Path, PathBuf};

/// Arguments of `refly`.
#[derive(Debug, clap::Args)]
pub struct ReflyArgs {
    /// Debrief folders (or the debrief.json in them), or folders with the track logs of one flight
    /// and one tasking.
    #[arg(value_name = "SORTIE")]
    sorties: Vec<PathBuf>,
    /// A track log and its tasking (may be repeated).
    #[arg(long, num_args = 2, value_names = ["TRACK", "TASKING"], action = clap::ArgAction::Append)]
    pair: Vec<PathBuf>,
    /// Take every debrief folder in this folder.
    #[arg(long, value_name = "DIR")]
    dir: Option<PathBuf>,
    /// The search: name, sub-areas and how likely the object is in each, base (TOML, see
    /// docs/search-file.md).
    #[arg(long, value_name = "FILE")]
    search: Option<PathBuf>,
    /// POD wanted over the ground, such as 0.8 [default: the targets of the sorties, strip by strip].
    #[arg(long, value_name = "POD", value_parser = pod)]
    target_pod: Option<f64>,
    /// Longest re-fly with turns and transits, such as "90 min" [default: as long as it takes].
    #[arg(long, value_name = "TIME", value_parser = seconds)]
    flight_time: Option<f64>,
    /// Take sorties of any days as one search.
    #[arg(long)]
    any_days: bool,
    #[command(flatten)]
    reading: ReadingArgs,
    /// Folder in which the result folder, called after the search, is made.
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Files to write as well, for other programs: rasters (pod.tif), all (see docs/search-file.md).
    #[arg(long, value_name = "LIST", value_parser = also::of_search)]
    also: Option<AlsoList>,
    /// End with exit code 1 when strips need a re-fly.
    #[arg(long)]
    check: bool,
    /// Print the search as JSON instead of the report.
    #[arg(long)]
    json: bool,
}

/// Reads the sorties, takes them together, writes the result folder and prints the report.
///
/// # Errors
/// When an input is refused or a result cannot be written.
pub fn run(args: &ReflyArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let task = args
        .search
        .as_deref()
        .map(tasking::read_search)
        .transpose()?;
    let wants = wants(args, task.as_ref())?;
    let sorties = given::sorties(args, printer)?;
    printer.doing("taking the sorties together");
    let last = sorties.last().map(|sortie| sortie.file.clone());
    let result = search(sorties, &wants)
        .map_err(|error| refused(&error, args, task.as_ref(), last.as_deref()))?;
    write(args, &result, printer)
}

/// That no sortie is named is wrong usage; all else is a fault of a file: of a sortie, of the search file,
/// or, where that gives no ground, of the last sortie named.
fn refused(
    error: &SearchError,
    args: &ReflyArgs,
    task: Option<&SearchTask>,
    last: Option<&Path>,
) -> CliError {
    let ground = args
        .search
        .as_deref()
        .zip(task.filter(|task| !task.sub_areas.is_empty()));
    let at = match (error, error.file(), ground) {
        (_, Some(file), _) => Some((file, None)),
        (SearchError::Ground(error), None, Some((file, task))) => {
            let of = |name: &str| task.sub_areas.iter().find(|area| area.name == name);
            let line = error.sub_area().and_then(of).map(|area| area.area.line);
            Some((file, line))
        }
        (SearchError::Ground(_), None, None) => last.map(|file| (file, None)),
        _ => None,
    };
    match at {
        Some((file, line)) => InputError::new(file, line, error.to_string(), error.hint()).into(),
        None => CliError::Usage {
            problem: error.to_string(),
            hint: error.hint().to_owned(),
        },
    }
}

fn write(args: &ReflyArgs, result: &Search, printer: &Printer) -> Result<ExitStatus, CliError> {
    let also = args.also.as_ref().map_or(&[][..], |list| &list.0);
    let files = report::search::files(result, also).map_err(|error| OutputError {
        path: args.out.join(&result.name),
        problem: error.to_string(),
        hint: "this is a fault of the program; please report it with the debriefs".into(),
        cause: None,
    })?;
    let folder =
        report::folder::write(&args.out, &result.name, &files, &report::search::SOMETIMES)?;
    if args.json {
        let json = files.iter().find(|file| file.name == "search.json");
        printer.data(
            &json
                .map(|f| String::from_utf8_lossy(&f.bytes))
                .unwrap_or_default(),
        );
    } else {
        printer.result(&report::search::text::report(result));
    }
    let names: Vec<&str> = files.iter().map(|file| file.name).collect();
    printer.note(&format!(
        "written to {}: {}{}",
        shown_path(&folder),
        names.join(", "),
        refly_words::none_of(&result.refly)
    ));
    Ok(if args.check && result.strips_to_refly() > 0 {
        ExitStatus::StripsToRefly
    } else {
        ExitStatus::Done
    })
}

fn wants(args: &ReflyArgs, task: Option<&SearchTask>) -> Result<Wants, InputError> {
    let path = args.search.as_deref().unwrap_or(Path::new(""));
    let (parts, files) = match task {
        Some(task) => parts(task, path)?,
        None => (Vec::new(), Vec::new()),
    };
    let mut inputs: Vec<_> = task.map(|task| task.source.clone()).into_iter().collect();
    inputs.extend(files);
    Ok(Wants {
        name: task.map_or_else(|| "search".to_owned(), |task| task.name.clone()),
        parts,
        target_pod: args.target_pod.or(task.and_then(|task| task.target_pod)),
        base: task.and_then(|task| task.base),
        ground_speed: task.and_then(|task| task.ground_speed),
        flight_time_s: args
            .flight_time
            .or(task.and_then(|task| task.flight_time_s)),
        any_days: args.any_days,
        inputs,
    })
}

fn parts(
    task: &SearchTask,
    path: &Path,
) -> Result<(Vec<Part>, Vec<crate::input::InputFile>), InputError> {
    let mut files = Vec::new();
    let parts = task
        .sub_areas
        .iter()
        .map(|sub_area| {
            let (corners, file) = outline::of(&sub_area.area, path)?;
            files.extend(file);
            Ok(Part {
                name: sub_area.name.clone(),
                corners,
                poc: sub_area.poc,
            })
        })
        .collect::<Result<_, InputError>>()?;
    Ok((parts, files))
}

fn pod(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(pod) if pod > 0.0 && pod < 1.0 => Ok(pod),
        _ => Err("a number above 0 and below 1 is accepted, such as 0.8 for 80 %".to_owned()),
    }
}

fn seconds(text: &str) -> Result<f64, String> {
    quantity::duration_s(text)
        .map_err(|error| format!("{error}; expected {}", error.accepted))
        .and_then(|time| match time {
            time if time > 0.0 => Ok(time),
            _ => Err("must be more than zero".to_owned()),
        })
}
