//! One simulated flight, written in every format by writers of this file alone, comes to the same debrief.
//!
//! The GPX reader, which has tests of its own, is the reference. Numbers are written with Rust's shortest exact
//! decimals, so that what differs is the rounding of feet to metres.

use overflown::debrief::debrief;
use overflown::simulate::{Settings, Wind, simulate};
use overflown::track::clean::{CleanSettings, clean};
use overflown::track::read::{ReadSettings, read};
use overflown::track::{Fix, HeightKind};
use overflown::units::{Bearing, Speed};
use serde_json::Value;
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::{SimpleFileOptions, ZipWriter};

/// Time, latitude, longitude, height in metres.
fn written(fix: &Fix) -> (String, f64, f64, f64) {
    (
        fix.time.format("%Y-%m-%dT%H:%M:%S%.fZ").to_string(),
        fix.position.lat(),
        fix.position.lon(),
        fix.height.get().unwrap().m(),
    )
}

fn each(fixes: &[Fix], write: impl Fn(String, f64, f64, f64) -> String) -> String {
    fixes.iter().fold(String::new(), |mut all, fix| {
        let (time, lat, lon, height) = written(fix);
        writeln!(all, "{}", write(time, lat, lon, height)).unwrap();
        all
    })
}

fn listed(fixes: &[Fix], write: impl Fn(String, f64, f64, f64) -> String) -> String {
    each(fixes, write).trim_end().replace('\n', ",\n")
}

fn gpx(fixes: &[Fix]) -> String {
    let points = each(fixes, |time, lat, lon, height| {
        format!("<trkpt lat=\"{lat}\" lon=\"{lon}\"><ele>{height}</ele><time>{time}</time></trkpt>")
    });
    format!("<gpx version=\"1.1\"><trk><trkseg>\n{points}</trkseg></trk></gpx>\n")
}

fn kml(fixes: &[Fix]) -> String {
    let times = each(fixes, |time, _, _, _| format!("<when>{time}</when>"));
    let places = each(fixes, |_, lat, lon, height| {
        format!("<gx:coord>{lon} {lat} {height}</gx:coord>")
    });
    format!(
        "<?xml version=\"1.0\"?>\n<kml xmlns=\"http://www.opengis.net/kml/2.2\" xmlns:gx=\"urn:extension\">\
         <Document><Folder><Placemark><gx:Track><altitudeMode>absolute</altitudeMode>\n{times}{places}\
         </gx:Track></Placemark></Folder></Document></kml>\n"
    )
}

fn kmz(fixes: &[Fix]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default();
    writer.start_file("doc.kml", options).unwrap();
    writer.write_all(kml(fixes).as_bytes()).unwrap();
    writer.finish().unwrap().into_inner()
}

fn geojson_line(fixes: &[Fix]) -> String {
    let places = listed(fixes, |_, lat, lon, height| {
        format!("[{lon}, {lat}, {height}]")
    });
    let times = listed(fixes, |time, _, _, _| format!("\"{time}\""));
    format!(
        "{{\"type\": \"FeatureCollection\", \"features\": [{{\"type\": \"Feature\",\n\"geometry\": \
         {{\"type\": \"LineString\", \"coordinates\": [\n{places}]}},\n\"properties\": {{\"coordTimes\": \
         [\n{times}]}}}}]}}\n"
    )
}

fn geojson_points(fixes: &[Fix]) -> String {
    let points = listed(fixes, |time, lat, lon, height| {
        format!(
            "{{\"type\": \"Feature\", \"properties\": {{\"time\": \"{time}\"}}, \"geometry\": {{\"type\": \
             \"Point\", \"coordinates\": [{lon}, {lat}, {height}]}}}}"
        )
    });
    format!("{{\"type\": \"FeatureCollection\", \"features\": [\n{points}]}}\n")
}

