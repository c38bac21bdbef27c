//! The readers against parsers of others, and against examples that standards print.
//!
//! The files are the seeds of the fuzz corpora (`tests/fuzz/corpus/*/seed-*`), made by `tests/hostile/seeds.rs`.
//! The values beside them are what these parsers, installed from PyPI into an environment of Python 3.11, gave:
//!
//! ```text
//! gpxpy 1.6.2      gpxpy.parse(open("gpx/seed-simulated"))                      time, latitude, longitude, elevation
//! aerofiles 1.5.6  aerofiles.igc.Reader().read(open("igc/seed-simulated"))      datetime, lat, lon, gps_alt
//! pynmea2 1.19.0   pynmea2.parse(line, check=True)                              datetime, latitude, longitude, altitude
//! fastkml 1.4.0    KML.from_string(open("kml/seed-track").read())               track_items
//! geojson 3.3.0    geojson.load(open("geojson/seed-points"))                    coordinates
//! ```
//!
//! fastkml wants namespaces declared and all tuples of one length, geojson no `null` in a position: they were put in
//! order for them.

use overflown::plan::{area_file, line_file};
use overflown::track::read::{ReadSettings, read_bytes};
use overflown::track::{HeightKind, Reading};
use std::path::{Path, PathBuf};

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/fuzz/corpus")
        .join(name)
}

fn reading(text: &str) -> Reading {
    read_bytes(
        Path::new("example"),
        text.as_bytes(),
        ReadSettings::default(),
        None,
    )
    .unwrap()
}

fn seed(name: &str) -> Reading {
    let bytes = std::fs::read(path(name)).unwrap();
    read_bytes(Path::new(name), &bytes, ReadSettings::default(), None).unwrap()
}

