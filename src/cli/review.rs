//! `overflown review`: flights of one pilot, one after the other, or those of several beside each other.

mod class;

use super::logbook::{self, no_pilot};
use super::{CliError, ExitStatus, Printer};
use crate::characters::in_folder_name;
use crate::input::{InputError, shown_path};
use crate::logbook::{Entry, Filter, Logbook};
use crate::plan::PatternKind;
use crate::report::format::counted;
use crate::report::{self, File, OutputError, ReportError};
use crate::training::flight::{VERSION, anonymise, twice};
use crate::training::{Flight, Measure, Tolerances, review};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What a pilot is called where names are left out.
const SOMEONE: &str = "Pilot";

/// Arguments of `review`.
#[derive(Debug, clap::Args)]
pub struct ReviewArgs {
    /// Debrief folders of one pilot, or the debrief.json in them [default: what the logbook has of --pilot].
    #[arg(value_name = "FOLDER")]
    folders: Vec<PathBuf>,
    /// Whose flights; with --class may be repeated.
    #[arg(long, value_name = "NAME", value_parser = logbook::pilot)]
    pilot: Vec<String>,
    /// Put several pilots beside each other, for the leader of a course: those of the folders, or all of the logbook, or
    /// those of --pilot.
    #[arg(long)]
    class: bool,
    /// The logbook.
    #[arg(long, value_name = "FILE", default_value = "logbook.gpkg")]
    logbook: PathBuf,
    /// Flights of this day and later, such as 2026-06-01.
    #[arg(long, value_name = "DATE")]
    since: Option<NaiveDate>,
    /// Flights of this day and earlier.
    #[arg(long, value_name = "DATE")]
    until: Option<NaiveDate>,
    /// Flights of this pattern, such as parallel-sweep; all for flights of any patterns together.
    #[arg(long, value_name = "PATTERN", value_parser = pattern)]
    pattern: Option<Wanted>,
    /// What counts as good enough (TOML, see docs/training.md).
    #[arg(long, value_name = "FILE")]
    tolerances: Option<PathBuf>,
    /// Leave the names of pilots and sorties out.
    #[arg(long)]
    anonymise: bool,
    /// Folder in which the result folder, called after the pilot, is made.
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Print the review as JSON instead of the report.
    #[arg(long)]
    json: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wanted {
    Pattern(PatternKind),
    All,
}

fn pattern(text: &str) -> Result<Wanted, String> {
    match text {
        "all" => Ok(Wanted::All),
        text => logbook::pattern(text)
            .map(Wanted::Pattern)
            .map_err(|error| format!("{error}, or all")),
    }
}

/// Reads the flights, reviews them, writes the result folder and prints the report.
///
/// # Errors
/// When an input is refused, no flight is left, or a result cannot be written.
pub fn run(args: &ReviewArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let tolerances = match &args.tolerances {
        Some(path) => Tolerances::read(path)?,
        None => Tolerances::usual()?,
    };
    if args.class {
        return class::run(args, &tolerances, printer);
    }
    if args.folders.is_empty() && args.pilot.is_empty() {
        return Err(CliError::Usage {
            problem: "nothing says whose flights".into(),
            hint: "--pilot NAME takes them out of the logbook; --class all of it; or name debrief folders".into(),
        });
    }
    if args.pilot.len() > 1 {
        return Err(CliError::Usage {
            problem: "a review is of one pilot".into(),
            hint: "--class puts several beside each other".into(),
        });
    }
    let (mut flights, logbook) = if args.folders.is_empty() {
        let logbook = Logbook::open(&args.logbook)?;
        let name = args.pilot.first().map_or("", String::as_str);
        (of_logbook(&logbook, name)?, Some(logbook))
    } else {
        (of_folders(&args.folders)?, None)
    };
    wanted(&mut flights, args);
    of_one_pattern(&flights, args.pattern)?;
    let pilot = pilot(&flights, args)?;
    once_each(&flights)?;
    let others = match &logbook {
        Some(logbook) => {
            let outdated = logbook.outdated(VERSION)?.len();
            if outdated > 0 {
                printer.note(&format!(
                    "{} kept by an earlier version: not among the other pilots until the next `overflown logbook add` brings them up to date",
                    counted(outdated, "flight")
                ));
            }
            others(logbook, &flights, args)?
        }
        None => Vec::new(),
    };
    if args.anonymise {
        anonymise(&mut flights);
    }
    let result = review(&pilot, flights, &others, &tolerances);
    let name = format!("Review {}", in_folder_name(&result.pilot));
    let text = report::review::text::report(&result);
    write(args, &name, report::review::files(&result), &text, printer)
}

/// Those of the days and the pattern that were asked for.
fn wanted(flights: &mut Vec<Flight>, args: &ReviewArgs) {
    flights.retain(|flight| {
        let day = flight.started.date_naive();
        args.since.is_none_or(|since| day >= since)
            && args.until.is_none_or(|until| day <= until)
            && match args.pattern {
                Some(Wanted::Pattern(kind)) => flight.pattern == kind,
                Some(Wanted::All) | None => true,
            }
    });
}

/// Writes the result folder and prints the report, or its JSON.
fn write(
    args: &ReviewArgs,
    name: &str,
    files: Result<Vec<File>, ReportError>,
    text: &str,
    printer: &Printer,
) -> Result<ExitStatus, CliError> {
    let files = files.map_err(|error| OutputError {
        path: args.out.join(name),
        problem: error.to_string(),
        hint: "this is a fault of the program; please report it".into(),
        cause: None,
    })?;
    let folder = report::folder::write(&args.out, name, &files, &[])?;
    if args.json {
        let json = files.iter().find(|file| file.name.ends_with(".json"));
        printer.data(
            &json
                .map(|file| String::from_utf8_lossy(&file.bytes))
                .unwrap_or_default(),
        );
    } else {
        printer.result(text);
    }
    let names: Vec<&str> = files.iter().map(|file| file.name).collect();
    printer.note(&format!(
        "written to {}: {}",
        shown_path(&folder),
        names.join(", ")
    ));
    Ok(ExitStatus::Done)
}

fn of_folders(folders: &[PathBuf]) -> Result<Vec<Flight>, InputError> {
    let file = |folder: &PathBuf| {
        if folder.is_dir() {
            folder.join("debrief.json")
        } else {
            folder.clone()
        }
    };
    folders
        .iter()
        .map(|folder| Flight::read(&file(folder)))
        .collect()
}

/// The flights of a pilot in a logbook.
fn of_logbook(logbook: &Logbook, name: &str) -> Result<Vec<Flight>, InputError> {
    let filter = Filter {
        pilot: Some(name.to_owned()),
        ..Filter::default()
    };
    let entries = logbook.records(&filter)?;
    if entries.is_empty() {
        return Err(no_pilot(logbook, name)?);
    }
    entries.iter().map(|entry| flight(logbook, entry)).collect()
}

/// A flight as it is kept; made anew from its debrief where it was kept by another version.
fn flight(logbook: &Logbook, entry: &Entry) -> Result<Flight, InputError> {
    let kept = (entry.record_version == VERSION)
        .then(|| serde_json::from_str::<Flight>(&entry.record).ok())
        .flatten();
    let flight = match kept {
        Some(flight) => flight,
        None => Flight::parse(&logbook.document(entry.id)?, logbook.path())?,
    };
    Ok(Flight {
        pilot: Some(entry.pilot.clone()),
        ..flight
    })
}

/// Shortfalls of everybody else's flights, of the same pattern where these are of one. What goes by the tolerances was kept with the usual
/// ones, and is left out where others are given.
fn others(
    logbook: &Logbook,
    flights: &[Flight],
    args: &ReviewArgs,
) -> Result<Vec<(String, Measure, f64)>, InputError> {
    let mut patterns: Vec<PatternKind> = flights.iter().map(|flight| flight.pattern).collect();
    patterns.dedup();
    let pattern = match patterns.as_slice() {
        [pattern] => Some(*pattern),
        _ => None,
    };
    let is_own = |pilot: &String| {
        flights
            .iter()
            .any(|flight| flight.pilot.as_ref() == Some(pilot))
    };
    let values = logbook.values_by_pilot(VERSION, pattern)?;
    let shortfall = |(pilot, id, value): (String, String, f64)| {
        let measure = Measure::called(&id)?;
        let comparable = args.tolerances.is_none() || !measure.goes_by_tolerances();
        (comparable && !is_own(&pilot)).then(|| (pilot, measure, measure.shortfall(value)))
    };
    Ok(values.into_iter().filter_map(shortfall).collect())
}

/// Whether no flight is there twice, which would count as two.
fn once_each(flights: &[Flight]) -> Result<(), CliError> {
    let Some((one, other)) = twice(flights) else {
        return Ok(());
    };
    Err(CliError::Usage {
        problem: format!(
            "{} and {} are the same flight: both logs begin at {}",
            one.sortie, other.sortie, one.started
        ),
        hint: "give one debrief of each flight".into(),
    })
}

/// Whether the flights are there, and of one pattern unless all were wanted.
fn of_one_pattern(flights: &[Flight], wanted: Option<Wanted>) -> Result<(), CliError> {
    let mut patterns: BTreeMap<&str, usize> = BTreeMap::new();
    for flight in flights {
        *patterns.entry(flight.pattern.key()).or_default() += 1;
    }
    if patterns.is_empty() {
        return Err(CliError::Usage {
            problem: "no flight is left with these days and this pattern".into(),
            hint: "`overflown logbook list` shows what is there".into(),
        });
    }
    if patterns.len() > 1 && wanted.is_none() {
        let counts: Vec<String> = patterns
            .iter()
            .map(|(kind, count)| format!("{count} of {kind}"))
            .collect();
        return Err(CliError::Usage {
            problem: format!("the flights are of several patterns: {}", counts.join(", ")),
            hint: "choose one with --pattern, since they are not equally hard to fly; --pattern all takes them together".into(),
        });
    }
    Ok(())
}

/// Whose flights they are; they must be one pilot's.
fn pilot(flights: &[Flight], args: &ReviewArgs) -> Result<String, CliError> {
    if args.anonymise {
        return Ok(SOMEONE.to_owned());
    }
    if let Some(pilot) = args.folders.first().and(args.pilot.first()) {
        return Ok(pilot.clone());
    }
    let mut names: Vec<&str> = flights.iter().filter_map(|f| f.pilot.as_deref()).collect();
    names.sort_unstable();
    names.dedup();
    match names.as_slice() {
        [] => Ok(SOMEONE.to_owned()),
        [name] => Ok((*name).to_owned()),
        several => Err(CliError::Usage {
            problem: format!("the flights are of several pilots: {}", several.join(", ")),
            hint: "give those of one, say with --pilot whose they are, or put them beside each other with --class".into(),
        }),
    }
}
