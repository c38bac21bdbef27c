//! The tables of a batch.

use super::failure::Failure;
use super::names;
use super::orders::Orders;
use super::place::{FAILED, Place, SUMMARY_CSV, SUMMARY_PARQUET};
use super::row::{self, Row};
use crate::input::shown_path;
use crate::report::columns::{Cells, Column, csv, parquet};
use crate::report::{OutputError, folder};
use std::io;
use std::path::PathBuf;

/// Writes the summary of what is done and the list of what failed, each whole or not at all.
pub(super) fn write(
    place: &Place,
    orders: &Orders,
    rows: &[Row],
    failures: &[Failure],
) -> Result<Vec<PathBuf>, OutputError> {
    let summary = row::columns(rows);
    let as_parquet = parquet(&summary).map_err(|error| {
        folder::cannot_write(&place.file(SUMMARY_PARQUET), io::Error::other(error))
    })?;
    let tables = [
        (SUMMARY_CSV, csv(&summary).into_bytes()),
        (SUMMARY_PARQUET, as_parquet),
        (FAILED, csv(&failed(orders, failures)).into_bytes()),
    ];
    let write = |(name, bytes): (&str, Vec<u8>)| place.replace(name, &bytes);
    tables.into_iter().map(write).collect()
}

fn failed(orders: &Orders, failures: &[Failure]) -> Vec<Column> {
    let all = || failures.iter().map(|f| (&orders.orders[f.order], &f.error));
    let whole = |line: Option<u32>| line.map(i64::from);
    let texts = |texts: Vec<Option<String>>| Cells::Texts(texts);
    vec![
        Column::new(
            "manifest_line",
            Cells::Whole(all().map(|(o, _)| whole(o.line)).collect()),
        ),
        Column::new(
            "sortie",
            texts(all().map(|(o, _)| o.name.clone()).collect()),
        ),
        Column::new(
            "track_logs",
            texts(all().map(|(o, _)| Some(names::logs(o))).collect()),
        ),
        Column::new(
            "tasking",
            texts(
                all()
                    .map(|(o, _)| o.tasking.as_deref().map(shown_path))
                    .collect(),
            ),
        ),
        Column::new(
            "file",
            texts(all().map(|(_, e)| Some(shown_path(&e.file))).collect()),
        ),
        Column::new(
            "line",
            Cells::Whole(all().map(|(_, e)| whole(e.line)).collect()),
        ),
        Column::new(
            "problem",
            texts(all().map(|(_, e)| Some(e.problem.clone())).collect()),
        ),
        Column::new(
            "hint",
            texts(all().map(|(_, e)| Some(e.hint.clone())).collect()),
        ),
    ]
}
