//! Lines from GeoJSON (RFC 7946): `LineString`, named by the property `name` of its feature.

use super::super::area_file::{Fault, geojson_document, geojson_position};
use super::{ACCEPTED, Line};
use crate::geodesy::Position;
use serde_json::Value;

pub(super) fn lines(text: &str) -> Result<Vec<Line>, Fault> {
    let mut found = Vec::new();
    collect(&geojson_document(text)?, None, &mut found)?;
    Ok(found)
}

fn collect(value: &Value, name: Option<&str>, found: &mut Vec<Line>) -> Result<(), Fault> {
    let members = |key: &str| {
        let list = value.get(key).and_then(Value::as_array);
        list.into_iter().flatten()
    };
    match value.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => {
            members("features").try_for_each(|member| collect(member, name, found))
        }
        Some("GeometryCollection") => {
            members("geometries").try_for_each(|member| collect(member, name, found))
        }
        Some("Feature") => match value.get("geometry") {
            None | Some(Value::Null) => Ok(()),
            Some(geometry) => {
                let own = value.pointer("/properties/name").and_then(Value::as_str);
                collect(geometry, own.or(name), found)
            }
        },
        Some("LineString") => {
            found.push(Line {
                name: name.map(str::to_owned),
                places: places(value.get("coordinates"))?,
                heights: heights(value.get("coordinates")),
                ..Line::default()
            });
            Ok(())
        }
        Some("MultiLineString") => {
            found.push(Line {
                name: name.map(str::to_owned),
                places: joined(members("coordinates"))?,
                heights: members("coordinates").map(|part| heights(Some(part))).sum(),
                ..Line::default()
            });
            Ok(())
        }
        Some("Point" | "MultiPoint" | "Polygon" | "MultiPolygon") => Ok(()),
        _ => Err(Fault::new(
            None,
            "JSON, but not GeoJSON: an object has no \"type\" of that format",
            ACCEPTED,
        )),
    }
}

/// Positions with a third number.
fn heights(coordinates: Option<&Value>) -> usize {
    let positions = coordinates.and_then(Value::as_array).into_iter().flatten();
    positions
        .filter(|position| position.get(2).is_some_and(Value::is_number))
        .count()
}

fn places(coordinates: Option<&Value>) -> Result<Vec<Position>, Fault> {
    let positions = coordinates.and_then(Value::as_array);
    let positions = positions
        .ok_or_else(|| Fault::new(None, "its LineString is malformed", ACCEPTED))?
        .iter()
        .enumerate();
    positions
        .map(|(i, position)| geojson_position(position, i, "LineString"))
        .collect()
}

/// A line in parts, each beginning where the one before ends: one that was cut along the antimeridian
/// (RFC 7946, 3.1.9).
fn joined<'v>(parts: impl Iterator<Item = &'v Value>) -> Result<Vec<Position>, Fault> {
    let parts: Vec<Vec<Position>> = parts
        .map(|part| places(Some(part)))
        .collect::<Result<_, _>>()?;
    if parts
        .windows(2)
        .any(|pair| pair[0].last() != pair[1].first())
    {
        return Err(Fault::new(
            None,
            format!(
                "its MultiLineString has {} lines that do not join",
                parts.len()
            ),
            "give one LineString; parts are joined only where each begins at the end of the one before",
        ));
    }
    Ok(parts.into_iter().flatten().collect())
}
