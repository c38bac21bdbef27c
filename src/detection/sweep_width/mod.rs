//! Sweep width: given, or from published tables with the corrections of the day.
//!
//! ```text
//! object, height, visibility ─table→ uncorrected width ─corrections→ weather, speed, terrain, fatigue
//!                                                                    └─► SweepWidth, factor by factor
//! ```
//!
//! Nothing is extrapolated: outside a table, or where it has no figure, the answer is a refusal that
//! names the range. Tables known from a typed-out copy alone say so in every result.

mod check;
mod corrections;
mod factors;
mod look_up;
mod table;

pub use corrections::WeatherClass;
pub use factors::{FactorTable, FactorTables};
pub use look_up::Reading;
pub use table::WidthTable;

use crate::input::InputError;
use crate::units::{Length, Speed};
use check::Fault;
use corrections::Correction;
use look_up::rounded;
use serde::{Deserialize, Serialize};
use std::path::Path;

/// What is said beside figures that are known from a typed-out copy alone.
pub const CHECK: &str = "check against your manual";

/// What is searched over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Surface {
    /// Water.
    Water,
    /// Land.
    Land,
}

impl Surface {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::Land => "land",
        }
    }
}

/// How a figure is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Read in the document's own text.
    Read,
    /// From a copy that somebody typed out.
    SecondHand,
}

impl Status {
    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Read => "read in the document",
            Self::SecondHand => "known from a typed-out copy: check against your manual",
        }
    }
}

/// Rows of the other tables that hold for an object of a width table.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Object {
    /// Class in the weather table; over water.
    pub weather: Option<WeatherClass>,
    /// Row of the speed table; over water.
    pub speed: Option<String>,
    /// Row of the terrain table; over land.
    pub terrain: Option<String>,
}

/// One correction, applied.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Factor {
    /// What it corrects for.
    pub what: &'static str,
    /// The factor.
    pub value: f64,
    /// Its least reading.
    pub low: f64,
    /// Its greatest reading.
    pub high: f64,
    /// The width with this factor and those before it.
    #[serde(rename = "result_m")]
    pub result: Length,
    /// What it rests on in this tasking.
    pub because: String,
    /// Document and table.
    pub source: String,
    /// How that is known.
    pub status: Status,
}

/// A sweep width and how it came about.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SweepWidth {
    /// W.
    #[serde(rename = "width_m")]
    pub width: Length,
    /// The table's figure before the corrections; `None` where W was given.
    #[serde(rename = "uncorrected_m")]
    pub uncorrected: Option<Length>,
    /// What the table was entered with, in words; `None` where W was given.
    pub entered_with: Option<String>,
    /// The corrections, in the order applied.
    pub factors: Vec<Factor>,
    /// Least width the spread allows; `None` where no spread is known.
    #[serde(rename = "low_m")]
    pub low: Option<Length>,
    /// Greatest width the spread allows; `None` where no spread is known.
    #[serde(rename = "high_m")]
    pub high: Option<Length>,
    /// Where the width comes from.
    pub source: String,
    /// How that is known; `None` where W was given.
    pub status: Option<Status>,
    /// What is to be checked or known about it.
    pub marks: Vec<String>,
}

/// What a table is entered with.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// Word of the table for the search object; capitals do not matter.
    pub object: String,
    /// Height above the surface.
    pub search_height: Length,
    /// Visibility.
    pub visibility: Length,
    /// Ground speed.
    pub ground_speed: Speed,
    /// What else counts over this surface.
    pub surface: SurfaceConditions,
    /// Whether the crew is excessively fatigued.
    pub fatigued: bool,
}

/// What corrects a width over water and over land.
#[derive(Clone, Debug, PartialEq)]
pub enum SurfaceConditions {
    /// Over water.
    Water {
        /// Wind.
        wind: Speed,
        /// Height of the seas.
        seas: Length,
        /// Whether a person in water wears a flotation device.
        flotation: bool,
    },
    /// Over land.
    Land {
        /// Word of the terrain table.
        terrain: String,
    },
}

/// Why a width cannot be had: which key of the tasking is at fault, what is wrong, what would do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{problem}")]
pub struct Refusal {
    /// Key of `[detection]`.
    pub key: &'static str,
    /// What is wrong.
    pub problem: String,
    /// What would be accepted.
    pub hint: String,
}

impl Refusal {
    fn new(key: &'static str, problem: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            key,
            problem: problem.into(),
            hint: hint.into(),
        }
    }
}

impl SweepWidth {
    /// A width that was given, with the spread stated for it, as a share of it.
    #[must_use]
    pub fn given(width: Length, spread: Option<f64>) -> Self {
        let at = |factor: f64| Length::from_m(width.m() * factor);
        Self {
            width,
            uncorrected: None,
            entered_with: None,
            factors: Vec::new(),
            low: spread.map(|share| at(1.0 - share)),
            high: spread.map(|share| at(1.0 + share)),
            source: "given in the tasking".to_owned(),
            status: None,
            marks: Vec::new(),
        }
    }

    /// A width that nobody stated and that was assumed; every report says so.
    #[must_use]
    pub fn assumed(width: Length, spread: Option<f64>) -> Self {
        Self {
            source: "assumed, for nobody stated it".to_owned(),
            marks: vec![
                "The sweep width is an assumption, for nobody stated it: every POD, the target, the holes and \
                 the re-fly rest on it. Tracking, turns and times do not."
                    .to_owned(),
            ],
            ..Self::given(width, spread)
        }
    }

