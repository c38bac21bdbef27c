//! The section `[area]`: exactly one way of giving the area.

use crate::geodesy::gars::GarsError;
use crate::geodesy::{GarsCell, Position};
use crate::input::InputError;
use crate::tasking::area::{AreaShape, AreaTask};
use crate::tasking::fields::Section;
use crate::tasking::quantity::shown;
use crate::units::Length;

/// Keys of the section, in the order of [`WAYS`].
pub(super) const KEYS: [&str; 13] = [
    "corners",
    "south",
    "north",
    "west",
    "east",
    "centre",
    "radius",
    "line",
    "half_width",
    "gars",
    "cell_corner",
    "cell_size",
    "file",
];

/// A way of giving an area: what it is called and the keys it takes, all of them required.
type Way = (&'static str, &'static [&'static str], Read);
type Read = fn(&Section<'_>) -> Result<AreaShape, InputError>;

const WAYS: [Way; 7] = [
    ("corners", &["corners"], corners),
    ("a box", &["south", "north", "west", "east"], edges),
    ("a circle", &["centre", "radius"], circle),
    ("a corridor", &["line", "half_width"], corridor),
    ("a GARS cell", &["gars"], gars),
    ("a cell", &["cell_corner", "cell_size"], cell),
    ("an outline in a file", &["file"], file),
];

/// Largest distance from a circle's centre or a corridor's line. Chosen: an area reaches at most
/// 120 NM from its centre.
const MAX_REACH: Length = Length::from_nm(119.0);
/// Smallest such distance. Chosen: nothing smaller is searched from the air.
const MIN_REACH: Length = Length::from_m(100.0);

/// Reads the section.
pub(super) fn area(section: &Section<'_>) -> Result<AreaTask, InputError> {
    let mut given = WAYS.iter().filter_map(|way| {
        way.1
            .iter()
            .find(|key| section.has(key))
            .map(|key| (way, *key))
    });
    let Some((way, key)) = given.next() else {
        return Err(section.error_at("corners", "[area] gives no area", hint()));
    };
    if let Some((other, other_key)) = given.next() {
        return Err(section.error_at(
            other_key,
            format!(
                "`{other_key}` in [area] belongs to {}, but `{key}` already gives {}",
                other.0, way.0
            ),
            hint(),
        ));
    }
    Ok(AreaTask {
        line: section.line_of(key),
        shape: way.2(section)?,
    })
}

fn hint() -> String {
    let ways: Vec<String> = WAYS
        .iter()
        .map(|(_, keys, _)| {
            let keys: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
            keys.join(" + ")
        })
        .collect();
    format!("give the area in one way only: {}", ways.join(", or "))
}

fn corners(section: &Section<'_>) -> Result<AreaShape, InputError> {
    let corners = section.positions("corners")?;
    let example = "[[47.0, 12.4], [47.2, 12.6], [47.0, 12.6]]";
    Ok(AreaShape::Corners(
        section.require("corners", corners, example)?,
    ))
}

fn edges(section: &Section<'_>) -> Result<AreaShape, InputError> {
    let south = section.require("south", section.number("south")?, "47.0")?;
    let north = section.require("north", section.number("north")?, "47.125")?;
    let west = section.require("west", section.number("west")?, "12.5")?;
    let east = section.require("east", section.number("east")?, "12.625")?;
    for (key, value, limit) in [
        ("south", south, 90),
        ("north", north, 90),
        ("west", west, 180),
        ("east", east, 180),
    ] {
        let rule = format!("must be from -{limit} to {limit} degrees");
        section.check(key, value.abs() <= f64::from(limit), &rule)?;
    }
    section.check("north", north > south, "must be north of `south`")?;
    // East less than west means that the box crosses the antimeridian.
    section.check(
        "east",
        (east - west) % 360.0 != 0.0,
        "must differ from `west`",
    )?;
    Ok(AreaShape::Box {
        south,
        west,
        north,
        east,
    })
}

fn reach(section: &Section<'_>, key: &str, example: &str) -> Result<Length, InputError> {
    let length = section.require(key, section.positive_length(key)?, example)?;
    section.check(
        key,
        (MIN_REACH.m()..=MAX_REACH.m()).contains(&length.m()),
        "must be from 100 m to 119 NM",
    )?;
    Ok(length)
}

fn circle(section: &Section<'_>) -> Result<AreaShape, InputError> {
    let centre = section.position("centre")?;
    Ok(AreaShape::Circle {
        centre: section.require("centre", centre, "[47.1250, 12.5000]")?,
        radius: reach(section, "radius", "\"5 NM\"")?,
    })
}

fn corridor(section: &Section<'_>) -> Result<AreaShape, InputError> {
    let line = section.positions("line")?;
    let mut line = section.require("line", line, "[[47.0, 12.4], [47.2, 12.6]]")?;
    // A point given twice makes no stretch of the line.
    line.dedup();
    section.check(
        "line",
        line.len() >= 2,
        "must have at least two different places",
    )?;
    Ok(AreaShape::Corridor {
        line,
        half_width: reach(section, "half_width", "\"2 NM\"")?,
    })
}

fn gars(section: &Section<'_>) -> Result<AreaShape, InputError> {
    let name = section.require("gars", section.text("gars")?, "\"385ML3\"")?;
    let cell: GarsCell = name.parse().map_err(|error: GarsError| {
        let nearest = error.nearest.as_ref().map_or_else(String::new, |nearest| {
            format!("; the nearest name is {}", shown(nearest))
        });
        section.error_at(
            "gars",
            format!("`gars` in [area]: {} names no cell: {error}", shown(name)),
            format!(
                "`gars` in [area] takes a cell of 30', 15' or 5', such as \"385ML\", \"385ML3\" or \
                 \"385ML36\"{nearest}"
            ),
        )
    })?;
    Ok(AreaShape::Gars(cell))
}

fn file(section: &Section<'_>) -> Result<AreaShape, InputError> {
    let name = section.require("file", section.text("file")?, "\"area.geojson\"")?;
    Ok(AreaShape::File(section.beside(name)))
}

fn cell(section: &Section<'_>) -> Result<AreaShape, InputError> {
    /// Degrees: a corner may be off by this much, 0.1 mm, from rounding.
    const SLACK_DEG: f64 = 1e-9;
    let sizes = [("1°", 60.0), ("30'", 30.0), ("15'", 15.0), ("7.5'", 7.5)];
    let corner = section.position("cell_corner")?;
    let corner = section.require("cell_corner", corner, "[47.125, 12.500]")?;
    let side_min = section.choice("cell_size", &sizes)?;
    let side_min: f64 = section.require("cell_size", side_min, "\"7.5'\"")?;
    let side_deg = side_min / 60.0;
    let nearest = |deg: f64| (deg / side_deg).round() * side_deg;
    let (lat, lon) = (nearest(corner.lat()), nearest(corner.lon()));
    if (lat - corner.lat()).abs() > SLACK_DEG || (lon - corner.lon()).abs() > SLACK_DEG {
        return Err(section.error_at(
            "cell_corner",
            format!("`cell_corner` in [area] does not lie on the graticule of {side_min}'"),
            format!(
                "give the south-west corner of a cell; the nearest corner is [{lat:.3}, {lon:.3}]"
            ),
        ));
    }
    section.check(
        "cell_corner",
        lat + side_deg <= 90.0,
        "is the south-west corner: the cell must not reach beyond the pole",
    )?;
    Position::new(lat, lon)
        .map(|corner| AreaShape::Cell { corner, side_min })
        .ok_or_else(|| section.error_at("cell_corner", "it is not on the earth", hint()))
}
