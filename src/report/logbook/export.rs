//! All entries with their measures, for other programs.

use super::{lines, measures, object};
use crate::logbook::{Entry, Values};
use crate::report::csv::text_cell;
use crate::report::review::csv::si;
use crate::training::Measure;
use serde_json::Value;

/// A row an entry, with a column for each measure (RFC 4180); what is not known is empty.
#[must_use]
pub fn csv(entries: &[Entry], values: &Values) -> String {
    let mut columns: Vec<String> = [
        "number",
        "sortie",
        "pilot",
        "date",
        "started_utc",
        "ended_utc",
        "pattern",
        "planned_legs",
    ]
    .map(str::to_owned)
    .into();
    columns.extend(values.keys().map(|measure| text_cell(&column(measure))));
    let mut text = columns.join(",") + "\r\n";
    for entry in entries {
        let time = |at: chrono::DateTime<chrono::Utc>| {
            at.to_rfc3339_opts(chrono::SecondsFormat::Millis, true)
        };
        let mut cells = vec![
            entry.id.to_string(),
            text_cell(&entry.sortie),
            text_cell(&entry.pilot),
            entry.date.to_string(),
            time(entry.started),
            time(entry.ended),
            entry.pattern.key().to_owned(),
            entry.planned_legs.to_string(),
        ];
        let own = values.values().map(|by_entry| {
            let value = by_entry.get(&entry.id);
            value.map_or_else(String::new, f64::to_string)
        });
        cells.extend(own);
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    }
    text
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