fn commas(fixes: &[Fix]) -> String {
    let rows = each(fixes, |time, lat, lon, height| {
        format!("{time},{lat},{lon},{}", height / 0.3048)
    });
    format!(
        "time,latitude,longitude,altitude MSL (ft)\r\n{}",
        rows.replace('\n', "\r\n")
    )
}

fn semicolons(fixes: &[Fix]) -> String {
    let rows = each(fixes, |time, lat, lon, height| {
        let (date, time) = time.trim_end_matches('Z').split_once('T').unwrap();
        format!("{lon};{lat};{height};{date};{time}").replace('.', ",")
    });
    format!("lon;lat;height_m;date;time_utc\n{rows}")
}

/// Numbers agree to a millionth of themselves or a billionth, all else is the same; but for what is told of the
/// file itself.
fn same(path: &str, a: &Value, b: &Value) {
    match (a, b) {
        (Value::Object(a), Value::Object(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (key, value) in a {
                if !["sha256", "bytes", "name", "height_kind", "line"].contains(&key.as_str()) {
                    same(&format!("{path}.{key}"), value, &b[key]);
                }
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            assert_eq!(a.len(), b.len(), "{path}");
            for (index, (a, b)) in a.iter().zip(b).enumerate() {
                same(&format!("{path}[{index}]"), a, b);
            }
        }
        (Value::Number(a), Value::Number(b)) => {
            let (a, b) = (a.as_f64().unwrap(), b.as_f64().unwrap());
            assert!(
                (a - b).abs() <= 1e-9 + 1e-6 * a.abs(),
                "{path}: {a} and {b}"
            );
        }
        _ => assert_eq!(a, b, "{path}"),
    }
}

#[test]
fn a_flight_debriefs_the_same_in_every_format() {
    let (tasking, plan) = crate::support::tasking(crate::support::TASKING);
    let settings = Settings {
        faults: crate::support::many_faults(),
        wind: Wind {
            from: Bearing::from_deg(250.0),
            speed: Speed::from_kt(14.0),
        },
        ..Settings::for_tasking(&tasking)
    };
    let fixes = simulate(&plan, &settings, 5).unwrap().fixes;
    assert!(fixes.len() > 1000, "{} fixes", fixes.len());
    let folder = tempfile::tempdir().unwrap();
    // The name says nothing: the content does.
    let path = folder.path().join("log.dat");
    let debriefed = |content: &[u8]| {
        std::fs::write(&path, content).unwrap();
        let reading = read(&path, ReadSettings::default()).unwrap();
        let kind = reading.height_kind;
        let track = clean(reading, &CleanSettings::default()).unwrap();
        let value = debrief(&track, &path, &tasking, &plan).unwrap();
        (value, kind)
    };
    let (reference, _) = debriefed(gpx(&fixes).as_bytes());
    assert_eq!(reference.log.fixes_kept, fixes.len());
    let expected = serde_json::to_value(&reference).unwrap();
    for (format, content, kind) in [
        ("KML", kml(&fixes).into_bytes(), HeightKind::MeanSeaLevel),
        ("KMZ", kmz(&fixes), HeightKind::MeanSeaLevel),
        (
            "GeoJSON, a line",
            geojson_line(&fixes).into_bytes(),
            HeightKind::Ellipsoid,
        ),
        (
            "GeoJSON, points",
            geojson_points(&fixes).into_bytes(),
            HeightKind::Ellipsoid,
        ),
        (
            "commas",
            commas(&fixes).into_bytes(),
            HeightKind::MeanSeaLevel,
        ),
        (
            "semicolons",
            semicolons(&fixes).into_bytes(),
            HeightKind::Unknown,
        ),
    ] {
        let (found, found_kind) = debriefed(&content);
        assert_eq!(found_kind, kind, "{format}");
        assert!(
            found.log.ledger.is_empty(),
            "{format}: {:?}",
            found.log.ledger
        );
        same(format, &expected, &serde_json::to_value(&found).unwrap());
    }
}
