//! What is in a logbook, checked as it is read.

use super::Logbook;
use super::document::inflated;
use super::fault::failed;
use crate::characters::is_harmful;
use crate::input::InputError;
use crate::plan::PatternKind;
use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::types::Type;
use rusqlite::{Error, Params, Row};
use std::collections::BTreeMap;

/// Which entries are wanted.
#[derive(Clone, Debug, Default)]
pub struct Filter {
    /// Of this pilot: exactly so called, or where there is none such, but for capital letters.
    pub pilot: Option<String>,
    /// Flown on this day or later.
    pub since: Option<NaiveDate>,
    /// Flown on this day or earlier.
    pub until: Option<NaiveDate>,
    /// With this pattern.
    pub pattern: Option<PatternKind>,
}

/// A sortie in the logbook.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Its number.
    pub id: i64,
    /// Name of the sortie.
    pub sortie: String,
    /// Who flew.
    pub pilot: String,
    /// Day of the sortie, from the tasking.
    pub date: NaiveDate,
    /// Beginning of the search.
    pub started: DateTime<Utc>,
    /// End of the search.
    pub ended: DateTime<Utc>,
    /// The pattern.
    pub pattern: PatternKind,
    /// Number of planned search legs.
    pub planned_legs: u32,
    /// Version of the program that debriefed it.
    pub program_version: String,
    /// When it was added.
    pub added_at: DateTime<Utc>,
    /// Number of the form of `record`.
    pub record_version: u32,
    /// What the review keeps of it, as it stands in the file: not looked into here.
    pub record: String,
}

/// A planned search leg of an entry.
#[derive(Clone, Debug, PartialEq)]
pub struct LegEntry {
    /// Its label.
    pub leg: String,
    /// What became of it, as in `debrief.json`.
    pub state: String,
    /// Share of its length flown, 0 to 1.
    pub flown_share: f64,
    /// Mean XTE over all passages, metres, right positive.
    pub xte_mean_m: Option<f64>,
    /// Standard deviation of XTE, metres.
    pub xte_sd_m: Option<f64>,
    /// |XTE| not exceeded over 95 % of the distance, metres.
    pub xte_p95_m: Option<f64>,
    /// Share of the distance within tolerance, 0 to 1.
    pub within_tolerance: Option<f64>,
    /// Wind across it on its first passage, from left to right positive, metres per second.
    pub crosswind_mps: Option<f64>,
}

/// Every value, by measure and number of the entry.
pub type Values = BTreeMap<String, BTreeMap<i64, f64>>;

const COLUMNS: &str = "id, sortie, pilot, date, started, ended, pattern, planned_legs, program_version, added_at, \
                       record_version, record";

impl Logbook {
    /// The entries wanted, in the order flown.
    ///
    /// # Errors
    /// When the logbook cannot be read, or an entry holds what no logbook does.
    pub fn records(&self, filter: &Filter) -> Result<Vec<Entry>, InputError> {
        let wanted = |entry: &Entry| {
            filter.since.is_none_or(|day| entry.date >= day)
                && filter.until.is_none_or(|day| entry.date <= day)
                && filter.pattern.is_none_or(|kind| entry.pattern == kind)
        };
        let mut entries = match &filter.pilot {
            None => self.entries("ORDER BY started, id", [])?,
            Some(name) => {
                let mut entries = Vec::new();
                for pilot in self.pilots_called(name)? {
                    entries.extend(self.entries("WHERE pilot = ?1 ORDER BY started, id", [pilot])?);
                }
                entries.sort_by_key(|entry| (entry.started, entry.id));
                entries
            }
        };
        entries.retain(wanted);
        Ok(entries)
    }

    /// The entry of a number.
    ///
    /// # Errors
    /// As [`records`](Self::records) has them.
    pub fn entry(&self, id: i64) -> Result<Option<Entry>, InputError> {
        Ok(self.entries("WHERE id = ?1", [id])?.pop())
    }

    /// The entries of a sortie's name, in the order flown.
    ///
    /// # Errors
    /// As [`records`](Self::records) has them.
    pub fn entries_called(&self, sortie: &str) -> Result<Vec<Entry>, InputError> {
        self.entries("WHERE sortie = ?1 ORDER BY started, id", [sortie])
    }

    /// The planned search legs of an entry, in the order of the plan.
    ///
    /// # Errors
    /// When the logbook cannot be read, or a leg holds what no logbook does.
    pub fn legs(&self, id: i64) -> Result<Vec<LegEntry>, InputError> {
        let sql = "SELECT leg, state, flown_share, xte_mean_m, xte_sd_m, xte_p95_m, within_tolerance, crosswind_mps, \
                   sortie_id FROM legs WHERE sortie_id = ?1 ORDER BY id";
        self.rows(sql, [id], |row| {
            Ok(LegEntry {
                leg: text(row, 0)?,
                state: text(row, 1)?,
                flown_share: row.get(2)?,
                xte_mean_m: row.get(3)?,
                xte_sd_m: row.get(4)?,
                xte_p95_m: row.get(5)?,
                within_tolerance: row.get(6)?,
                crosswind_mps: row.get(7)?,
            })
        })
    }

