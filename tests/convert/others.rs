//! What is written, read by parsers that are not ours, or by eye.

use super::support::{fix, reading, written};
use overflown::track::write::{LogFormat, WriteError, WriteSettings, write};
use overflown::track::{HeightKind, Reading};

/// Two tracks, the first of two segments.
fn log(kind: HeightKind) -> Reading {
    let first = vec![
        vec![
            fix(0, 47.5, -12.257_5, Some(100.25)),
            fix(1250, 47.6, -12.25, None),
        ],
        vec![
            fix(60_000, 47.7, -12.25, Some(-12.0)),
            fix(61_000, 47.8, -12.2, Some(1.0)),
        ],
    ];
    let second = vec![vec![
        fix(90_000, -1.0, 179.5, None),
        fix(91_000, -1.0, 179.6, Some(3.0)),
    ]];
    let tracks = [(Some("Mist & <rain>".to_owned()), first), (None, second)];
    reading(&tracks, kind)
}

fn text(reading: &Reading, format: LogFormat) -> String {
    String::from_utf8(written(reading, format).bytes).unwrap()
}

#[test]
fn gpx_is_read_by_the_gpx_crate() {
    let bytes = written(&log(HeightKind::MeanSeaLevel), LogFormat::Gpx).bytes;
    let found = ::gpx::read(bytes.as_slice()).unwrap();
    assert_eq!(found.tracks.len(), 2);
    assert_eq!(found.tracks[0].name.as_deref(), Some("Mist & <rain>"));
    assert_eq!(found.tracks[1].name, None);
    let lengths: Vec<_> = found.tracks[0]
        .segments
        .iter()
        .map(|s| s.points.len())
        .collect();
    assert_eq!(lengths, [2, 2]);
    let point = &found.tracks[0].segments[0].points[0];
    assert_eq!(
        (point.point().x(), point.point().y(), point.elevation),
        (-12.257_5, 47.5, Some(100.25))
    );
    let second = &found.tracks[0].segments[0].points[1];
    assert_eq!(second.elevation, None);
    assert_eq!(
        second.time.unwrap().format().unwrap(),
        "2026-05-01T15:00:01.250000000Z"
    );
}

#[test]
fn geojson_is_read_by_the_geojson_crate() {
    let text = text(&log(HeightKind::Ellipsoid), LogFormat::GeoJson);
    let found: geojson::FeatureCollection = text
        .parse::<geojson::GeoJson>()
        .unwrap()
        .try_into()
        .unwrap();
    assert_eq!(found.features.len(), 2);
    assert_eq!(found.features[0].property("name").unwrap(), "Mist & <rain>");
    let geometry = format!("{:?}", found.features[0].geometry);
    assert!(geometry.contains("MultiLineString"), "{geometry}");
    assert!(geometry.contains("-12.2575, 47.5, 100.25"), "{geometry}");
    // RFC 7946, 3.1.1: no height there that is not above the ellipsoid.
    let other = self::text(&log(HeightKind::MeanSeaLevel), LogFormat::GeoJson);
    assert!(
        other.contains("[-12.2575,47.5]") && !other.contains("47.5,100.25"),
        "{other}"
    );
    assert!(
        other.contains("\"height_kind\":\"mean-sea-level\",\"heights_m\":[[\n100.25,\nnull\n]"),
        "{other}"
    );
}

/// RFC 7946, 3.1.4: a LineString has two or more positions.
#[test]
fn a_single_fix_makes_no_line() {
    let one = vec![
        vec![fix(0, 47.0, 12.0, None)],
        vec![fix(5000, 47.1, 12.0, None)],
    ];
    let text = text(
        &reading(&[(Some("A".into()), one)], HeightKind::Ellipsoid),
        LogFormat::GeoJson,
    );
    let found: geojson::FeatureCollection = text
        .parse::<geojson::GeoJson>()
        .unwrap()
        .try_into()
        .unwrap();
    assert_eq!(found.features.len(), 2);
    assert!(
        text.contains("\"Point\"") && !text.contains("LineString"),
        "{text}"
    );
}

