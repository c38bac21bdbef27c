//! A logbook for people and for other programs: `docs/logbook.md`.

mod export;
mod text;

pub use export::{columns, json};
pub use text::{list, show};

use crate::logbook::{Entry, LegEntry, Values};
use serde_json::{Map, Value, json};

/// An entry as an object.
fn object(entry: &Entry) -> Map<String, Value> {
    let time = |at: chrono::DateTime<chrono::Utc>| {
        Value::from(at.to_rfc3339_opts(chrono::SecondsFormat::Millis, true))
    };
    Map::from_iter([
        ("number".to_owned(), Value::from(entry.id)),
        ("sortie".to_owned(), Value::from(entry.sortie.as_str())),
        ("pilot".to_owned(), Value::from(entry.pilot.as_str())),
        ("date".to_owned(), Value::from(entry.date.to_string())),
        ("started".to_owned(), time(entry.started)),
        ("ended".to_owned(), time(entry.ended)),
        ("pattern".to_owned(), Value::from(entry.pattern.key())),
        ("planned_legs".to_owned(), Value::from(entry.planned_legs)),
        (
            "program_version".to_owned(),
            Value::from(entry.program_version.as_str()),
        ),
        ("added_at".to_owned(), time(entry.added_at)),
        (
            "record_version".to_owned(),
            Value::from(entry.record_version),
        ),
    ])
}

/// Entries as a list of objects.
///
/// # Errors
/// Only if serialisation itself fails, which for this type it does not.
pub fn list_json(entries: &[Entry]) -> Result<String, serde_json::Error> {
    let entries: Vec<_> = entries.iter().map(object).collect();
    lines(&Value::from_iter(entries))
}

/// One entry with its legs and measures.
///
/// # Errors
/// Only if serialisation itself fails, which for this type it does not.
pub fn show_json(
    entry: &Entry,
    legs: &[LegEntry],
    values: &Values,
) -> Result<String, serde_json::Error> {
    let mut object = object(entry);
    let legs: Vec<Value> = legs
        .iter()
        .map(|leg| {
            json!({
                "leg": leg.leg,
                "state": leg.state,
                "flown_share": leg.flown_share,
                "xte_mean_m": leg.xte_mean_m,
                "xte_sd_m": leg.xte_sd_m,
                "xte_p95_m": leg.xte_p95_m,
                "within_tolerance": leg.within_tolerance,
                "crosswind_mps": leg.crosswind_mps,
            })
        })
        .collect();
    object.insert("legs".to_owned(), Value::from(legs));
    object.insert("measures".to_owned(), measures(entry, values));
    lines(&Value::from(object))
}

/// The measures of an entry, by name; `null` where one is not known.
fn measures(entry: &Entry, values: &Values) -> Value {
    let of = values.iter().map(|(measure, by_entry)| {
        let value = by_entry.get(&entry.id).copied();
        (measure.clone(), Value::from(value))
    });
    Value::from(Map::from_iter(of))
}

fn lines(value: &Value) -> Result<String, serde_json::Error> {
    Ok(serde_json::to_string_pretty(value)? + "\n")
}
