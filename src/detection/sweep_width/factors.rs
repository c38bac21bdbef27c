//! The tables of correction factors, read from their text.
//!
//! The form is that of the files in `tables/`, which are compiled in; a crew's own table is read by the same code.

use super::check::{Fault, rising};
use super::{Status, WidthTable, parsed};
use crate::input::InputError;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use toml::Spanned;

const WEATHER: &str = include_str!("tables/weather.toml");
const SPEED: &str = include_str!("tables/speed.toml");
const TERRAIN: &str = include_str!("tables/terrain.toml");
const SINGLE: &str = include_str!("tables/single.toml");

/// Greatest factor accepted. Chosen: the greatest of the tables is 4; a slip of the decimal point is more likely.
const GREATEST: f64 = 10.0;

/// One of the tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FactorTable {
    /// Wind and seas, over water.
    Weather,
    /// Search speed, over water.
    Speed,
    /// Terrain, over land.
    Terrain,
    /// Factors that stand alone: fatigue, a flotation device.
    Single,
}

/// All tables of correction factors.
#[derive(Debug)]
pub struct FactorTables {
    pub(super) weather: Weather,
    pub(super) speed: Rows,
    pub(super) terrain: Rows,
    pub(super) single: Single,
}

/// Factors of the weather.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Weather {
    pub document: String,
    pub table: String,
    pub status: Status,
    pub steps: Spanned<Vec<Spanned<Step>>>,
    /// Another edition, which goes into the spread where it differs.
    pub older: Option<Box<Weather>>,
}

/// Where the wind or the seas reach these, the factors hold.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Step {
    pub wind_over_kt: f64,
    pub seas_over_ft: Option<f64>,
    pub seas_from_ft: Option<f64>,
    pub small: f64,
    pub other: f64,
}

/// Factors by a row's name.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Rows {
    pub document: String,
    pub table: String,
    pub status: Status,
    /// Columns of the speed table.
    #[serde(default)]
    pub knots: Vec<Spanned<f64>>,
    /// Columns of the terrain table.
    #[serde(default)]
    pub words: Vec<Spanned<String>>,
    pub rows: Spanned<BTreeMap<String, Spanned<Vec<f64>>>>,
    /// The file and the line of the rows, of a table that is not built in.
    #[serde(skip)]
    place: Option<(PathBuf, u32)>,
}

/// Factors that stand alone.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Single {
    pub fatigue: Spanned<OneFactor>,
    pub flotation: Spanned<OneFactor>,
}

/// One of them.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct OneFactor {
    pub document: String,
    pub table: String,
    pub status: Status,
    pub factor: f64,
}

impl FactorTables {
    /// The tables that are compiled in.
    ///
    /// # Errors
    /// Never for the tables as they stand: a test reads them.
    pub fn built_in() -> Result<Self, InputError> {
        Ok(Self {
            weather: weather(WEATHER, Path::new("tables/weather.toml"))?,
            speed: speed(SPEED, Path::new("tables/speed.toml"))?,
            terrain: terrain(TERRAIN, Path::new("tables/terrain.toml"))?,
            single: single(SINGLE, Path::new("tables/single.toml"))?,
        })
    }

    /// Puts a crew's own table in the place of one.
    ///
    /// # Errors
    /// When it is not TOML of the form of the table, its columns do not rise or repeat, a row is incomplete, or a
    /// factor is not above 0 and at most 10; the error names the line.
    pub fn replace(
        &mut self,
        which: FactorTable,
        text: &str,
        path: &Path,
    ) -> Result<(), InputError> {
        match which {
            FactorTable::Weather => self.weather = weather(text, path)?,
            FactorTable::Speed => self.speed = speed(text, path)?.placed(text, path),
            FactorTable::Terrain => self.terrain = terrain(text, path)?.placed(text, path),
            FactorTable::Single => self.single = single(text, path)?,
        }
        Ok(())
    }

    /// Whether a crew's own table has the rows that the objects of `widths` name.
    ///
    /// # Errors
    /// When one is missing; the error names the file of factors and the line of its rows.
    pub fn have_rows_for(&self, widths: &WidthTable) -> Result<(), InputError> {
        for object in widths.objects.values() {
            let object = object.get_ref();
            let wanted = [
                (&self.speed, &object.speed),
                (&self.terrain, &object.terrain),
            ];
            for (table, row) in wanted {
                let missing = row
                    .as_ref()
                    .filter(|row| !table.rows.get_ref().contains_key(*row));
                if let (Some(row), Some((path, line))) = (missing, &table.place) {
                    return Err(InputError::new(
                        path,
                        Some(*line),
                        format!("there is no row \"{row}\", which the table of sweep widths names"),
                        "give every row that is named there, or a table of sweep widths of your own",
                    ));
                }
            }
        }
        Ok(())
    }
}

