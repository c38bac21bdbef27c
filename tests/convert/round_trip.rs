use super::support::{FORMATS, fix, read_back, reading, written};
use chrono::TimeDelta;
use overflown::track::write::LogFormat;
use overflown::track::{Fix, HeightKind, Reading};
use proptest::prelude::*;

/// Degrees, metres and seconds to which a format has them.
fn resolution(format: LogFormat) -> (f64, f64) {
    match format {
        // Half of 1e-6 minutes, half a metre.
        LogFormat::Igc => (0.51e-6 / 60.0, 0.5),
        // Half of 1e-7 minutes, half a millimetre.
        LogFormat::Nmea => (0.51e-7 / 60.0, 0.5e-3),
        _ => (1e-12, 1e-9),
    }
}

/// Whether a format can hold these heights.
fn holds(format: LogFormat, kind: HeightKind, all: bool) -> bool {
    match format {
        LogFormat::Gpx | LogFormat::Kml | LogFormat::Kmz | LogFormat::Nmea => {
            kind == HeightKind::MeanSeaLevel
        }
        LogFormat::Igc => kind != HeightKind::Pressure || all,
        LogFormat::GeoJson | LogFormat::Csv | LogFormat::Tsv => true,
    }
}

const fn knows_tracks(format: LogFormat) -> bool {
    !matches!(format, LogFormat::Igc | LogFormat::Nmea)
}

fn flat(reading: &Reading) -> Vec<Fix> {
    reading.segments.concat()
}

/// Name and lengths of segments of every track.
fn shape(reading: &Reading) -> Vec<(Option<String>, Vec<usize>)> {
    let tracks = reading.tracks.iter();
    tracks
        .map(|track| {
            let segments = track.segments_in(reading).iter();
            (track.name.clone(), segments.map(Vec::len).collect())
        })
        .collect()
}

/// What came out is what went in, as far as these formats have it.
fn same(before: &Reading, after: &Reading, by: &[LogFormat]) {
    let (a, b) = (flat(before), flat(after));
    assert_eq!(a.len(), b.len(), "{by:?}");
    assert_eq!(after.ledger.entries, [], "{by:?}");
    let with_height = a.iter().filter(|fix| fix.height.get().is_some()).count();
    let all = with_height == a.len();
    let heights = by.iter().all(|f| holds(*f, before.height_kind, all));
    let degrees: f64 = by.iter().map(|f| resolution(*f).0).sum();
    let metres: f64 = by.iter().map(|f| resolution(*f).1).sum::<f64>() + 1e-9;
    for (a, b) in a.iter().zip(&b) {
        assert_eq!(a.time, b.time, "{by:?}");
        assert!(
            (a.position.lat() - b.position.lat()).abs() <= degrees,
            "{by:?}: {a:?} {b:?}"
        );
        assert!(
            (a.position.lon() - b.position.lon()).abs() <= degrees,
            "{by:?}: {a:?} {b:?}"
        );
        match (a.height.get().filter(|_| heights), b.height.get()) {
            (None, None) => {}
            (Some(a), Some(b)) => assert!((a.m() - b.m()).abs() <= metres, "{by:?}: {a:?} {b:?}"),
            other => panic!("{by:?}: {other:?}"),
        }
    }
    if heights && with_height > 0 {
        assert_eq!(before.height_kind, after.height_kind, "{by:?}");
    }
    if by.iter().all(|f| knows_tracks(*f)) {
        assert_eq!(shape(before), shape(after), "{by:?}");
    }
}

fn name() -> impl Strategy<Value = Option<String>> {
    // Signs that XML, tables and spreadsheets take for their own.
    prop::option::of("[A-Za-z0-9<>&'\"=+@,;\u{e4}\u{df}-][A-Za-z0-9<>&'\"=+@,; ]{0,20}[a-z]")
}

fn height() -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        1 => Just(None),
        // Not within half a metre of nought, which IGC takes for none where no fix has more.
        3 => (1.0..12_000.0_f64).prop_map(Some),
        1 => (-400.0..-1.0_f64).prop_map(Some),
        1 => (1..5000_i32).prop_map(|metres| Some(f64::from(metres))),
    ]
}

