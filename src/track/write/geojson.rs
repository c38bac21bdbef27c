//! GeoJSON (RFC 7946): a `Feature` for each track, with the times of its positions in `coordTimes`.
//!
//! The third number of a position is a height above the ellipsoid; heights that are measured from something
//! else stand apart from the positions, in properties of our own that the reader knows (`read/geojson.rs`). A line has two positions
//! at least (3.1.4), so that where a segment is a single fix every fix is a `Point` instead.

use super::content::{Content, OutTrack};
use crate::track::{Fix, HeightKind};
use chrono::SecondsFormat;
use serde_json::{Map, Value, json};

pub(super) fn bytes(content: &Content<'_>) -> Vec<u8> {
    let mut segments = content.tracks.iter().flat_map(|track| &track.segments);
    let features: Vec<String> = if segments.any(|segment| segment.len() < 2) {
        points(content)
    } else {
        let tracks = content.tracks.iter();
        tracks.map(|track| line(content, track)).collect()
    };
    format!(
        "{{\"type\":\"FeatureCollection\",\"features\":[\n{}\n]}}\n",
        features.join(",\n")
    )
    .into_bytes()
}

/// Whether heights stand in the positions.
fn in_positions(content: &Content<'_>) -> bool {
    content.kind == HeightKind::Ellipsoid
}

fn time(fix: &Fix) -> String {
    fix.time.to_rfc3339_opts(SecondsFormat::AutoSi, true)
}

/// Longitude, latitude and, if it belongs here, height.
fn position(content: &Content<'_>, fix: &Fix) -> Value {
    let (lon, lat) = (fix.position.lon(), fix.position.lat());
    match content.height_m(fix).filter(|_| in_positions(content)) {
        Some(height) => json!([lon, lat, height]),
        None => json!([lon, lat]),
    }
}

fn line(content: &Content<'_>, track: &OutTrack<'_>) -> String {
    let several = track.segments.len() > 1;
    // A value for each position, on a line of its own, nested like the positions.
    let each = |write: &dyn Fn(&Fix) -> Value| {
        let runs: Vec<String> = track
            .segments
            .iter()
            .map(|segment| {
                let values: Vec<String> = segment.iter().map(|f| write(f).to_string()).collect();
                format!("[\n{}\n]", values.join(",\n"))
            })
            .collect();
        if several {
            format!("[{}]", runs.join(","))
        } else {
            runs.concat()
        }
    };
    let mut properties = String::new();
    if let Some(name) = &track.name {
        properties.push_str(&format!("\"name\":{},", json!(name)));
    }
    if content.with_height() > 0 && !in_positions(content) {
        let heights = each(&|fix| json!(content.height_m(fix)));
        let kind = json!(content.kind.name());
        properties.push_str(&format!("\"height_kind\":{kind},\"heights_m\":{heights},"));
    }
    format!(
        "{{\"type\":\"Feature\",\"properties\":{{{properties}\"coordTimes\":{}}},\n\"geometry\":{{\"type\":\"{}\",\
         \"coordinates\":{}}}}}",
        each(&|fix| json!(time(fix))),
        if several {
            "MultiLineString"
        } else {
            "LineString"
        },
        each(&|fix| position(content, fix))
    )
}

/// A point for each fix, on a line of its own.
fn points(content: &Content<'_>) -> Vec<String> {
    let apart = content.with_height() > 0 && !in_positions(content);
    let mut features = Vec::new();
    for (number, track) in (1..).zip(&content.tracks) {
        for (segment, fixes) in (1..).zip(&track.segments) {
            for fix in *fixes {
                let mut properties = Map::new();
                properties.insert("time".into(), json!(time(fix)));
                properties.insert("track_number".into(), json!(i32::clone(&number)));
                if let Some(name) = &track.name {
                    properties.insert("track_name".into(), json!(name));
                }
                properties.insert("segment".into(), json!(i32::clone(&segment)));
                if apart {
                    properties.insert("height_m".into(), json!(content.height_m(fix)));
                    properties.insert("height_kind".into(), json!(content.kind.name()));
                }
                let feature = json!({
                    "type": "Feature",
                    "properties": properties,
                    "geometry": {"type": "Point", "coordinates": position(content, fix)},
                });
                features.push(feature.to_string());
            }
        }
    }
    features
}
