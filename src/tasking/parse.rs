//! TOML text → [`Tasking`].

mod area;
mod detection;
mod legs;
mod line_patterns;
mod looking;
mod pattern;
mod search;

pub use search::{MOST_SUB_AREAS, known_search_keys, parse_search, read_search};

use super::fields::{Section, Source};
use super::{FlightTask, Places, Tasking, Tolerances};
use crate::characters::{FOLDER_NAMES, PERSON_NAMES, is_person_name, is_result_name};
use crate::input::{InputError, InputFile, whole};
use crate::units::{Length, Speed};
use std::path::Path;
use toml::Spanned;
use toml::de::DeTable;

const TOP: [&str; 9] = [
    "sortie",
    "date",
    "pilot",
    "inferred",
    "area",
    "pattern",
    "flight",
    "detection",
    "tolerances",
];
const FLIGHT: [&str; 3] = ["ground_speed", "altitude", "base"];
const TOLERANCES: [&str; 4] = ["cross_track", "altitude", "ground_speed", "recording_gap"];

/// Every section of a tasking file with the keys it may hold; the top level has no name. A pattern of
/// one kind takes some of the keys of `pattern` only.
#[must_use]
pub fn known_keys() -> Vec<(&'static str, Vec<&'static str>)> {
    vec![
        ("", TOP.to_vec()),
        ("area", area::KEYS.to_vec()),
        ("pattern", pattern::known_keys()),
        (line_patterns::BANDS, line_patterns::BAND.to_vec()),
        ("flight", FLIGHT.to_vec()),
        ("detection", detection::KEYS.to_vec()),
        ("tolerances", TOLERANCES.to_vec()),
    ]
}

/// Reads a tasking file.
///
/// # Errors
/// When the file cannot be read or [`parse`] refuses it.
pub fn read(path: &Path) -> Result<Tasking, InputError> {
    parse(&read_text(path, "tasking file")?, path)
}

/// Largest file of ours, bytes: it is held in memory. Chosen: a tasking with a thousand places has a
/// hundredth of it.
const MOST_BYTES: u64 = 1 << 22;

/// The text of a file of ours.
fn read_text(path: &Path, what: &str) -> Result<String, InputError> {
    let bytes = whole(path, MOST_BYTES).map_err(|error| {
        InputError::new(
            path,
            None,
            format!("cannot be read: {error}"),
            format!("name a {what} (TOML); the documents show one"),
        )
    })?;
    String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let line = error.as_bytes()[..good]
            .iter()
            .filter(|b| **b == b'\n')
            .count() as u32
            + 1;
        InputError::new(
            path,
            Some(line),
            "not UTF-8 text",
            "save the file as UTF-8 text",
        )
    })
}

/// The text as TOML.
fn document<'a>(source: &Source<'a>) -> Result<Spanned<DeTable<'a>>, InputError> {
    DeTable::parse(source.text).map_err(|error| {
        source.error(
            error.span().map(|span| span.start),
            format!(
                "not valid TOML: {}",
                error.message().trim().replace('\n', "; ")
            ),
            "give a TOML file as docs/tasking-file.md shows it",
        )
    })
}

/// A name after which a result folder is called.
fn result_name(top: &Section<'_>, key: &str, example: &str) -> Result<String, InputError> {
    let name = top.require(key, top.text(key)?, example)?.trim().to_owned();
    let problem = format!("names the result folder: {FOLDER_NAMES}");
    top.check(key, is_result_name(&name), &problem)?;
    Ok(name)
}

/// Who flew.
fn pilot(top: &Section<'_>) -> Result<Option<String>, InputError> {
    let pilot = top.text("pilot")?;
    top.check(
        "pilot",
        pilot.is_none_or(is_person_name),
        &format!("takes {PERSON_NAMES}"),
    )?;
    Ok(pilot.map(|name| name.trim().to_owned()))
}

/// A probability that is neither nothing nor certainty.
fn share(section: &Section<'_>, key: &str) -> Result<Option<f64>, InputError> {
    let share = section.number(key)?;
    section.check(
        key,
        share.is_none_or(|share| share > 0.0 && share < 1.0),
        "must be more than 0 and less than 1, such as 0.7 for 70 %",
    )?;
    Ok(share)
}

/// Reads a tasking from its text; `path` is used for messages and for files named in it.
///
/// # Errors
/// When the text is not TOML, a key is missing, unknown or of the wrong kind, or a value is outside
/// its range; the error names the line and what would be accepted.
pub fn parse(text: &str, path: &Path) -> Result<Tasking, InputError> {
    let source = Source { path, text };
    let document = document(&source)?;
    let top = Section::new(&source, "", None, document.get_ref(), &TOP)?;

    let sortie = result_name(&top, "sortie", "\"Kestrel 1\"")?;
    let date = top.require("date", top.date("date")?, "2026-06-14")?;
    let pilot = pilot(&top)?;
    let inferred = top.flag("inferred")?.unwrap_or(false);
    let area = top
        .section("area", &area::KEYS)?
        .map(|s| area::area(&s))
        .transpose()?;
    let pattern = top.section("pattern", &pattern::known_keys())?;
    let pattern = top.require(
        "pattern",
        pattern,
        "(a section [pattern]; see docs/tasking-file.md)",
    )?;
    let pattern_line = pattern.line_of("kind");
    let pattern = pattern::parse(&pattern, area.is_some())?;
    let flight = top.section("flight", &FLIGHT)?;
    let flight = top.require(
        "flight",
        flight,
        "(a section [flight]; see docs/tasking-file.md)",
    )?;
    let detection = top.section("detection", &detection::KEYS)?;
    let detection = top.require(
        "detection",
        detection,
        "(a section [detection]; see docs/tasking-file.md)",
    )?;
    let tolerances = match top.section("tolerances", &TOLERANCES)? {
        Some(section) => tolerances(&section)?,
        None => default_tolerances(),
    };
    let flight = self::flight(&flight)?;
    let places = Places {
        pattern: pattern_line,
        blind_strip: detection.line_of("blind_strip"),
    };
    let detection = detection::detection(&detection, &flight)?;
    Ok(Tasking {
        source: InputFile::of("tasking", path, text.as_bytes()),
        sortie,
        date,
        pilot,
        inferred,
        area,
        pattern,
        flight,
        detection,
        tolerances,
        places,
    })
}

fn flight(section: &Section<'_>) -> Result<FlightTask, InputError> {
    let ground_speed = section.positive_speed("ground_speed")?;
    Ok(FlightTask {
        ground_speed: section.require("ground_speed", ground_speed, "\"90 kt\"")?,
        altitude: section.length("altitude")?,
        base: section.position("base")?,
    })
}

fn default_tolerances() -> Tolerances {
    Tolerances {
        cross_track: None,
        altitude: Length::from_ft(200.0),
        ground_speed: Speed::from_kt(10.0),
        recording_gap_s: None,
    }
}

fn tolerances(section: &Section<'_>) -> Result<Tolerances, InputError> {
    let default = default_tolerances();
    let recording_gap_s = section.duration_s("recording_gap")?;
    section.check(
        "recording_gap",
        recording_gap_s.is_none_or(|gap| gap > 0.0),
        "must be more than zero",
    )?;
    Ok(Tolerances {
        cross_track: section.positive_length("cross_track")?,
        altitude: section
            .positive_length("altitude")?
            .unwrap_or(default.altitude),
        ground_speed: section
            .positive_speed("ground_speed")?
            .unwrap_or(default.ground_speed),
        recording_gap_s,
    })
}