#[test]
fn kml_is_well_formed_xml_of_kml_2_3() {
    let text = text(&log(HeightKind::MeanSeaLevel), LogFormat::Kml);
    let document = roxmltree::Document::parse(&text).unwrap();
    let root = document.root_element();
    assert_eq!(
        root.tag_name().namespace(),
        Some("http://www.opengis.net/kml/2.3")
    );
    let count = |name: &str| {
        document
            .descendants()
            .filter(|n| n.has_tag_name(("http://www.opengis.net/kml/2.3", name)))
            .count()
    };
    assert_eq!(
        ["Placemark", "MultiTrack", "Track", "when", "coord"].map(count),
        [2, 1, 3, 6, 6]
    );
    assert!(
        document
            .descendants()
            .any(|node| node.text() == Some("Mist & <rain>"))
    );
    let parsed = text.parse::<kml::Kml>();
    assert!(parsed.is_ok(), "{parsed:?}");
}

/// An archive whose first file is the document.
#[test]
fn kmz_is_read_by_the_zip_crate() {
    let log = log(HeightKind::MeanSeaLevel);
    let bytes = written(&log, LogFormat::Kmz).bytes;
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).unwrap();
    let mut file = archive.by_index(0).unwrap();
    let mut inside = String::new();
    std::io::Read::read_to_string(&mut file, &mut inside).unwrap();
    assert_eq!(inside, text(&log, LogFormat::Kml));
}

/// By hand, after the columns of the record: 47.5° is 47° 30', 12.2575° 12° 15.45'.
#[test]
fn igc_records_have_their_columns() {
    let written = written(&log(HeightKind::Ellipsoid), LogFormat::Igc);
    let text = String::from_utf8(written.bytes).unwrap();
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(lines[0], "AXXX000 converted, not signed");
    assert!(
        lines.contains(&"HFALGALTGPS:ELL") && lines.contains(&"HFDTEDATE:010526,01"),
        "{text}"
    );
    assert!(
        lines.contains(&"B1500004730000N01215450WA0000000100000000000"),
        "{text}"
    );
    assert!(
        lines.contains(&"B1500014736000N01215000WV0000000000000000250"),
        "{text}"
    );
    assert!(
        lines.contains(&"B1501004742000N01215000WA00000-0012000000000"),
        "{text}"
    );
    for lost in [
        "2 tracks and 3 segments",
        "no name of the track",
        "4 heights rounded to the metre",
    ] {
        assert!(
            written.lost.iter().any(|l| l.contains(lost)),
            "{lost}: {:?}",
            written.lost
        );
    }
}

/// By hand; the check sum is all characters between `$` and `*` by exclusive or.
#[test]
fn nmea_sentences_have_their_fields() {
    let text = text(&log(HeightKind::MeanSeaLevel), LogFormat::Nmea);
    let first: Vec<&str> = text.lines().take(3).collect();
    let sum = |body: &str| body.bytes().fold(0, |sum, byte| sum ^ byte);
    for (line, body) in first.iter().zip([
        "GPRMC,150000,A,4730.0000000,N,01215.4500000,W,,,010526,,,A",
        "GPGGA,150000,4730.0000000,N,01215.4500000,W,1,,,100.250,M,,M,,",
        "GPRMC,150001.25,A,4736.0000000,N,01215.0000000,W,,,010526,,,A",
    ]) {
        assert_eq!(*line, format!("${body}*{:02X}", sum(body)));
    }
    assert!(
        text.lines().all(|line| line.len() <= 80),
        "82 with their end (NMEA 0183, from memory)"
    );
}

