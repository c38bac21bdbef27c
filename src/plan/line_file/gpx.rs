//! Lines from GPX: its routes, by the `gpx` crate.

use super::super::area_file::{Fault, place};
use super::Line;

pub(super) fn lines(text: &str) -> Result<Vec<Line>, Fault> {
    let content = ::gpx::read(text.as_bytes()).map_err(|error| {
        Fault::new(
            None,
            format!("not readable GPX: {error}"),
            "give a GPX 1.0 or 1.1 file with a <rte>",
        )
    })?;
    if content.routes.is_empty() {
        let found = if content.tracks.is_empty() {
            "no route"
        } else {
            "a track but no route"
        };
        return Err(Fault::new(
            None,
            format!("holds {found}"),
            "a planned pattern is a GPX route (<rte>); a track is what was flown",
        ));
    }
    content
        .routes
        .into_iter()
        .map(|route| {
            let places = route.points.iter().enumerate().map(|(i, point)| {
                place(point.point().x(), point.point().y()).map_err(|problem| {
                    Fault::new(
                        None,
                        format!("route point {}: {problem}", i + 1),
                        "correct it",
                    )
                })
            });
            Ok(Line {
                places: places.collect::<Result<_, _>>()?,
                place_names: route.points.iter().map(|p| p.name.clone()).collect(),
                heights: route
                    .points
                    .iter()
                    .filter(|p| p.elevation.is_some())
                    .count(),
                name: route.name,
            })
        })
        .collect()
}
