//! An area as a polygon in GeoJSON (RFC 7946).

use super::{ACCEPTED, CLOSE, Fault, only_one, place, ring};
use crate::characters::bounded;
use crate::geodesy::{LocalFrame, Position};
use crate::plan::area::polygon_in;
use geo::unary_union;
use serde_json::Value;

/// What polygons are in a file: each the list of its rings.
type Rings = Vec<Value>;

/// The document, if its coordinates are longitude and latitude on WGS 84.
pub(in crate::plan) fn document(text: &str) -> Result<Value, Fault> {
    let value: Value = serde_json::from_str(text).map_err(|error| {
        Fault::new(
            u32::try_from(error.line()).ok(),
            format!("not valid JSON: {error}"),
            "export the file again",
        )
    })?;
    if let Some(crs) = value.get("crs").filter(|crs| !crs.is_null()) {
        // RFC 7946, 4: all coordinates are longitude and latitude on WGS 84; earlier drafts could say
        // otherwise.
        let name = crs.pointer("/properties/name").and_then(Value::as_str);
        if !name.is_some_and(|name| name.ends_with("CRS84") || name.ends_with("EPSG::4326")) {
            return Err(Fault::new(
                None,
                "its coordinates are in another reference system (\"crs\")",
                "export it with longitude and latitude on WGS 84, as RFC 7946 asks",
            ));
        }
    }
    Ok(value)
}

/// Position `index` (from 0) of a geometry of this type.
pub(in crate::plan) fn position(
    value: &Value,
    index: usize,
    geometry: &str,
) -> Result<Position, Fault> {
    let degrees = |at: usize| value.get(at).and_then(Value::as_f64);
    degrees(0)
        .zip(degrees(1))
        .ok_or_else(|| {
            format!(
                "{} is not [longitude, latitude]",
                bounded(&value.to_string())
            )
        })
        .and_then(|(lon, lat)| place(lon, lat))
        .map_err(|problem| {
            Fault::new(
                None,
                format!("position {} of its {geometry}: {problem}", index + 1),
                "GeoJSON gives the longitude first, in decimal degrees",
            )
        })
}

pub(super) fn corners(text: &str) -> Result<Vec<Position>, Fault> {
    let value = document(text)?;
    let mut found = Vec::new();
    areas(&value, &mut found)?;
    let parts = only_one(found, "Polygon or MultiPolygon")?
        .into_iter()
        .map(polygon)
        .collect::<Result<Vec<_>, _>>()?;
    match parts.len() {
        1 => Ok(parts.into_iter().next().unwrap_or_default()),
        0 => Err(Fault::new(None, "its MultiPolygon is empty", ACCEPTED)),
        _ => joined(&parts),
    }
}

/// Collects the geometries that are areas; points and lines beside them are none.
fn areas(value: &Value, found: &mut Vec<Vec<Rings>>) -> Result<(), Fault> {
    let members = |key: &str| {
        value
            .get(key)
            .and_then(Value::as_array)
            .into_iter()
            .flatten()
    };
    let malformed = |what: &str| Fault::new(None, format!("{what} is malformed"), ACCEPTED);
    match value.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => members("features").try_for_each(|f| areas(f, found)),
        Some("GeometryCollection") => members("geometries").try_for_each(|g| areas(g, found)),
        Some("Feature") => match value.get("geometry") {
            None | Some(Value::Null) => Ok(()),
            Some(geometry) => areas(geometry, found),
        },
        Some("Polygon") => {
            let rings = value.get("coordinates").and_then(Value::as_array);
            found.push(vec![rings.ok_or_else(|| malformed("its Polygon"))?.clone()]);
            Ok(())
        }
        Some("MultiPolygon") => {
            let polygons = value.get("coordinates").and_then(Value::as_array);
            let rings = polygons
                .ok_or_else(|| malformed("its MultiPolygon"))?
                .iter()
                .map(|polygon| {
                    let rings = polygon.as_array().cloned();
                    rings.ok_or_else(|| malformed("a member of its MultiPolygon"))
                })
                .collect::<Result<_, _>>()?;
            found.push(rings);
            Ok(())
        }
        Some("Point" | "MultiPoint" | "LineString" | "MultiLineString") => Ok(()),
        _ => Err(Fault::new(
            None,
            "JSON, but not GeoJSON: an object has no \"type\" of that format",
            ACCEPTED,
        )),
    }
}

fn polygon(rings: Rings) -> Result<Vec<Position>, Fault> {
    let [outer] = rings.as_slice() else {
        let (problem, hint) = match rings.len() {
            0 => ("its Polygon has no ring".to_owned(), ACCEPTED),
            n => (
                format!("its Polygon has {} hole(s)", n - 1),
                "an area with holes is not supported: give its outer edge alone, or cut it up",
            ),
        };
        return Err(Fault::new(None, problem, hint));
    };
    let positions = outer.as_array().map(Vec::as_slice).unwrap_or_default();
    let corners = positions
        .iter()
        .enumerate()
        .map(|(i, value)| position(value, i, "Polygon"))
        .collect::<Result<_, _>>()?;
    ring(corners).map_err(|problem| Fault::new(None, problem, CLOSE))
}

