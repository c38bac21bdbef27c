//! An area as a closed route or track in GPX, by the `gpx` crate.

use super::{Fault, only_one, place, ring};
use crate::geodesy::Position;

pub(super) fn corners(text: &str) -> Result<Vec<Position>, Fault> {
    let content = ::gpx::read(text.as_bytes()).map_err(|error| {
        Fault::new(
            None,
            format!("not readable GPX: {error}"),
            "give a GPX 1.0 or 1.1 file with one closed route or track",
        )
    })?;
    let segments = content.tracks.iter().flat_map(|track| &track.segments);
    let lines = content
        .routes
        .iter()
        .map(|route| &route.points)
        .chain(segments.map(|segment| &segment.points))
        .collect();
    let points = only_one(lines, "route or track segment")?;
    let corners = points
        .iter()
        .enumerate()
        .map(|(i, waypoint)| {
            place(waypoint.point().x(), waypoint.point().y()).map_err(|problem| {
                Fault::new(None, format!("point {}: {problem}", i + 1), "correct it")
            })
        })
        .collect::<Result<_, _>>()?;
    ring(corners).map_err(|problem| {
        Fault::new(
            None,
            problem,
            "repeat the first point at the end; a line that does not come back is no area",
        )
    })
}

#[cfg(test)]
mod tests {
    use super::corners;

    fn document(points: &[(f64, f64)], outer: &str, inner: &str) -> String {
        let points: String = points
            .iter()
            .map(|(lat, lon)| format!("<{inner} lat=\"{lat}\" lon=\"{lon}\"></{inner}>\n"))
            .collect();
        let (open, close) = match outer {
            "trk" => ("<trk><trkseg>", "</trkseg></trk>"),
            _ => ("<rte>", "</rte>"),
        };
        format!("<gpx version=\"1.1\" creator=\"t\">\n{open}{points}{close}</gpx>")
    }

    const RING: [(f64, f64); 5] = [
        (47.0, 12.5),
        (47.0, 12.7),
        (47.0, 12.7),
        (47.1, 12.7),
        (47.0, 12.5),
    ];

    #[test]
    fn reads_a_closed_route_or_track() {
        for (outer, inner) in [("rte", "rtept"), ("trk", "trkpt")] {
            let found = corners(&document(&RING, outer, inner))
                .map_err(|f| f.problem)
                .unwrap();
            let written: Vec<_> = found.iter().map(|c| (c.lat(), c.lon())).collect();
            assert_eq!(written, [(47.0, 12.5), (47.0, 12.7), (47.1, 12.7)]);
        }
    }

    #[test]
    fn says_what_is_wrong() {
        let whole = document(&RING, "rte", "rtept");
        let route = &whole[whole.find("<rte>").unwrap()..whole.find("</gpx>").unwrap()];
        for (text, problem) in [
            (document(&RING[..4], "trk", "trkpt"), "not closed"),
            (
                whole.replace("</gpx>", &format!("{route}</gpx>")),
                "holds 2 of",
            ),
            (whole.replace(route, ""), "holds no route or track segment"),
            (whole.replace("</gpx>", ""), "not readable GPX"),
        ] {
            let found = corners(&text)
                .map(|c| format!("{c:?}"))
                .map_err(|f| f.problem)
                .unwrap_err();
            assert!(found.contains(problem), "{problem}: {found}");
        }
    }
}
