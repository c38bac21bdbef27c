use super::support::{Folder, gpx, points};
use serde_json::{Value, json};

#[test]
fn a_wrong_clock_is_put_right() {
    let folder = Folder::with(&[("log.gpx", &gpx(&[("A", points(600, 60, 60.0))]))]);
    for (correction, first, seconds) in [
        ("+3.5 s", "2026-05-01T00:10:03.500Z", 3.5),
        ("3.5 s", "2026-05-01T00:10:03.500Z", 3.5),
        ("-18 s", "2026-05-01T00:09:42Z", -18.0),
        ("-20 min", "2026-04-30T23:50:00Z", -1200.0),
    ] {
        let log = folder.inspect(&["log.gpx", "--clock-correction", correction]);
        assert_eq!(log["first"], first, "{correction}");
        assert_eq!(log["tracks"][0]["first"], first, "{correction}");
        assert_eq!(log["taken"]["clock_correction_s"], seconds);
        assert_eq!(log["ledger"], json!([]));
    }
    let (_, out, _) = folder.run(&["inspect", "log.gpx", "--clock-correction", "-18 s"]);
    assert!(
        out.contains("Times         -18 s added to every recorded time"),
        "{out}"
    );
    // The window is one of corrected times.
    let log = folder.inspect(&["log.gpx", "--clock-correction", "-18 s", "--since", "00:10"]);
    assert_eq!(log["taken"]["points_before"], 18);
    for wrong in ["18", "s", "--18 s", "2000000000 s"] {
        let (code, _, err) = folder.run(&["inspect", "log.gpx", "--clock-correction", wrong]);
        assert_eq!(code, 2, "{wrong}: {err}");
    }
}

/// 14:00 at +02:00 is 12:00 UTC (ISO 8601).
#[test]
fn local_times_without_a_zone_become_utc() {
    let table = "time,lat,lon\n2026-05-01 14:00:00,60,12\n2026-05-01 14:00:01,60,12.001\n\
                 2026-05-01T12:00:02Z,60,12.002\n2026-05-01T13:00:03+01:00,60,12.003\n";
    let folder = Folder::with(&[("log.csv", table)]);
    let log = folder.inspect(&["log.csv", "--zone", "+02:00"]);
    assert_eq!(
        (&log["first"], &log["last"]),
        (
            &json!("2026-05-01T12:00:00Z"),
            &json!("2026-05-01T12:00:03Z")
        )
    );
    assert_eq!(
        (&log["fixes_kept"], &log["points_dropped"]),
        (&json!(4), &json!(0))
    );
    let local: Vec<&Value> = log["ledger"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| &e["raw"])
        .collect();
    assert_eq!(
        local,
        [
            "time=\"2026-05-01 14:00:00\" lat=\"60\" lon=\"12\"",
            "time=\"2026-05-01 14:00:01\" lat=\"60\" lon=\"12.001\""
        ],
        "the raw values stay"
    );
    assert_eq!(log["ledger"][0]["finding"], "local-time");
    assert_eq!(
        log["taken"]["local_time"],
        json!({"offset_s": 7200, "despite_utc": false})
    );
    let (_, out, _) = folder.run(&["inspect", "log.csv", "--zone", "+02:00"]);
    assert!(
        out.contains("Times         times without a zone taken as local, UTC+02:00"),
        "{out}"
    );
    // Without it they are taken as UTC, and each is in the ledger.
    let rows: Vec<&str> = table.lines().take(3).collect();
    std::fs::write(folder.path("short.csv"), rows.join("\n")).unwrap();
    let log = folder.inspect(&["short.csv"]);
    assert_eq!(log["ledger"][0]["finding"], "no-zone");
    for wrong in ["2", "+2", "+02", "02:00", "+15:00", "+01:60", "CET"] {
        let (code, _, err) = folder.run(&["inspect", "log.csv", "--zone", wrong]);
        assert_eq!(code, 2, "{wrong}");
        assert!(err.contains("as +02:00 or -09:30"), "{err}");
    }
}

#[test]
fn a_zone_that_changes_nothing_is_refused() {
    let folder = Folder::with(&[("log.gpx", &gpx(&[("A", points(600, 60, 60.0))]))]);
    let problem = "log.gpx: every time in the log says that it is UTC";
    folder.refused(&["log.gpx", "--zone", "+02:00"], problem, "--zone-wrong");
    let (code, ..) = folder.run(&["inspect", "log.gpx", "--zone-wrong"]);
    assert_eq!(code, 2, "a zone is needed");
    let log = folder.inspect(&["log.gpx", "--zone", "+02:00", "--zone-wrong"]);
    assert_eq!(log["first"], "2026-04-30T22:10:00Z");
    let (_, out, _) = folder.run(&["inspect", "log.gpx", "--zone", "-09:30", "--zone-wrong"]);
    let said = "times without a zone, and those that say they are UTC, taken as local, UTC-09:30";
    assert!(out.contains(said), "{out}");
}

/// Dates are told from the local times first, so that local midnight is one: 23:59:59 and 00:00:01 at +02:00 are
/// 21:59:59 and 22:00:01 UTC of the first of the two days.
#[test]
fn midnight_of_a_local_clock_is_a_midnight() {
    let igc = "HFDTE010526\r\nB2359596000000N01200000EA0010000120\r\nB0000016000000N01200010EA0010000120\r\n";
    let sentence = |body: &str| {
        let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
        format!("${body}*{sum:02X}\r\n")
    };
    let nmea = sentence("GPRMC,235959,A,6000.000,N,01200.000,E,,,010526,,")
        + &sentence("GPGGA,000001,6000.000,N,01200.010,E,1,,,100,M,,M,,");
    let folder = Folder::with(&[("log.igc", igc), ("log.nmea", &nmea)]);
    for file in ["log.igc", "log.nmea"] {
        let log = folder.inspect(&[file, "--zone", "+02:00", "--zone-wrong"]);
        assert_eq!(log["first"], "2026-05-01T21:59:59Z", "{file}");
        assert_eq!(log["last"], "2026-05-01T22:00:01Z", "{file}");
        let log = folder.inspect(&[file, "--clock-correction", "+1 s"]);
        assert_eq!(log["first"], "2026-05-02T00:00:00Z", "{file}");
        assert_eq!(log["last"], "2026-05-02T00:00:02Z", "{file}");
    }
}
