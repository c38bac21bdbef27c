//! Patterns along lines: track line, contour, route.

use super::pattern::{MAX_LEGS, spacing, turn};
use crate::geodesy::{Position, geodesic};
use crate::input::InputError;
use crate::tasking::fields::Section;
use crate::tasking::quantity::at_most;
use crate::tasking::{Band, ContourTask, PatternTask, RouteSource, Side, TrackLineTask};
use crate::units::Length;

pub(super) const TRACK_LINE: [&str; 5] = ["kind", "line", "spacing", "turn", "passes"];
pub(super) const CONTOUR: [&str; 3] = ["kind", "spacing", "bands"];
pub(super) const ROUTE: [&str; 5] = ["kind", "file", "name", "points", "spacing"];

/// Name of the tables of `bands`, and their keys.
pub(super) const BANDS: &str = "[pattern.bands]";
pub(super) const BAND: [&str; 2] = ["altitude", "line"];

/// Most places of a line. Chosen: far more than anyone flies.
const MAX_PLACES: usize = 1000;

/// A track line; `least` is the least number of passes, and of the same parity as any other.
pub(super) fn track_line(section: &Section<'_>, least: u32) -> Result<TrackLineTask, InputError> {
    let spacing = spacing(section)?;
    let line = places(section, "line")?;
    no_leg_shorter_than(spacing, section, "line", &line)?;
    let passes = section.count("passes")?.unwrap_or(least);
    if passes % 2 != least % 2 {
        let (parity, end) = if least == 2 {
            ("even", "where it began")
        } else {
            ("odd", "at the other end")
        };
        let below = passes - 1;
        let nearest = if below < least {
            format!("{}", passes + 1)
        } else {
            format!("{below} or {}", passes + 1)
        };
        return Err(section.error_at(
            "passes",
            format!(
                "`passes` in [pattern] must be {parity}, so that the pattern ends {end}; found {passes}"
            ),
            format!("the nearest that would do: {nearest}"),
        ));
    }
    let legs = passes as usize * (line.len() - 1);
    section.check(
        "passes",
        legs <= MAX_LEGS as usize,
        &format!("makes {legs} legs of this line; {MAX_LEGS} is the most"),
    )?;
    // A single pass has no turn.
    let turn = if passes == 1 && !section.has("turn") {
        Side::Right
    } else {
        turn(section)?
    };
    Ok(TrackLineTask {
        line,
        spacing,
        turn,
        passes,
        file_line: section.line_of("line"),
    })
}

/// A contour search.
pub(super) fn contour(section: &Section<'_>) -> Result<ContourTask, InputError> {
    let spacing = spacing(section)?;
    let tables = section.sections("bands", BANDS, &BAND)?;
    let tables = section.require(
        "bands",
        tables,
        "[{ altitude = \"6500 ft\", line = [[47.0, 12.4], [47.2, 12.6]] }]",
    )?;
    let mut bands: Vec<Band> = Vec::with_capacity(tables.len());
    for table in &tables {
        let line = places(table, "line")?;
        no_leg_shorter_than(spacing, table, "line", &line)?;
        let altitude = table.length("altitude")?;
        bands.push(Band {
            altitude: table.require("altitude", altitude, "\"6500 ft\"")?,
            line,
            file_line: table.line_of("line"),
        });
    }
    let legs: usize = bands.iter().map(|band| band.line.len() - 1).sum();
    section.check(
        "bands",
        legs <= MAX_LEGS as usize,
        &format!("make {legs} legs; {MAX_LEGS} is the most"),
    )?;
    for (pair, table) in bands.windows(2).zip(&tables[1..]) {
        if pair[1].altitude >= pair[0].altitude {
            return Err(not_below(table, &pair[0], &pair[1], &bands));
        }
    }
    Ok(ContourTask { spacing, bands })
}