    /// The width of a table, corrected.
    ///
    /// # Errors
    /// When the table has no such object, or is left, or has no figure, or gives a width of zero; when
    /// a correction does not exist for these conditions.
    pub fn from_table(
        table: &WidthTable,
        factor_tables: &FactorTables,
        conditions: &Conditions,
    ) -> Result<Self, Refusal> {
        let wanted = conditions.object.as_str();
        let (name, object) = table
            .object(wanted)
            .ok_or_else(|| no_object(table, wanted))?;
        let reading = table.look_up(name, conditions.search_height, conditions.visibility)?;
        let (mut width, mut low, mut high) = (
            reading.width_nm,
            (reading.width_nm - reading.less_nm).max(0.0),
            reading.width_nm + reading.more_nm,
        );
        let uncorrected = Length::from_nm(width);
        let mut marks = Vec::new();
        let mut second_hand = Vec::new();
        if table.status() == Status::SecondHand {
            second_hand.push(reading.source.clone());
        }
        let mut doubts = reading.doubts;
        let mut factors = Vec::new();
        for correction in corrections(factor_tables, name, object, conditions)? {
            width *= correction.value;
            low *= correction.range.0;
            high *= correction.range.1;
            if correction.status == Status::SecondHand && !second_hand.contains(&correction.source)
            {
                second_hand.push(correction.source.clone());
            }
            doubts.extend(correction.doubts);
            factors.push(Factor {
                what: correction.what,
                value: correction.value,
                low: correction.range.0,
                high: correction.range.1,
                result: Length::from_nm(width),
                because: correction.because,
                source: correction.source,
                status: correction.status,
            });
        }
        if width <= 0.0 {
            return Err(Refusal::new(
                "object",
                format!("the table gives \"{name}\" a sweep width of 0 in these conditions"),
                "such a search finds nothing by this table: search lower or in better visibility, or \
                 give `sweep_width` itself",
            ));
        }
        if !second_hand.is_empty() {
            marks.push(format!(
                "The sweep width rests on figures known only from typed-out copies; {CHECK}: {}.",
                second_hand.join("; ")
            ));
        }
        marks.extend(
            doubts
                .into_iter()
                .map(|doubt| format!("In doubt: {doubt}.")),
        );
        if matches!(conditions.surface, SurfaceConditions::Land { .. }) {
            marks.push(
                "No correction for speed or weather: those tables have no objects on land."
                    .to_owned(),
            );
        }
        Ok(Self {
            width: Length::from_nm(width),
            uncorrected: Some(uncorrected),
            entered_with: Some(format!(
                "{name} over {}, height {} ft, visibility {} NM",
                table.over().name(),
                rounded(conditions.search_height.ft()),
                rounded(conditions.visibility.nm())
            )),
            factors,
            low: Some(Length::from_nm(low)),
            high: Some(Length::from_nm(high)),
            source: reading.source,
            status: Some(table.status()),
            marks,
        })
    }
}

fn corrections(
    tables: &FactorTables,
    name: &str,
    object: &Object,
    conditions: &Conditions,
) -> Result<Vec<Correction>, Refusal> {
    let mut found = Vec::new();
    match &conditions.surface {
        SurfaceConditions::Water {
            wind,
            seas,
            flotation,
        } => {
            if *flotation {
                found.push(corrections::flotation(
                    tables.single.flotation.get_ref(),
                    name,
                    conditions.search_height,
                )?);
            }
            found.push(corrections::weather(&tables.weather, object, *wind, *seas));
            found.push(corrections::speed(
                &tables.speed,
                object,
                conditions.ground_speed,
            )?);
        }
        SurfaceConditions::Land { terrain } => {
            found.push(corrections::terrain(&tables.terrain, object, terrain)?)
        }
    }
    if conditions.fatigued {
        found.push(corrections::fatigue(tables.single.fatigue.get_ref()));
    }
    Ok(found)
}

fn no_object(table: &WidthTable, name: &str) -> Refusal {
    let objects: Vec<String> = table.objects().map(|o| format!("\"{o}\"")).collect();
    Refusal::new(
        "object",
        format!(
            "the table for {} has no object \"{name}\"",
            table.over().name()
        ),
        format!("`object` is one of {}", objects.join(", ")),
    )
}

/// A table from its text, checked.
fn parsed<T: serde::de::DeserializeOwned>(
    text: &str,
    path: &Path,
    check: impl Fn(&T) -> Result<(), Fault>,
) -> Result<T, InputError> {
    let table: T = toml::from_str(text).map_err(|error| {
        InputError::new(
            path,
            error.span().map(|span| line_at(text, span.start)),
            error.message().trim().replace('\n', "; "),
            "docs/tasking-file.md shows the form of the tables",
        )
    })?;
    check(&table).map_err(|fault| {
        InputError::new(
            path,
            Some(line_at(text, fault.at)),
            fault.problem,
            fault.wanted,
        )
    })?;
    Ok(table)
}

/// The line of an offset into a text, from 1.
fn line_at(text: &str, at: usize) -> u32 {
    let before = &text.as_bytes()[..at.min(text.len())];
    1 + before.iter().filter(|byte| **byte == b'\n').count() as u32
}
