//! `plan.geojson`: area, legs, corners and start as a FeatureCollection (RFC 7946).

use super::PlanReport;
use crate::geodesy::Position;
use crate::plan::Leg;
use crate::plan::arithmetic::LegRow;
use crate::report::geojson::{collection, line, polygon, round};
use crate::report::lonlat::{along_leg, point};
use crate::units::Length;
use serde_json::{Value, json};

/// The collection as text.
///
/// # Errors
/// Only if serialisation itself fails, which for this value it does not.
pub fn plan_geojson(report: &PlanReport<'_>) -> Result<Vec<u8>, serde_json::Error> {
    let plan = report.plan;
    let mut features = vec![feature(
        json!({
            "what": "search area",
            "area_m2": plan.area.square_metres().round(),
            "given": plan.area_given,
        }),
        polygon(plan.area.corners()),
    )];
    let legs = plan.legs.iter().zip(report.rows);
    features.extend(legs.map(|(leg, row)| of_leg(leg, row, report.height(row))));
    features.extend(report.corners.iter().map(|corner| {
        let properties = json!({
            "what": "corner",
            "label": corner.letter,
            "gars": corner.gars,
        });
        feature(properties, at(corner.at))
    }));
    if let (Some(first), Some(last)) = (plan.legs.first(), plan.legs.last()) {
        features.push(feature(json!({ "what": "start" }), at(first.start)));
        features.push(feature(json!({ "what": "end" }), at(last.end)));
    }
    collection(&features)
}

fn of_leg(leg: &Leg, row: &LegRow, height: Option<Length>) -> Value {
    let properties = json!({
        "what": "leg",
        "label": row.label,
        "kind": row.kind,
        "length_m": round(row.length.m(), 1e2),
        "course_true_deg": round(row.course.deg(), 1e2),
        "course_magnetic_deg": row.course_magnetic_deg.map(|deg| round(deg, 1e2)),
        "duration_s": round(row.duration_s, 1e1),
        "cumulative_m": round(row.cumulative.m(), 1e2),
        "cumulative_s": round(row.cumulative_s, 1e1),
        "altitude_m": height.map(|height| round(height.m(), 1e1)),
    });
    feature(properties, line(&along_leg(leg)))
}

fn at(position: Position) -> Value {
    json!({ "type": "Point", "coordinates": point(position) })
}

fn feature(properties: Value, geometry: Value) -> Value {
    json!({ "type": "Feature", "properties": properties, "geometry": geometry })
}