/// Time, latitude, longitude, height in metres.
type Row = (&'static str, f64, f64, Option<f64>);

/// Compares times to the digit, places to 1e-9 degrees (0.1 mm), heights exactly.
#[track_caller]
fn same(reading: &Reading, expected: &[Row]) {
    let fixes: Vec<_> = reading.segments.iter().flatten().collect();
    assert_eq!(fixes.len(), expected.len());
    for (fix, (time, lat, lon, height)) in fixes.iter().zip(expected) {
        assert_eq!(fix.time.format("%Y-%m-%dT%H:%M:%S%.f").to_string(), *time);
        let apart = (fix.position.lat() - lat)
            .abs()
            .max((fix.position.lon() - lon).abs());
        assert!(apart < 1e-9, "{fix:?} for {lat}, {lon}");
        assert_eq!(
            fix.height.get().map(|height| height.m()),
            *height,
            "{fix:?}"
        );
    }
}

#[test]
fn gpx_is_read_as_gpxpy_reads_it() {
    let reading = seed("gpx/seed-simulated");
    assert_eq!(reading.name.as_deref(), Some("Heron"));
    same(
        &reading,
        &[
            ("2026-05-20T08:00:00", 46.389997, 11.1900556, Some(-2.4)),
            ("2026-05-20T08:00:01", 46.3900071, 11.1900459, Some(-2.1)),
            ("2026-05-20T08:00:02", 46.3900045, 11.1900592, Some(-1.0)),
            ("2026-05-20T08:00:03", 46.390004, 11.1900443, Some(0.0)),
            ("2026-05-20T08:00:04", 46.3900103, 11.1900358, Some(0.0)),
            ("2026-05-20T08:00:05", 46.39001, 11.1900431, Some(-0.3)),
        ],
    );
}

/// The decimals of the second (TDS 05) aerofiles gives apart from the time.
#[test]
fn igc_is_read_as_aerofiles_reads_it() {
    let reading = seed("igc/seed-simulated");
    assert_eq!(reading.height_kind, HeightKind::Ellipsoid);
    same(
        &reading,
        &[
            ("2026-05-20T08:00:00.050", 46.39, 11.19005, Some(320.0)),
            ("2026-05-20T08:00:01.050", 46.39, 11.19005, Some(320.0)),
            (
                "2026-05-20T08:00:02.050",
                46.39,
                11.190_066_666_666_667,
                Some(320.0),
            ),
            ("2026-05-20T08:00:03.050", 46.39, 11.19005, Some(320.0)),
            (
                "2026-05-20T08:00:04.050",
                46.390_016_666_666_67,
                11.190_033_333_333_334,
                Some(320.0),
            ),
            (
                "2026-05-20T08:00:05.050",
                46.390_016_666_666_67,
                11.19005,
                Some(320.0),
            ),
        ],
    );
}

#[test]
fn nmea_is_read_as_pynmea2_reads_it() {
    same(
        &seed("nmea/seed-simulated"),
        &[
            (
                "2026-05-20T08:00:00",
                46.389_996_666_666_67,
                11.190055,
                Some(300.0),
            ),
            (
                "2026-05-20T08:00:01",
                46.390_006_666_666_665,
                11.190_046_666_666_667,
                Some(300.0),
            ),
            ("2026-05-20T08:00:02", 46.390005, 11.19006, Some(300.0)),
        ],
    );
}

/// The second time has the offset of an hour, the third no zone.
#[test]
fn kml_is_read_as_fastkml_reads_it() {
    let reading = seed("kml/seed-track");
    assert_eq!(reading.name.as_deref(), Some("A & B"));
    same(
        &reading,
        &[
            ("2026-05-01T15:04:00", 47.5, 12.0, Some(457.0)),
            ("2026-05-01T14:04:01.500", 47.5, 12.001, Some(457.0)),
            ("2026-05-01T15:04:02", 47.5, 12.002, None),
        ],
    );
    let bytes = std::fs::read(path("area/seed-kml")).unwrap();
    let corners = area_file::read_bytes(Path::new("a"), &bytes).unwrap();
    let found: Vec<_> = corners.iter().map(|at| (at.lon(), at.lat())).collect();
    // POLYGON Z ((12.5 47.0 0.0, 12.7 47.0 0.0, 12.7 47.1 0.0, 12.5 47.0 0.0))
    assert_eq!(found, [(12.5, 47.0), (12.7, 47.0), (12.7, 47.1)]);
    let bytes = std::fs::read(path("line/seed-kml")).unwrap();
    let places = line_file::read_bytes(Path::new("l"), &bytes, Some("North")).unwrap();
    let found: Vec<_> = places.iter().map(|at| (at.lon(), at.lat())).collect();
    // LINESTRING (12.5 47.0, 12.5 47.1)
    assert_eq!(found, [(12.5, 47.0), (12.5, 47.1)]);
}

#[test]
fn geojson_is_read_as_geojson_reads_it() {
    same(
        &seed("geojson/seed-points"),
        &[
            ("2026-05-01T15:04:00", 47.5, 12.0, Some(457.2)),
            // 1777647841000 ms since 1970: `date -u -d @1777647841`.
            ("2026-05-01T15:04:01", 47.5, 12.001, None),
        ],
    );
    same(
        &seed("geojson/seed-lines"),
        &[
            ("2026-05-01T15:04:00", 47.5, 12.0, Some(457.0)),
            ("2026-05-01T15:04:01", 47.5, 12.001, None),
            ("2026-05-01T15:04:02.500", 47.5, 12.002, None),
        ],
    );
}

/// The sentences that introductions to NMEA 0183 print for RMC and GGA (from memory); their check sums are 6A and 47.
/// 4807.038 N is 48 + 7.038/60 degrees.
#[test]
fn the_usual_example_of_nmea_is_read() {
    let text = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n\
                $GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n";
    same(
        &reading(text),
        &[(
            "1994-03-23T12:35:19",
            48.0 + 7.038 / 60.0,
            11.0 + 31.0 / 60.0,
            Some(545.4),
        )],
    );
}

/// The B record that the specification of the IGC takes apart (appendix A, 4.1; from memory): 16:02:40 UTC, 54°07.121'N
/// 002°49.342'W, valid, 280 m by pressure, 421 m by GNSS. The date is that of its HFDTE example, 16 July 2001.
#[test]
fn the_example_of_the_igc_is_read() {
    let text = "AXXXABC\r\nHFDTE160701\r\nB1602405407121N00249342WA0028000421\r\n";
    same(
        &reading(text),
        &[(
            "2001-07-16T16:02:40",
            54.0 + 7.121 / 60.0,
            -(2.0 + 49.342 / 60.0),
            Some(421.0),
        )],
    );
}

/// The track of the reference of `gx:Track`, its first three of seven pairs (from memory): the altitude mode is missing
/// there, so that it has no heights.
#[test]
fn the_example_of_a_track_in_kml_is_read() {
    let text = "<kml xmlns=\"http://www.opengis.net/kml/2.2\" xmlns:gx=\"urn:x\"><Folder><Placemark><gx:Track>\
        <when>2010-05-28T02:02:09Z</when><when>2010-05-28T02:02:35Z</when><when>2010-05-28T02:02:44Z</when>\
        <gx:coord>-122.207881 37.371915 156.000000</gx:coord><gx:coord>-122.205712 37.373288 152.000000</gx:coord>\
        <gx:coord>-122.204678 37.373939 147.000000</gx:coord></gx:Track></Placemark></Folder></kml>";
    same(
        &reading(text),
        &[
            ("2010-05-28T02:02:09", 37.371915, -122.207881, None),
            ("2010-05-28T02:02:35", 37.373288, -122.205712, None),
            ("2010-05-28T02:02:44", 37.373939, -122.204678, None),
        ],
    );
}
