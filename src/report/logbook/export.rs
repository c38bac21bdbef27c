//! All entries with their measures, for other programs.

use super::{lines, measures, object};
use crate::logbook::{Entry, Values};
use crate::report::columns::{Cells, Column};
use crate::report::review::csv::si;
use crate::training::Measure;
use chrono::{DateTime, Utc};
use serde_json::Value;

/// A row an entry, with a column for each measure; what is not known is empty.
#[must_use]
pub fn columns(entries: &[Entry], values: &Values) -> Vec<Column> {
    let texts = |of: fn(&Entry) -> &str| {
        let texts = entries.iter().map(|entry| Some(of(entry).to_owned()));
        Cells::Texts(texts.collect())
    };
    let whole =
        |of: fn(&Entry) -> i64| Cells::Whole(entries.iter().map(|entry| Some(of(entry))).collect());
    let moments = |of: fn(&Entry) -> DateTime<Utc>| {
        Cells::Moments(entries.iter().map(|entry| Some(of(entry))).collect())
    };
    let days = entries.iter().map(|entry| Some(entry.date));
    let mut columns = vec![
        Column::new("number", whole(|entry| entry.id)),
        Column::new("sortie", texts(|entry| &entry.sortie)),
        Column::new("pilot", texts(|entry| &entry.pilot)),
        Column::new("date", Cells::Days(days.collect())),
        Column::new("started_utc", moments(|entry| entry.started)),
        Column::new("ended_utc", moments(|entry| entry.ended)),
        Column::new("pattern", texts(|entry| entry.pattern.key())),
        Column::new("planned_legs", whole(|entry| i64::from(entry.planned_legs))),
    ];
    columns.extend(values.iter().map(|(measure, by_entry)| {
        let cells = entries.iter().map(|entry| by_entry.get(&entry.id).copied());
        Column::new(column(measure), Cells::Numbers(cells.collect()))
    }));
    columns
}

/// The name of a measure with the unit its values have.
fn column(id: &str) -> String {
    Measure::called(id).map_or_else(|| id.to_owned(), |measure| format!("{id}_{}", si(measure)))
}

/// The same as a list of objects, the measures of each as an object of its own.
///
/// # Errors
/// Only if serialisation itself fails, which for this type it does not.
pub fn json(entries: &[Entry], values: &Values) -> Result<String, serde_json::Error> {
    let entries: Vec<Value> = entries
        .iter()
        .map(|entry| {
            let mut object = object(entry);
            object.insert("measures".to_owned(), measures(entry, values));
            Value::from(object)
        })
        .collect();
    lines(&Value::from(entries))
}
