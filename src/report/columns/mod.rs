//! A table for other programs, column by column, each of one kind: as CSV and as Parquet.

mod csv;
mod parquet;

pub use csv::csv;
pub use parquet::parquet;

use chrono::{DateTime, NaiveDate, Utc};

/// A column.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its name, with the unit of its values where they have one.
    pub name: String,
    /// Its values, row by row.
    pub cells: Cells,
}

/// The values of a column; `None` where one is not known.
#[derive(Clone, Debug, PartialEq)]
pub enum Cells {
    /// Texts.
    Texts(Vec<Option<String>>),
    /// Whole numbers.
    Whole(Vec<Option<i64>>),
    /// Numbers.
    Numbers(Vec<Option<f64>>),
    /// Yes or no.
    Flags(Vec<Option<bool>>),
    /// Days.
    Days(Vec<Option<NaiveDate>>),
    /// Moments, UTC.
    Moments(Vec<Option<DateTime<Utc>>>),
}

impl Column {
    /// A column of this name.
    #[must_use]
    pub fn new(name: impl Into<String>, cells: Cells) -> Self {
        Self {
            name: name.into(),
            cells,
        }
    }
}

/// Rows of the longest column.
fn rows(columns: &[Column]) -> usize {
    let rows = columns.iter().map(|column| match &column.cells {
        Cells::Texts(cells) => cells.len(),
        Cells::Whole(cells) => cells.len(),
        Cells::Numbers(cells) => cells.len(),
        Cells::Flags(cells) => cells.len(),
        Cells::Days(cells) => cells.len(),
        Cells::Moments(cells) => cells.len(),
    });
    rows.max().unwrap_or(0)
}