impl Rows {
    /// Whether it is a crew's own.
    pub(super) const fn is_own(&self) -> bool {
        self.place.is_some()
    }

    /// Remembers where it comes from.
    fn placed(self, text: &str, path: &Path) -> Self {
        let line = super::line_at(text, self.rows.span().start);
        Self {
            place: Some((path.to_owned(), line)),
            ..self
        }
    }

    fn check(&self, columns: usize) -> Result<(), Fault> {
        for (name, row) in self.rows.get_ref() {
            let at = row.span().start;
            let row = row.get_ref();
            if row.len() != columns {
                return Err(Fault::new(
                    at,
                    format!("\"{name}\" has {} factors for {columns} columns", row.len()),
                    "give one factor for each column",
                ));
            }
            row.iter()
                .try_for_each(|value| factor(*value, at, &format!("of \"{name}\"")))?;
        }
        Ok(())
    }
}

fn factor(value: f64, at: usize, whose: &str) -> Result<(), Fault> {
    if value > 0.0 && value <= GREATEST {
        return Ok(());
    }
    Err(Fault::new(
        at,
        format!("a factor {whose} is {value}"),
        format!("factors are above 0 and at most {GREATEST}"),
    ))
}

fn weather(text: &str, path: &Path) -> Result<Weather, InputError> {
    parsed(text, path, check_weather)
}

fn check_weather(table: &Weather) -> Result<(), Fault> {
    let mut last = 0.0;
    for step in table.steps.get_ref() {
        let at = step.span().start;
        let step = step.get_ref();
        if step.wind_over_kt.is_nan() || step.wind_over_kt <= last {
            return Err(Fault::new(
                at,
                format!("the winds do not rise at {}", step.wind_over_kt),
                "`wind_over_kt` is above 0 and rises from step to step",
            ));
        }
        last = step.wind_over_kt;
        let seas = match (step.seas_over_ft, step.seas_from_ft) {
            (Some(feet), None) | (None, Some(feet)) => feet,
            _ => f64::NAN,
        };
        // Also where both are given, or none.
        if seas.is_nan() || seas < 0.0 {
            return Err(Fault::new(
                at,
                "a step has no height of the seas, or two, or a negative one",
                "give either `seas_over_ft` or `seas_from_ft`, 0 or more",
            ));
        }
        factor(step.small, at, "`small`")?;
        factor(step.other, at, "`other`")?;
    }
    if table.steps.get_ref().is_empty() {
        return Err(Fault::new(
            table.steps.span().start,
            "there are no steps",
            "give one [[steps]] or more",
        ));
    }
    table.older.as_deref().map_or(Ok(()), check_weather)
}

fn speed(text: &str, path: &Path) -> Result<Rows, InputError> {
    parsed(text, path, |table: &Rows| {
        rising(&table.knots, table.rows.span().start, "knots")?;
        no_columns(table.words.first(), "words", "knots")?;
        table.check(table.knots.len())
    })
}

fn terrain(text: &str, path: &Path) -> Result<Rows, InputError> {
    parsed(text, path, |table: &Rows| {
        no_columns(table.knots.first(), "knots", "words")?;
        for (i, word) in table.words.iter().enumerate() {
            let same =
                |other: &Spanned<String>| other.get_ref().eq_ignore_ascii_case(word.get_ref());
            if word.get_ref().trim().is_empty() || table.words[..i].iter().any(same) {
                return Err(Fault::new(
                    word.span().start,
                    format!(
                        "the word \"{}\" is empty or stands there twice",
                        word.get_ref()
                    ),
                    "`words` are the terrains, each once",
                ));
            }
        }
        if table.words.is_empty() {
            return Err(Fault::new(
                table.rows.span().start,
                "there are no words",
                "`words` are the terrains, the columns of the table",
            ));
        }
        table.check(table.words.len())
    })
}

/// The columns of the other table do not belong here.
fn no_columns<T>(first: Option<&Spanned<T>>, found: &str, wanted: &str) -> Result<(), Fault> {
    first.map_or(Ok(()), |first| {
        Err(Fault::new(
            first.span().start,
            format!("`{found}` does not belong into this table"),
            format!("its columns are `{wanted}`"),
        ))
    })
}

fn single(text: &str, path: &Path) -> Result<Single, InputError> {
    parsed(text, path, |table: &Single| {
        let fatigue = &table.fatigue;
        factor(fatigue.get_ref().factor, fatigue.span().start, "of fatigue")?;
        let flotation = &table.flotation;
        factor(
            flotation.get_ref().factor,
            flotation.span().start,
            "of a flotation device",
        )
    })
}
