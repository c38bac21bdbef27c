//! `overflown logbook`: debriefs kept for training reviews.

use super::{CliError, ExitStatus, Printer};
use crate::characters::{PERSON_NAMES, is_person_name, visible};
use crate::input::{InputError, shown_path};
use crate::logbook::{Added, Adding, Document, Entry, Filter, Logbook, Record};
use crate::plan::PatternKind;
use crate::report::format::counted;
use crate::report::{OutputError, columns, folder, logbook as report};
use crate::training::flight::VERSION;
use crate::training::{Flight, Tolerances};
use chrono::{DateTime, NaiveDate, Utc};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// The file of a debrief that is kept.
const DEBRIEF: &str = "debrief.json";

/// Keep debriefs in a logbook for training reviews: one file, a GeoPackage that maps open as well.
///
/// It holds names of people beside how they flew: keep it as your rules on personal data say (docs/logbook.md).
#[derive(Debug, clap::Args)]
pub struct LogbookArgs {
    #[command(subcommand)]
    command: Command,
    /// The logbook.
    #[arg(
        long,
        global = true,
        value_name = "FILE",
        default_value = "logbook.gpkg"
    )]
    logbook: PathBuf,
}

#[derive(Debug, clap::Subcommand)]
enum Command {
    /// Add debriefs; the first one makes the logbook where there is none.
    Add(AddArgs),
    /// List the entries.
    List(ListArgs),
    /// Show an entry with its legs and measures.
    Show(ShowArgs),
    /// Remove entries.
    Remove(RemoveArgs),
    /// Write all entries with their measures as a table or as JSON.
    Export(ExportArgs),
}

#[derive(Debug, clap::Args)]
struct AddArgs {
    /// Debrief folders, or the debrief.json in them.
    #[arg(value_name = "FOLDER", required = true)]
    folders: Vec<PathBuf>,
    /// Who flew them [default: the `pilot` of the tasking].
    #[arg(long, value_name = "NAME", value_parser = pilot)]
    pilot: Option<String>,
    /// Take the place of what is there of the same flight.
    #[arg(long)]
    replace: bool,
}

#[derive(Debug, clap::Args)]
struct ListArgs {
    /// Entries of this pilot only.
    #[arg(long, value_name = "NAME")]
    pilot: Option<String>,
    /// Entries of this day and later, such as 2026-06-01.
    #[arg(long, value_name = "DATE")]
    since: Option<NaiveDate>,
    /// Entries of this day and earlier.
    #[arg(long, value_name = "DATE")]
    until: Option<NaiveDate>,
    /// Entries of this pattern, such as parallel-sweep.
    #[arg(long, value_name = "PATTERN", value_parser = pattern)]
    pattern: Option<PatternKind>,
    /// Print them as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct ShowArgs {
    /// Its number, or the name of its sortie.
    #[arg(value_name = "ENTRY")]
    entry: String,
    /// Print it as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct RemoveArgs {
    /// Numbers of the entries.
    #[arg(value_name = "NUMBER", required = true)]
    numbers: Vec<i64>,
}

#[derive(Debug, clap::Args)]
struct ExportArgs {
    /// What to write.
    #[arg(long, value_enum, value_name = "FORMAT")]
    format: Format,
    /// The file to be written [default: standard output].
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Replace a file that is already there.
    #[arg(long)]
    overwrite: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// A row an entry, a column a measure.
    Csv,
    /// The same table as Parquet.
    Parquet,
    /// A list of objects.
    Json,
}

/// The pattern of a name for files.
pub(super) fn pattern(text: &str) -> Result<PatternKind, String> {
    let kind = PatternKind::ALL.into_iter().find(|kind| kind.key() == text);
    kind.ok_or_else(|| {
        let keys: Vec<&str> = PatternKind::ALL.into_iter().map(PatternKind::key).collect();
        format!("expected one of {}", keys.join(", "))
    })
}

/// Does what is asked of the logbook.
///
/// # Errors
/// When an input is refused, the logbook cannot be read or written, or a file cannot be written.
pub fn run(args: &LogbookArgs, printer: &Printer) -> Result<ExitStatus, CliError> {
    let path = &args.logbook;
    match &args.command {
        Command::Add(wanted) => add(wanted, path, printer)?,
        Command::List(wanted) => list(wanted, path, printer)?,
        Command::Show(wanted) => show(wanted, path, printer)?,
        Command::Remove(wanted) => {
            Logbook::open_to_change(path)?.remove(&wanted.numbers, now())?;
            printer.note(&format!("removed from {}", shown_path(path)));
        }
        Command::Export(wanted) => export(wanted, path, printer)?,
    }
    Ok(ExitStatus::Done)
}

