//! A plan as a GPX 1.1 route, by the `gpx` crate.

use super::{LegKind, Plan};
use crate::characters::harmless;
use crate::geodesy::Position;
use crate::units::Length;
use geo::Point;
use gpx::{Gpx, GpxVersion, Route, Waypoint};

/// One point of a route.
#[derive(Clone, Debug, PartialEq)]
pub struct RoutePoint {
    /// Where.
    pub position: Position,
    /// Its name, if it has one.
    pub name: Option<String>,
    /// Height to fly there, if its leg has one of its own.
    pub altitude: Option<Length>,
}

/// A GPX 1.1 document with one route.
///
/// # Errors
/// When the XML writer fails, which on memory it does not.
pub fn to_gpx(
    name: &str,
    description: &str,
    points: &[RoutePoint],
) -> Result<Vec<u8>, gpx::errors::GpxError> {
    let mut route = Route::new();
    route.name = Some(harmless(name));
    route.description = Some(harmless(description));
    route.points = points
        .iter()
        .map(|point| {
            // 1e-7 degrees are 11 mm: finer than anyone flies, and short to type.
            let round = |deg: f64| (deg * 1e7).round() / 1e7;
            let at = Point::new(round(point.position.lon()), round(point.position.lat()));
            let mut waypoint = Waypoint::new(at);
            waypoint.name = point.name.as_deref().map(harmless);
            waypoint.elevation = point.altitude.map(Length::m);
            waypoint
        })
        .collect();
    let document = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some(format!("overflown {}", env!("CARGO_PKG_VERSION"))),
        routes: vec![route],
        ..Gpx::default()
    };
    let mut bytes = Vec::new();
    gpx::write(&document, &mut bytes)?;
    Ok(bytes)
}

/// The points of a plan, named leg by leg: `1 start`, `1 end`, `2 start`, …
#[must_use]
pub fn plan_points(plan: &Plan) -> Vec<RoutePoint> {
    plan.legs
        .iter()
        .filter(|leg| leg.kind == LegKind::Search)
        .flat_map(|leg| {
            [(leg.start, "start"), (leg.end, "end")].map(|(position, which)| RoutePoint {
                position,
                name: Some(format!("{} {which}", leg.label)),
                altitude: leg.altitude,
            })
        })
        .fold(Vec::new(), |mut points: Vec<RoutePoint>, point| {
            // Where one leg ends and the next begins at the same place and height, one point serves both.
            match points.last_mut() {
                Some(last)
                    if (last.position, last.altitude) == (point.position, point.altitude) =>
                {
                    last.name = last
                        .name
                        .take()
                        .zip(point.name)
                        .map(|(a, b)| format!("{a} / {b}"));
                }
                _ => points.push(point),
            }
            points
        })
}
