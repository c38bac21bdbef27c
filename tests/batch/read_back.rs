//! A Parquet file against what pyarrow and DuckDB read in it.
//!
//! `read_back.json` is what `read_back.py` printed of the file; the commands, and the versions of the libraries, stand in that
//! script.

use chrono::{DateTime, NaiveDate};
use overflown::report::columns::{Cells, Column, parquet};
use serde_json::{Value, json};
use std::path::Path;

/// A column of each kind, each with something that is not known.
fn table() -> Vec<Column> {
    let day = |text: &str| Some(text.parse::<NaiveDate>().unwrap());
    let moment = |millis| DateTime::from_timestamp_millis(millis);
    let text = |text: &str| Some(text.to_owned());
    vec![
        Column::new(
            "text",
            Cells::Texts(vec![text("Åda, \"=1\""), None, text(""), text("日本")]),
        ),
        Column::new(
            "whole",
            Cells::Whole(vec![Some(i64::MAX), Some(-1), None, Some(0)]),
        ),
        Column::new(
            "number_m",
            Cells::Numbers(vec![None, Some(0.1), Some(-1e-300), Some(1e300)]),
        ),
        Column::new(
            "flag",
            Cells::Flags(vec![Some(true), Some(false), None, Some(true)]),
        ),
        Column::new(
            "day",
            Cells::Days(vec![
                day("1969-12-31"),
                None,
                day("2026-06-14"),
                day("2000-02-29"),
            ]),
        ),
        Column::new(
            "moment_utc",
            Cells::Moments(vec![moment(1_781_424_470_337), moment(-1), None, moment(0)]),
        ),
        Column::new("unknown", Cells::Numbers(vec![None; 4])),
    ]
}

/// Writes the file that `read_back.py` reads.
#[test]
#[ignore = "by hand, before reading it with other programs"]
fn table_for_others() {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("for-others.parquet");
    std::fs::write(path, parquet(&table()).unwrap()).unwrap();
}

#[test]
fn others_read_what_was_meant() {
    let committed = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/batch/read_back.json");
    let read: Value = serde_json::from_slice(&std::fs::read(committed).unwrap()).unwrap();
    for (reader, types) in [
        (
            "pyarrow",
            json!({
                "text": "string", "whole": "int64", "number_m": "double", "flag": "bool", "day": "date32[day]",
                "moment_utc": "timestamp[ms, tz=UTC]", "unknown": "double",
            }),
        ),
        (
            "duckdb",
            json!({
                "text": "VARCHAR", "whole": "BIGINT", "number_m": "DOUBLE", "flag": "BOOLEAN", "day": "DATE",
                "moment_utc": "TIMESTAMP WITH TIME ZONE", "unknown": "DOUBLE",
            }),
        ),
    ] {
        assert_eq!(read[reader]["types"], types, "{reader}");
        assert_eq!(read[reader]["rows"], 4, "{reader}");
        let values = &read[reader]["values"];
        assert_eq!(values.as_object().unwrap().len(), table().len());
        for column in table() {
            assert_eq!(
                values[&column.name],
                meant(&column.cells),
                "{reader}: {}",
                column.name
            );
        }
    }
}

/// The values as the script prints them: days as ISO 8601 has them, moments as milliseconds since 1970.
fn meant(cells: &Cells) -> Value {
    match cells {
        Cells::Texts(cells) => json!(cells),
        Cells::Whole(cells) => json!(cells),
        Cells::Numbers(cells) => json!(cells),
        Cells::Flags(cells) => json!(cells),
        Cells::Days(cells) => json!(cells),
        Cells::Moments(cells) => {
            let millis = cells
                .iter()
                .map(|moment| moment.map(|m| m.timestamp_millis()));
            json!(millis.collect::<Vec<_>>())
        }
    }
}
