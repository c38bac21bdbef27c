//! `[detection]`: what is looked for, and the sweep width, given or from a table.

use super::looking;
use crate::detection::Law;
use crate::detection::sweep_width::{
    Conditions, FactorTable, FactorTables, Refusal, Surface, SurfaceConditions, SweepWidth,
    WidthTable,
};
use crate::input::{InputError, InputFile, shown_path, whole_named};
use crate::tasking::fields::Section;
use crate::tasking::{DetectionTask, FlightTask};
use crate::units::{Length, Speed};
use std::path::PathBuf;

pub(super) const KEYS: [&str; 27] = [
    "sweep_width",
    "sweep_width_spread",
    "sweep_width_assumed",
    "search_height",
    "object",
    "over",
    "visibility",
    "wind",
    "seas",
    "flotation",
    "terrain",
    "fatigued",
    "sweep_width_table",
    "weather_table",
    "speed_table",
    "terrain_table",
    "single_factors_table",
    "law",
    "target_pod",
    "scanners",
    "blind_strip",
    "lowest",
    "highest",
    "slowest",
    "fastest",
    "position_error",
    "search_object",
];

/// Keys of the way by a table.
const BY_TABLE: [&str; 13] = [
    "object",
    "over",
    "visibility",
    "wind",
    "seas",
    "flotation",
    "terrain",
    "fatigued",
    "sweep_width_table",
    "weather_table",
    "speed_table",
    "terrain_table",
    "single_factors_table",
];

/// Keys that name a table of factors, and what the file is used as.
const FACTOR_TABLES: [(&str, FactorTable, &str); 4] = [
    ("weather_table", FactorTable::Weather, "weather-table"),
    ("speed_table", FactorTable::Speed, "speed-table"),
    ("terrain_table", FactorTable::Terrain, "terrain-table"),
    (
        "single_factors_table",
        FactorTable::Single,
        "single-factors-table",
    ),
];

/// Greatest search height. Chosen: a slip of unit or digit is more likely than a visual search from
/// higher up.
const HIGHEST: Length = Length::from_ft(10_000.0);

pub(super) fn detection(
    section: &Section<'_>,
    flight: &FlightTask,
) -> Result<DetectionTask, InputError> {
    let search_height = section.positive_length("search_height")?;
    section.check(
        "search_height",
        search_height.is_none_or(|height| height <= HIGHEST),
        "is above the surface and at most 10,000 ft",
    )?;
    let by_table = BY_TABLE.iter().find(|key| section.has(key));
    let (basis, tables) = match by_table {
        None => (given(section)?, Vec::new()),
        Some(key) if section.has("sweep_width") => {
            return Err(section.error_at(
                key,
                format!("`sweep_width` is given, and with `{key}` looked up in a table as well"),
                "give either `sweep_width` or the keys of the table, not both",
            ));
        }
        Some(_) => from_table(section, search_height, flight.ground_speed)?,
    };
    let target_pod = super::share(section, "target_pod")?;
    let view = looking::view(section, basis.width)?;
    let (position_error, position_error_given) = looking::position_error(section)?;
    let search_object = section.text("search_object")?.or(section.text("object")?);
    Ok(DetectionTask {
        sweep_width: basis.width,
        sweep_width_basis: basis,
        sweep_width_tables: tables,
        search_height,
        law: section.choice("law", &laws())?.unwrap_or(Law::InverseCube),
        target_pod,
        view,
        limits: looking::limits(section, flight)?,
        position_error,
        position_error_given,
        search_object: search_object.map(str::to_owned),
    })
}

