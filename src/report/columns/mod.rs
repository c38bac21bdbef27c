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

impl Cells {
    /// Number of rows.
    #[must_use]
    pub const fn len(&self) -> usize {
        match self {
            Self::Texts(cells) => cells.len(),
            Self::Whole(cells) => cells.len(),
            Self::Numbers(cells) => cells.len(),
            Self::Flags(cells) => cells.len(),
            Self::Days(cells) => cells.len(),
            Self::Moments(cells) => cells.len(),
        }
    }

    /// Whether there is no row.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// Rows of the longest column.
fn rows(columns: &[Column]) -> usize {
    let lengths = columns.iter().map(|column| column.cells.len());
    lengths.max().unwrap_or(0)
}
