//! The manifest: a table with a row for each sortie.

use super::orders::{Order, Orders};
use crate::characters::{
    FOLDER_NAMES, PERSON_NAMES, bounded, is_person_name, is_result_name, visible,
};
use crate::input::{InputError, unreadable, whole_named};
use csv::{ErrorKind, Position, ReaderBuilder, StringRecord};
use std::path::{Path, PathBuf};

/// The columns that a manifest may have; the first is needed.
pub const COLUMNS: [&str; 4] = ["log", "tasking", "sortie", "pilot"];

/// Largest manifest, bytes: it is held in memory. Chosen: a hundred thousand sorties have a tenth of it.
const MOST_BYTES: u64 = 1 << 27;

/// What stands between the files of one log. Not a semicolon, which parts columns where commas are decimal signs.
const BETWEEN_LOGS: char = '|';

/// Which of the columns a manifest has, and where.
struct Places([Option<usize>; COLUMNS.len()]);

/// Reads a manifest. Paths in it are relative to its folder.
pub(super) fn read(path: &Path) -> Result<Orders, InputError> {
    let bytes = whole_named(path, MOST_BYTES).map_err(|cause| unreadable(path, &cause))?;
    let text = std::str::from_utf8(&bytes).map_err(|error| {
        let before = &bytes[..error.valid_up_to()];
        let line = memchr::memchr_iter(b'\n', before).count() as u32 + 1;
        refused(
            path,
            Some(line),
            "not UTF-8 text",
            "save the table as CSV in UTF-8",
        )
    })?;
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    let mut reader = ReaderBuilder::new()
        .delimiter(separator(text))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let header = reader
        .headers()
        .map_err(|error| broken(path, text, &error))?;
    let places = Places::of(header, path)?;
    let mut orders = Orders {
        source: path.to_owned(),
        ..Orders::default()
    };
    for row in reader.records() {
        let row = row.map_err(|error| broken(path, text, &error))?;
        // Spreadsheets leave rows of empty cells behind the last one.
        if row.iter().any(|cell| !cell.is_empty()) {
            let line = row.position().map(|at| line(text, at));
            orders.orders.push(places.order(&row, line, path)?);
        }
    }
    if orders.orders.is_empty() {
        return Err(refused(
            path,
            None,
            "asks for no sortie",
            "below the names of the columns give a row for each sortie",
        ));
    }
    Ok(orders)
}

/// What parts the columns, told by the first line: a comma, or where that has none a semicolon or a tab.
fn separator(text: &str) -> u8 {
    let first = text.lines().next().unwrap_or_default();
    let there = |separator: &u8| first.contains(char::from(*separator));
    [b',', b';', b'\t'].into_iter().find(there).unwrap_or(b',')
}

impl Places {
    fn of(header: &StringRecord, path: &Path) -> Result<Self, InputError> {
        let mut places = [None; COLUMNS.len()];
        let accepted = format!(
            "the first line names the columns: {} is needed, and there may be {}",
            COLUMNS[0],
            COLUMNS[1..].join(", ")
        );
        for (at, cell) in header.iter().enumerate() {
            let known = COLUMNS
                .iter()
                .position(|column| cell.eq_ignore_ascii_case(column));
            let Some(known) = known else {
                let problem = format!("there is no column \"{}\" in a manifest", bounded(cell));
                return Err(refused(path, Some(1), problem, accepted));
            };
            if places[known].replace(at).is_some() {
                let problem = format!("the column {} is there twice", COLUMNS[known]);
                return Err(refused(path, Some(1), problem, accepted));
            }
        }
        if places[0].is_none() {
            let problem = format!("has no column {}", COLUMNS[0]);
            return Err(refused(path, Some(1), problem, accepted));
        }
        Ok(Self(places))
    }

    fn order(
        &self,
        row: &StringRecord,
        line: Option<u32>,
        path: &Path,
    ) -> Result<Order, InputError> {
        let refuse = |problem: String, hint: &str| Err(refused(path, line, problem, hint));
        let cell = |column: usize| {
            let cell = self.0[column].and_then(|at| row.get(at));
            cell.filter(|cell| !cell.is_empty())
        };
        let folder = path.parent().unwrap_or(Path::new(""));
        let parts = cell(0).unwrap_or_default().split(BETWEEN_LOGS);
        let mut logs: Vec<PathBuf> = Vec::new();
        for part in parts.map(str::trim) {
            // A dash would be standard input, which is for one log alone.
            if part.is_empty() || part == "-" {
                return refuse(
                    "names no log".to_owned(),
                    "give the file of the track log; several of one flight with | between them",
                );
            }
            let log = folder.join(part);
            if logs.contains(&log) {
                let problem = format!("names the log {} twice", visible(part));
                return refuse(problem, "give every file of the flight once");
            }
            logs.push(log);
        }
        let sortie = cell(2).map(str::to_owned);
        if let Some(name) = sortie.as_deref().filter(|name| !is_result_name(name)) {
            let problem = format!("\"{}\" cannot be the name of a sortie", bounded(name));
            return refuse(
                problem,
                &format!("it names the result folder: {FOLDER_NAMES}"),
            );
        }
        let pilot = cell(3).map(str::to_owned);
        if let Some(name) = pilot.as_deref().filter(|name| !is_person_name(name)) {
            let problem = format!("\"{}\" cannot be the name of a pilot", bounded(name));
            return refuse(problem, PERSON_NAMES);
        }
        Ok(Order {
            line,
            logs,
            tasking: cell(1).map(|tasking| folder.join(tasking)),
            sortie,
            pilot,
            name: None,
        })
    }
}

/// The line in which a row begins. Its position is where the one before ends: the end of that line, and empty ones, may stand
/// between.
fn line(text: &str, at: &Position) -> u32 {
    let rest = text
        .as_bytes()
        .get(at.byte() as usize..)
        .unwrap_or_default();
    let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    let passed = ends.filter(|byte| **byte == b'\n').count();
    at.line() as u32 + passed as u32
}

fn broken(path: &Path, text: &str, error: &csv::Error) -> InputError {
    let line = error.position().map(|at| line(text, at));
    let problem = match error.kind() {
        ErrorKind::UnequalLengths {
            expected_len, len, ..
        } => format!("has {len} cells where the first line names {expected_len} columns"),
        _ => format!("is no row of a table: {error}"),
    };
    let hint = "give a cell for each column; one with a comma in it stands in quotation marks";
    refused(path, line, problem, hint)
}

fn refused(
    path: &Path,
    line: Option<u32>,
    problem: impl Into<String>,
    hint: impl Into<String>,
) -> InputError {
    InputError::new(path, line, problem, hint)
}