/// Cells by the csv crate; a name that a spreadsheet would run as a formula is text.
#[test]
fn cells_are_no_formulas() {
    for name in ["=1+1", "+1", "-1", "@sum", "=cmd|' /c x'!a"] {
        let fixes = vec![vec![
            fix(0, -47.0, 12.0, None),
            fix(1000, -47.0, 12.0, None),
        ]];
        let log = reading(&[(Some(name.into()), fixes)], HeightKind::Unknown);
        for (format, separator) in [(LogFormat::Csv, b','), (LogFormat::Tsv, b'\t')] {
            let bytes = written(&log, format).bytes;
            let mut table = csv::ReaderBuilder::new()
                .delimiter(separator)
                .from_reader(bytes.as_slice());
            let header = table.headers().unwrap().clone();
            assert_eq!(&header[0], "time_utc");
            for row in table.records() {
                let row = row.unwrap();
                assert_eq!(row[4], format!("'{name}"));
                assert_eq!(row[1].parse::<f64>().unwrap(), -47.0, "a number stays one");
            }
        }
    }
}

#[test]
fn heights_of_another_kind_are_left_out_or_written_as_asked() {
    let log = log(HeightKind::Ellipsoid);
    for format in [LogFormat::Gpx, LogFormat::Kml, LogFormat::Nmea] {
        let left_out = written(&log, format);
        let said = left_out.lost.iter().any(|lost| {
            lost.contains("the 4 heights are left out: they are above the WGS 84 ellipsoid")
                && lost.contains("--heights-as-they-are")
        });
        assert!(said, "{:?}", left_out.lost);
        let settings = WriteSettings {
            heights_as_they_are: true,
        };
        let kept = write(&log, format, settings).unwrap();
        let has_height = |bytes: &[u8]| String::from_utf8_lossy(bytes).contains("100.25");
        assert!(has_height(&kept.bytes) && !has_height(&left_out.bytes));
        assert!(
            kept.lost
                .iter()
                .any(|lost| lost.contains("as if they were above mean sea level"))
        );
    }
}

#[test]
fn what_igc_cannot_tell_of_heights_is_said() {
    let said = |heights: [Option<f64>; 2], kind: HeightKind, lost: &str| {
        let fixes = vec![
            fix(0, 47.0, 12.0, heights[0]),
            fix(1000, 47.0, 12.0, heights[1]),
        ];
        let written = written(&reading(&[(None, vec![fixes])], kind), LogFormat::Igc);
        assert!(
            written.lost.iter().any(|l| l.contains(lost)),
            "{lost}: {:?}",
            written.lost
        );
    };
    said(
        [Some(5.0), None],
        HeightKind::Pressure,
        "cannot tell a fix without one from one at 0 m",
    );
    said(
        [Some(0.0), Some(0.0)],
        HeightKind::Ellipsoid,
        "all of them are 0 m",
    );
    said(
        [Some(5.0), None],
        HeightKind::Ellipsoid,
        "1 fix without a height at the place of the one before",
    );
    said(
        [Some(5.0), Some(6.0)],
        HeightKind::Mixed,
        "which IGC cannot express",
    );
}

#[test]
fn years_and_emptiness_are_refused() {
    let mut late = fix(0, 47.0, 12.0, None);
    late.time = "2080-01-01T00:00:00Z".parse().unwrap();
    let log = reading(&[(None, vec![vec![late]])], HeightKind::Unknown);
    for format in [LogFormat::Igc, LogFormat::Nmea] {
        let error = write(&log, format, WriteSettings::default()).unwrap_err();
        assert!(
            error.to_string().contains("2080-01-01") && error.to_string().contains("1980 to 2079"),
            "{error}"
        );
    }
    assert!(write(&log, LogFormat::Gpx, WriteSettings::default()).is_ok());
    let empty = reading(&[], HeightKind::Unknown);
    let error = write(&empty, LogFormat::Gpx, WriteSettings::default()).unwrap_err();
    assert!(matches!(error, WriteError::Empty), "{error}");
}
