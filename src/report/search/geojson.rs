//! `strips.geojson` of a search: sub-areas, strips and holes as a FeatureCollection (RFC 7946), wound, closed and
//! cut as that of a debrief.

use crate::report::geojson::{collection, hole_feature, polygon, round};
use crate::search::{FlownBy, Search};
use serde_json::{Value, json};

/// The collection as text.
///
/// # Errors
/// Only if serialisation itself fails, which for this value it does not.
pub fn strips_geojson(search: &Search) -> Result<Vec<u8>, serde_json::Error> {
    let mut features: Vec<Value> = Vec::new();
    for part in &search.sub_areas {
        features.push(json!({
            "type": "Feature",
            "properties": {
                "what": "sub-area",
                "name": part.name,
                "area_m2": part.area_m2.round(),
                "poc": round(part.poc, 1e4),
                "pod": round(part.pod, 1e4),
                "pod_low": round(part.pod_band.low, 1e4),
                "pod_high": round(part.pod_band.high, 1e4),
                "poc_left": round(part.poc_left, 1e4),
                "poc_left_normalised": round(part.poc_left_normalised, 1e4),
            },
            "geometry": polygon(&part.corners),
        }));
    }
    for strip in &search.strips {
        let judged = &strip.strip;
        features.push(json!({
            "type": "Feature",
            "properties": {
                "what": "strip",
                "leg": judged.leg,
                "tasked": strip.tasked,
                "state": if judged.needs_refly() { "has holes" } else { "no holes" },
                "needs_refly": judged.needs_refly(),
                "share_at_target": round(judged.share_at_target, 1e4),
                "mean_pod": round(judged.mean_pod, 1e4),
                "pod_low": round(strip.pod_band.low, 1e4),
                "pod_high": round(strip.pod_band.high, 1e4),
                "target_pod": round(strip.target_pod, 1e4),
                "gain": round(strip.gain, 1e5),
                "flown_by": strip.flown_by.iter().map(flown_by).collect::<Vec<_>>(),
            },
            "geometry": polygon(&judged.outline),
        }));
        for hole in &judged.holes {
            features.push(hole_feature(hole));
        }
    }
    collection(&features)
}

fn flown_by(by: &FlownBy) -> Value {
    json!({
        "sortie": by.sortie,
        "leg": by.leg,
        "from": by.from,
        "share": round(by.share, 1e4),
    })
}
