//! Lines from a table (RFC 4180, or with semicolons or tabs): a place a row, with columns `lat` and `lon`, and where
//! there are several lines or names `line_number`, `line_name` and `place_name`.

use super::super::area_file::{Fault, place};
use super::{ACCEPTED, Line};
use crate::tasking::quantity::shown;
use crate::track::formula;
use csv::{ReaderBuilder, StringRecord};

/// Columns and what else they may be called.
const LAT: &[&str] = &["lat", "latitude"];
const LON: &[&str] = &["lon", "long", "lng", "longitude"];
const NUMBER: &[&str] = &["line_number"];
const NAME: &[&str] = &["line_name"];
const PLACE_NAME: &[&str] = &["place_name"];
/// Columns that a recorded track has.
const TIME: &[&str] = &["time", "time_utc", "timestamp", "datetime", "date"];

/// Whether the first line names a latitude and a longitude.
pub(super) fn is_one(bytes: &[u8]) -> bool {
    let header = header(bytes);
    column(&header, LAT).is_some() && column(&header, LON).is_some()
}

pub(super) fn lines(bytes: &[u8]) -> Result<Vec<Line>, Fault> {
    let names = header(bytes);
    if column(&names, TIME).is_some() {
        return Err(Fault::new(
            Some(1),
            "the table has times, as a recorded track has",
            "a planned line is a table of places without times",
        ));
    }
    let needed =
        |column: Option<usize>| column.ok_or_else(|| Fault::new(None, "no place", ACCEPTED));
    let (lat, lon) = (needed(column(&names, LAT))?, needed(column(&names, LON))?);
    let (number, name) = (column(&names, NUMBER), column(&names, NAME));
    let place_name = column(&names, PLACE_NAME);
    let mut rows = ReaderBuilder::new()
        .delimiter(separator(bytes))
        .from_reader(bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes));
    let mut lines: Vec<Line> = Vec::new();
    let mut last: Option<[String; 2]> = None;
    for row in rows.records() {
        let row = row.map_err(|error| {
            let line = error.position().map(csv::Position::line);
            let line = line.and_then(|line| u32::try_from(line).ok());
            Fault::new(line, format!("the table cannot be read: {error}"), ACCEPTED)
        })?;
        let line = row.position().map(csv::Position::line);
        let line = line.and_then(|line| u32::try_from(line).ok());
        let degrees = |column: usize| {
            let text = row.get(column).unwrap_or_default().trim();
            text.parse::<f64>().map_err(|_| {
                let problem = format!("{} is not a number of degrees", shown(text));
                Fault::new(
                    line,
                    problem,
                    "give decimal degrees, south and west negative",
                )
            })
        };
        let at = place(degrees(lon)?, degrees(lat)?)
            .map_err(|problem| Fault::new(line, problem, "correct it"))?;
        let of = [number, name].map(|column| text(&row, column).unwrap_or_default());
        if last.as_ref() != Some(&of) {
            lines.push(Line {
                name: text(&row, name),
                ..Line::default()
            });
            last = Some(of);
        }
        if let Some(line) = lines.last_mut() {
            line.places.push(at);
            line.place_names.push(text(&row, place_name));
        }
    }
    Ok(lines)
}

/// What a cell says, if it says anything.
fn text(row: &StringRecord, column: Option<usize>) -> Option<String> {
    let cell = row.get(column?)?.trim();
    let text = formula::unguarded(cell);
    (!text.is_empty()).then(|| text.to_owned())
}

fn column(header: &[String], names: &[&str]) -> Option<usize> {
    header
        .iter()
        .position(|name| names.contains(&name.as_str()))
}

/// The names of the columns.
fn header(bytes: &[u8]) -> Vec<String> {
    let first = first_line(bytes);
    let separator = char::from(separator(bytes));
    first
        .split(separator)
        .map(|name| name.trim().trim_matches('"').to_ascii_lowercase())
        .collect()
}

fn separator(bytes: &[u8]) -> u8 {
    let first = first_line(bytes);
    let mut separators = [b'\t', b';'].into_iter();
    separators
        .find(|separator| first.contains(char::from(*separator)))
        .unwrap_or(b',')
}

fn first_line(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let first = bytes.split(|byte| *byte == b'\n').next();
    String::from_utf8_lossy(first.unwrap_or_default()).into_owned()
}