/// Adds one after the other, each whole or not at all; one that is refused does not keep the others out.
fn add(args: &AddArgs, path: &Path, printer: &Printer) -> Result<(), CliError> {
    Logbook::can_be_added_to(path)?;
    let mut logbook: Option<Logbook> = None;
    let mut refusals: Vec<InputError> = Vec::new();
    let tolerances = Tolerances::usual()?;
    for folder in &args.folders {
        let result = prepared(folder, args.pilot.as_deref()).and_then(|(document, pilot)| {
            let logbook = match &mut logbook {
                Some(logbook) => logbook,
                closed => closed.insert(Logbook::open_to_add(path)?),
            };
            let how = Adding {
                pilot: &pilot,
                replace: args.replace,
                at: now(),
            };
            let record = recorded(document.text(), document.file(), &tolerances)?;
            let added = logbook.add(&document, &record, how)?;
            Ok(told(&document, &pilot, &added))
        });
        match result {
            Ok(words) => printer.note(&words),
            // Of the logbook itself, and so of all that is still to come.
            Err(error) if error.file == path => return Err(error.into()),
            Err(error) => refusals.push(error),
        }
    }
    if let Some(logbook) = &mut logbook {
        renew(logbook, &tolerances, printer)?;
    }
    let last = refusals.pop();
    for error in &refusals {
        printer.error(error, &error.hint);
    }
    last.map_or(Ok(()), |error| Err(error.into()))
}

/// What a review keeps of a debrief.
fn recorded(text: &str, path: &Path, tolerances: &Tolerances) -> Result<Record, InputError> {
    let flight = Flight::parse(text, path)?;
    Record::of(&flight, tolerances).map_err(|error| {
        let hint = "this is a fault of the program; please report it";
        InputError::new(path, None, error.to_string(), hint)
    })
}

/// Brings up to date what an earlier version kept for reviews. An entry of which that cannot be done is told and left as it is.
fn renew(
    logbook: &mut Logbook,
    tolerances: &Tolerances,
    printer: &Printer,
) -> Result<(), InputError> {
    let mut renewed = 0;
    for id in logbook.outdated(VERSION)? {
        let text = logbook.document(id);
        let record = text.and_then(|text| recorded(&text, logbook.path(), tolerances));
        match record {
            Ok(record) => {
                logbook.renew(id, &record, now())?;
                renewed += 1;
            }
            Err(error) => printer.note(&format!(
                "entry {id} stays as an earlier version kept it: {error}"
            )),
        }
    }
    if renewed > 0 {
        let flights = counted(renewed, "flight");
        printer.note(&format!(
            "{flights} that an earlier version kept brought up to date"
        ));
    }
    Ok(())
}

/// A debrief that can be added, and who flew it.
fn prepared(folder: &Path, pilot: Option<&str>) -> Result<(Document, String), InputError> {
    let file = if folder.is_dir() {
        folder.join(DEBRIEF)
    } else {
        folder.to_owned()
    };
    let document = Document::read(&file)?;
    let pilot = pilot.or(document.pilot()).map(str::to_owned);
    let pilot = pilot.ok_or_else(|| {
        let hint =
            "name who flew with --pilot NAME, or write `pilot` into the tasking and debrief again";
        InputError::new(&file, None, "does not say who flew", hint)
    })?;
    Ok((document, pilot))
}

fn told(document: &Document, pilot: &str, added: &Added) -> String {
    let became = match added {
        Added::New(number) => format!("entry {number}"),
        Added::There(number) => format!("there already, as entry {number}"),
        Added::Replaced { number, went } if went.len() > 1 => {
            let went: Vec<String> = went.iter().map(i64::to_string).collect();
            format!(
                "entry {number}, in the place of entries {}",
                went.join(", ")
            )
        }
        Added::Replaced { number, .. } => format!("entry {number}, in the place of the one before"),
    };
    let (sortie, pilot) = (visible(document.name()), visible(pilot));
    format!("{sortie}, flown by {pilot}: {became}")
}

