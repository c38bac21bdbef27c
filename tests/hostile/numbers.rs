//! Numbers, times and counts beyond all measure.

use crate::limits::TRACK;
use crate::turn;
use overflown::geodesy::Position;
use overflown::plan::{Area, area_file, line_file};
use overflown::search::{Ground, GroundError, Part};
use overflown::tasking::parse_search;
use overflown::track::read::ReadSettings;
use overflown::units::Length;
use std::path::Path;

#[test]
fn areas_lines_and_sub_areas_have_a_most() {
    let _turn = turn();
    let corner = |i: usize| {
        let angle = i as f64 / 6000.0 * std::f64::consts::TAU;
        format!("{},{} ", 12.5 + 0.5 * angle.cos(), 47.0 + 0.5 * angle.sin())
    };
    let ring: String = (0..6000).chain([0]).map(corner).collect();
    let kml = format!(
        "<kml><Polygon><outerBoundaryIs><LinearRing><coordinates>{ring}</coordinates></LinearRing></outerBoundaryIs>\
         </Polygon></kml>"
    );
    let corners = area_file::read_bytes(Path::new("area"), kml.as_bytes()).unwrap();
    let error = Area::new(&corners).unwrap_err();
    assert!(
        error.to_string().contains("at most 5000 corners, 6000"),
        "{error}"
    );
    let line = format!("<kml><LineString><coordinates>{ring}</coordinates></LineString></kml>");
    let error = line_file::read_bytes(Path::new("line"), line.as_bytes(), None).unwrap_err();
    assert!(error.problem.contains("has 6001 points"), "{error}");
    // Many lines are not all named.
    let lines =
        "<rte><name>North</name><rtept lat=\"1\" lon=\"1\"/><rtept lat=\"2\" lon=\"1\"/></rte>"
            .repeat(5000);
    let gpx = format!("<gpx version=\"1.1\" creator=\"t\">{lines}</gpx>");
    let error = line_file::read_bytes(Path::new("line"), gpx.as_bytes(), None).unwrap_err();
    assert!(error.problem.len() < 300, "{}", error.problem.len());

    let at = |lat: f64, lon: f64| Position::new(lat, lon).unwrap();
    let part = |i: i32| Part {
        name: i.to_string(),
        corners: vec![at(47.0, 12.0), at(47.1, 12.0), at(47.1, 12.1)],
        poc: None,
    };
    let parts: Vec<Part> = (0..70_000).map(part).collect();
    let error = Ground::new(&parts, Length::from_nm(1.0), Length::from_nm(1.0)).unwrap_err();
    assert_eq!(error, GroundError::TooManyParts(70_000));
    let text: String = (0..1001)
        .map(|i| format!("[[sub_areas]]\nname = \"{i}\"\ngars = \"381NB13\"\n"))
        .collect();
    let error = parse_search(&format!("search = \"x\"\n{text}"), Path::new("s.toml")).unwrap_err();
    assert!(error.problem.contains("1000"), "{error}");
}

/// Numbers and times at the ends of what can be written.
#[test]
fn extreme_numbers_and_times_are_no_points() {
    let _turn = turn();
    for value in [
        "1e999",
        "-1e999",
        "NaN",
        "inf",
        "1e308",
        "-0",
        "0x10",
        "١٢",
        "",
        "1_0",
        "4294967296",
        "1e-400",
    ] {
        let text = format!(
            "{TRACK}<trkpt lat=\"{value}\" lon=\"12\"><ele>{value}</ele><time>2026-05-01T15:04:05Z</time></trkpt>"
        );
        let result = overflown::track::read::read_bytes(
            Path::new("log"),
            text.as_bytes(),
            ReadSettings {
                salvage: true,
                ..ReadSettings::default()
            },
            None,
        );
        let reading = result.unwrap();
        for fix in reading.segments.iter().flatten() {
            assert!(["-0", "1e-400"].contains(&value), "{value}: {fix:?}");
            assert_eq!(fix.position.lat(), 0.0);
        }
    }
    for time in [
        "+262142-12-31T23:59:60",
        "+262143-01-01T00:00:00",
        "-262143-01-01T00:00:00",
        "10000-01-01T00:00:00",
        "2026-02-30T00:00:00Z",
        "2026-05-01T24:00:00Z",
        "2026-05-01T15:04:61Z",
        "99999999999999",
    ] {
        let text = format!("{TRACK}<trkpt lat=\"1\" lon=\"12\"><time>{time}</time></trkpt>");
        let result = overflown::track::read::read_bytes(
            Path::new("log"),
            text.as_bytes(),
            ReadSettings {
                salvage: true,
                ..ReadSettings::default()
            },
            None,
        );
        assert!(result.unwrap().segments.is_empty(), "{time}");
    }
    for time in [
        "0000-01-01T00:00:00+23:59",
        "9999-12-31T23:59:60-23:59",
        "0000-01-01T00:00:00",
    ] {
        let point = |time: &str| format!("<trkpt lat=\"1\" lon=\"12\"><time>{time}</time></trkpt>");
        let text = format!("{TRACK}{}{}", point(time), point("2026-05-01T15:04:05Z"));
        crate::feeds::feed("gpx", text.as_bytes());
    }
}