/// The area of which these are the parts, if it was cut along the antimeridian (RFC 7946, 3.1.9).
fn joined(parts: &[Vec<Position>]) -> Result<Vec<Position>, Fault> {
    let several = || {
        Fault::new(
            None,
            format!(
                "its MultiPolygon has {} members that do not make one area",
                parts.len()
            ),
            "give one polygon; only one that was cut along the antimeridian is put together again",
        )
    };
    let cut = parts
        .iter()
        .all(|part| part.iter().any(|corner| corner.lon() == -180.0));
    let Some(first) = parts[0].first().filter(|_| cut) else {
        return Err(several());
    };
    let frame = LocalFrame::new(*first);
    let polygons: Vec<_> = parts.iter().map(|part| polygon_in(&frame, part)).collect();
    match unary_union(&polygons).0.as_slice() {
        [one] if one.interiors().is_empty() => {
            let ring = one.exterior().coords().skip(1);
            Ok(ring.map(|xy| frame.inverse(*xy)).collect())
        }
        _ => Err(several()),
    }
}

#[cfg(test)]
mod tests {
    use super::corners;

    fn problem(text: &str) -> String {
        corners(text)
            .map(|c| format!("{c:?}"))
            .map_err(|f| f.problem)
            .unwrap_err()
    }

    /// The square of RFC 7946, appendix A.3 (from memory), where positions have the longitude first.
    const SQUARE: &str = r#"{"type": "Polygon", "coordinates":
        [[[100.0, 0.0], [101.0, 0.0], [101.0, 1.0], [100.0, 1.0], [100.0, 0.0]]]}"#;

    #[test]
    fn reads_a_polygon_wherever_it_stands() {
        let feature = format!(r#"{{"type": "Feature", "properties": {{}}, "geometry": {SQUARE}}}"#);
        let point = r#"{"type": "Feature", "geometry": {"type": "Point", "coordinates": [1, 2]}}"#;
        for text in [
            SQUARE.to_owned(),
            SQUARE
                .replace("Polygon", "MultiPolygon")
                .replace("[[[", "[[[[")
                .replace("]]]", "]]]]"),
            format!(r#"{{"type": "GeometryCollection", "geometries": [{SQUARE}]}}"#),
            format!(r#"{{"type": "FeatureCollection", "features": [{point}, {feature}]}}"#),
            feature,
        ] {
            let found = corners(&text).map_err(|f| f.problem).unwrap();
            let written: Vec<_> = found.iter().map(|c| (c.lon(), c.lat())).collect();
            let expected = [(100.0, 0.0), (101.0, 0.0), (101.0, 1.0), (100.0, 1.0)];
            assert_eq!(written, expected, "{text}");
        }
    }

    /// After the example of RFC 7946, 3.1.9 (from memory), at a twentieth of its size; against the same
    /// area as one ring.
    #[test]
    fn joins_what_was_cut_at_the_antimeridian() {
        let text = r#"{"type": "MultiPolygon", "coordinates": [
            [[[180.0, 40.0], [180.0, 40.5], [179.5, 40.5], [179.5, 40.0], [180.0, 40.0]]],
            [[[-179.5, 40.0], [-179.5, 40.5], [-180.0, 40.5], [-180.0, 40.0], [-179.5, 40.0]]]]}"#;
        let found = corners(text).map_err(|f| f.problem).unwrap();
        let area = crate::plan::Area::new(&found).unwrap().0;
        assert_eq!(area.sharp_corners().len(), 4, "{found:?}");
        let whole = [
            (40.0, 179.5),
            (40.0, 180.0),
            (40.0, 180.5),
            (40.5, 180.5),
            (40.5, 180.0),
            (40.5, 179.5),
        ]
        .map(|(lat, lon)| crate::geodesy::Position::new(lat, lon).unwrap());
        let whole = crate::plan::Area::new(&whole).unwrap().0;
        let ratio = area.square_metres() / whole.square_metres();
        assert!((ratio - 1.0).abs() < 1e-6, "{ratio}");
        let apart = text
            .replace("40.0]", "41.0]")
            .replace("[179.5, 41.0]", "[179.5, 40.0]");
        assert!(problem(&apart.replace("180.0, 4", "178.0, 4")).contains("do not make one area"));
    }

    #[test]
    fn says_what_is_wrong() {
        let with_hole = SQUARE.replace(
            "]]]",
            "]], [[100.2, 0.2], [100.4, 0.2], [100.4, 0.4], [100.2, 0.2]]]",
        );
        for (text, expected) in [
            (with_hole, "has 1 hole(s)"),
            (
                SQUARE.replace(", [100.0, 0.0]]", "]"),
                "the outline is not closed",
            ),
            (
                SQUARE.replace("101.0, 0.0", "101.0, 95.0"),
                "position 2 of its Polygon: longitude 101, latitude 95",
            ),
            (
                SQUARE.replace("[101.0, 0.0]", "[101.0]"),
                "position 2 of its Polygon: [101.0] is not",
            ),
            (
                SQUARE.replace("[101.0, 0.0]", "[null, 0.0]"),
                "is not [longitude, latitude]",
            ),
            (
                SQUARE.replace("\"Polygon\"", "\"Point\""),
                "holds no Polygon",
            ),
            (SQUARE.replace("\"Polygon\"", "\"Polygone\""), "not GeoJSON"),
            (SQUARE.replace("]]]}", "]]"), "not valid JSON"),
            (
                format!(r#"{{"type": "GeometryCollection", "geometries": [{SQUARE}, {SQUARE}]}}"#),
                "holds 2 of",
            ),
            (
                SQUARE.replacen('{', r#"{"crs": {"properties": {"name": "EPSG:25832"}},"#, 1),
                "another reference system",
            ),
        ] {
            let found = problem(&text);
            assert!(found.contains(expected), "{text}: {found}");
        }
    }
}