/// Up to three tracks of up to three segments, times rising by up to ten hours, places anywhere.
fn log() -> impl Strategy<Value = Reading> {
    let point = (
        1..36_000_000_i64,
        -89.9..89.9_f64,
        -180.0..180.0_f64,
        height(),
    );
    let segment = prop::collection::vec(point, 1..6);
    let track = (name(), prop::collection::vec(segment, 1..4));
    let kind = prop_oneof![
        2 => Just(HeightKind::MeanSeaLevel),
        1 => Just(HeightKind::Ellipsoid),
        1 => Just(HeightKind::Pressure),
        1 => Just(HeightKind::Unknown),
    ];
    (prop::collection::vec(track, 1..4), kind).prop_map(|(tracks, kind)| {
        let mut time_ms = 0;
        let tracks: Vec<_> = tracks
            .into_iter()
            .map(|(name, segments)| {
                let segments = segments.into_iter().map(|points| {
                    let fixes = points.into_iter().map(|(step_ms, lat, lon, height)| {
                        time_ms += step_ms;
                        fix(time_ms, lat, lon, height)
                    });
                    fixes.collect()
                });
                (name, segments.collect())
            })
            .collect();
        reading(&tracks, kind)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Through every format, and from there through every other.
    #[test]
    fn fixes_come_back_from_every_pair_of_formats(log in log()) {
        for first in FORMATS {
            let once = read_back(&written(&log, first).bytes);
            same(&log, &once, &[first]);
            for second in FORMATS {
                let twice = read_back(&written(&once, second).bytes);
                same(&once, &twice, &[second]);
            }
        }
    }

    /// Nanoseconds in the formats that have them; names with anything in them break no file.
    #[test]
    fn fractions_of_seconds_and_strange_names(nanos in 0..1_000_000_000_i64, name in "\\PC{0,30}|[\u{0}-\u{ff}]{0,12}") {
        let mut fixes = vec![fix(0, 47.0, 12.0, Some(1.25)), fix(2000, 47.1, 12.0, None)];
        fixes[0].time += TimeDelta::nanoseconds(nanos);
        let log = reading(&[(Some(name), vec![fixes])], HeightKind::MeanSeaLevel);
        for format in FORMATS {
            let written = written(&log, format);
            let back = read_back(&written.bytes);
            let (time, exact) = (flat(&back)[0].time, flat(&log)[0].time);
            if format == LogFormat::Igc {
                prop_assert!((time - exact).abs() <= TimeDelta::microseconds(500));
                let rounded = written.lost.iter().any(|lost| lost.contains("rounded to the millisecond"));
                prop_assert_eq!(rounded, nanos % 1_000_000 != 0);
            } else {
                prop_assert_eq!(time, exact);
            }
            prop_assert_eq!(flat(&back).len(), 2);
        }
    }
}

/// Steps back in time, equal times and holes of days are kept as they are: to convert is not to clean.
#[test]
fn nothing_is_cleaned() {
    let day = 86_400_000;
    let fixes = vec![
        fix(0, 47.0, 12.0, Some(100.0)),
        fix(3 * day + 5000, 47.1, 12.0, Some(110.0)),
        fix(1000, 47.2, 12.0, Some(120.0)),
        fix(1000, 47.3, 12.0, Some(130.0)),
    ];
    let log = reading(&[(None, vec![fixes])], HeightKind::MeanSeaLevel);
    for format in FORMATS
        .into_iter()
        .filter(|format| *format != LogFormat::Nmea)
    {
        same(&log, &read_back(&written(&log, format).bytes), &[format]);
    }
    // Sentences of one time are one fix, and it is said.
    let nmea = written(&log, LogFormat::Nmea);
    assert_eq!(flat(&read_back(&nmea.bytes)).len(), 3);
    assert!(
        nmea.lost
            .iter()
            .any(|lost| lost.contains("1 of the fixes have the time of day")),
        "{:?}",
        nmea.lost
    );
}
