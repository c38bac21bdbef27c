//! The table as CSV (RFC 4180).

use super::{Cells, Column, rows};
use crate::report::csv::text_cell;
use chrono::SecondsFormat;

/// A row a line, the names of the columns first; what is not known is empty.
#[must_use]
pub fn csv(columns: &[Column]) -> String {
    let names: Vec<String> = columns.iter().map(|c| text_cell(&c.name)).collect();
    let mut text = names.join(",") + "\r\n";
    for row in 0..rows(columns) {
        let cells: Vec<String> = columns.iter().map(|c| cell(&c.cells, row)).collect();
        text.push_str(&cells.join(","));
        text.push_str("\r\n");
    }
    text
}

fn cell(cells: &Cells, row: usize) -> String {
    match cells {
        Cells::Texts(cells) => shown(cells, row, |text| text_cell(text)),
        Cells::Whole(cells) => shown(cells, row, i64::to_string),
        Cells::Numbers(cells) => shown(cells, row, f64::to_string),
        Cells::Flags(cells) => shown(cells, row, bool::to_string),
        Cells::Days(cells) => shown(cells, row, ToString::to_string),
        Cells::Moments(cells) => shown(cells, row, |moment| {
            moment.to_rfc3339_opts(SecondsFormat::Millis, true)
        }),
    }
}

fn shown<T>(cells: &[Option<T>], row: usize, show: impl Fn(&T) -> String) -> String {
    let value = cells.get(row).and_then(Option::as_ref);
    value.map_or_else(String::new, show)
}
