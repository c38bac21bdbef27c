use super::support::{Folder, gpx, points};
use serde_json::json;

fn minute() -> Folder {
    // 00:10:00 to 00:10:59.
    Folder::with(&[("log.gpx", &gpx(&[("A", points(600, 60, 60.0))]))])
}

#[test]
fn what_lies_outside_is_left_out_and_counted() {
    let folder = minute();
    for (from, to) in [
        ("2026-05-01T00:10:10Z", "2026-05-01T02:10:39+02:00"),
        ("00:10:10", "00:10:39"),
        ("00:10:09.5Z", "00:10:39.5Z"),
    ] {
        let log = folder.inspect(&["log.gpx", "--since", from, "--until", to, "--strict"]);
        assert_eq!(log["first"], "2026-05-01T00:10:10Z");
        assert_eq!(log["last"], "2026-05-01T00:10:39Z");
        assert_eq!(
            (&log["fixes_kept"], &log["points_read"]),
            (&json!(30), &json!(60))
        );
        assert_eq!(log["taken"]["points_before"], 10);
        assert_eq!(log["taken"]["points_after"], 20);
        let findings: Vec<_> = log["ledger"]
            .as_array()
            .unwrap()
            .iter()
            .map(|e| &e["finding"])
            .collect();
        assert_eq!(findings, ["outside-window", "outside-window"]);
    }
    let log = folder.inspect(&["log.gpx", "--since", "00:10:30"]);
    assert_eq!(
        log["ledger"][0]["raw"],
        "30 fixes before 2026-05-01T00:10:30Z"
    );
    let (_, out, _) = folder.run(&["inspect", "log.gpx", "--since", "00:10:30"]);
    let said = "Times         only points from 2026-05-01T00:10:30Z taken: 30 points before and 0 after left out";
    assert!(out.contains(said), "{out}");
}

#[test]
fn a_window_that_holds_nothing_is_refused_with_the_span() {
    let folder = minute();
    let span = "the log is of 2026-05-01 00:10:00 to 00:10:59 UTC";
    for (window, said) in [
        (&["--since", "00:11"][..], "from 2026-05-01T00:11:00Z on"),
        (
            &["--until", "2026-05-01T00:09:00Z"],
            "until 2026-05-01T00:09:00Z",
        ),
        (
            &["--since", "01:00", "--until", "02:00"],
            "2026-05-01T01:00:00Z to 2026-05-01T02:00:00Z",
        ),
    ] {
        let problem = format!("no fix lies in the window of time, {said}; {span}");
        folder.refused(
            &[&["log.gpx"], window].concat(),
            &problem,
            "within that span",
        );
    }
    let backwards = ["log.gpx", "--since", "00:10:30", "--until", "00:10:10"];
    folder.refused(
        &backwards,
        "the window of time ends before it begins",
        "the earlier",
    );
    for wrong in ["25:00", "noon", "2026-05-01", "2026-05-01T00:00:00"] {
        let (code, _, err) = folder.run(&["inspect", "log.gpx", "--since", wrong]);
        assert_eq!(code, 2, "{wrong}");
        assert!(err.contains("a time of day like 15:04"), "{err}");
    }
}

#[test]
fn a_time_of_day_must_come_once() {
    // 23:59:00 to 00:00:59 over midnight.
    let after = points(0, 60, 60.0)
        .replace("05-01", "05-02")
        .replace("lon=\"12.0", "lon=\"98.4");
    let over = gpx(&[("A", points(86_340, 60, 60.0) + &after)]);
    let folder = Folder::with(&[("log.gpx", &over)]);
    let log = folder.inspect(&["log.gpx", "--since", "23:59:30", "--until", "00:00:29"]);
    assert_eq!(log["fixes_kept"], 60);
    assert_eq!(log["last"], "2026-05-02T00:00:29Z");
    // Its very ends, and times soon after them, are of the days beside them.
    assert_eq!(
        folder.inspect(&["log.gpx", "--since", "23:59", "--until", "02:00"])["fixes_kept"],
        120
    );
    let problem = "12:00:00 comes not at all in the log, which is of 2026-05-01 23:59:01 to 2026-05-02 00:00:58";
    folder.refused(
        &["log.gpx", "--since", "12:00"],
        problem,
        "give the date as well",
    );
    // Two days on end.
    let days = gpx(&[
        ("A", points(3600, 60, 60.0)),
        ("B", points(3600, 60, 60.0).replace("05-01", "05-02")),
    ]);
    let folder = Folder::with(&[("log.gpx", &days)]);
    let problem = "01:00:30 comes more than once in the log";
    folder.refused(
        &["log.gpx", "--since", "01:00:30"],
        problem,
        "give the date as well",
    );
    assert_eq!(
        folder.inspect(&["log.gpx", "--since", "2026-05-02T01:00:30Z"])["fixes_kept"],
        30
    );
}

/// A receiver that writes 1980 until it has a fix does not make the log one of many years.
#[test]
fn the_day_of_a_log_is_that_of_most_of_its_fixes() {
    let early = "<trkpt lat=\"60\" lon=\"12\"><time>1980-01-06T00:00:00Z</time></trkpt>\n";
    let log = gpx(&[("A", early.to_owned() + &points(600, 200, 60.0))]);
    let log = Folder::with(&[("log.gpx", &log)]).inspect(&["log.gpx", "--until", "00:10:59"]);
    assert_eq!(
        (&log["taken"]["points_after"], &log["last"]),
        (&json!(140), &json!("2026-05-01T00:10:59Z"))
    );
}