fn list(args: &ListArgs, path: &Path, printer: &Printer) -> Result<(), CliError> {
    let logbook = Logbook::open(path)?;
    let filter = Filter {
        pilot: args.pilot.clone(),
        since: args.since,
        until: args.until,
        pattern: args.pattern,
    };
    let entries = logbook.records(&filter)?;
    if let Some(name) = args.pilot.as_deref().filter(|_| entries.is_empty())
        && logbook.pilots_called(name)?.is_empty()
    {
        return Err(no_pilot(&logbook, name)?.into());
    }
    if args.json {
        printer.data(&report::list_json(&entries).map_err(|e| fault(path, &e))?);
    } else {
        printer.result(&report::list(&entries));
    }
    Ok(())
}

/// That nobody is called so, with who may be meant.
pub(super) fn no_pilot(logbook: &Logbook, name: &str) -> Result<InputError, InputError> {
    let near = logbook.pilots_near(name)?;
    let hint = if near.is_empty() {
        "`overflown logbook list` shows the pilots".to_owned()
    } else {
        format!("did you mean {}?", near.join(", or "))
    };
    let problem = format!("has no entry of a pilot {name}");
    Ok(InputError::new(logbook.path(), None, problem, hint))
}

fn show(args: &ShowArgs, path: &Path, printer: &Printer) -> Result<(), CliError> {
    let logbook = Logbook::open(path)?;
    let entry = one(&logbook, &args.entry)?;
    let legs = logbook.legs(entry.id)?;
    let values = logbook.all_values()?;
    if args.json {
        let json = report::show_json(&entry, &legs, &values).map_err(|e| fault(path, &e))?;
        printer.data(&json);
    } else {
        printer.result(&report::show(&entry, &legs, &values));
    }
    Ok(())
}

/// The one entry that a number or a name stands for; a number goes before a name.
fn one(logbook: &Logbook, wanted: &str) -> Result<Entry, InputError> {
    let by_number = wanted.parse().ok().map(|number| logbook.entry(number));
    if let Some(entry) = by_number.transpose()?.flatten() {
        return Ok(entry);
    }
    let mut entries = logbook.entries_called(wanted)?;
    let refused =
        |problem: String, hint: &str| InputError::new(logbook.path(), None, problem, hint);
    match (entries.pop(), entries.len()) {
        (Some(entry), 0) => Ok(entry),
        (Some(last), _) => {
            let all = entries.iter().chain([&last]);
            let numbers: Vec<String> = all.map(|entry| entry.id.to_string()).collect();
            let problem = format!(
                "has several entries called {wanted}: {}",
                numbers.join(", ")
            );
            Err(refused(
                problem,
                "give the number of the one that is wanted",
            ))
        }
        (None, _) => {
            let problem = format!("has no entry {wanted}");
            Err(refused(
                problem,
                "`overflown logbook list` shows the numbers and names",
            ))
        }
    }
}

fn export(args: &ExportArgs, path: &Path, printer: &Printer) -> Result<(), CliError> {
    let logbook = Logbook::open(path)?;
    let entries = logbook.records(&Filter::default())?;
    let values = logbook.all_values()?;
    let columns = || report::columns(&entries, &values);
    let bytes = match args.format {
        Format::Csv => columns::csv(&columns()).into_bytes(),
        Format::Parquet => columns::parquet(&columns()).map_err(|e| fault(path, &e))?,
        Format::Json => report::json(&entries, &values)
            .map_err(|e| fault(path, &e))?
            .into_bytes(),
    };
    match &args.out {
        None => printer.bytes(&bytes),
        Some(out) if args.overwrite => folder::replace_file(out, &bytes)?,
        Some(out) => folder::write_new_file(out, &bytes)?,
    }
    Ok(())
}

/// The clock, read here alone: the library is told the time.
fn now() -> DateTime<Utc> {
    SystemTime::now().into()
}

/// The name of a person.
pub(super) fn pilot(text: &str) -> Result<String, String> {
    if is_person_name(text) {
        Ok(text.trim().to_owned())
    } else {
        Err(format!("a name is accepted: {PERSON_NAMES}"))
    }
}

fn fault(path: &Path, error: &dyn std::error::Error) -> OutputError {
    OutputError {
        path: path.to_owned(),
        problem: format!("its entries cannot be written: {error}"),
        hint: "this is a fault of the program; please report it".into(),
        cause: None,
    }
}