fn laws() -> [(&'static str, Law); 3] {
    Law::ALL.map(|law| (law.name(), law))
}

/// The width itself, with its spread where one is stated.
fn given(section: &Section<'_>) -> Result<SweepWidth, InputError> {
    let width = section.positive_length("sweep_width")?;
    let width = section.require(
        "sweep_width",
        width,
        "\"0.5 NM\", or `object`, `over` and the other keys of a table (docs/tasking-file.md)",
    )?;
    let spread = section.percent("sweep_width_spread")?;
    section.check(
        "sweep_width_spread",
        spread.is_none_or(|share| share > 0.0 && share < 1.0),
        "must be more than 0 % and less than 100 %",
    )?;
    Ok(if section.flag("sweep_width_assumed")?.unwrap_or(false) {
        SweepWidth::assumed(width, spread)
    } else {
        SweepWidth::given(width, spread)
    })
}

fn from_table(
    section: &Section<'_>,
    search_height: Option<Length>,
    ground_speed: Speed,
) -> Result<(SweepWidth, Vec<InputFile>), InputError> {
    if section.has("sweep_width_spread") {
        return Err(section.error_at(
            "sweep_width_spread",
            "`sweep_width_spread` goes with `sweep_width`; a width from a table has the table's spread",
            "take it out",
        ));
    }
    if section.has("sweep_width_assumed") {
        return Err(section.error_at(
            "sweep_width_assumed",
            "`sweep_width_assumed` goes with `sweep_width`; a width from a table is not assumed",
            "take it out",
        ));
    }
    let surfaces = [Surface::Water, Surface::Land].map(|surface| (surface.name(), surface));
    let over = section.choice("over", &surfaces)?;
    let over = section.require("over", over, "\"water\" (or \"land\")")?;
    let object = section.text("object")?;
    let object = section.require("object", object, "\"raft 4-person\"")?;
    let visibility = section.positive_length("visibility")?;
    let conditions = Conditions {
        object: object.trim().to_owned(),
        search_height: section.require("search_height", search_height, "\"500 ft\"")?,
        visibility: section.require("visibility", visibility, "\"10 NM\"")?,
        ground_speed,
        surface: surface_conditions(section, over)?,
        fatigued: section.flag("fatigued")?.unwrap_or(false),
    };
    let (factors, mut files) = factor_tables(section)?;
    let (table, file) = table(section, over, &factors)?;
    files.extend(file);
    let width = SweepWidth::from_table(&table, &factors, &conditions)
        .map_err(|Refusal { key, problem, hint }| section.error_at(key, problem, hint))?;
    Ok((width, files))
}

/// The keys of one surface; those of the other are errors.
fn surface_conditions(
    section: &Section<'_>,
    over: Surface,
) -> Result<SurfaceConditions, InputError> {
    let (others, elsewhere) = match over {
        Surface::Water => (&["terrain", "terrain_table"][..], "land"),
        Surface::Land => (
            &["wind", "seas", "flotation", "weather_table", "speed_table"][..],
            "water",
        ),
    };
    if let Some(key) = others.iter().find(|key| section.has(key)) {
        return Err(section.error_at(
            key,
            format!(
                "`{key}` goes with over = \"{elsewhere}\", not with \"{}\"",
                over.name()
            ),
            format!("take `{key}` out, or correct `over`"),
        ));
    }
    if over == Surface::Land {
        let terrain = section.text("terrain")?;
        let terrain = section.require("terrain", terrain, "\"hilly\"")?;
        return Ok(SurfaceConditions::Land {
            terrain: terrain.trim().to_owned(),
        });
    }
    let (wind, seas) = (section.speed("wind")?, section.length("seas")?);
    for (key, holds) in [
        ("wind", wind.is_none_or(|wind| wind.mps() >= 0.0)),
        ("seas", seas.is_none_or(|seas| seas.m() >= 0.0)),
    ] {
        section.check(key, holds, "must not be less than zero")?;
    }
    Ok(SurfaceConditions::Water {
        wind: section.require(
            "wind",
            wind,
            "\"10 kt\" (the worse of wind and seas decides)",
        )?,
        seas: section.require(
            "seas",
            seas,
            "\"2 ft\" (the worse of wind and seas decides)",
        )?,
        flotation: section.flag("flotation")?.unwrap_or(false),
    })
}

/// The tables of factors built in, or those the tasking names, with their files.
fn factor_tables(section: &Section<'_>) -> Result<(FactorTables, Vec<InputFile>), InputError> {
    let mut tables = FactorTables::built_in()?;
    let mut files = Vec::new();
    for (key, which, role) in FACTOR_TABLES {
        if let Some((path, text)) = table_file(section, key)? {
            tables.replace(which, &text, &path)?;
            files.push(InputFile::of(role, &path, text.as_bytes()));
        }
    }
    Ok((tables, files))
}

/// The file that `key` names, with its text.
fn table_file(section: &Section<'_>, key: &str) -> Result<Option<(PathBuf, String)>, InputError> {
    let Some(name) = section.text(key)? else {
        return Ok(None);
    };
    let path = section.beside(name);
    let bytes = whole_named(&path, super::MOST_BYTES).map_err(|error| error.to_string());
    let text = bytes
        .and_then(|bytes| String::from_utf8(bytes).map_err(|_| "it is no UTF-8 text".to_owned()));
    let text = text.map_err(|error| {
        section.error_at(
            key,
            format!("{} cannot be read: {error}", shown_path(&path)),
            "name a TOML file of the form docs/tasking-file.md shows; a relative path starts at the \
             folder of the tasking",
        )
    })?;
    Ok(Some((path, text)))
}

/// The table of widths built in, or the one the tasking names.
fn table(
    section: &Section<'_>,
    over: Surface,
    factors: &FactorTables,
) -> Result<(WidthTable, Option<InputFile>), InputError> {
    let Some((path, text)) = table_file(section, "sweep_width_table")? else {
        let table = WidthTable::built_in(over)?;
        factors.have_rows_for(&table)?;
        return Ok((table, None));
    };
    let table = WidthTable::parse(&text, &path, factors)?;
    if table.over() != over {
        return Err(section.error_at(
            "sweep_width_table",
            format!(
                "the table is for {}, the search is over {}",
                table.over().name(),
                over.name()
            ),
            "correct `over`, or name another table",
        ));
    }
    let file = InputFile::of("sweep-width-table", &path, text.as_bytes());
    Ok((table, Some(file)))
}

#[cfg(test)]
mod tests;
