//! A table of uncorrected sweep widths, read from its text.
//!
//! The form is that of the files in `tables/`, which are compiled in; a crew's own table is read by the
//! same code.

use super::{FactorTables, Object, Status, Surface, parsed};
use crate::input::InputError;
use crate::units::Length;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;
use toml::Spanned;

const WATER: &str = include_str!("tables/water.toml");
const LAND: &str = include_str!("tables/land.toml");

/// Uncorrected sweep widths by object, height above the surface and visibility.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WidthTable {
    pub(super) over: Surface,
    pub(super) document: String,
    pub(super) edition: String,
    status: Status,
    /// Rounding step of the figures, NM.
    pub(super) step: Spanned<f64>,
    pub(super) visibility_unit: VisibilityUnit,
    pub(super) visibility: Spanned<Vec<Spanned<f64>>>,
    /// What is to be known of the table as a whole.
    pub(super) note: Option<String>,
    pub(super) objects: BTreeMap<String, Spanned<Object>>,
    pub(super) heights: Spanned<Vec<HeightRows>>,
    #[serde(default)]
    pub(super) doubts: Vec<Spanned<Doubt>>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
pub(super) enum VisibilityUnit {
    #[serde(rename = "NM")]
    Nm,
    #[serde(rename = "km")]
    Km,
}

impl VisibilityUnit {
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Nm => "NM",
            Self::Km => "km",
        }
    }

    pub(super) fn of(self, length: Length) -> f64 {
        match self {
            Self::Nm => length.nm(),
            Self::Km => length.m() / 1000.0,
        }
    }
}

/// The rows for one height.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct HeightRows {
    pub(super) feet: Spanned<f64>,
    pub(super) table: String,
    pub(super) note: Option<String>,
    pub(super) widths: Spanned<BTreeMap<String, Spanned<Vec<Spanned<Cell>>>>>,
}

/// A cell of which the readings differ. The first is the one the table has.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Doubt {
    pub(super) feet: f64,
    pub(super) object: String,
    pub(super) visibility: f64,
    pub(super) readings: Vec<f64>,
    pub(super) note: String,
}

/// A width in NM, or `"-"` where the table has none.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell(pub(super) Option<f64>);

impl<'de> Deserialize<'de> for Cell {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl serde::de::Visitor<'_> for Visitor {
            type Value = Cell;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str("a width in NM, or \"-\" where there is none")
            }
            fn visit_f64<E>(self, value: f64) -> Result<Cell, E> {
                Ok(Cell(Some(value)))
            }
            fn visit_i64<E>(self, value: i64) -> Result<Cell, E> {
                Ok(Cell(Some(value as f64)))
            }
            fn visit_str<E: serde::de::Error>(self, value: &str) -> Result<Cell, E> {
                if value == "-" {
                    return Ok(Cell(None));
                }
                Err(E::invalid_value(serde::de::Unexpected::Str(value), &self))
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}

impl WidthTable {
    /// The table that is compiled in.
    ///
    /// # Errors
    /// Never for the tables as they stand: a test reads them.
    pub fn built_in(over: Surface) -> Result<Self, InputError> {
        let factors = FactorTables::built_in()?;
        match over {
            Surface::Water => Self::parse(WATER, Path::new("tables/water.toml"), &factors),
            Surface::Land => Self::parse(LAND, Path::new("tables/land.toml"), &factors),
        }
    }

    /// Reads a table from its text; the rows that its objects name are those of `factors`.
    ///
    /// # Errors
    /// When it is not TOML of this form, heights or visibilities do not rise, a row is incomplete or
    /// belongs to no object, names a row that `factors` lack, or a width is negative; the error names the line.
    pub fn parse(text: &str, path: &Path, factors: &FactorTables) -> Result<Self, InputError> {
        parsed(text, path, |table: &Self| table.check(factors))
    }

    /// What it is searched over.
    #[must_use]
    pub const fn over(&self) -> Surface {
        self.over
    }

    /// How it is known.
    #[must_use]
    pub const fn status(&self) -> Status {
        self.status
    }

    /// The objects it has, in alphabetical order.
    pub fn objects(&self) -> impl Iterator<Item = &str> {
        self.objects.keys().map(String::as_str)
    }

    /// An object by its name, capitals or not: the name as the table has it, and which rows of the
    /// other tables hold for it.
    #[must_use]
    pub fn object(&self, name: &str) -> Option<(&str, &Object)> {
        let mut objects = self.objects.iter();
        objects
            .find(|(own, _)| own.eq_ignore_ascii_case(name))
            .map(|(own, object)| (own.as_str(), object.get_ref()))
    }

    /// Every height with the widths of its objects, feet and NM, for checks of the data.
    pub fn rows(&self) -> impl Iterator<Item = (f64, &str, Vec<Option<f64>>)> {
        self.heights.get_ref().iter().flat_map(|rows| {
            rows.widths.get_ref().iter().map(|(object, row)| {
                let cells = row.get_ref().iter().map(|cell| cell.get_ref().0);
                (*rows.feet.get_ref(), object.as_str(), cells.collect())
            })
        })
    }

    /// Whether a cell is listed as doubtful.
    #[must_use]
    pub fn is_doubtful(&self, feet: f64, object: &str, column: usize) -> bool {
        self.doubt(feet, object, column).is_some()
    }

    pub(super) fn doubt(&self, feet: f64, object: &str, column: usize) -> Option<&Doubt> {
        let visibility = *self.visibility.get_ref().get(column)?.get_ref();
        self.doubts.iter().map(Spanned::get_ref).find(|doubt| {
            doubt.feet == feet && doubt.object == object && doubt.visibility == visibility
        })
    }
}
