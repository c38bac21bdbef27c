//! Routes in and out as GPX 1.1, by the `gpx` crate.

use super::{LegKind, Plan};
use crate::geodesy::Position;
use crate::input::{InputError, InputFile};
use geo::Point;
use gpx::{Gpx, GpxVersion, Route, Waypoint};
use std::path::Path;

/// One point of a route.
#[derive(Clone, Debug, PartialEq)]
pub struct RoutePoint {
    /// Where.
    pub position: Position,
    /// Its name, if it has one.
    pub name: Option<String>,
}

/// Reads a route of at least two different points, and what is remembered of its file; `name` picks
/// one where the file holds several.
///
/// # Errors
/// When the file is not readable GPX, or holds no route, several without a choice, or too few points.
pub fn read(path: &Path, name: Option<&str>) -> Result<(Vec<RoutePoint>, InputFile), InputError> {
    let refuse = |problem: String, hint: &str| InputError::new(path, None, problem, hint);
    let bytes = std::fs::read(path).map_err(|error| {
        refuse(
            format!("the route cannot be read: {error}"),
            "name a GPX file with a route",
        )
    })?;
    let content = gpx::read(bytes.as_slice()).map_err(|error| {
        refuse(
            format!("not a readable GPX route: {error}"),
            "give a GPX 1.0 or 1.1 file with a <rte>",
        )
    })?;
    let names = || {
        let quoted: Vec<String> = content
            .routes
            .iter()
            .map(|r| crate::tasking::quantity::shown(r.name.as_deref().unwrap_or("(no name)")))
            .collect();
        quoted.join(", ")
    };
    let route = match (name, content.routes.as_slice()) {
        (_, []) => {
            let found = if content.tracks.is_empty() {
                "no route"
            } else {
                "a track but no route"
            };
            return Err(refuse(
                format!("holds {found}"),
                "a planned pattern is a GPX route (<rte>); a track is what was flown",
            ));
        }
        (None, [only]) => only,
        (None, _) => {
            return Err(refuse(
                format!("holds {} routes: {}", content.routes.len(), names()),
                "choose one with `name` in [pattern]",
            ));
        }
        (Some(name), routes) => routes
            .iter()
            .find(|r| r.name.as_deref() == Some(name))
            .ok_or_else(|| {
                refuse(
                    format!(
                        "holds no route named {}",
                        crate::tasking::quantity::shown(name)
                    ),
                    &format!("choose one of {}", names()),
                )
            })?,
    };
    let mut points: Vec<RoutePoint> = Vec::with_capacity(route.points.len());
    for (i, point) in route.points.iter().enumerate() {
        let position = Position::new(point.point().y(), point.point().x()).ok_or_else(|| {
            refuse(
                format!("route point {} is not a place on the earth", i + 1),
                "correct it",
            )
        })?;
        // A point given twice makes no leg.
        if points.last().is_none_or(|last| last.position != position) {
            points.push(RoutePoint {
                position,
                name: point.name.clone(),
            });
        }
    }
    if points.len() < 2 {
        return Err(refuse(
            format!("the route has {} different point(s)", points.len()),
            "a route needs at least two",
        ));
    }
    Ok((points, InputFile::of("route", path, &bytes)))
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
    route.name = Some(name.to_owned());
    route.description = Some(description.to_owned());
    route.points = points
        .iter()
        .map(|point| {
            // 1e-7 degrees are 11 mm: finer than anyone flies, and short to type.
            let round = |deg: f64| (deg * 1e7).round() / 1e7;
            let at = Point::new(round(point.position.lon()), round(point.position.lat()));
            let mut waypoint = Waypoint::new(at);
            waypoint.name.clone_from(&point.name);
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
            })
        })
        .fold(Vec::new(), |mut points: Vec<RoutePoint>, point| {
            // Where one leg ends and the next begins at the same place, one point serves both.
            match points.last_mut() {
                Some(last) if last.position == point.position => {
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