    /// The values of all measures over all entries.
    ///
    /// # Errors
    /// When the logbook cannot be read, or a value is no number.
    pub fn all_values(&self) -> Result<Values, InputError> {
        let sql = "SELECT measure, sortie_id, value FROM measures WHERE value IS NOT NULL ORDER BY measure, sortie_id";
        let mut values = Values::new();
        for (measure, id, value) in self.rows(sql, [], |row| {
            Ok((text(row, 0)?, row.get::<_, i64>(1)?, row.get::<_, f64>(2)?))
        })? {
            match values.last_entry() {
                Some(mut last) if *last.key() == measure => drop(last.get_mut().insert(id, value)),
                _ => drop(values.entry(measure).or_default().insert(id, value)),
            }
        }
        Ok(values)
    }

    /// Every value with its pilot and the name of its measure, of records of this form alone, and of one pattern if that is wanted.
    ///
    /// # Errors
    /// As [`all_values`](Self::all_values) has them.
    pub fn values_by_pilot(
        &self,
        record_version: u32,
        pattern: Option<PatternKind>,
    ) -> Result<Vec<(String, String, f64)>, InputError> {
        let sql = "SELECT s.id, s.pilot, m.measure, m.value FROM measures m JOIN sorties s ON s.id = m.sortie_id \
                   WHERE m.value IS NOT NULL AND s.record_version = ?1 AND (?2 IS NULL OR s.pattern = ?2) \
                   ORDER BY m.measure, s.id";
        let wanted = (record_version, pattern.map(PatternKind::key));
        self.rows(sql, wanted, |row| {
            Ok((text(row, 1)?, text(row, 2)?, row.get(3)?))
        })
    }

    /// Names of all measures, also of those without a value.
    ///
    /// # Errors
    /// When the logbook cannot be read.
    pub fn measures(&self) -> Result<Vec<String>, InputError> {
        let sql = "SELECT DISTINCT measure FROM measures ORDER BY measure";
        self.rows(sql, [], |row| text(row, 0))
    }

    /// The `debrief.json` of an entry, as it was added.
    ///
    /// # Errors
    /// When there is none, or it is not the one that was added any more.
    pub fn document(&self, id: i64) -> Result<String, InputError> {
        inflated(&self.connection, &self.path, id)
    }

    fn entries(&self, which: &str, params: impl Params) -> Result<Vec<Entry>, InputError> {
        let sql = format!("SELECT {COLUMNS} FROM sorties {which}");
        self.rows(&sql, params, |row| {
            Ok(Entry {
                id: row.get(0)?,
                sortie: text(row, 1)?,
                pilot: text(row, 2)?,
                date: day(row, 3)?,
                started: moment(row, 4)?,
                ended: moment(row, 5)?,
                pattern: pattern(row, 6)?,
                planned_legs: row.get(7)?,
                program_version: text(row, 8)?,
                added_at: moment(row, 9)?,
                record_version: row.get(10)?,
                record: row.get(11)?,
            })
        })
    }

    /// The rows of a query; a value of another kind than the column's is told with its place.
    pub(super) fn rows<T>(
        &self,
        sql: &str,
        params: impl Params,
        mut read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, InputError> {
        let rows = || {
            let mut query = self.connection.prepare_cached(sql)?;
            let rows =
                query.query_map(params, |row| read(row).map_err(|error| placed(row, error)))?;
            rows.collect::<rusqlite::Result<Vec<T>>>()
        };
        rows().map_err(|error| failed(&self.path, &error))
    }
}

/// An error of a value with its column and entry.
fn placed(row: &Row<'_>, error: Error) -> Error {
    match error {
        Error::InvalidColumnType(column, ..)
        | Error::IntegralValueOutOfRange(column, _)
        | Error::Utf8Error(column, _) => wrong(row, column, "value of its kind"),
        error => error,
    }
}

/// That a column holds what no version writes.
fn wrong(row: &Row<'_>, column: usize, expected: &str) -> Error {
    let name = row.as_ref().column_name(column).unwrap_or("?");
    let entry = row.get::<_, i64>("id").or_else(|_| row.get("sortie_id"));
    let of = entry.map_or_else(|_| String::new(), |entry| format!(" of entry {entry}"));
    let problem = format!("column `{name}`{of} is no {expected}");
    Error::FromSqlConversionFailure(column, Type::Text, problem.into())
}

/// A text without characters that do harm.
pub(super) fn text(row: &Row<'_>, column: usize) -> rusqlite::Result<String> {
    let text: String = row.get(column)?;
    if text.contains(is_harmful) {
        return Err(wrong(row, column, "text without control characters"));
    }
    Ok(text)
}

fn moment(row: &Row<'_>, column: usize) -> rusqlite::Result<DateTime<Utc>> {
    let text = text(row, column)?;
    let moment = DateTime::parse_from_rfc3339(&text);
    moment
        .map(|at| at.to_utc())
        .map_err(|_| wrong(row, column, "time such as 2026-06-14T08:03:00.000Z"))
}

fn day(row: &Row<'_>, column: usize) -> rusqlite::Result<NaiveDate> {
    let day = text(row, column)?.parse();
    day.map_err(|_| wrong(row, column, "date such as 2026-06-14"))
}

fn pattern(row: &Row<'_>, column: usize) -> rusqlite::Result<PatternKind> {
    let key = text(row, column)?;
    let mut kinds = PatternKind::ALL.into_iter();
    kinds
        .find(|kind| kind.key() == key)
        .ok_or_else(|| wrong(row, column, "pattern that is known"))
}
