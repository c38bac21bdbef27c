//! One sortie of a search, read back from its debrief.

use crate::coverage::Looks;
use crate::debrief::{Debrief, SCHEMA, seal};
use crate::geodesy::Position;
use crate::input::{InputError, InputFile};
use crate::measure::AlongSpan;
use crate::plan::{Leg, LegKind, PatternKind};
use crate::units::{Length, Speed};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Deserialize;
use std::path::Path;

/// What a search needs of a sortie.
#[derive(Clone, Debug, Deserialize)]
pub struct Sortie {
    schema: String,
    /// Its name.
    #[serde(rename = "sortie")]
    pub name: String,
    /// Its day.
    pub date: NaiveDate,
    /// The files its debrief rests on.
    pub inputs: Vec<InputFile>,
    /// What was planned.
    pub plan: Planned,
    /// The planned search legs, in order.
    pub legs: Vec<LegState>,
    /// When it searched.
    pub area_time: Window,
    /// How well.
    pub coverage: Judged,
    /// What it looked at.
    pub looks: Looks,
}

/// What was planned.
#[derive(Clone, Debug, Deserialize)]
pub struct Planned {
    /// The pattern.
    pub pattern: PatternKind,
    /// Its legs.
    pub legs: Vec<Leg>,
    /// Track spacing S.
    #[serde(rename = "spacing_m")]
    pub spacing: Length,
    /// Corners of the area.
    pub area_corners: Vec<Position>,
    /// Whether the tasking gave the area itself.
    pub area_given: bool,
    /// Tasked height.
    #[serde(rename = "altitude_m")]
    pub altitude: Option<Length>,
    /// What was searched for.
    pub search_object: Option<String>,
    /// Tasked ground speed.
    #[serde(rename = "ground_speed_mps")]
    pub ground_speed: Speed,
}

/// What the log hides of a search leg.
#[derive(Clone, Debug, Deserialize)]
pub struct LegState {
    /// Stretches that may have been flown while the log has a hole.
    pub unrecorded: Vec<AlongSpan>,
}

/// Beginning and end of the search.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Window {
    /// Entering the first leg.
    pub from: DateTime<Utc>,
    /// Leaving the last one.
    pub to: DateTime<Utc>,
}

/// What it was judged by.
#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Judged {
    /// POD wanted across every strip.
    pub target_pod: f64,
    /// Size of its area, square metres.
    pub area_m2: f64,
}

impl Sortie {
    /// A sortie debriefed just now.
    ///
    /// # Errors
    /// Only if serialisation itself fails, which for this type it does not.
    pub fn of(debrief: &Debrief) -> Result<Self, serde_json::Error> {
        serde_json::from_value(serde_json::to_value(debrief)?)
    }

    /// A sortie from the `debrief.json` that a debrief wrote.
    ///
    /// # Errors
    /// When the file cannot be read, is not a debrief, is one of another form of it, or was changed since.
    pub fn read(path: &Path) -> Result<Self, InputError> {
        let refuse = |problem: String, hint: &str| InputError::new(path, None, problem, hint);
        let text = std::fs::read_to_string(path).map_err(|error| {
            refuse(
                format!("cannot be read: {error}"),
                "name a folder that `overflown debrief` wrote, or the debrief.json in it",
            )
        })?;
        let schema = serde_json::from_str::<OfSchema>(&text)
            .map_err(|error| {
                InputError::new(
                    path,
                    u32::try_from(error.line()).ok().filter(|line| *line > 0),
                    format!("not a debrief: {error}"),
                    "name the debrief.json that `overflown debrief` wrote",
                )
            })?
            .schema;
        if schema != SCHEMA {
            return Err(refuse(
                format!("has the form \"{schema}\"; this version reads \"{SCHEMA}\""),
                "debrief the log again with this version",
            ));
        }
        if seal::holds(&text) != Some(true) {
            return Err(refuse(
                "was changed after it was written: its `sha256` does not fit".to_owned(),
                "debrief the log again; nothing in this file can be relied on",
            ));
        }
        let sortie: Self = serde_json::from_str(&text).map_err(|error| {
            refuse(
                format!("not a whole debrief: {error}"),
                "debrief the log again with this version",
            )
        })?;
        if !sortie.looks.has_places_only() {
            return Err(refuse(
                "`looks` names a place that is not on the earth".to_owned(),
                "debrief the log again with this version",
            ));
        }
        Ok(sortie)
    }

    /// The planned search legs, with what the log hides of each.
    pub fn search_legs(&self) -> impl Iterator<Item = (&Leg, &LegState)> {
        self.plan
            .legs
            .iter()
            .filter(|leg| leg.kind == LegKind::Search)
            .zip(&self.legs)
    }

    /// Name of the form it was read from.
    #[must_use]
    pub fn schema(&self) -> &str {
        &self.schema
    }
}

#[derive(Deserialize)]
struct OfSchema {
    schema: String,
}
