//! Planned lines in every format that has them.

use overflown::geodesy::Position;
use overflown::plan::line_file::{Line, read, read_all};
use overflown::plan::line_out::{LineFormat, write};
use proptest::prelude::*;

const FORMATS: [LineFormat; 5] = [
    LineFormat::Gpx,
    LineFormat::Kml,
    LineFormat::GeoJson,
    LineFormat::Csv,
    LineFormat::Tsv,
];

fn line(name: Option<&str>, places: &[(f64, f64)], names: &[Option<&str>]) -> Line {
    Line {
        name: name.map(str::to_owned),
        places: places
            .iter()
            .map(|(lat, lon)| Position::new(*lat, *lon).unwrap())
            .collect(),
        place_names: names.iter().map(|name| name.map(str::to_owned)).collect(),
        heights: 0,
    }
}

fn read_back(lines: &[Line], format: LineFormat) -> Vec<Line> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("lines");
    std::fs::write(&path, write(lines, format).unwrap().0).unwrap();
    read_all(&path).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn lines_come_back_from_every_format(
        lines in prop::collection::vec(
            (prop::option::of("[A-Za-z=+@<>&'\",;-][A-Za-z<>&' ]{0,9}[a-z]"),
             prop::collection::vec((-90.0..=90.0_f64, -180.0..=180.0_f64), 2..6)),
            1..4,
        )
    ) {
        let lines: Vec<Line> = lines.iter().map(|(name, places)| {
            let names = vec![None; places.len()];
            line(name.as_deref(), places, &names)
        }).collect();
        for format in FORMATS {
            let back = read_back(&lines, format);
            prop_assert_eq!(back.len(), lines.len(), "{:?}", format);
            for (a, b) in lines.iter().zip(&back) {
                prop_assert_eq!(&a.name, &b.name, "{:?}", format);
                prop_assert_eq!(a.places.len(), b.places.len(), "{:?}", format);
                for (a, b) in a.places.iter().zip(&b.places) {
                    let apart = (a.lat() - b.lat()).abs().max((a.lon() - b.lon()).abs());
                    prop_assert!(apart < 1e-12, "{:?}: {} {}", format, a, b);
                }
            }
        }
    }
}

#[test]
fn names_of_places_are_kept_or_said_to_be_lost() {
    let lines = [line(
        Some("A"),
        &[(47.0, 12.0), (47.1, 12.0)],
        &[Some("=start"), None],
    )];
    for format in FORMATS {
        let (_, lost) = write(&lines, format).unwrap();
        if matches!(format, LineFormat::Kml | LineFormat::GeoJson) {
            assert!(
                lost[0].contains("names of 1 places are left out"),
                "{lost:?}"
            );
        } else {
            assert_eq!(lost, [""; 0]);
            assert_eq!(
                read_back(&lines, format)[0].place_names,
                lines[0].place_names,
                "{format:?}"
            );
        }
    }
}

/// Parsers that are not ours.
#[test]
fn lines_are_read_by_others() {
    let lines = [line(Some("A & B"), &[(47.0, 12.0), (47.1, 12.5)], &[])];
    let text = |format| String::from_utf8(write(&lines, format).unwrap().0).unwrap();
    let gpx = ::gpx::read(text(LineFormat::Gpx).as_bytes()).unwrap();
    assert_eq!(gpx.routes[0].name.as_deref(), Some("A & B"));
    assert_eq!(gpx.routes[0].points[1].point().x(), 12.5);
    let kml = format!("{:?}", text(LineFormat::Kml).parse::<kml::Kml>().unwrap());
    assert!(kml.contains("LineString") && kml.contains("12.5"), "{kml}");
    let json = text(LineFormat::GeoJson)
        .parse::<geojson::GeoJson>()
        .unwrap();
    assert!(format!("{json:?}").contains("[12.5, 47.1]"), "{json:?}");
}

/// A table is a route of a tasking as well.
#[test]
fn a_table_of_places_is_a_line_to_fly() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("route.csv");
    let put = |text: &str| std::fs::write(&path, text).unwrap();
    put("Latitude;Longitude\n47.0;12.0\n47.1;12.5\n");
    assert_eq!(read(&path, None).unwrap().0.len(), 2);
    for (table, line, problem) in [
        (
            "time,lat,lon\n1,2,3\n",
            1,
            "has times, as a recorded track has",
        ),
        (
            "lat,lon\n47,12\nnorth,12\n",
            3,
            "\"north\" is not a number of degrees",
        ),
        ("lat,lon\n47,12\n95,12\n", 3, "is not a place on the earth"),
        ("lat,lon\n47,12\n47\n", 3, "the table cannot be read"),
    ] {
        put(table);
        let error = read_all(&path).unwrap_err();
        assert!(error.problem.contains(problem), "{error}");
        assert_eq!(error.line, Some(line), "{error}");
    }
    put("lat,lon\n");
    assert!(
        read_all(&path)
            .unwrap_err()
            .problem
            .contains("no line to fly")
    );
}
