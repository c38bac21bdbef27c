//! Routes of GPX 1.1, by the `gpx` crate.

use super::super::line_file::Line;
use super::place_name;
use geo::Point;
use gpx::{Gpx, GpxVersion, Route, Waypoint};

pub(super) fn bytes(lines: &[Line]) -> Result<Vec<u8>, String> {
    let document = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some(format!("overflown {}", env!("CARGO_PKG_VERSION"))),
        routes: lines.iter().map(route).collect(),
        ..Gpx::default()
    };
    let mut bytes = Vec::new();
    gpx::write(&document, &mut bytes).map_err(|error| error.to_string())?;
    Ok(bytes)
}

fn route(line: &Line) -> Route {
    let mut route = Route::new();
    route.name.clone_from(&line.name);
    for (index, place) in line.places.iter().enumerate() {
        let mut point = Waypoint::new(Point::new(place.lon(), place.lat()));
        point.name = place_name(line, index).map(str::to_owned);
        route.points.push(point);
    }
    route
}
