//! The factors that turn a table's width into that of the day: weather, speed, terrain, fatigue.
//!
//! W = Wu · fw · ff · fv (JP 3-50 Vol I, 1991, Appendix D, p. 374); over land a terrain factor in the
//! place of weather and speed.

use super::factors::{FactorTables, OneFactor, Rows, Weather};
use super::look_up::{bracket, rounded};
use super::{Object, Refusal, Status, Surface};
use crate::units::{Length, Speed};
use serde::Deserialize;

/// Height at which the factor for a flotation device holds, feet.
const FLOTATION_FT: f64 = 500.0;

/// A factor before it is applied.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Correction {
    pub what: &'static str,
    pub value: f64,
    /// The least and greatest reading of it.
    pub range: (f64, f64),
    pub because: String,
    pub source: String,
    pub status: Status,
    pub doubts: Vec<String>,
}

/// Which objects the weather table tells apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WeatherClass {
    /// Person in water, raft, boat under 10 m (33 ft).
    Small,
    /// Everything else.
    Other,
    /// A row with boats on both sides of 10 m: taken as `Other`.
    Either,
}

impl Weather {
    fn factor(&self, class: WeatherClass, wind: Speed, seas: Length) -> f64 {
        // A knot or a foot that went through metres is still that knot or foot.
        let over = |value: f64, limit: f64| value > limit * (1.0 + 1e-9);
        let from = |value: f64, limit: f64| value >= limit * (1.0 - 1e-9);
        let reached = self
            .steps
            .get_ref()
            .iter()
            .rev()
            .map(toml::Spanned::get_ref)
            .find(|step| {
                over(wind.kt(), step.wind_over_kt)
                    || step
                        .seas_over_ft
                        .is_some_and(|limit| over(seas.ft(), limit))
                    || step
                        .seas_from_ft
                        .is_some_and(|limit| from(seas.ft(), limit))
            });
        reached.map_or(1.0, |step| match class {
            WeatherClass::Small => step.small,
            WeatherClass::Other | WeatherClass::Either => step.other,
        })
    }
}

impl OneFactor {
    fn correction(&self, what: &'static str, because: &str) -> Correction {
        Correction {
            what,
            value: self.factor,
            range: (self.factor, self.factor),
            because: because.to_owned(),
            source: format!("{}, {}", self.document, self.table),
            status: self.status,
            doubts: Vec::new(),
        }
    }
}

/// Whether the rows that an object of a width table names exist; else what is wrong and what would do.
pub(super) fn check(
    over: Surface,
    object: &Object,
    tables: &FactorTables,
) -> Result<(), (String, String)> {
    match over {
        Surface::Water => {
            if object.weather.is_none() || object.terrain.is_some() {
                return Err((
                    "an object over water takes `weather` and `speed`".into(),
                    "`weather` is \"small\" (person in water, raft, boat under 10 m), \"other\" or \"either\""
                        .into(),
                ));
            }
            known(&tables.speed, "speed", object.speed.as_deref())
        }
        Surface::Land => {
            if object.weather.is_some() || object.speed.is_some() {
                return Err((
                    "an object over land takes `terrain` alone".into(),
                    "weather and speed factors are for objects on water".into(),
                ));
            }
            known(&tables.terrain, "terrain", object.terrain.as_deref())
        }
    }
}

fn known(rows: &Rows, key: &str, name: Option<&str>) -> Result<(), (String, String)> {
    let rows = rows.rows.get_ref();
    if name.is_some_and(|name| rows.contains_key(name)) {
        return Ok(());
    }
    let names: Vec<String> = rows.keys().map(|name| format!("\"{name}\"")).collect();
    let found = name.map_or_else(|| "is missing".to_owned(), |n| format!("cannot be \"{n}\""));
    Err((
        format!("`{key}` of an object {found}"),
        format!("`{key}` is one of {}", names.join(", ")),
    ))
}

