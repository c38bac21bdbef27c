use super::support::{Folder, gpx, points};
use serde_json::json;

/// Two flights, and a second recording of the first.
fn three() -> Folder {
    let log = gpx(&[
        ("Morning", points(0, 60, 60.0)),
        ("Noon", points(3600, 30, 60.0)),
        ("Spare", points(10, 40, 60.01)),
    ]);
    Folder::with(&[("log.gpx", &log)])
}

#[test]
fn tracks_are_chosen_by_number_and_by_name() {
    let folder = three();
    for choice in [["--track", "2"], ["--track", "Noon"]] {
        let log = folder.inspect(&[&["log.gpx"], &choice[..]].concat());
        assert_eq!(log["track_name"], "Noon");
        assert_eq!(log["fixes_kept"], 30);
        assert_eq!(log["points_read"], 130, "all that the file holds");
        assert_eq!(log["points_left_out"], 100);
        assert_eq!(log["points_dropped"], 0);
        let taken: Vec<_> = log["tracks"]
            .as_array()
            .unwrap()
            .iter()
            .map(|t| &t["taken"])
            .collect();
        assert_eq!(taken, [&json!(false), &json!(true), &json!(false)]);
        let ledger = log["ledger"].as_array().unwrap();
        assert_eq!(ledger.len(), 2);
        assert_eq!(ledger[0]["finding"], "not-chosen");
        assert_eq!(ledger[0]["line"], 2);
        let raw = "1 \"Morning\", 60 points, 2026-05-01 00:00:00 to 00:00:59 UTC";
        assert_eq!(ledger[0]["raw"], raw);
    }
    let both = folder.inspect(&["log.gpx", "--track", "Noon", "--track", "1"]);
    assert_eq!(both["track_name"], "Morning, Noon");
    assert_eq!(
        (&both["fixes_kept"], &both["stretches"]),
        (&json!(90), &json!(2))
    );
}

#[test]
fn a_bad_point_of_a_track_that_is_left_out_is_counted_with_it() {
    let bad = "<trkpt lat=\"91\" lon=\"12\"><time>2026-05-01T02:00:00Z</time></trkpt>\n";
    let log = gpx(&[
        ("Good", points(0, 60, 60.0)),
        ("Bad", points(7200, 20, 60.0) + bad),
    ]);
    let folder = Folder::with(&[("log.gpx", &log)]);
    let whole = folder.inspect(&["log.gpx"]);
    assert_eq!(
        (&whole["points_dropped"], &whole["points_read"]),
        (&json!(1), &json!(81))
    );
    let good = folder.inspect(&["log.gpx", "--track", "Good", "--strict"]);
    assert_eq!(
        (&good["points_dropped"], &good["points_left_out"]),
        (&json!(0), &json!(21))
    );
    assert_eq!(good["points_read"], 81);
}

#[test]
fn the_list_of_tracks_is_printed() {
    let folder = three();
    let (code, out, _) = folder.run(&["inspect", "log.gpx", "--track", "1"]);
    assert_eq!(code, 0);
    assert!(out.contains("3 tracks:"), "{out}");
    let row = "1  Morning  2026-05-01 00:00:00 UTC  2026-05-01 00:00:59 UTC      60  taken     2";
    assert!(out.contains(row), "{out}");
    assert!(
        out.contains("130 in the file, 60 kept, 0 dropped, 70 left out as asked"),
        "{out}"
    );
    // One track alone is no list.
    let single = Folder::with(&[("log.gpx", &gpx(&[("Only", points(0, 60, 60.0))]))]);
    assert!(!single.run(&["inspect", "log.gpx"]).1.contains("1 track"));
}

#[test]
fn a_wrong_choice_lists_what_there_is() {
    let folder = three();
    let held = "the file holds 3 tracks: 1 \"Morning\", 60 points, 2026-05-01 00:00:00 to 00:00:59 UTC; 2 \"Noon\", \
                30 points, 2026-05-01 01:00:00 to 01:00:29 UTC; 3 \"Spare\", 40 points, 2026-05-01 00:00:10 to \
                00:00:49 UTC";
    for choice in ["4", "0", "noon", "Evening"] {
        let problem = format!("log.gpx: no track is \"{choice}\"; {held}");
        folder.refused(&["log.gpx", "--track", choice], &problem, "--track 1");
    }
    let twins = gpx(&[("A", points(0, 60, 60.0)), ("A", points(600, 60, 60.0))]);
    let folder = Folder::with(&[("log.gpx", &twins)]);
    let problem = "2 tracks are called \"A\"; the file holds 2 tracks";
    folder.refused(&["log.gpx", "--track", "A"], problem, "by number");
    let (code, _, err) = folder.run(&["inspect", "log.gpx", "--track", " "]);
    assert_eq!(code, 2);
    assert!(
        err.contains("the number or the name of a track is needed"),
        "{err}"
    );
}

/// Placemarks, features, and rows with their track beside them are tracks; folders, segments and parts are not.
#[test]
fn every_format_that_knows_tracks_has_them() {
    let kml = "<kml xmlns=\"http://www.opengis.net/kml/2.3\"><Document>\
        <Placemark><Track><when>2026-05-01T00:00:00Z</when><when>2026-05-01T00:00:01Z</when>\
        <coord>12 60</coord><coord>12.001 60</coord></Track><name>One</name></Placemark>\
        <Placemark><name>Two</name><MultiTrack>\
        <Track><when>2026-05-01T01:00:00Z</when><coord>12 60</coord></Track>\
        <Track><when>2026-05-01T01:00:01Z</when><coord>12.001 60</coord></Track></MultiTrack></Placemark>\
        </Document></kml>";
    let json = r#"{"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": {"name": "One", "coordTimes": ["2026-05-01T00:00:00Z",
        "2026-05-01T00:00:01Z"]}, "geometry": {"type": "LineString", "coordinates": [[12, 60], [12.001, 60]]}},
        {"type": "Feature", "properties": {"name": "Two", "coordTimes": [["2026-05-01T01:00:00Z"],
        ["2026-05-01T01:00:01Z"]]}, "geometry": {"type": "MultiLineString", "coordinates": [[[12, 60]],
        [[12.001, 60]]]}}]}"#;
    let table = "time_utc,lat,lon,track_name,segment\n2026-05-01T00:00:00Z,60,12,One,1\n\
        2026-05-01T00:00:01Z,60,12.001,One,1\n2026-05-01T01:00:00Z,60,12,Two,1\n\
        2026-05-01T01:00:01Z,60,12.001,Two,2\n";
    let folder = Folder::with(&[("log.kml", kml), ("log.json", json), ("log.csv", table)]);
    for file in ["log.kml", "log.json", "log.csv"] {
        let log = folder.inspect(&[file, "--track", "Two"]);
        assert_eq!(log["track_name"], "Two", "{file}");
        assert_eq!(log["tracks"][0]["name"], "One", "{file}");
        assert_eq!(log["first"], "2026-05-01T01:00:00Z", "{file}");
        assert_eq!(
            (&log["fixes_kept"], &log["points_read"]),
            (&json!(2), &json!(4)),
            "{file}"
        );
        let both = folder.inspect(&[file]);
        assert_eq!(
            (&both["fixes_kept"], &both["track_name"]),
            (&json!(4), &json!("One, Two")),
            "{file}"
        );
    }
}
