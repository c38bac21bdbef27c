//! `strips.geojson`: area, strips and holes as a FeatureCollection (RFC 7946).
//!
//! Positions are longitude, latitude; outer rings run counter-clockwise (section 3.1.6) and close on
//! their first position. A ring that crosses the antimeridian is cut in two there (section 3.1.9).

use crate::debrief::Debrief;
use crate::geodesy::Position;
use serde_json::{Value, json};

/// Decimals of a degree: 1e-7° is 11 mm.
const DECIMALS: f64 = 1e7;

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
            features.push(json!({
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
            }));
        }
    }
    let collection = json!({ "type": "FeatureCollection", "features": features });
    let mut bytes = serde_json::to_vec_pretty(&collection)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn round(value: f64, scale: f64) -> f64 {
    (value * scale).round() / scale
}

fn polygon(ring: &[Position]) -> Value {
    let first = ring.first().map_or(0.0, |p| p.lon());
    // Longitudes without a jump, so that the ring can be cut.
    let mut flat: Vec<(f64, f64)> = ring
        .iter()
        .map(|p| (first + crate::units::wrap_180(p.lon() - first), p.lat()))
        .collect();
    if doubled_area(&flat) < 0.0 {
        flat.reverse();
    }
    let crosses = |limit: f64| flat.iter().any(|p| p.0 > limit) && flat.iter().any(|p| p.0 < limit);
    let cut = [180.0, -180.0].into_iter().find(|limit| crosses(*limit));
    match cut {
        None => json!({ "type": "Polygon", "coordinates": [closed(&flat)] }),
        Some(limit) => {
            let west = closed(&clipped(&flat, |x| limit - x, limit));
            let east = closed(&clipped(&flat, |x| x - limit, limit));
            json!({ "type": "MultiPolygon", "coordinates": [[west], [east]] })
        }
    }
}

/// The part of a ring where `inside(longitude)` is not negative (Sutherland and Hodgman's rule for
/// one edge).
fn clipped(ring: &[(f64, f64)], inside: impl Fn(f64) -> f64, limit: f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    for (i, p) in ring.iter().enumerate() {
        let q = ring[(i + 1) % ring.len()];
        let (a, b) = (inside(p.0), inside(q.0));
        if a >= 0.0 {
            kept.push(*p);
        }
        if (a > 0.0 && b < 0.0) || (a < 0.0 && b > 0.0) {
            let t = a / (a - b);
            kept.push((limit, p.1 + t * (q.1 - p.1)));
        }
    }
    kept
}

fn closed(ring: &[(f64, f64)]) -> Vec<[f64; 2]> {
    // A part that lies wholly beyond the antimeridian is written with its own longitudes; points on
    // it keep the side of the part.
    let middle = ring.iter().map(|p| p.0).sum::<f64>() / ring.len().max(1) as f64;
    let shift = if middle > 180.0 {
        -360.0
    } else if middle < -180.0 {
        360.0
    } else {
        0.0
    };
    ring.iter()
        .chain(ring.first())
        .map(|(lon, lat)| [round(lon + shift, DECIMALS), round(*lat, DECIMALS)])
        .collect()
}

/// Twice the signed area: positive when counter-clockwise.
fn doubled_area(ring: &[(f64, f64)]) -> f64 {
    ring.iter()
        .zip(ring.iter().cycle().skip(1))
        .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(lat: f64, lon: f64) -> Position {
        Position::new(lat, lon).unwrap()
    }

    /// RFC 7946 section 3.1.6: counter-clockwise, first position repeated.
    #[test]
    fn rings_are_wound_and_closed() {
        let clockwise = [at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)];
        let value = polygon(&clockwise);
        assert_eq!(
            value["coordinates"],
            json!([[[1.0, 0.0], [1.0, 1.0], [0.0, 1.0], [0.0, 0.0], [1.0, 0.0]]])
        );
    }

    /// RFC 7946 section 3.1.9: the example's area from 170° E to 170° W between 40° and 45° N is cut
    /// at the antimeridian.
    #[test]
    fn rings_are_cut_at_the_antimeridian() {
        let ring = [
            at(40.0, 170.0),
            at(40.0, -170.0),
            at(45.0, -170.0),
            at(45.0, 170.0),
        ];
        let value = polygon(&ring);
        assert_eq!(value["type"], "MultiPolygon");
        let text = value.to_string();
        assert!(
            text.contains("[180.0,40.0]") && text.contains("[-180.0,40.0]"),
            "{text}"
        );
        assert!(!text.contains("190"), "{text}");
    }
}
