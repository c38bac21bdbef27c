//! `strips.geojson`: area, strips and holes as a FeatureCollection (RFC 7946).
//!
//! Rings and lines are wound, closed and cut as `report::lonlat` says.

use super::lonlat::{line_parts, ring_parts};
use crate::coverage::Hole;
use crate::debrief::Debrief;
use crate::geodesy::Position;
use serde_json::{Value, json};

/// The collection as text.
///
/// # Errors
/// Only if serialisation itself fails, which for this value it does not.
pub fn strips_geojson(debrief: &Debrief) -> Result<Vec<u8>, serde_json::Error> {
    let mut features = vec![json!({
        "type": "Feature",
        "properties": { "what": "search area", "area_m2": debrief.coverage.area_m2.round() },
        "geometry": polygon(&debrief.plan.area_corners),
    })];
    for strip in &debrief.strips {
        features.push(json!({
            "type": "Feature",
            "properties": {
                "what": "strip",
                "leg": strip.leg,
                "share_at_target": round(strip.share_at_target, 1e4),
                "mean_pod": round(strip.mean_pod, 1e4),
                "needs_refly": strip.needs_refly(),
            },
            "geometry": polygon(&strip.outline),
        }));
        for hole in &strip.holes {
            features.push(hole_feature(hole));
        }
    }
    collection(&features)
}

/// A hole of a strip.
pub(super) fn hole_feature(hole: &Hole) -> Value {
    json!({
        "type": "Feature",
        "properties": {
            "what": "hole",
            "leg": hole.leg,
            "cause": hole.cause.name(),
            "from_nm": round(hole.span.from.nm(), 1e3),
            "to_nm": round(hole.span.to.nm(), 1e3),
            "mean_pod": round(hole.mean_pod, 1e4),
        },
        "geometry": polygon(&hole.outline),
    })
}

pub(super) fn round(value: f64, scale: f64) -> f64 {
    (value * scale).round() / scale
}

/// An area: a Polygon, or a MultiPolygon where it crosses the antimeridian.
pub(super) fn polygon(ring: &[Position]) -> Value {
    let parts = ring_parts(ring);
    match parts.as_slice() {
        [one] => json!({ "type": "Polygon", "coordinates": [one] }),
        _ => {
            let polygons: Vec<Value> = parts.iter().map(|part| json!([part])).collect();
            json!({ "type": "MultiPolygon", "coordinates": polygons })
        }
    }
}

/// A line: a LineString, or a MultiLineString where it crosses the antimeridian.
pub(super) fn line(positions: &[Position]) -> Value {
    let parts = line_parts(positions);
    match parts.as_slice() {
        [one] => json!({ "type": "LineString", "coordinates": one }),
        _ => json!({ "type": "MultiLineString", "coordinates": parts }),
    }
}

/// A collection of features as text.
pub(super) fn collection(features: &[Value]) -> Result<Vec<u8>, serde_json::Error> {
    let collection = json!({ "type": "FeatureCollection", "features": features });
    let mut bytes = serde_json::to_vec_pretty(&collection)?;
    bytes.push(b'\n');
    Ok(bytes)
}