/// A band that does not lie below the one before it.
fn not_below(table: &Section<'_>, above: &Band, band: &Band, bands: &[Band]) -> InputError {
    let mut altitudes: Vec<Length> = bands.iter().map(|band| band.altitude).collect();
    altitudes.sort_by(|a, b| b.m().total_cmp(&a.m()));
    let all_differ = altitudes.windows(2).all(|pair| pair[0] > pair[1]);
    let feet = |altitude: Length| format!("{:.0} ft", altitude.ft());
    let hint = if all_differ {
        let order: Vec<String> = altitudes.into_iter().map(feet).collect();
        format!("list the bands in the order {}", order.join(", "))
    } else {
        // Steps of 500 ft: MART II p. 150.
        let below = Length::from_ft(above.altitude.ft() - 500.0);
        format!(
            "give every band an altitude below that of the one before; steps are usually 500 ft, here \
             {}",
            feet(below)
        )
    };
    table.error_at(
        "altitude",
        format!(
            "`altitude` in [{BANDS}]: {} is not below the {} of the band before; a contour search is \
             flown from the highest band down",
            feet(band.altitude),
            feet(above.altitude)
        ),
        hint,
    )
}

/// A route.
pub(super) fn route(section: &Section<'_>) -> Result<PatternTask, InputError> {
    let spacing = spacing(section)?;
    let source = match section.text("file")? {
        Some(file) => {
            section.check(
                "points",
                !section.has("points"),
                "cannot stand beside `file`",
            )?;
            RouteSource::File {
                file: section.beside(file),
                name: section.text("name")?.map(str::to_owned),
            }
        }
        None if section.has("points") => {
            section.check(
                "name",
                !section.has("name"),
                "chooses a line of a `file`, and `points` are given",
            )?;
            RouteSource::Points(places(section, "points")?)
        }
        None => {
            let example = "\"route.gpx\"   (or give `points`)";
            return section.require("file", None, example);
        }
    };
    Ok(PatternTask::Route { source, spacing })
}

/// The places of a line, neighbours different.
fn places(section: &Section<'_>, key: &str) -> Result<Vec<Position>, InputError> {
    let places = section.positions(key)?;
    let mut places = section.require(key, places, "[[47.0, 12.4], [47.2, 12.6]]")?;
    // A place given twice makes no leg.
    places.dedup();
    section.check(
        key,
        places.len() >= 2,
        "must have at least two different places",
    )?;
    let most = format!("must have at most {MAX_PLACES} places");
    section.check(key, places.len() <= MAX_PLACES, &most)?;
    Ok(places)
}

/// Refuses a line with a stretch shorter than the spacing.
fn no_leg_shorter_than(
    spacing: Length,
    section: &Section<'_>,
    key: &str,
    line: &[Position],
) -> Result<(), InputError> {
    let lengths = line
        .windows(2)
        .map(|pair| geodesic::distance(pair[0], pair[1]));
    let Some((i, shortest)) = lengths
        .enumerate()
        .min_by(|a, b| a.1.m().total_cmp(&b.1.m()))
        .filter(|(_, length)| *length < spacing)
    else {
        return Ok(());
    };
    let narrower = if shortest.m() >= 10.0 {
        format!("give a `spacing` of at most {}", at_most(shortest))
    } else {
        String::new()
    };
    // One end of the stretch can go, if something is left then; not the end of the line.
    let without = if line.len() > 2 {
        let place = if i + 2 < line.len() { i + 2 } else { i + 1 };
        format!("leave place {place} out")
    } else {
        "give a longer line".to_owned()
    };
    let hint = [without, narrower]
        .into_iter()
        .filter(|part| !part.is_empty());
    Err(section.error_at(
        key,
        format!(
            "`{key}`: from place {} to place {} it is {:.2} NM, shorter than the `spacing` of {:.2} NM",
            i + 1,
            i + 2,
            shortest.nm(),
            spacing.nm()
        ),
        hint.collect::<Vec<_>>().join(", or "),
    ))
}