/// Weather over water: wind and seas, the worse of both decides.
pub(super) fn weather(table: &Weather, object: &Object, wind: Speed, seas: Length) -> Correction {
    let class = object.weather.unwrap_or(WeatherClass::Small);
    let value = table.factor(class, wind, seas);
    let of = match class {
        WeatherClass::Small => "person in water, raft or boat under 10 m (33 ft)",
        WeatherClass::Other => "not a person in water, raft or boat under 10 m (33 ft)",
        WeatherClass::Either => "taken as not under 10 m (33 ft)",
    };
    let mut range = (value, value);
    let mut doubts = Vec::new();
    if class == WeatherClass::Either {
        let small = table.factor(WeatherClass::Small, wind, seas);
        if small != value {
            range.0 = range.0.min(small);
            doubts.push(format!(
                "weather: boats of this row under 10 m (33 ft) take {small}"
            ));
        }
    }
    if let Some(older) = &table.older {
        let other = older.factor(class, wind, seas);
        if other != value {
            range = (range.0.min(other), range.1.max(other));
            doubts.push(format!(
                "weather: {}, Table {}, has {other} in these seas",
                older.document, older.table
            ));
        }
    }
    Correction {
        what: "weather",
        value,
        range,
        because: format!(
            "wind {} kt, seas {} ft, the worse decides; {of}",
            rounded(wind.kt()),
            rounded(seas.ft())
        ),
        source: format!("{}, Table {}", table.document, table.table),
        status: table.status,
        doubts,
    }
}

/// Search speed of a fixed-wing aircraft over water: interpolated, and below the first column no more
/// than there.
pub(super) fn speed(
    table: &Rows,
    object: &Object,
    ground_speed: Speed,
) -> Result<Correction, Refusal> {
    let columns: Vec<f64> = table.knots.iter().map(|knots| *knots.get_ref()).collect();
    let row = object
        .speed
        .as_deref()
        .and_then(|name| table.rows.get_ref().get_key_value(name));
    let slowest = columns.first().copied().unwrap_or_default();
    let knots = ground_speed.kt().max(slowest);
    let found = row.zip(bracket(&columns, knots));
    let Some(((name, factors), place)) = found else {
        return Err(Refusal::new(
            "object",
            format!(
                "the speed factors end at {} kt, `ground_speed` in [flight] is {} kt",
                columns.last().copied().unwrap_or_default(),
                rounded(ground_speed.kt())
            ),
            "plan a slower search, or give `sweep_width` itself; the tables are those of fixed-wing \
             aircraft",
        ));
    };
    let factors = factors.get_ref();
    let value = place.parts().map(|(i, weight)| weight * factors[i]).sum();
    Ok(Correction {
        what: "speed",
        value,
        range: (value, value),
        because: format!(
            "{}at {} kt{}; row \"{name}\"",
            // Whose a crew's own table is, it does not say.
            if table.is_own() { "" } else { "fixed wing " },
            rounded(ground_speed.kt()),
            if knots > ground_speed.kt() {
                format!(", taken as {slowest} kt, the slowest of the table")
            } else {
                String::new()
            }
        ),
        source: format!("{}, Table {}", table.document, table.table),
        status: table.status,
        doubts: Vec::new(),
    })
}

/// Terrain over land.
pub(super) fn terrain(table: &Rows, object: &Object, word: &str) -> Result<Correction, Refusal> {
    let column = table
        .words
        .iter()
        .position(|w| w.get_ref().eq_ignore_ascii_case(word));
    let row = object
        .terrain
        .as_deref()
        .and_then(|name| table.rows.get_ref().get_key_value(name));
    let Some((column, (name, factors))) = column.zip(row) else {
        let words: Vec<String> = table
            .words
            .iter()
            .map(|w| format!("\"{}\"", w.get_ref()))
            .collect();
        return Err(Refusal::new(
            "terrain",
            format!("there is no terrain \"{word}\""),
            format!("`terrain` is one of {}", words.join(", ")),
        ));
    };
    let value = factors.get_ref()[column];
    Ok(Correction {
        what: "terrain",
        value,
        range: (value, value),
        because: format!("{}; row \"{name}\"", table.words[column].get_ref()),
        source: format!("{}, Table {}", table.document, table.table),
        status: table.status,
        doubts: Vec::new(),
    })
}

/// A crew excessively fatigued; the tables allow for normal fatigue.
pub(super) fn fatigue(factor: &OneFactor) -> Correction {
    factor.correction("fatigue", "crew excessively fatigued")
}

/// A person in water known to wear a flotation device, at 500 ft only.
pub(super) fn flotation(
    factor: &OneFactor,
    object: &str,
    height: Length,
) -> Result<Correction, Refusal> {
    let at_500 = (height.ft() - FLOTATION_FT).abs() < 1e-6 * FLOTATION_FT;
    if object != "person in water" || !at_500 {
        return Err(Refusal::new(
            "flotation",
            "the factor for a flotation device holds for a person in water seen from 500 ft alone",
            "leave `flotation` out, or give object = \"person in water\" and search_height = \"500 ft\"",
        ));
    }
    Ok(factor.correction("flotation", "flotation device worn, at 500 ft"))
}
