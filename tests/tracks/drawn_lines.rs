//! A flight that was drawn, with one span of time, through the commands.

use super::support::Folder;
use serde_json::Value;
use std::path::PathBuf;

/// A sample flight as it was recorded, as a line of its places with the span of its times, and as such a line
/// without the tasking beside it.
fn folder() -> Folder {
    let sample = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("sample-logs/clean");
    let text = |name: &str| std::fs::read_to_string(sample.join(name)).unwrap();
    let (log, tasking) = (text("track.gpx"), text("tasking.toml"));
    let between = |from: &str, to: &str| -> Vec<String> {
        let parts = log.split(from).skip(1);
        parts
            .map(|part| part.split(to).next().unwrap().to_owned())
            .collect()
    };
    let (lats, lons) = (between("<trkpt lat=\"", "\""), between("lon=\"", "\""));
    let times = between("<time>", "</time>");
    let places = lons
        .iter()
        .zip(&lats)
        .map(|(lon, lat)| format!("{lon},{lat}"));
    let coordinates: Vec<String> = places.collect();
    let line = format!(
        "<kml><Placemark><name>Drawn</name><TimeSpan><begin>{}</begin><end>{}</end></TimeSpan>\n<LineString>\
         <coordinates>\n{}\n</coordinates></LineString></Placemark></kml>\n",
        times[times.len() - lats.len()],
        times[times.len() - 1],
        coordinates.join("\n")
    );
    Folder::with(&[
        ("recorded.gpx", &log),
        ("drawn.kml", &line),
        ("tasking.toml", &tasking),
        ("sortie/drawn.kml", &line),
        ("sortie/tasking.toml", &tasking),
    ])
}

fn json(folder: &Folder, arguments: &[&str]) -> Value {
    let (code, out, err) = folder.run(arguments);
    assert_eq!(code, 0, "{err}");
    serde_json::from_str(&out).unwrap()
}

#[test]
fn a_line_is_a_log_only_where_that_is_asked_for() {
    let folder = folder();
    folder.refused(
        &["drawn.kml"],
        "drawn.kml: the file holds lines with one span of time each, not a time for every position",
        "--spread-times makes times up",
    );
    let (code, _, err) = folder.run(&["refly", "sortie", "--out", "refly"]);
    assert_eq!(code, 3);
    assert!(
        err.contains("drawn.kml: the file holds lines with one span of time each"),
        "{err}"
    );
    folder.refused(
        &["recorded.gpx", "--spread-times"],
        "recorded.gpx: every time in the log is recorded",
        "leave out --spread-times",
    );
    folder.refused(
        &["drawn.kml", "--spread-times", "--strict"],
        "drawn.kml, line 2: a point cannot be used as it stands, line without recorded times",
        "leave out --strict",
    );
    // Two recordings of one time are refused, whatever their times are.
    let (code, _, err) = folder.run(&["inspect", "recorded.gpx", "drawn.kml", "--spread-times"]);
    assert_eq!(code, 3, "{err}");
}

#[test]
fn what_was_made_up_is_said_wherever_it_goes() {
    let folder = folder();
    let log = folder.inspect(&["drawn.kml", "--spread-times"]);
    assert_eq!(log["taken"]["spread_times"], true);
    assert_eq!(log["track_name"], "Drawn, times not recorded");
    assert_eq!(log["ledger"][0]["finding"], "spread-times");
    let recorded = folder.inspect(&["recorded.gpx"]);
    for key in ["first", "last"] {
        assert_eq!(log[key], recorded[key], "{key}");
    }
    assert_eq!(recorded["taken"]["spread_times"], false);
    let (_, out, _) = folder.run(&["inspect", "drawn.kml", "--spread-times"]);
    assert!(
        out.contains("made up, not recorded: the span of time of a drawn line"),
        "{out}"
    );
    // The name goes along where there are names.
    let (code, _, err) = folder.run(&[
        "convert",
        "drawn.kml",
        "--spread-times",
        "--out",
        "drawn.gpx",
    ]);
    assert_eq!(code, 0, "{err}");
    assert!(err.contains("1 × line without recorded times"), "{err}");
    let written = std::fs::read_to_string(folder.path("drawn.gpx")).unwrap();
    assert!(written.contains("<name>Drawn, times not recorded</name>"));
    // Corrected and cut like others.
    let later = folder.inspect(&["drawn.kml", "--spread-times", "--clock-correction", "+1 h"]);
    assert_ne!(later["first"], log["first"]);
}

/// Ground that was flown over is the same; what goes by time is said to be made up, and no wind comes out of it.
#[test]
fn a_drawn_flight_is_debriefed() {
    let folder = folder();
    let asked = ["debrief", "--json", "--tasking", "tasking.toml"];
    let recorded = json(&folder, &[&asked[..], &["recorded.gpx"]].concat());
    let drawn = json(
        &folder,
        &[&asked[..], &["drawn.kml", "--spread-times"]].concat(),
    );
    let states = |debrief: &Value| -> Vec<(Value, f64)> {
        let legs = debrief["legs"].as_array().unwrap();
        let state = |leg: &Value| {
            (
                leg["state"].clone(),
                leg["tracking"]["xte_sd_m"].as_f64().unwrap(),
            )
        };
        legs.iter().map(state).collect()
    };
    assert_eq!(states(&recorded).len(), states(&drawn).len());
    for ((a, a_m), (b, b_m)) in states(&recorded).into_iter().zip(states(&drawn)) {
        assert_eq!(a, b);
        assert!((a_m - b_m).abs() < 0.5, "{a_m} {b_m}");
    }
    let covered = |debrief: &Value| {
        debrief["coverage"]["flown_coverage_factor"]
            .as_f64()
            .unwrap()
    };
    let (was, is) = (covered(&recorded), covered(&drawn));
    assert!((was - is).abs() < 0.01, "{was} {is}");
    assert!(recorded["wind"].is_object() && drawn["wind"].is_null());
    let remarks = |debrief: &Value| -> Vec<String> {
        let remarks = debrief["remarks"].as_array().unwrap();
        remarks
            .iter()
            .map(|remark| remark.as_str().unwrap().to_owned())
            .collect()
    };
    let said =
        |remark: &String| remark.starts_with("The times of this log were not recorded but made up");
    assert!(said(&remarks(&drawn)[0]), "{:?}", remarks(&drawn));
    assert!(!remarks(&recorded).iter().any(said));
    let (code, out, err) = folder.run(&[
        "refly",
        "sortie",
        "--spread-times",
        "--out",
        "refly",
        "--json",
    ]);
    assert_eq!(code, 0, "{err}");
    let search: Value = serde_json::from_str(&out).unwrap();
    let named = |remark: &String| remark.starts_with("Times were not recorded but made up");
    assert!(remarks(&search).iter().any(named), "{out}");
}
