//! `LineString`s of GeoJSON (RFC 7946), a `Feature` each. A line over the antimeridian is not cut: that would put
//! places on it that nobody planned.

use super::super::line_file::Line;
use serde_json::json;

pub(super) fn bytes(lines: &[Line]) -> Vec<u8> {
    let features: Vec<String> = lines
        .iter()
        .map(|line| {
            let places = line.places.iter().map(|place| [place.lon(), place.lat()]);
            let coordinates: Vec<[f64; 2]> = places.collect();
            let properties = match &line.name {
                Some(name) => json!({ "name": name }),
                None => json!({}),
            };
            json!({
                "type": "Feature",
                "properties": properties,
                "geometry": { "type": "LineString", "coordinates": coordinates },
            })
            .to_string()
        })
        .collect();
    format!(
        "{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n",
        features.join(",\n")
    )
    .into_bytes()
}
